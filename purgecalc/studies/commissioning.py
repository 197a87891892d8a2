"""Everything a commissioning note is made from, gathered once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from purgecalc.design import Design
from purgecalc.rules import Finding
from purgecalc.scenario import ScenarioInputs
from purgecalc.studies.expected import expected
from purgecalc.studies.readings import FormLine, Readings, form_lines, judged
from purgecalc.studies.spread import spread


@dataclass(frozen=True)
class Commissioning:
    """A scenario worked out and judged, what is to be measured, and what was."""

    scenario: ScenarioInputs
    designs: Sequence[Design]
    findings: Sequence[Finding]
    lines: tuple[FormLine, ...]
    readings: Readings | None = None

    @property
    def many(self) -> bool:
        """Whether there are several purge lines."""
        return len(self.designs) > 1

    def design_of(self, line: str) -> Design:
        """The design of the line called so."""
        return next(d for d in self.designs if d.inputs.line == line)


def gather(scenario: ScenarioInputs, designs: list[Design], findings: Sequence[Finding]) -> Commissioning:
    """Work out the bands and the table of what is to be measured."""
    tables = [(s.design.inputs.line, expected(s)) for s in spread(scenario.lines, designs)]
    return Commissioning(scenario, designs, findings, tuple(form_lines(tables)))


def outside_lines(c: Commissioning) -> list[FormLine]:
    """Lines whose reading is outside what passes."""
    taken = c.readings.values if c.readings else {}
    return [line for line in c.lines if line.id in taken and judged(line.expected, taken[line.id]).startswith("outside")]
