"""The one entry: ``simulate`` a blast, or a hundred thousand."""

from __future__ import annotations

from typing import Any

import numpy as np

from purgecalc.transient.blast import Blast
from purgecalc.transient.designs import Designs, Layout
from purgecalc.transient.ending import Outcome
from purgecalc.transient.laws import Array
from purgecalc.transient.lay_out import lay_out
from purgecalc.transient.march import march
from purgecalc.transient.outcome import RESULT_NUMBERS, Result, Trace, evaluate
from purgecalc.transient.recovery import recovery
from purgecalc.transient.step import ORDER


def simulate(blast: Blast, branches: int = 16, tolerance: float = 3e-4, *, keep_history: bool = False) -> Result:
    """Follow the air from the opening of the valve to the end of the tail.

    ``branches`` of the hose, relative ``tolerance`` of a step. Designs that reach the step limit are solved once more with
    twice the branches and a third of the tolerance and marked ``repeated``; those that fail again say ``NOT_CONVERGED``.
    ``keep_history`` fills ``trace`` and asks for one design. Raises ValueError for sizes that are not positive, a water
    column longer than the last element, shapes that do not broadcast, or a trace of several designs.
    """
    if branches < 2 or not tolerance > 0:
        raise ValueError("branches at least 2, tolerance positive")
    shape = blast.shape()
    designs, layout = lay_out(blast, branches)
    if keep_history and designs.size != 1:
        raise ValueError("a trace can be kept of one design at a time")
    with np.errstate(all="ignore"):  # rejected steps may meet anything; what is accepted has been checked
        columns, trace = _solve(designs, layout, tolerance, keep=keep_history)
        again = columns["outcome"] == Outcome.NOT_CONVERGED
        if again.any():
            fine, fine_layout = lay_out(blast, 2 * branches)
            better, fine_trace = _solve(fine.take(again), fine_layout, tolerance / 3, keep=keep_history)
            trace = fine_trace or trace
            for name in RESULT_NUMBERS:
                columns[name][again] = better[name]
    columns["repeated"] = again
    return Result(**{name: value.reshape(shape)[()] for name, value in columns.items()}, trace=trace)


def step_limit(tolerance: float) -> int:
    """Accepted steps allowed: several times what an ordinary blast takes."""
    return int(600 * max(1.0, 1e-3 / tolerance) ** (1 / ORDER))


def _solve(designs: Designs, layout: Layout, tolerance: float, *, keep: bool) -> tuple[dict[str, Any], Trace | None]:
    size = designs.size
    columns: dict[str, Any] = {name: np.full(size, np.nan) for name in RESULT_NUMBERS}
    columns["outcome"], columns["steps"] = np.zeros(size, int), np.zeros(size, int)
    columns["ill_conditioned"] = np.zeros(size, bool)
    trace = None
    designs.order = np.arange(size, dtype=float)
    shut = np.full((5, size), np.nan)
    for done in march(designs, layout, tolerance, step_limit(tolerance), keep=keep):
        place = done.designs.order.astype(int)
        for name, value in evaluate(done, layout).items():
            columns[name][place] = value
        run = done.run
        shut[:, place] = run.shut_mass, run.shut_pressure, run.shut_on, run.on_time, run.shut_made
        if keep:
            trace = _trace(done.states)
    failed = columns["outcome"] == Outcome.NOT_CONVERGED
    # once for all designs, because it is a long loop
    rest, made = recovery(shut[0], shut[1], shut[2], designs)
    for name, value in (("recovery_time", rest), ("run_time", shut[3] + rest), ("run_made", shut[4] + made)):
        columns[name] = np.where(failed, np.nan, value)
    return columns, trace


def _trace(states: list[Array]) -> Trace:
    """Columns of time; a rejected step leaves its starting state twice, which is dropped."""
    rows = np.array(states)
    fresh = np.append(True, np.diff(rows[:, 0]) > 0)
    return Trace(*rows[fresh].T)
