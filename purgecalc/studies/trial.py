"""Many sets of changes tried on a line at once, and what each does to every rule.

A remedy may break ``hose-length``, ``interval-usual`` and ``blast-usual`` (rules about what is usual), ``transition``
(how well friction is known) and ``delivery-sharp`` (how well delivery is), and nothing else. Neither ends a longest
hose nor sets a smallest source.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from purgecalc.design import design_all
from purgecalc.rules import Finding, Level, Margin, Missing, Rule, grade, outcomes
from purgecalc.studies.grades import Change, Subject, impossible, refused, varied
from purgecalc.studies.hose_table import given_of
from purgecalc.studies.levers import Candidate
from purgecalc.units import show
from purgecalc.working import Given, Origin

Set = tuple[Candidate, ...]
"""Changes made together."""

MAY_BREAK = ("hose-length", "interval-usual", "blast-usual", "transition", "delivery-sharp")
"""A change may break these, on what is usual and how well friction is known: the check of the changed scenario says so."""
_SAME = 1e-6


@dataclass
class _Record:
    """One rule on one line: levels, distance to the limit and the figure judged; the line as it is first, then every set."""

    rule: Rule
    level: NDArray[np.int_]
    slack: NDArray[np.float64]
    value: NDArray[np.float64]
    margin: Margin | None = None


class Trial:
    """Sets of changes worked out and judged together, beside the line as it is."""

    def __init__(self, subject: Subject, sets: Sequence[Set]) -> None:
        self.subject, self.sets = subject, list(sets)
        self.whole = np.full(len(self.sets), True)
        """Sets that leave a scenario whose figures go together."""
        self._records: dict[tuple[str, str], _Record] = {}
        # the plain sets first, if there are any: they hold the line as it is, which one with an input added is not
        for added in sorted({(), *(_added(s) for s in self.sets)}):
            self._work(np.array([i for i, s in enumerate(self.sets) if _added(s) == added], int), plain=not added)

    def _work(self, index: NDArray[np.int_], *, plain: bool) -> None:
        """Work out the sets of these numbers, which all add the same inputs, in one call; ``plain`` ones add none."""
        changes = _stacked(self.subject, [self.sets[i] for i in index])
        lines, n = varied(self.subject.lines, changes, self.subject.line), len(index) + 1
        with np.errstate(all="ignore"):  # designs that cannot blow are nan from end to end
            designs = design_all(lines, aside=False)
            judged = list(outcomes(designs, self.subject.limits))
        for lost in (*refused(lines), *impossible(designs).values()):
            self.whole[index] &= ~np.broadcast_to(lost, n)[1:]
        for rule, d, outcome in judged:
            line = "" if rule.scope == "source" else d.inputs.line
            level = np.broadcast_to(grade(outcome, rule.level), n)
            if rule.id in self.subject.waive or isinstance(outcome, Missing):  # no change of figures states what nobody said
                level = np.minimum(level, 0)
            margin = outcome if isinstance(outcome, Margin) else None
            slack = np.broadcast_to(margin.slack() if margin else 0.0, n)
            value = np.broadcast_to(np.asarray(margin.quantity.value if margin else 0.0, float), n)
            self._keep((rule.id, line), rule, (index, plain), (level, slack, value), margin)

    def _keep(
        self,
        key: tuple[str, str],
        rule: Rule,
        which: tuple[NDArray[np.int_], bool],
        new: tuple[NDArray[Any], ...],
        margin: Margin | None,
    ) -> None:
        (index, plain), size = which, len(self.sets) + 1
        if key not in self._records:
            self._records[key] = _Record(rule, np.full(size, -1), np.zeros(size), np.full(size, np.nan), margin)
        record = self._records[key]
        for into, part in zip((record.level, record.slack, record.value), new, strict=True):
            into[index + 1] = part[1:]
            if plain:
                into[0] = part[0]
        record.margin = record.margin or margin

    def present(self, id: str) -> float:
        """What the line has now (for a lever it lacks, what it would be given)."""
        like = next(c.given for s in self.sets for c in s if c.lever.id == id)
        return _present(self.subject, like)

    def passes(self, finding: Finding) -> NDArray[np.bool_]:
        """Sets under which the finding is gone."""
        return np.asarray(self._records[finding.rule.id, finding.line].level[1:] <= 0)

    def harmless(self) -> NDArray[np.bool_]:
        """Sets that can be had at all, break no rule that holds and take no broken one further from its limit."""
        fine = self.whole.copy()
        for (rule, _), r in self._records.items():
            if rule in MAY_BREAK:
                continue
            worse = (r.level[1:] > max(r.level[0], 0)) & (r.level[1:] >= (Level.FIX if r.level[0] > 0 else Level.WATCH))
            if r.level[0] >= Level.FIX and r.margin is not None:
                worse |= (r.level[1:] > 0) & (r.slack[1:] < r.slack[0] - _SAME * abs(r.value[0]))
            fine &= ~worse
        return fine

    def to_clear(self) -> tuple[int, NDArray[np.int_]]:
        """How many findings to fix or stop the line and its source have, and have left under each set; other lines aside."""
        ours = [r.level >= Level.FIX for (_, line), r in self._records.items() if line in ("", self.subject.line)]
        count = np.sum(ours, axis=0)
        return int(count[0]), np.asarray(count[1:])

    def moved(self, finding: Finding) -> NDArray[np.bool_]:
        """Sets that change what the rule judges at all."""
        r = self._records[finding.rule.id, finding.line]
        still = (r.level[1:] == r.level[0]) & (np.abs(r.slack[1:] - r.slack[0]) <= _SAME * abs(r.value[0]))
        return np.asarray(~still)

    def nearer(self, finding: Finding) -> NDArray[np.bool_]:
        """Sets that bring what the rule judges nearer to its limit."""
        r = self._records[finding.rule.id, finding.line]
        return np.asarray(r.slack[1:] > r.slack[0] + _SAME * abs(r.value[0]))

    def told(self, finding: Finding, i: int) -> str:
        """The judged figure before and after set ``i``; empty for a yes-or-no rule."""
        r = self._records[finding.rule.id, finding.line]
        if r.margin is None:
            return ""
        node = r.margin.quantity
        before, after = (show(r.value[k], node.kind) for k in (0, i + 1))
        title = node.title[:1].lower() + node.title[1:]
        return f"{title} {before} -> {after}" if before != after else f"{title} {after}, {self._limit(r, i)}"

    def after(self, finding: Finding, i: int) -> str:
        """The judged figure under set ``i``."""
        r = self._records[finding.rule.id, finding.line]
        return show(r.value[i + 1], r.margin.quantity.kind) if r.margin else ""

    def _limit(self, r: _Record, i: int) -> str:
        """The limit under set ``i``, where the change moves the limit and not the figure."""
        assert r.margin is not None
        word = "at least" if r.margin.at_least is not None else "at most"
        sign = -1 if r.margin.at_least is not None else 1
        limit = [r.value[k] + sign * r.slack[k] for k in (0, i + 1)]
        before, after = (show(b, r.margin.quantity.kind) for b in limit)
        return f"{word} {before} -> {after}"


def _added(changes: Set) -> tuple[str, ...]:
    """Inputs a set adds: designs with and without them are not one array."""
    return tuple(sorted(c.lever.id for c in changes if c.before == "none"))


def _stacked(subject: Subject, sets: Sequence[Set]) -> dict[str, Change]:
    """Arrays of the numbers that change: the line as it is first, then every set."""
    changes: dict[str, Change] = {}
    for id in dict.fromkeys(c.lever.id for s in sets for c in s):
        like = next(c.given for s in sets for c in s if c.lever.id == id)
        present = _present(subject, like)
        values = [present, *(next((float(c.given.value) for c in s if c.lever.id == id), present) for s in sets)]
        changes[id] = Given(id, like.title, like.kind, np.array(values), Origin("override", "tried"), "", like.state)
    return changes


def _present(subject: Subject, like: Given) -> float:
    return (given_of(subject.inputs, like.id) or like).number
