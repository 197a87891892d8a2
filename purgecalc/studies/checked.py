"""A scenario worked out and judged: the one result that screens, notes, sizing, maps and the Python door are made from."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Self

from purgecalc.design import Design, design_all
from purgecalc.design.corners import CORNERS, NORMAL
from purgecalc.errors import UsageError
from purgecalc.renamed import now_called
from purgecalc.rules import Finding, Level, judge, not_judged, rule_settings, verdict
from purgecalc.scenario import ScenarioInputs
from purgecalc.scenario.facts import SiteQuestions, site_questions
from purgecalc.studies.grades import Subject
from purgecalc.wording import nearest
from purgecalc.working import Node


@dataclass(frozen=True, eq=False, repr=False)
class Checked:
    """Every line of a scenario with what the rules find of it, worst first; ``limits`` are those the scenario sets, in SI."""

    scenario: ScenarioInputs
    limits: Mapping[str, Any]
    designs: tuple[Design, ...]
    findings: tuple[Finding, ...]

    @classmethod
    def of(cls, scenario: ScenarioInputs, system: str = "si") -> Self:
        """Work out and judge a scenario; ``system`` is the one that reasons and remedies are worded in.

        Raises ``ScenarioError`` for a limit or waiver that fits no rule, ``NoPhysicalAnswer`` where a line cannot blow.
        """
        limits = rule_settings(scenario)
        designs = design_all(scenario.lines)
        return cls(scenario, limits, tuple(designs), tuple(judge(designs, limits, scenario.waive, system)))

    @property
    def verdict(self) -> str:
        """PASS, WATCH, FIX or STOP, by calculation: the worst level that fails."""
        return verdict(self.findings)

    @property
    def not_judged(self) -> tuple[Finding, ...]:
        """What the rule book asks and nobody has stated enough to judge, of the highest level first."""
        return tuple(not_judged(self.findings))

    @property
    def site_questions(self) -> SiteQuestions:
        """What only a person on site can answer and nobody has; counted beside the verdict, which is the calculation's."""
        return site_questions(self.designs[0].inputs.choices)

    def fails(self, level: Level) -> bool:
        """Whether any finding reaches the level."""
        return any(f.state == "fails" and f.level >= level for f in self.findings)

    def subject(self, line: str) -> Subject:
        """The scenario with the numbers of one line to be varied."""
        return Subject(self.scenario.lines, self.limits, self.scenario.waive, line)

    def design_of(self, line: str) -> Design:
        """The line called so. Raises ``UsageError``."""
        return line_called(self.designs, line)


def line_called(designs: Sequence[Design], name: str) -> Design:
    """The line called ``name``. Raises ``UsageError`` with the names there are."""
    for design in designs:
        if design.inputs.line == name:
            return design
    raise UsageError(f"no line is called {name!r}; lines: {', '.join(repr(d.inputs.line) for d in designs)}")


def at_corner(design: Design, corner: str) -> Design:
    """A line at one of its depths; the normal one where none is named. Raises ``UsageError``."""
    if corner in ("", NORMAL):
        return design
    if corner not in CORNERS:
        raise UsageError(f"no depth is called {corner!r}: there is {', '.join([NORMAL, *CORNERS][:-1])} and {[*CORNERS][-1]}")
    if corner not in design.corners:
        raise UsageError(f"{corner}: the scenario names no line.head.{corner} that differs from line.head.depth")
    return design.corners[corner]


def node_of(design: Design, id: str, how_to_list: str) -> Node:
    """A quantity of a line by its id. Raises ``UsageError`` with what may have been meant and ``how_to_list`` them all."""
    if (node := design.get(id)) is not None:
        return node
    if now := now_called("quantities", id):
        raise UsageError(f"{id!r} {now}")
    known = [n.id for n in design.sheet]
    word = id.replace("-", "_").rsplit(".", 1)[-1]
    near = nearest(id, known, 3) or [known_id for known_id in known if word in known_id][:3]
    hint = f"; did you mean {', '.join(near)}?" if near else "."
    raise UsageError(f"{id!r} is not a quantity of this line{hint} {how_to_list}")
