"""The rule book: judge designs against good practice, worst findings first."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from purgecalc.design import Design
from purgecalc.errors import ScenarioError
from purgecalc.registry import Registry, discover
from purgecalc.rules._base import ABSENT, RULES, Fact, Level, Margin, Outcome, Rule, fill, grade, parse_override, unknown_rule
from purgecalc.rules._corners import worst
from purgecalc.scenario import ScenarioInputs
from purgecalc.units import UnitProblem

__all__ = [
    "Fact",
    "Finding",
    "Level",
    "Margin",
    "Rule",
    "grade",
    "grades",
    "judge",
    "outcomes",
    "rule_book",
    "rule_settings",
    "verdict",
]


@lru_cache(maxsize=1)
def rule_book() -> Registry[Rule]:
    """Every rule by id."""
    import purgecalc.rules as package

    discover(package)
    return RULES


def rule_settings(scenario: ScenarioInputs) -> dict[str, Any]:
    """Limits the scenario sets, in SI. Raises ``ScenarioError`` with every limit or waiver that fits no rule."""
    book, limits, problems = rule_book(), {}, []
    for id, value in scenario.limits.items():
        try:
            limits[id] = parse_override(id, value)
        except UnitProblem as problem:
            problems.append(scenario.problem(("limits", id), str(problem)))
    for id, reason in scenario.waive.items():
        if id not in book:
            problems.append(scenario.problem(("waive", id), unknown_rule(id)))
        elif not reason.strip():
            problems.append(scenario.problem(("waive", id), "a waiver needs a reason in words"))
    if problems:
        raise ScenarioError(problems)
    return limits


@dataclass(frozen=True)
class Finding:
    """What one rule says of one line (or of the source, where ``line`` is empty)."""

    rule: Rule
    line: str
    state: str  # passes, fails, waived, not applicable
    level: Level
    outcome: Outcome | None
    reason: str
    remedy: str
    limit_set: bool = False
    waived_because: str = ""
    design: Design | None = None
    """The line as it was judged: at the corner that decides."""

    @property
    def where(self) -> str:
        """The corner that decides, in words; empty where that is the normal depth."""
        return self.design.where if self.design else ""

    @property
    def margin(self) -> Margin | None:
        """The figures, where the rule compares figures."""
        return self.outcome if isinstance(self.outcome, Margin) else None

    @property
    def fact(self) -> Fact | None:
        return self.outcome if isinstance(self.outcome, Fact) else None


def judge(
    designs: Sequence[Design], limits: Mapping[str, Any] | None = None, waive: Mapping[str, str] | None = None, system: str = "si"
) -> list[Finding]:
    """Judge every line by every rule. ``limits`` are parsed overrides, ``waive`` reasons by rule id.

    Failing findings come first, worst first, in rule-book order within a level.
    """
    waive = waive or {}
    findings = [_finding(rule, d, outcome, limits or {}, waive, system) for rule, d, outcome in outcomes(designs, limits)]
    order = {"fails": 0, "waived": 1, "passes": 2, "not applicable": 3}
    return sorted(findings, key=lambda f: (order[f.state], -f.level if f.state == "fails" else 0))


def outcomes(designs: Sequence[Design], limits: Mapping[str, Any] | None = None) -> Iterator[tuple[Rule, Design, Outcome | None]]:
    """What every rule finds of every line, whether the line is one design or an array of them.

    Of a line with a range of depths the worst corner, with the design that decides.
    """
    limits = limits or {}
    for rule in rule_book().values():
        for d in designs[:1] if rule.scope == "source" else designs:
            limit = limits.get(rule.id, rule.default_limit())
            found = [(here, rule.function(here, limit)) for here in (d, *d.corners.values())]
            yield rule, *worst(found, rule.level)


def grades(
    designs: Sequence[Design], limits: Mapping[str, Any] | None = None, waive: Mapping[str, str] | None = None
) -> dict[tuple[str, str], NDArray[np.int_]]:
    """Level of every finding by rule and line (line empty for the source), for arrays of designs: 0 passes, -1 not applicable.

    A waived finding counts as passed.
    """
    out = {}
    for rule, d, outcome in outcomes(designs, limits):
        g = grade(outcome, rule.level)
        out[rule.id, "" if rule.scope == "source" else d.inputs.line] = np.minimum(g, 0) if rule.id in (waive or {}) else g
    return out


def _finding(
    rule: Rule, design: Design, outcome: Outcome | None, limits: Mapping[str, Any], waive: Mapping[str, str], system: str
) -> Finding:
    line, level = "" if rule.scope == "source" else design.inputs.line, int(grade(outcome, rule.level))
    if outcome is None or level == ABSENT:
        return Finding(rule, line, "not applicable", rule.level, None, rule.reason, "")
    because = waive.get(rule.id, "") if level else ""
    state = ("waived" if because else "fails") if level else "passes"
    reason, remedy = fill(rule.reason, design, system), fill(rule.remedy, design, system)
    return Finding(rule, line, state, Level(level or rule.level), outcome, reason, remedy, rule.id in limits, because, design)


def verdict(findings: Sequence[Finding]) -> str:
    """PASS, WATCH, FIX or STOP: the worst failing level; notes alone still pass."""
    worst = max((f.level for f in findings if f.state == "fails"), default=Level.NOTE)
    return "PASS" if worst == Level.NOTE else worst.name
