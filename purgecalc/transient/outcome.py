"""What a blast came to: named outcome, times, flows, masses and pressures, one value per design."""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from purgecalc.si import Num
from purgecalc.transient.crossing import first_above, maximum, tidy, time_above
from purgecalc.transient.designs import Designs, Layout
from purgecalc.transient.ending import Outcome
from purgecalc.transient.laws import Array, head_flow
from purgecalc.transient.march import Finished, History

DELIVERED = 0.9
"""Share of the highest head flow that counts as delivered."""
FEW_PASSAGES = 3.5
"""Passages of sound through the hose within which delivery hangs on single waves (our judgement): where nine tenths falls on the
shoulder of one, twice the branches moved it by 4 % in one of 3,000 random lines; the others moved by 1.3 % at most."""
FALLEN = 0.98
"""Share of the highest over-pressure so far below which the head counts as falling: ripples of waves are smaller."""
_SHARES = np.array([[0.89], [DELIVERED], [0.91]])
STEEP = 0.1
"""Delivery is called ill-conditioned when 1 % of flow more or less moves it by this share of itself (our judgement)."""


@dataclass(frozen=True, eq=False)
class Trace:
    """History of one design at every step tried: time s, pressures Pa absolute, flows kg/s, slug m, receiver K."""

    t: Array
    p_source: Array
    p_inlet: Array
    p_outlet: Array
    flow_valve: Array
    flow_head: Array
    slug: Array
    T_source: Array


@dataclass(frozen=True, eq=False)
class Result:
    """One value per design (plain numbers for one): s, Pa absolute, kg, kg/s, K. A time is nan where it did not happen.

    The plateau is judged by ``max_flow``: the highest head flow from opening to the start of closing, but after the first
    restart of the compressor only until the flow falls, because a later refill would otherwise redefine what was delivered.
    ``delivery_time`` is when the head flow first reaches 0.9 of it. After a slug the head flow is not counted above its first
    value until the wave it starts has gone to the valve and back (2 L/a).
    """

    outcome: Num
    outcome_time: Num
    delivery_time: Num
    crossing_slope: Num  # s later per 1 % of flow more, over 0.89 to 0.91 of the maximum
    ill_conditioned: Num  # steep crossing, first few waves, restart before closing, or maximum in the burst after a slug
    first_arrival: Num  # sound model cold by up to 15 %: good to two figures at best
    slug_time: Num
    restart_time: Num  # compressor switched on again during the blast
    sonic_time: Num  # hose inlet first above 0.9 of the isothermal speed of sound
    max_flow: Num
    max_head_pressure: Num  # ahead of the holes, at max_flow
    end_flow: Num
    useful_time: Num  # head pressure above ``useful_head``, opening to start of closing
    useful_time_with_tail: Num
    air_through_valve: Num
    air_discharged: Num
    air_made: Num
    source_pressure_start: Num
    source_pressure_end: Num  # when the valve starts to close
    source_pressure_peak: Num
    source_pressure_final: Num  # end of the tail
    source_pressure_settled: Num  # air left at the shutting of the valve, at wall temperature, compressor held off
    source_temperature_end: Num
    recovery_time: Num
    run_time: Num  # of a switched compressor, in the blast and until it stops after it
    run_made: Num  # air it makes in that time
    mass_error: Num
    steps: Num
    repeated: Num  # solved again on the finer setting after the first did not converge
    trace: Trace | None = None


RESULT_NUMBERS = tuple(f.name for f in fields(Result) if f.name not in ("trace", "repeated"))
_KEPT_ON_FAILURE = ("outcome", "outcome_time", "steps", "mass_error", "ill_conditioned")


def evaluate(done: Finished, layout: Layout) -> dict[str, Array]:
    """Every number of ``Result`` for designs that have finished, but those that rest on the recovery."""
    d, run, h = done.designs, done.run, done.history
    rows = np.arange(h.t.shape[0])[:, None]
    valid = rows <= run.steps
    # rows beyond a design's last step hold rubbish: fold them onto the last step
    last = np.minimum(rows, run.steps)
    h.t[:], h.p[:] = np.take_along_axis(h.t, last, 0), np.take_along_axis(h.p, last, 0)
    h.rate[:] = np.where(rows < run.steps, h.rate, 0.0)
    _straight_to_the_end(done)
    wet = d.wet > 0
    if wet.any():
        _mask_water(done, wet)
    h = tidy(h)
    window = valid & (h.t <= d.t_blast * (1 + 1e-12))
    out = _delivery(done, layout, h, window)
    for name, where in (("useful_time", window), ("useful_time_with_tail", valid)):
        out[name] = time_above(h, where, d.useful + d.crack) if (d.useful < np.inf).any() else np.zeros(d.size)
    out |= _masses(done, layout)
    _judge(out, done)
    return out


def _straight_to_the_end(done: Finished) -> None:
    """The last step of a design ends at its secant: the rate there was never asked for."""
    h, end, all_designs = done.history, done.run.steps, np.arange(done.run.steps.size)
    before = np.maximum(end - 1, 0)
    step = np.maximum(h.t[end, all_designs] - h.t[before, all_designs], 1e-12)
    h.rate[end, all_designs] = (h.p[end, all_designs] - h.p[before, all_designs]) / step


def _mask_water(done: Finished, wet: NDArray[np.bool_]) -> None:
    """No head flow before the water has left, and none above the first value while the first wave still travels."""
    h, run, d = done.history, done.run, done.designs
    gone = np.where(np.isnan(run.expelled_at), np.inf, run.expelled_at)
    # the row noted at the expulsion itself comes twice: water before, air after
    again: NDArray[np.bool_] = np.vstack([np.zeros((1, h.t.shape[1]), bool), h.t[1:] == h.t[:-1]]) | (h.t > gone)
    before = wet & ((h.t < gone) | ((h.t == gone) & ~again))
    ringing = wet & (h.t >= gone) & (h.t < gone + 2 * (d.area / d.inertia).sum(axis=0) / d.a)
    h.p[:] = np.where(before, d.p_close, np.where(ringing & ~before, np.minimum(h.p, np.nan_to_num(run.burst)), h.p))
    h.rate[:] = np.where(before | (ringing & (h.p >= np.nan_to_num(run.burst))), 0.0, h.rate)


def _delivery(done: Finished, layout: Layout, h: History, window: NDArray[np.bool_]) -> dict[str, Array]:
    d, run = done.designs, done.run
    p_max = maximum(h, window & ~_after_restart(done, h, window))

    def flow(p: Array) -> Array:
        return np.asarray(head_flow(d.head_s, p, d.crack, d.p_back, d.bore_outlet, slopes=False, thin=d.thin)[0])

    most = flow(p_max)
    levels = np.vstack([_pressures_for(_SHARES * most, p_max, d), d.p_close + 0.01 * (p_max - d.p_close)])
    early, delivered, late, arrival = first_above(h, window, levels)
    slope = 0.5 * (late - early)
    none = ~(most > 0)
    out = {"delivery_time": delivered, "crossing_slope": slope, "first_arrival": arrival, "max_head_pressure": p_max - d.crack}
    out = {k: np.where(none, np.nan, v) for k, v in out.items()}
    burst = ~np.isnan(run.burst) & (p_max <= run.burst * (1 + 1e-9))
    steep = slope > STEEP * delivered
    waves = delivered - 0.5 * d.t_open < FEW_PASSAGES * (d.area / d.inertia).sum(axis=0) / d.a
    doubtful: NDArray[np.bool_] = steep | waves | ~np.isnan(run.restart_at) | burst
    end = np.where(np.isnan(run.end_blast_end), run.y[layout.end], run.end_blast_end)
    water_left = (d.wet > 0) & ~(run.expelled_at <= d.t_blast)
    return out | {"ill_conditioned": doubtful, "max_flow": most, "end_flow": np.where(water_left, 0.0, flow(end))}


def _after_restart(done: Finished, h: History, window: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Rows from where the head, after the first restart, has fallen from the highest it rose to: a rise is not cut short."""
    over = np.where(window, h.p - done.designs.p_close, 0.0)
    fallen = (h.t > done.run.restart_at) & (over < FALLEN * np.maximum.accumulate(over, axis=0))
    out: NDArray[np.bool_] = np.logical_or.accumulate(fallen, axis=0)
    return out


def _pressures_for(wanted: Array, p_max: Array, d: Designs) -> Array:
    """End pressures at which the head passes ``wanted``, by Newton: the flow rises ever less steeply, so no step overshoots
    after the first."""
    p = np.where(wanted > 0, p_max, d.p_close)
    for _ in range(5):
        m, slope = head_flow(d.head_s, p, d.crack, d.p_back, d.bore_outlet, thin=d.thin)
        p = np.maximum(p + (wanted - m) / np.maximum(slope, 1e-30), d.p_close)
    return p


def _masses(done: Finished, layout: Layout) -> dict[str, Array]:
    d, run, y, k = done.designs, done.run, done.run.y, layout.slug
    start_mass = d.p_source / (d.rv * d.T_wall)
    hose = (y[layout.nodes] * d.cap).sum(axis=0)
    hose_start = d.p_start * (d.cap.sum(axis=0) - np.where(np.isnan(run.expelled_at), 0.0, d.wet * d.area[-1] / d.a**2))
    error = np.abs(y[0] - start_mass + hose - hose_start + y[k + 3] - y[k + 2]) / (start_mass + hose_start + y[k + 2])
    shut = np.where(np.isnan(run.shut_mass), y[0], run.shut_mass)
    run.shut_mass = shut
    run.shut_made = np.where(np.isnan(run.shut_made), y[k + 2], run.shut_made)
    run.shut_pressure = np.where(np.isnan(run.shut_pressure), y[1], run.shut_pressure)
    p_end = np.where(np.isnan(run.p_blast_end), y[1], run.p_blast_end)
    return {
        "air_through_valve": start_mass + y[k + 2] - y[0],
        "air_discharged": y[k + 3],
        "air_made": y[k + 2],
        "source_pressure_start": d.p_source,
        "source_pressure_end": p_end,
        "source_pressure_peak": np.maximum(run.p_peak, y[1]),
        "source_pressure_final": y[1],
        "source_pressure_settled": shut * d.rv * d.T_wall,
        "source_temperature_end": run.shut_pressure / (shut * d.rv),
        "mass_error": error,
        "steps": run.steps,
        "slug_time": run.expelled_at,
        "restart_time": run.restart_at,
        "sonic_time": run.sonic_at,
    }


def _judge(out: dict[str, Array], done: Finished) -> None:
    d, run = done.designs, done.run
    exhausted = ~np.isnan(run.exhausted_at)
    silent = ~(out["max_flow"] > 0)
    water = (d.wet > 0) & ~(run.expelled_at <= d.t_blast)
    code = np.where(exhausted, Outcome.SOURCE_EXHAUSTED, Outcome.OK)
    code = np.where(silent, Outcome.NO_FLOW, code)
    code = np.where(water, Outcome.WATER_REMAINS, code)
    code = np.where(done.failed, Outcome.NOT_CONVERGED, code)
    out["outcome"] = code
    out["outcome_time"] = np.where(done.failed, run.t, np.where(exhausted & ~silent & ~water, run.exhausted_at, d.t_blast))
    for name, value in out.items():
        if name not in _KEPT_ON_FAILURE:
            out[name] = np.where(done.failed, np.nan, value)
