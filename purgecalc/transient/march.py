"""Many designs marched side by side, each with its own step, in a pool that is refilled as designs finish.

Steps of the unsteady solver come from a fixed ladder of eighths of an octave, so that a design alone and the same in
company take the same steps.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from purgecalc.transient.balance import Rates, end_pressure, rates
from purgecalc.transient.designs import Designs, Layout
from purgecalc.transient.events import Mask, Run, after_step, begin, drive, error_norm, expel, next_kink, overshoot, step_length
from purgecalc.transient.laws import Array, some
from purgecalc.transient.step import ORDER, extrapolated

POOL_CELLS = 122880
"""Numbers in the state of the pool: a larger one is spread over more designs per call, a smaller one stays in the cache."""
EVEN_STEPS = 6
"""So many steps of one length on end look like a cycle about a square-root law, which a much shorter step lets die out."""
LEAST_STEP_GROWTH = 0.2
"""The most a step is cut by its error, and what it is cut by when refused twice running: where the laws have a kink the error
hardly falls with the step, and creeping up on it costs a dozen tries."""
RUNGS = 8
"""Lengths of step per octave. A step is one of a fixed ladder, so that round-off, which differs between a design alone and the
same in company, is not carried into all that follows; a step that meets an event or a kink is as long as it must be."""
REFILL_AT = 0.3
"""Share of the slots that has finished before the pool is compacted and filled up."""


@dataclass(eq=False)
class History:
    """Time, end pressure and its rate at every accepted step; rows are steps.

    ``column`` says where each design writes, ``place`` which number of the flattened arrays is its latest.
    """

    t: Array
    p: Array
    rate: Array
    column: NDArray[np.intp]
    place: NDArray[np.intp]

    @classmethod
    def empty(cls, rows: int, slots: int) -> History:
        t, p, rate = (np.empty((rows, slots)) for _ in range(3))
        return cls(t, p, rate, np.arange(slots), np.arange(slots))

    def take(self, designs: NDArray[np.intp], used: int) -> History:
        """The first ``used`` rows of some designs, copied."""
        columns = self.column[designs]
        t, p, rate = (np.take(part[:used], columns, axis=1) for part in (self.t, self.p, self.rate))
        return History(t, p, rate, columns, columns)


@dataclass(eq=False)
class Finished:
    """Designs that are done: columns, final state, history, and whether the step limit stopped them."""

    designs: Designs
    run: Run
    history: History
    failed: Mask
    states: list[Array]


def march(designs: Designs, layout: Layout, tolerance: float, limit: int, *, keep: bool) -> Iterator[Finished]:
    """Run every design to the end of its tail; yields them in batches as they finish. ``limit`` accepted steps at most."""
    slots = min(POOL_CELLS // layout.rows, designs.size)
    waiting = slots
    live = designs.take(np.arange(slots))
    run = begin(live, layout)
    history = History.empty(limit + 4, slots)
    states: list[Array] = []
    note(history, run, live, layout)
    held: Rates | None = None
    while live.size:
        held = _advance(run, live, layout, history, tolerance, limit, states if keep else None, held)
        done = run.stopped > 0
        count = int(np.count_nonzero(done))
        if not count or (count < REFILL_AT * live.size and count < live.size):
            continue
        gone = np.flatnonzero(done)
        yield Finished(
            live.take(gone), run.take(gone), history.take(gone, int(run.steps[gone].max()) + 1), run.stopped[gone] > 1, states
        )
        held = None
        fresh = min(count, designs.size - waiting)
        if fresh:  # into the slots that have become free
            new = designs.take(np.arange(waiting, waiting + fresh))
            waiting += fresh
            live.put(gone[:fresh], new)
            run.put(gone[:fresh], begin(new, layout))
            note(history, run, live, layout)
        if fresh < count:
            stay = np.delete(np.arange(live.size), gone[fresh:])
            history.column, history.place = history.column[stay], history.place[stay]
            live, run = live.take(stay), run.take(stay)


def note(history: History, run: Run, d: Designs, layout: Layout) -> None:
    """Write time and end pressure into every design's next row; the same again where a step was not accepted."""
    history.place = run.steps * history.t.shape[1] + history.column
    history.t.reshape(-1)[history.place] = run.t
    wet = d.floods and some(run.y[layout.slug + 1] > 0)
    history.p.reshape(-1)[history.place] = end_pressure(run.y, d, layout) if wet else run.y[layout.end]


def _advance(
    run: Run,
    d: Designs,
    layout: Layout,
    history: History,
    tolerance: float,
    limit: int,
    states: list[Array] | None,
    held: Rates | None,
) -> Rates | None:
    """One attempted step of every design that still runs. Rates at the start are handed on if no step was accepted."""
    wet = run.y[layout.slug + 1] > 0 if d.floods else None
    if wet is not None and not some(wet):
        wet = None
    force = drive(run, d)
    start = held or rates(run.y, d, layout, force, wet)
    history.rate.reshape(-1)[history.place] = start.d[layout.end] / d.cap[-1]
    if states is not None:
        states.append(_snapshot(run, layout, start))
    kink = next_kink(run, d)
    h = step_length(run, d, kink)
    y, miss = extrapolated(run.y, d, layout, start, force, wet, h)
    p_after = y[layout.end].copy() if wet is None else end_pressure(y, d, layout)
    error = error_norm(run, d, layout, y, miss, p_after, wet, tolerance)
    positive = np.minimum.reduce(y[: layout.end + 1]) > 0
    error = np.where(positive & (error < np.inf), np.maximum(error, 1e-10), 1e3)
    part = overshoot(run, d, layout, y, start.p_end, p_after, wet, tolerance)
    running = run.stopped == 0
    took = running & (error <= 1) & (part >= 1)
    _next_length(run, h, error, part, took)
    accepted = some(took)
    if accepted < d.size:
        refused = np.flatnonzero(~took)
        y[:, refused] = run.y[:, refused]
    run.y = y
    if d.switched is not None:
        run.on_time += np.where(took & (run.t < d.t_shut), h * run.on, 0.0)
    np.copyto(run.t, np.where(h == kink - run.t, kink, run.t + h), where=took)
    run.steps += took
    run.tries += running
    after_step(run, d, layout, took, start)
    note(history, run, d, layout)
    if wet is not None:
        gone: Mask = took & wet & (run.y[layout.slug + 1] <= 1e-4 * d.wet)
        if some(gone):
            _record_expulsion(run, d, layout, history, gone)
    _stop(run, d, layout, p_after, limit, tolerance)
    return None if accepted else start


def _next_length(run: Run, h: Array, error: Array, part: Array, took: Mask) -> None:
    grown = np.minimum(np.maximum(0.9 * error ** (-1 / ORDER), LEAST_STEP_GROWTH), 4.0)
    short = ~took & (error > 1)
    if some(short):
        np.copyto(grown, LEAST_STEP_GROWTH, where=short & (run.even < 0))
    level = took & (np.abs(grown - 1) < 0.1)
    run.even = np.where(took, np.where(level, np.maximum(run.even, 0.0) + 1, 0.0), -1.0)
    stuck = run.even >= EVEN_STEPS
    if some(stuck):
        np.copyto(grown, 0.1, where=stuck)
        run.even[stuck] = 0.0
    met = part < 1
    if some(met):
        np.copyto(grown, np.minimum(part, grown), where=met)
    wanted = h * grown
    rung = np.exp2(np.rint(RUNGS * np.log2(wanted)) / RUNGS)
    run.h = np.where(met, wanted, rung)


def _record_expulsion(run: Run, d: Designs, layout: Layout, history: History, gone: Mask) -> None:
    expel(run, d, layout, gone)
    run.steps += gone
    note(history, run, d, layout)


def _snapshot(run: Run, layout: Layout, start: Rates) -> Array:
    """Time, receiver pressure, hose inlet and outlet, flow at valve and head, slug length, receiver temperature."""
    y = run.y
    return np.array(
        [
            run.t[0],
            y[1, 0],
            y[2, 0],
            start.p_end[0],
            start.valve[0],
            start.head[0],
            max(y[layout.slug + 1, 0], 0.0),
            start.slopes.T_source[0],
        ]
    )


def _stop(run: Run, d: Designs, layout: Layout, p_end: Array, limit: int, tolerance: float) -> None:
    """Mark designs at their end (1), out of steps (2), and those whose receiver has nothing left to give (1)."""
    level = (1 + min(tolerance, 5e-4)) * d.p_close
    low = p_end < level
    np.copyto(run.flowed, 1.0, where=~low & (run.y[layout.slug + 1] <= 0))
    if some(low):
        empty = low & (run.flowed > 0) & (run.y[1] < level + d.crack_in) & (run.t < d.t_blast) & (run.on == 0)
        if some(empty):
            run.exhausted_at = np.where(empty & np.isnan(run.exhausted_at), run.t, run.exhausted_at)
            warm = np.abs(run.y[1] / (run.y[0] * d.rv) - d.T_wall) < 0.05
            idle = ~((d.control > 1) & (run.y[1] <= d.cut_in))
            run.stopped = np.where(empty & warm & idle & (run.stopped == 0), 1.0, run.stopped)
    out = (run.steps >= limit) | (run.tries >= 3 * limit)
    done = run.t >= d.t_end
    if some(done) or some(out):
        run.stopped = np.where(run.stopped > 0, run.stopped, np.where(done, 1.0, np.where(out, 2.0, 0.0)))
