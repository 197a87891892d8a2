"""Which interval, blast and hold-off: every round setting judged by every rule at once, and the one to propose.

What is set now stays where it passes; else the setting furthest from all limits (by the share of each that it uses) is
proposed. The setting of most reserve is told beside it. A shorter blast is taken to remove less (in proportion to useful
seconds, our assumption); a longer one gets no credit. Without ``fouling`` no interval beyond 30 min is proposed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from purgecalc.formulas.fouling import removal_of_length
from purgecalc.inputs import Inputs
from purgecalc.rules import Level, Margin, outcomes
from purgecalc.studies.grades import Change, Graded, Subject, refused
from purgecalc.studies.margins import used_share

Array = NDArray[np.float64]

INTERVALS = tuple(60.0 * m for m in (5, 10, 15, 20, 30, 45, 60, 90, 120))
BLASTS = (5.0, 10.0, 15.0, 20.0, 30.0, 45.0, 60.0)
HOLDS = (30.0, 45.0, 60.0, 70.0, 80.0, 90.0, 105.0, 120.0, 150.0, 180.0, 210.0, 240.0, 300.0, 360.0, 480.0, 600.0)
"""Round settings that can be keyed in (our judgement)."""
AXES = ("schedule.interval", "schedule.blast", "schedule.hold_off")
NOT_BY_SCHEDULE = ("longest-hold",)
"""The timer that ends a hold is set after the schedule, not the schedule after it."""
FITS = "the interval: it all does not fit"
"""Stands among the rules for settings that the scenario would refuse."""
USUAL_INTERVAL = 1800.0
"""Longest interval proposed where nothing is said of what grows (common practice, no source); nor is a blast shortened then."""
YEAR_HOURS = 8766.0
_NEAR, WORTH_TELLING = 0.02, 0.15
"""Shares of a limit: settings this near are as good; a setting of so much more reserve is told of."""


@dataclass(frozen=True)
class Setting:
    """One setting (s), what it gives, and the limit it comes nearest to (share of it used)."""

    interval: float
    blast: float
    hold_off: float
    live: float
    bias: float | None
    hours: float
    used: float
    nearest: str


@dataclass(frozen=True)
class Neighbour:
    """The next round value of one axis, and why it is not the one chosen: the rule it breaks, or the limit it nears."""

    axis: str
    value: float
    breaks: str
    used: float
    nearest: str


@dataclass(frozen=True)
class ScheduleStudy:
    """Settings that pass, the best of them, and the front of live share against bias against compressor hours."""

    bands: tuple[tuple[float, float] | None, ...]
    best: Setting | None
    present: Setting
    present_breaks: tuple[str, ...]
    growth_known: bool
    neighbours: tuple[Neighbour, ...]
    front: tuple[Setting, ...]
    blockers: tuple[str, ...]
    apart: tuple[str, ...]
    timer_follows: bool = False
    """Whether the timer that ends a hold must be set anew for the best setting."""
    breaks: tuple[str, ...] = ()
    """Rules that the best setting breaks, where none passes them all."""
    reserve: Setting | None = None
    """The setting furthest from every limit, where that is worth telling."""


def schedule(
    subject: Subject, useful_now: float, free: Sequence[str] = (), prefer: tuple[float, float, float] | None = None
) -> ScheduleStudy:
    """Judge all round settings. ``useful_now`` is the useful part of the present blast (s), which removal refers to.

    Only the ``free`` settings are varied, all where it is empty. ``prefer`` is the setting to tell as the best (s).
    """
    ladders = (
        tuple(ladder) if not free or id in free else () for id, ladder in zip(AXES, (INTERVALS, BLASTS, HOLDS), strict=True)
    )
    axes = [_with_present(subject.inputs, id, round) for id, round in zip(AXES, ladders, strict=True)]
    grid = np.meshgrid(*axes, indexing="ij", sparse=True)
    changes: dict[str, Change] = dict(zip(AXES, grid, strict=True))
    if "fouling.removal" in subject.inputs:
        lost = float(subject.inputs["schedule.blast"].value) - useful_now
        changes["fouling.removal"] = _removal(subject.inputs, grid[1], lost, useful_now)
    return _Book(subject, axes, subject.grade(changes)).schedule(prefer)


def _removal(inputs: Inputs, blast: Array, lost: float, useful_now: float) -> Any:
    useful = np.maximum(blast - lost, 1e-3)
    return removal_of_length(inputs["fouling.removal"].value, useful, max(useful_now, 1e-3))


def _with_present(inputs: Inputs, id: str, round_values: tuple[float, ...]) -> Array:
    return np.unique([*round_values, float(inputs[id].value)])


class _Book:
    """The judged grid, and what can be read off it."""

    def __init__(self, subject: Subject, axes: list[Array], graded: Graded) -> None:
        self.axes, self.graded, self.shape = axes, graded, tuple(len(a) for a in axes)
        self.inputs = subject.inputs
        self.design = next(d for d in graded.designs if d.inputs.line == subject.line)
        self.rules: dict[str, NDArray[np.bool_]] = {}
        self.apart = []
        for (rule, _), level in graded.levels.items():
            if np.ndim(level) == 0:
                self.apart += [rule] if level >= Level.WATCH else []
                continue
            if rule in NOT_BY_SCHEDULE:
                continue
            failed = np.broadcast_to(level >= Level.WATCH, self.shape)
            self.rules[rule] = self.rules[rule] | failed if rule in self.rules else failed
        unfit = [np.broadcast_to(broken, self.shape) for broken in refused(d.inputs for d in graded.designs) if np.ndim(broken)]
        if unfit:
            self.rules[FITS] = np.logical_or.reduce(unfit)
        self.feasible = ~np.logical_or.reduce(list(self.rules.values()))
        self.growth_known = "fouling.growth" in self.inputs
        self.used, self.nearest = self._used(subject)
        self.live = self._value("reading.live_share")
        self.hours = YEAR_HOURS * self._value("source.duty_fraction")
        self.bias = np.abs(self._value("fouling.bias_at_wipe")) if "fouling.bias_at_wipe" in self.design else None

    def _value(self, id: str) -> Array:
        return np.broadcast_to(np.asarray(self.design.value(id), float), self.shape)

    def _used(self, subject: Subject) -> tuple[Array, NDArray[np.str_]]:
        """Largest share of any limit a setting uses, and whose limit that is."""
        names, shares = [], []
        for rule, _, outcome in outcomes(self.graded.designs, subject.limits):
            waived = rule.id in subject.waive
            if isinstance(outcome, Margin) and rule.id in self.rules and rule.level >= Level.WATCH and not waived:
                share = used_share(outcome)
                if np.ndim(share):
                    names.append(rule.id)
                    shares.append(np.broadcast_to(np.where(outcome.applies, share, 0.0), self.shape))
        stacked = np.stack(shares)
        return stacked.max(axis=0), np.array(names)[stacked.argmax(axis=0)]

    def schedule(self, prefer: tuple[float, float, float] | None) -> ScheduleStudy:
        here = tuple(int(np.searchsorted(a, float(self.inputs[id].value))) for a, id in zip(self.axes, AXES, strict=True))
        breaks = tuple(r for r, failed in self.rules.items() if failed[here])
        wanted = None if prefer is None else self.place(prefer)
        if not self.feasible.any() and wanted is None:
            count = sum(f.astype(int) for f in self.rules.values())
            least = np.asarray(count).min()
            blockers = tuple(r for r, failed in self.rules.items() if failed[count == least].any())
            return ScheduleStudy(
                (None,) * 3, None, self.setting(here), breaks, self.growth_known, (), (), blockers, tuple(self.apart)
            )
        best = wanted or self.best(here)
        near = tuple(n for axis in range(3) for step in (-1, 1) for n in [self.neighbour(best, axis, step)] if n is not None)
        return ScheduleStudy(
            tuple(self.band(best, axis) if self.feasible[best] else None for axis in range(3)),
            self.setting(best),
            self.setting(here),
            breaks,
            self.growth_known,
            near,
            self.front(best),
            (),
            tuple(self.apart),
            self.timer_follows(best),
            tuple(r for r, failed in self.rules.items() if failed[best]),
            self.reserve(best, here),
        )

    def place(self, wanted: tuple[float, float, float]) -> tuple[int, ...] | None:
        """Where a setting stands in the grid; None where it is none of the grid."""
        at = tuple(int(np.abs(a - w).argmin()) for a, w in zip(self.axes, wanted, strict=True))
        on = all(np.isclose(a[i], w) for a, i, w in zip(self.axes, at, wanted, strict=True))
        return at if on else None

    def timer_follows(self, at: tuple[int, ...]) -> bool:
        """Whether rules left out here fail at a setting."""
        levels = [np.broadcast_to(v, self.shape)[at] for (rule, _), v in self.graded.levels.items() if rule in NOT_BY_SCHEDULE]
        return any(level >= Level.WATCH for level in levels)

    def setting(self, at: tuple[int, ...]) -> Setting:
        interval, blast, hold_off = (float(a[i]) for a, i in zip(self.axes, at, strict=True))
        bias = None if self.bias is None else float(self.bias[at])
        figures = float(self.live[at]), bias, float(self.hours[at])
        return Setting(interval, blast, hold_off, *figures, float(self.used[at]), str(self.nearest[at]))

    def best(self, here: tuple[int, ...]) -> tuple[int, ...]:
        """What is set now where it passes; else the setting furthest from every limit."""
        return here if self.feasible[here] else self.furthest(here)

    def furthest(self, here: tuple[int, ...]) -> tuple[int, ...]:
        """Furthest from every limit; among equals the one least unlike what is set now."""
        offered = self.feasible
        if not self.growth_known:
            usual = offered & (self.axes[0] <= USUAL_INTERVAL)[:, None, None] & (self.axes[1] >= self.axes[1][here[1]])[:, None]
            offered = usual if usual.any() else offered
        worst = np.where(offered, self.used, np.inf)
        equal = np.argwhere(worst <= worst.min() + _NEAR)
        unlike = np.abs(equal - np.array(here)).sum(axis=1)
        return tuple(int(i) for i in equal[unlike.argmin()])

    def reserve(self, best: tuple[int, ...], here: tuple[int, ...]) -> Setting | None:
        if not self.feasible.any():
            return None
        most = self.furthest(here)
        return self.setting(most) if self.used[most] < self.used[best] - WORTH_TELLING else None

    def band(self, best: tuple[int, ...], axis: int) -> tuple[float, float]:
        """Ends of what passes along one axis, the other two as recommended."""
        passing = np.moveaxis(self.feasible, axis, 0)[(slice(None), *(b for i, b in enumerate(best) if i != axis))]
        low = high = best[axis]
        while low > 0 and passing[low - 1]:
            low -= 1
        while high + 1 < len(passing) and passing[high + 1]:
            high += 1
        return float(self.axes[axis][low]), float(self.axes[axis][high])

    def neighbour(self, best: tuple[int, ...], axis: int, step: int) -> Neighbour | None:
        at = tuple(b + step * (i == axis) for i, b in enumerate(best))
        if not 0 <= at[axis] < self.shape[axis]:
            return None
        breaks = next((r for r, failed in self.rules.items() if failed[at]), "")
        return Neighbour(AXES[axis], float(self.axes[axis][at[axis]]), breaks, float(self.used[at]), str(self.nearest[at]))

    def front(self, best: tuple[int, ...]) -> tuple[Setting, ...]:
        """Settings that pass and that no other setting beats in live share, bias and hours together."""
        passing = np.argwhere(self.feasible)
        if not passing.size:
            return ()
        at = tuple(passing.T)
        aims = [1 - self.live[at], self.hours[at]] + ([self.bias[at]] if self.bias is not None else [])
        costs = np.stack(aims, axis=1)
        beaten = np.array([(np.all(costs <= c, axis=1) & np.any(costs < c, axis=1)).any() for c in costs])
        return tuple(self.setting(tuple(int(i) for i in p)) for p in passing[~beaten])
