"""Step sizes, events and what changes at them: the valve's ramps, the compressor's switches, the slug's end."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Any

import numpy as np
from numpy.typing import NDArray

from purgecalc.transient.balance import LEAST_MASS, Drive, Rates
from purgecalc.transient.blast import Control
from purgecalc.transient.designs import Designs, Layout
from purgecalc.transient.laws import Array, head_flow, some
from purgecalc.transient.lay_out import node_volumes

LONGEST_STEP = 5.0
RAMP_PARTS = 20.0
"""The first step of a ramp of the valve is this fraction of it."""
SAFETY = 0.3
"""The difference of two extrapolations is the error of the poorer one; the better one is kept."""
JUST_BELOW = 1e-6
"""A receiver this little below cut-out, as a share of it, counts as standing at cut-out."""
RINGING = 100.0
"""How much coarser the hose is followed once it is closed at both ends: waves to and fro change nothing that is asked for."""
EMPTYING = 5.0
"""The same once the valve is shut and the hose empties through the head: of that only time and mass are asked for."""
LATE = 10.0
"""How much wider the head's opening and shutting are met then."""
Mask = NDArray[np.bool_]


@dataclass(eq=False)
class Run:
    """Where each design of the pool stands. Times in s; nan: has not happened."""

    y: Array
    t: Array
    h: Array
    on: Array  # 1 while the compressor is switched on
    on_since: Array
    armed: Array  # 1 once the pressure has been below cut-out, or the valve is shut: the compressor may stop
    steps: NDArray[np.intp]
    tries: Array
    even: Array  # steps of one length on end; -1 after a refused step
    expelled_at: Array
    burst: Array  # highest end pressure counted while the wave after the slug rings
    sonic_at: Array
    restart_at: Array
    exhausted_at: Array
    flowed: Array
    p_blast_end: Array  # receiver pressure, end pressure and air discharged when the valve starts to close
    end_blast_end: Array
    shut_mass: Array  # receiver when the valve is shut
    shut_pressure: Array
    shut_on: Array
    shut_made: Array
    on_time: Array  # for which a switched compressor has run up to there
    p_peak: Array
    stopped: Array

    def take(self, where: NDArray[np.int_ | np.bool_]) -> Run:
        return Run(*(getattr(self, f.name)[..., where] for f in fields(self)))

    def put(self, where: NDArray[np.int_ | np.bool_], other: Run) -> None:
        for f in fields(self):
            getattr(self, f.name)[..., where] = getattr(other, f.name)


def begin(d: Designs, layout: Layout) -> Run:
    """Hose at its starting pressure, water standing in it, receiver full, valve shut."""
    m = d.size
    y = np.zeros((layout.rows, m))
    y[0], y[1] = d.p_source / (d.rv * d.T_wall), d.p_source
    y[layout.nodes] = d.p_start
    y[layout.slug + 1] = d.wet

    started = (d.control == Control.BLAST) | (d.control == Control.COMMANDED)
    on = (started | ((d.control == Control.SWITCH) & (d.p_source <= d.cut_in))).astype(float)
    columns: dict[str, Any] = {f.name: np.full(m, np.nan) for f in fields(Run)}
    columns |= {name: np.zeros(m) for name in ("t", "on_since", "tries", "even", "flowed", "shut_on", "on_time", "stopped")}
    columns |= {"y": y, "h": d.t_open / RAMP_PARTS, "on": on, "armed": _may_stop(y[1], d), "p_peak": y[1].copy()}
    return Run(**columns | {"steps": np.zeros(m, np.intp)})


def drive(run: Run, d: Designs) -> Drive:
    """Opening of the valve and the motor's share at the time each design has reached."""
    opening = np.minimum(run.t / d.t_open, 1.0)
    rate = np.where(run.t < d.t_open, 1 / d.t_open, 0.0)
    late = run.t >= d.t_blast
    if some(late):
        closing = run.t < d.t_shut  # and not by the opening, which round-off may leave a hair above zero
        opening = np.where(late, np.where(closing, 1 - (run.t - d.t_blast) / d.t_close, 0.0), opening)
        rate = np.where(late, np.where(closing, -1 / d.t_close, 0.0), rate)
    if not some(run.on):
        return Drive(opening, rate, run.on, run.on)
    rising = run.t < run.on_since + d.run_up  # the very sum ``next_kink`` stops at: a difference may round to the other side
    motor = np.where(rising, np.minimum((run.t - run.on_since) / np.maximum(d.run_up, LEAST_MASS), 1.0), 1.0) * run.on
    return Drive(opening, rate, motor, np.where(rising, run.on / np.maximum(d.run_up, LEAST_MASS), 0.0))


def next_kink(run: Run, d: Designs) -> Array:
    """The next time at which a ramp begins or ends: steps stop there."""
    shut = d.t_shut
    kink = np.where(run.t < d.t_open, d.t_open, np.where(run.t < d.t_blast, d.t_blast, np.where(run.t < shut, shut, d.t_end)))
    if not some(run.on):
        return kink
    motor = run.on_since + d.run_up
    return np.where((run.on > 0) & (motor > run.t), np.minimum(kink, motor), kink)


def step_length(run: Run, d: Designs, kink: Array) -> Array:
    """The wanted step, cut to meet the next kink without leaving a splinter."""
    left = kink - run.t
    h = np.minimum(run.h, LONGEST_STEP)
    return np.where(h >= left, left, np.where(2 * h > left, 0.5 * left, h))


def error_norm(
    run: Run, d: Designs, layout: Layout, y: Array, miss: Array, p_end: Array, wet: Mask | None, tolerance: float
) -> Array:
    """Root mean square of the estimated error over what is allowed.

    The head's over-pressure counts, not its pressure; to a hundredth of an atmosphere while air flows, else to a tenth.
    """
    p = 0.1 * d.p_atm
    weight = np.empty((layout.branches * 2 + 2, d.size))
    np.add(y[1 : layout.end + 1], p, out=weight[: layout.branches + 2])
    over = p_end - d.p_close
    np.maximum(np.abs(over), p * np.where((over > 0) & (run.t < d.t_blast), 0.1, 1.0), out=weight[layout.branches + 1])
    np.abs(y[layout.flows], out=weight[layout.branches + 2 :])
    weight[layout.branches + 2 :] += d.flow_scale
    shut = run.t >= d.t_shut
    if some(shut):
        weight[1:] *= np.where(shut, np.where(over < 0, RINGING, EMPTYING), 1.0)
    scaled = miss[1 : layout.slug] / weight
    total = np.einsum("ij,ij->j", scaled, scaled)
    if wet is not None:
        k = layout.slug
        water = (miss[k] / (np.abs(y[k]) + 1.0)) ** 2 + (miss[k + 1] / (y[k + 1] + d.added)) ** 2
        total = total + np.where(wet, water, 0.0)
    norm: Array = SAFETY * np.sqrt(total / weight.shape[0]) / tolerance
    return norm


def overshoot(
    run: Run, d: Designs, layout: Layout, y: Array, p_before: Array, p_after: Array, wet: Mask | None, tolerance: float
) -> Array:
    """Fraction of the step at which an event is met; 1 where none is overshot.

    Events: the head opens or shuts (end pressure through its closing pressure), compressor limits, the slug's end.
    """
    part = np.ones(d.size)

    def event(before: Array, after: Array, slack: Array | float, armed: Mask) -> None:
        hit = armed & (before < 0) & (after > slack)
        if some(hit):
            aim = np.clip((0.4 * slack - before) / np.where(hit, after - before, 1.0), 0.02, 0.95)
            np.copyto(part, np.minimum(part, aim), where=hit)

    if some(np.minimum(p_before, p_after) < d.p_close):
        dry = run.y[layout.slug + 1] <= 0
        small = (np.minimum(3e-4, tolerance) * d.p_atm + 20.0) * np.where(run.t < d.t_shut, 1.0, LATE)
        event(p_before - d.p_close, p_after - d.p_close, small, dry)
        event(d.p_close - p_before - small, d.p_close - p_after - small, small, dry)
    if d.switched is not None:
        event(d.cut_in - run.y[1], d.cut_in - y[1], tolerance * d.cut_in, d.switched & (run.on == 0))
        stoppable = d.switched & (run.on * run.armed > 0)
        event(run.y[1] - d.cut_out, y[1] - d.cut_out, tolerance * np.minimum(d.cut_out, 1e9), stoppable)
    if wet is not None:
        event(-run.y[layout.slug + 1], -y[layout.slug + 1], 1e-4 * d.wet, wet)
    return part


def after_step(run: Run, d: Designs, layout: Layout, took: Mask, at: Rates) -> None:
    """Kinks passed, compressor switched, marks set; ``at`` holds what was met at the start of the step."""
    met = at.mach2_inlet > 0.8
    if some(met):
        run.sonic_at = np.where(met & np.isnan(run.sonic_at), run.t, run.sonic_at)
    np.maximum(run.p_peak, run.y[1], out=run.p_peak)
    late = took & (run.t >= d.t_blast)
    if some(late):
        closing = late & np.isnan(run.p_blast_end)
        if some(closing):
            _note_end_of_blast(run, d, layout, closing)
        shut = late & (run.t >= d.t_shut) & np.isnan(run.shut_mass)
        if some(shut):
            _note_shut(run, layout, shut)
    if d.switched is not None:
        _switch(run, d, took & d.switched)


def _note_end_of_blast(run: Run, d: Designs, layout: Layout, now: Mask) -> None:
    run.p_blast_end = np.where(now, run.y[1], run.p_blast_end)
    run.end_blast_end = np.where(now, run.y[layout.end], run.end_blast_end)
    run.h = np.where(now, np.minimum(run.h, d.t_close / RAMP_PARTS), run.h)
    run.on = np.where(now & (d.control == Control.BLAST), 0.0, run.on)


def _note_shut(run: Run, layout: Layout, now: Mask) -> None:
    run.shut_mass, run.shut_pressure = np.where(now, run.y[0], run.shut_mass), np.where(now, run.y[1], run.shut_pressure)
    run.shut_on = np.where(now, run.on, run.shut_on)
    run.shut_made = np.where(now, run.y[layout.slug + 2], run.shut_made)


def _may_stop(p: Array, d: Designs) -> Array:
    """1 where a compressor at cut-out stops: always on a switch, once the pressure has been below it when commanded."""
    below = p < d.cut_out * (1 - JUST_BELOW)
    out: Array = ((d.control == Control.SWITCH) | below).astype(float)
    return out


def _switch(run: Run, d: Designs, switched: Mask) -> None:
    if np.count_nonzero(run.armed) < d.size:  # once armed, always armed
        shut = run.t >= d.t_shut
        run.armed = np.where(switched, np.maximum(run.armed, np.where(shut, 1.0, _may_stop(run.y[1], d))), run.armed)
    start = switched & (run.on == 0) & (run.y[1] <= d.cut_in)
    stop = switched & (run.on > 0) & (run.armed > 0) & (run.y[1] >= d.cut_out)
    if some(start) or some(stop):
        run.on = np.where(start, 1.0, np.where(stop, 0.0, run.on))
        run.on_since = np.where(start, run.t, run.on_since)
        first = start & np.isnan(run.restart_at) & (run.t < d.t_blast)
        run.restart_at = np.where(first, run.t, run.restart_at)
        run.h = np.where(start | stop, np.minimum(run.h, 0.05), run.h)


def expel(run: Run, d: Designs, layout: Layout, gone: Mask) -> None:
    """The water has left: spread the last element's air over its full length and let the head see the wave it starts."""
    i = np.flatnonzero(gone)
    y, k, n = run.y[:, i], layout.slug, layout.last
    area, a, cap_old = d.area[-1, i], d.a[i], d.cap[:, i]
    half = 0.5 * area / d.inertia[-1, i]
    stretch = 1 + (d.wet[i] - y[k + 1]) / half
    nodes, flows = slice(layout.end - n, layout.end + 1), slice(layout.slug - n, layout.slug)
    before = (y[layout.nodes] * cap_old).sum(axis=0)
    p_end = y[layout.end] / stretch
    p, q = y[nodes].copy(), y[flows].copy()
    p[-1] = p_end
    p_water = p_end - (d.wet[i] - y[k + 1]) * _wall_gradient(d, layout, i, p_end, y[k])
    grown = 1 + d.wet[i] / (2 * half * n)
    d.inertia[-n:, i] /= grown
    volumes = d.area[:, i] ** 2 / d.inertia[:, i]
    d.cap[:, i] = node_volumes(volumes) / a**2
    y[nodes] = _resample(p, np.arange(n + 1.0)[:, None] * grown, p_end)
    y[flows] = _resample(q, (np.arange(n)[:, None] + 0.5) * grown - 0.5, p_end / a**2 * y[k] * area)
    rest = layout.branches - n
    outside = (y[2 : 2 + rest] * d.cap[:rest, i]).sum(axis=0)
    scale = (before - outside) / (y[nodes] * d.cap[rest:, i]).sum(axis=0)
    y[nodes] *= scale
    p_wave = _wave(d, i, p_water, y[k])
    y[k + 3] += d.cap[-1, i] * (y[layout.end] - p_wave)
    y[layout.end], y[k], y[k + 1] = p_wave, 0.0, 0.0
    run.y[:, i] = y
    run.expelled_at[i], run.burst[i] = run.t[i], p_wave
    run.h[i] = np.minimum(run.h[i], 0.1 * np.minimum(2 * half * grown, 0.2 * a) / a)


def _resample(rows: Array, at: Array, beyond: Array) -> Array:
    """Linear interpolation between rows at fractional row numbers; ``beyond`` past the last row."""
    last = rows.shape[0] - 1
    low = np.clip(np.floor(at).astype(int), 0, max(last - 1, 0))
    high = np.minimum(low + 1, last)
    w = at - low
    inside = np.take_along_axis(rows, low, 0) * (1 - w) + np.take_along_axis(rows, high, 0) * w
    return np.where(at >= last, beyond, inside)


def _wall_gradient(d: Designs, layout: Layout, i: NDArray[np.intp], p: Array, v: Array) -> Array:
    """Pressure lost per length at air speed ``v``. The momentum of the last branch puts the end node's pressure where the hose
    was dry at the start; from there to the water the air still rubs along all that the water has left."""
    q = p / d.a[i] ** 2 * v * d.area[-1, i]
    f_re, _ = layout.friction(np.abs(q) * d.re_per_flow[-1, i], d.roughness[-1, i])
    out: Array = (d.wall_drag[-1, i] * f_re + d.minor_drag[-1, i] * np.abs(q)) * q / (2 * p * d.area[-1, i])
    return out


def _wave(d: Designs, i: NDArray[np.intp], p: Array, v: Array) -> Array:
    """End pressure behind the wave sent back when the head starts to pass air: u + a ln p stays, with u what the head takes."""
    a, low, high = d.a[i], d.p_close[i], p * np.exp(np.abs(v) / d.a[i])
    for _ in range(50):
        mid = 0.5 * (low + high)
        m, _ = head_flow(d.head_s[i], mid, d.crack[i], d.p_back[i], d.bore_outlet[i], slopes=False, thin=d.head_thin[i])
        over = m * a / (mid * d.bore_outlet[i]) + a * np.log(mid / p) > v
        low, high = np.where(over, low, mid), np.where(over, mid, high)
    return 0.5 * (low + high)
