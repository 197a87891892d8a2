"""The rule book: judge designs against good practice, worst findings first."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from purgecalc.design import Design
from purgecalc.errors import ScenarioError
from purgecalc.registry import Registry, discover
from purgecalc.rules._base import RULES, Fact, Level, Margin, Outcome, Rule, fill, parse_override, unknown_rule
from purgecalc.scenario import ScenarioInputs
from purgecalc.units import UnitProblem

__all__ = ["Fact", "Finding", "Level", "Margin", "Rule", "judge", "rule_book", "rule_settings", "verdict"]


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
    book, limits, waive = rule_book(), limits or {}, waive or {}
    pairs = [(rule, d) for rule in book.values() for d in (designs[:1] if rule.scope == "source" else designs)]
    findings = [_judge_one(rule, d, limits, waive, system) for rule, d in pairs]
    order = {"fails": 0, "waived": 1, "passes": 2, "not applicable": 3}
    return sorted(findings, key=lambda f: (order[f.state], -f.level if f.state == "fails" else 0))


def _judge_one(rule: Rule, design: Design, limits: Mapping[str, Any], waive: Mapping[str, str], system: str) -> Finding:
    line = "" if rule.scope == "source" else design.inputs.line
    outcome = rule.function(design, limits.get(rule.id, rule.default_limit()))
    if outcome is None:
        return Finding(rule, line, "not applicable", rule.level, None, rule.reason, "")
    if isinstance(outcome, Fact):
        level, broken = outcome.level or rule.level, not outcome.holds
    else:
        level, broken = Level(int(outcome.level(rule.level))), bool(outcome.fails())
    because = waive.get(rule.id, "") if broken else ""
    state = ("waived" if because else "fails") if broken else "passes"
    reason, remedy = fill(rule.reason, design, system), fill(rule.remedy, design, system)
    return Finding(rule, line, state, level, outcome, reason, remedy, rule.id in limits, because)


def verdict(findings: Sequence[Finding]) -> str:
    """PASS, WATCH, FIX or STOP: the worst failing level; notes alone still pass."""
    worst = max((f.level for f in findings if f.state == "fails"), default=Level.NOTE)
    return "PASS" if worst == Level.NOTE else worst.name
