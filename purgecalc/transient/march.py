"""Many designs marched side by side, each with its own step, in a pool that is refilled as designs finish."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from purgecalc.transient.balance import Rates, end_pressure, rates
from purgecalc.transient.control import (
    Mask,
    Run,
    after_step,
    begin,
    drive,
    error_norm,
    expel,
    next_kink,
    overshoot,
    step_length,
)
from purgecalc.transient.designs import Designs, Layout
from purgecalc.transient.laws import Array
from purgecalc.transient.step import extrapolated

SLOTS = 4096
REFILL_AT = 0.2
"""Share of the slots that has finished before the pool is compacted and filled up."""


@dataclass
class History:
    """Time, end pressure and its rate at every accepted step; rows are steps, columns slots."""

    t: Array
    p: Array
    rate: Array

    @classmethod
    def empty(cls, rows: int, slots: int) -> History:
        return cls(np.empty((rows, slots)), np.empty((rows, slots)), np.empty((rows, slots)))


@dataclass
class Finished:
    """Designs that are done: columns, final state, history, and whether the step limit stopped them."""

    designs: Designs
    run: Run
    history: History
    failed: Mask
    states: list[Array]


def march(designs: Designs, layout: Layout, tolerance: float, order: int, limit: int, keep: bool) -> Iterator[Finished]:
    """Run every design to the end of its tail; yields them in batches as they finish. ``limit`` accepted steps at most."""
    slots = min(SLOTS, designs.size)
    waiting = slots
    live = designs.take(np.arange(slots))
    run = begin(live, layout)
    history = History.empty(limit + 4, slots)
    states: list[Array] = []
    note(history, run, live, layout, np.ones(slots, bool))
    while live.size:
        _advance(run, live, layout, history, tolerance, order, limit, states if keep else None)
        done = run.stopped > 0
        if not done.any() or (done.sum() < REFILL_AT * live.size and not done.all()):
            continue
        rows = int(run.steps[done].max()) + 1
        gone = np.flatnonzero(done)
        part = History(history.t[:rows, gone], history.p[:rows, gone], history.rate[:rows, gone])
        yield Finished(live.take(gone), run.take(gone), part, run.stopped[gone] > 1, states)
        stay = np.flatnonzero(~done)
        fresh = min(slots - stay.size, designs.size - waiting)
        top = int(run.steps[stay].max()) + 1 if stay.size else 0
        if top:  # kept columns move to the front
            for row in (history.t, history.p, history.rate):
                row[:top, : stay.size] = row[:top, stay]
        live, run = live.take(stay), run.take(stay)
        if fresh:
            new = designs.take(np.arange(waiting, waiting + fresh))
            waiting += fresh
            live, run = live.append(new), run.append(begin(new, layout))
            mark = np.zeros(live.size, bool)
            mark[stay.size :] = True
            note(history, run, live, layout, mark)


def note(history: History, run: Run, d: Designs, layout: Layout, took: Mask) -> None:
    """Write time and end pressure of the accepted designs into their next row."""
    i = np.flatnonzero(took)
    rows = run.steps[i].astype(int)
    history.t[rows, i] = run.t[i]
    p = run.y[layout.end] if not (run.y[layout.slug + 1] > 0).any() else end_pressure(run.y, d, layout)
    history.p[rows, i] = p[i]


def _advance(
    run: Run, d: Designs, layout: Layout, history: History, tolerance: float, order: int, limit: int, states: list[Array] | None
) -> None:
    """One attempted step of every design that still runs."""
    wet_now = run.y[layout.slug + 1] > 0
    wet = wet_now if wet_now.any() else None
    force = drive(run, d)
    start = rates(run.y, d, layout, force, wet)
    slots = np.arange(d.size)
    history.rate[run.steps.astype(int), slots] = start.d[layout.end] / d.cap[-1]
    if states is not None:
        states.append(_snapshot(run, layout, start))
    kink = next_kink(run, d)
    h = step_length(run, d, kink)
    y, miss = extrapolated(run.y, d, layout, start, force, wet, h, order)
    p_before = start.p_end
    p_after = y[layout.end] if wet is None else end_pressure(y, d, layout)
    error = error_norm(run, d, layout, y, miss, p_after, tolerance)
    positive = y[: layout.end + 1].min(axis=0) > 0
    error = np.where(positive & np.isfinite(error), error, 1e3)
    part = overshoot(run, d, layout, y, p_before, p_after, tolerance)
    running = run.stopped == 0
    took = running & (error <= 1) & (part >= 1)
    grown = np.clip(0.9 * np.maximum(error, 1e-10) ** (-1 / order), 0.2, 4.0)
    wanted = np.where(part < 1, h * np.minimum(part, grown), np.maximum(h * grown, np.where(took, 0, 1e-12)))
    run.h = np.where(running, wanted, run.h)
    run.y = np.where(took, y, run.y)
    t_new = run.t + h
    run.t = np.where(took, np.where(h >= (kink - run.t) * (1 - 1e-12), kink, t_new), run.t)
    run.steps += took
    run.tries += running
    after_step(run, d, layout, took, start, tolerance)
    note(history, run, d, layout, took)
    if wet is not None:
        gone = took & wet & (run.y[layout.slug + 1] <= 1e-4 * d.wet)
        if gone.any():
            _record_expulsion(run, d, layout, history, gone)
    _stop(run, d, layout, p_after, limit, tolerance)


def _record_expulsion(run: Run, d: Designs, layout: Layout, history: History, gone: Mask) -> None:
    expel(run, d, layout, gone)
    run.steps += gone
    note(history, run, d, layout, gone)


def _snapshot(run: Run, layout: Layout, start: Rates) -> Array:
    """Time, reservoir pressure, hose inlet and outlet, flow at valve and head, slug length, reservoir temperature."""
    y = run.y
    return np.array([run.t[0], y[1, 0], y[2, 0], start.p_end[0], start.valve[0], start.head[0], max(y[layout.slug + 1, 0], 0.0),
                     start.slopes.T_source[0]])  # fmt: skip


def _stop(run: Run, d: Designs, layout: Layout, p_end: Array, limit: int, tolerance: float) -> None:
    """Mark designs at their end (1), out of steps (2), and those whose reservoir has nothing left to give (1)."""
    close = np.minimum(tolerance, 5e-4) * d.p_close
    dry = run.y[layout.slug + 1] <= 0
    run.flowed = np.maximum(run.flowed, np.where(dry & (p_end > d.p_close + close), 1.0, 0.0))
    empty = (run.flowed > 0) & (p_end < d.p_close + close) & (run.y[1] < d.p_close + close) & (run.t < d.t_blast) & (run.on == 0)
    if empty.any():
        run.exhausted_at = np.where(empty & np.isnan(run.exhausted_at), run.t, run.exhausted_at)
        warm = np.abs(run.y[1] / (run.y[0] * d.rv) - d.T_wall) < 0.05
        idle = ~((d.control > 1) & (run.y[1] <= d.cut_in))
        run.stopped = np.where(empty & warm & idle & (run.stopped == 0), 1.0, run.stopped)
    run.stopped = np.where((run.stopped == 0) & (run.t >= d.t_end), 1.0, run.stopped)
    out = (run.steps >= limit) | (run.tries >= 3 * limit)
    run.stopped = np.where((run.stopped == 0) & out, 2.0, run.stopped)
