"""The rule book: judge designs against good practice, worst findings first."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from purgecalc.design import Design
from purgecalc.errors import ScenarioError
from purgecalc.registry import Registry, discover
from purgecalc.rules._base import RULES, Rule, fill, parse_override, unknown_rule
from purgecalc.rules._corners import worst
from purgecalc.rules._once import told_once
from purgecalc.rules._outcomes import ABSENT, NOT_JUDGED, PASSES, VOID, Fact, Level, Margin, Missing, Outcome, grade
from purgecalc.rules._void import voided
from purgecalc.scenario import ScenarioInputs
from purgecalc.units import UnitProblem

__all__ = [
    "STATES",
    "Fact",
    "Finding",
    "Level",
    "Margin",
    "Missing",
    "Rule",
    "grade",
    "grades",
    "judge",
    "not_judged",
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


STATES = {PASSES: "passes", ABSENT: "not applicable", NOT_JUDGED: "not judged", VOID: "void"}
"""States of a finding by grade; a level fails, or is waived."""


@dataclass(frozen=True, repr=False)
class Finding:
    """What one rule says of one line (or of the source, where ``line`` is empty)."""

    rule: Rule
    line: str
    state: str
    """passes, fails, waived, not applicable, not judged (``missing`` says for want of what), void (``voided_by`` says why)."""
    level: Level
    outcome: Outcome | None
    reason: str
    remedy: str
    limit_set: bool = False
    waived_because: str = ""
    design: Design | None = None
    """The line as it was judged: at the corner that decides."""
    missing: tuple[str, ...] = ()
    """Inputs that would settle it and that nobody has stated."""
    voided_by: str = ""
    """The broken rule that leaves its figure without a meaning."""

    def __repr__(self) -> str:
        level = f"{self.level.name} " if self.state in ("fails", "waived") else ""
        return f"<Finding {self.rule.id}: {level}{self.state}{f', {self.line}' if self.line else ''}>"

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

    Failing findings come first, worst first, in rule-book order within a level; what could not be judged stands by level too.
    """
    found = {_key(rule, d): (rule, d, outcome) for rule, d, outcome in outcomes(designs, limits)}
    levels = {key: grade(outcome, rule.level) for key, (rule, _, outcome) in found.items()}
    levels |= told_once(levels, {key: outcome for key, (_, _, outcome) in found.items()}, waive or {})
    void = voided(levels)
    findings = []
    for key, (rule, d, outcome) in found.items():
        by, level = void.get(key, ("", levels[key]))
        because = (waive or {}).get(rule.id, "") if level > 0 else ""
        state = STATES.get(int(level), "waived" if because else "fails")
        findings.append(_finding(rule, key[1], (state, int(level)), (d, outcome), limits or {}, system))
        if because or by:
            findings[-1] = replace(findings[-1], waived_because=because, voided_by=by if state == "void" else "")
    order = {"fails": 0, "waived": 1, "passes": 2, "not judged": 3, "void": 4, "not applicable": 5}
    return sorted(findings, key=lambda f: (order[f.state], -f.level if f.state in ("fails", "not judged") else 0))


def _key(rule: Rule, design: Design) -> tuple[str, str]:
    """Rule and line; no line where the rule is judged once for the source."""
    return rule.id, "" if rule.scope == "source" else design.inputs.line


def outcomes(designs: Sequence[Design], limits: Mapping[str, Any] | None = None) -> Iterator[tuple[Rule, Design, Outcome | None]]:
    """What every rule finds of every line, whether the line is one design or an array of them.

    Of a line with a range of depths the worst corner, with the design that decides. What a broken rule voids, or another
    rule tells, is judged here as if it were not.
    """
    limits = limits or {}
    for rule in rule_book().values():
        for d in designs[:1] if rule.scope == "source" else designs:
            limit = limits.get(rule.id, rule.default_limit())
            found = [(here, rule.function(here, limit)) for here in (d, *d.corners.values())]
            yield rule, *worst(found, rule.level)


def grades(
    designs: Sequence[Design],
    limits: Mapping[str, Any] | None = None,
    waive: Mapping[str, str] | None = None,
    *,
    silence: bool = True,
) -> dict[tuple[str, str], NDArray[np.int_]]:
    """Level of every finding by rule and line (line empty for the source), for arrays of designs; ``STATES`` has the rest.

    A waived finding counts as passed. ``silence=False`` is for a search, which can change figures and state none: there what
    nobody has stated is not judged and no finding.
    """
    out, found = {}, {}
    for rule, d, outcome in outcomes(designs, limits):
        g, key = grade(outcome, rule.level), _key(rule, d)
        out[key] = g if silence or not isinstance(outcome, Missing) else np.minimum(g, NOT_JUDGED)
        found[key] = outcome
    out |= told_once(out, found, waive or {})
    out |= {key: level for key, (_, level) in voided(out).items()}
    return {key: np.minimum(g, PASSES) if key[0] in (waive or {}) else g for key, g in out.items()}


def _finding(
    rule: Rule, line: str, graded: tuple[str, int], judged: tuple[Design, Outcome | None], limits: Mapping[str, Any], system: str
) -> Finding:
    (state, level), (design, outcome) = graded, judged
    missing = outcome.keys if isinstance(outcome, Missing) else ()
    if isinstance(outcome, Margin) and state == "not judged":
        missing = outcome.missing
    if state in ("not applicable", "not judged"):
        return Finding(rule, line, state, rule.level, None, fill(rule.reason, design, system), "", missing=missing)
    remedy = f"State {' and '.join(missing)}." if missing else fill(rule.remedy, design, system)
    reason, shown = fill(rule.reason, design, system), Level(level) if level > 0 else rule.level
    return Finding(rule, line, state, shown, outcome, reason, remedy, rule.id in limits, design=design, missing=missing)


def not_judged(findings: Sequence[Finding]) -> list[Finding]:
    """Rules that could not judge for want of an input, of the highest level first; what only somebody on site knows is apart."""
    return [f for f in findings if f.state == "not judged" and f.rule.group != "site"]


def verdict(findings: Sequence[Finding]) -> str:
    """PASS, WATCH, FIX or STOP, by calculation: the worst failing level; notes alone still pass."""
    worst = max((f.level for f in findings if f.state == "fails"), default=Level.NOTE)
    return "PASS" if worst == Level.NOTE else worst.name
