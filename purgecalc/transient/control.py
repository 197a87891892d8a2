"""Step sizes, events and what changes at them: the valve's ramps, the compressor's switches, the slug's end."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Any

import numpy as np
from numpy.typing import NDArray

from purgecalc.transient.balance import LEAST_MASS, Drive, Rates
from purgecalc.transient.blast import Control
from purgecalc.transient.designs import Designs, Layout, node_volumes
from purgecalc.transient.laws import Array, head_flow

LONGEST_STEP = 5.0
RAMP_PARTS = 20.0
"""The first step of a ramp of the valve is this fraction of it."""
SAFETY = 0.3
"""The difference of two extrapolations is the error of the poorer one; the better one is kept."""
RINGING = 100.0
"""How much coarser the hose is followed once nothing enters or leaves it."""
Mask = NDArray[np.bool_]


@dataclass
class Run:
    """Where each design of the pool stands. Times in s; nan: has not happened."""

    y: Array
    t: Array
    h: Array
    on: Array  # 1 while the compressor is switched on
    on_since: Array
    steps: Array
    tries: Array
    expelled_at: Array
    burst: Array  # highest end pressure counted while the wave after the slug rings
    sonic_at: Array
    restart_at: Array
    exhausted_at: Array
    flowed: Array
    p_blast_end: Array  # reservoir pressure, end pressure and air discharged when the valve starts to close
    end_blast_end: Array
    shut_mass: Array  # reservoir when the valve is shut
    shut_pressure: Array
    shut_on: Array
    p_peak: Array
    stopped: Array

    def take(self, where: NDArray[Any]) -> Run:
        return Run(*(getattr(self, f.name)[..., where] for f in fields(self)))

    def append(self, other: Run) -> Run:
        return Run(*(np.concatenate([getattr(self, f.name), getattr(other, f.name)], axis=-1) for f in fields(self)))


def begin(d: Designs, layout: Layout) -> Run:
    """Hose at its starting pressure, water standing in it, reservoir full, valve shut."""
    m = d.size
    y = np.zeros((layout.rows, m))
    y[0], y[1] = d.p_source / (d.rv * d.T_wall), d.p_source
    y[layout.nodes] = d.p_start
    y[layout.slug + 1] = d.wet

    def nan() -> Array:
        return np.full(m, np.nan)

    started = (d.control == Control.BLAST) | (d.control == Control.COMMANDED)
    on = np.where(started | ((d.control == Control.SWITCH) & (d.p_source <= d.cut_in)), 1.0, 0.0)
    return Run(
        y, np.zeros(m), d.t_open / RAMP_PARTS, on, np.zeros(m), np.zeros(m), np.zeros(m), nan(), nan(), nan(), nan(), nan(),
        np.zeros(m), nan(), nan(), nan(), nan(), np.zeros(m), y[1].copy(), np.zeros(m),
    )  # fmt: skip


def drive(run: Run, d: Designs) -> Drive:
    """Opening of the valve and the motor's share at the time each design has reached."""
    opening = np.minimum(run.t / d.t_open, 1.0)
    rate = np.where(run.t < d.t_open, 1 / d.t_open, 0.0)
    late = run.t >= d.t_blast
    if late.any():
        closing = np.maximum(1 - (run.t - d.t_blast) / d.t_close, 0.0)
        opening = np.where(late, closing, opening)
        rate = np.where(late, np.where(closing > 0, -1 / d.t_close, 0.0), rate)
    since = run.t - run.on_since
    rising = since < d.run_up
    motor = np.where(rising, since / np.maximum(d.run_up, LEAST_MASS), 1.0) * run.on
    return Drive(opening, rate, motor, np.where(rising, run.on / np.maximum(d.run_up, LEAST_MASS), 0.0))


def next_kink(run: Run, d: Designs) -> Array:
    """The next time at which a ramp begins or ends: steps stop there."""
    shut = d.t_blast + d.t_close
    kink = np.where(run.t < d.t_open, d.t_open, np.where(run.t < d.t_blast, d.t_blast, np.where(run.t < shut, shut, d.t_end)))
    motor = run.on_since + d.run_up
    return np.where((run.on > 0) & (motor > run.t), np.minimum(kink, motor), kink)


def step_length(run: Run, d: Designs, kink: Array) -> Array:
    """The wanted step, cut to meet the next kink without leaving a splinter."""
    left = kink - run.t
    h = np.minimum(run.h, LONGEST_STEP)
    return np.where(h >= left, left, np.where(2 * h > left, 0.5 * left, h))


def error_norm(run: Run, d: Designs, layout: Layout, y: Array, miss: Array, p_end: Array, tolerance: float) -> Array:
    """Root mean square of the estimated error over what is allowed; the head's over-pressure counts, not its pressure."""
    p = 0.1 * d.p_atm
    weight = np.empty((layout.branches * 2 + 2, d.size))
    np.add(y[1 : layout.end + 1], p, out=weight[: layout.branches + 2])
    weight[layout.branches + 1] = np.maximum(np.abs(p_end - d.p_close), p * 0.1)
    np.abs(y[layout.flows], out=weight[layout.branches + 2 :])
    weight[layout.branches + 2 :] += d.area * (d.p_atm / d.a)  # a wave of one atmosphere, through the hose's impedance
    shut = (run.t >= d.t_blast + d.t_close) & (p_end < d.p_close)
    if shut.any():  # waves to and fro in a hose closed at both ends change nothing that is asked for
        weight[1:] *= np.where(shut, RINGING, 1.0)
    scaled = miss[1 : layout.slug] / weight
    total = np.einsum("ij,ij->j", scaled, scaled)
    wet = y[layout.slug + 1] > 0
    if wet.any():
        k = layout.slug
        water = (miss[k] / (np.abs(y[k]) + 1.0)) ** 2 + (miss[k + 1] / (y[k + 1] + d.added)) ** 2
        total = total + np.where(wet, water, 0.0)
    norm: Array = SAFETY * np.sqrt(total / weight.shape[0]) / tolerance
    return norm


def overshoot(run: Run, d: Designs, layout: Layout, y: Array, p_before: Array, p_after: Array, tolerance: float) -> Array:
    """Fraction of the step at which an event is met; 1 where none is overshot.

    Events: the head opens or shuts (end pressure through its closing pressure), compressor limits, the slug's end.
    """
    part = np.ones(d.size)

    def event(before: Array, after: Array, slack: Array | float, armed: Mask) -> None:
        hit = armed & (before < 0) & (after > slack)
        if hit.any():
            aim = np.clip((0.4 * slack - before) / np.where(hit, after - before, 1.0), 0.02, 0.95)
            np.copyto(part, np.minimum(part, aim), where=hit)

    wet = run.y[layout.slug + 1] > 0
    small = np.minimum(3e-4, tolerance) * d.p_atm + 20.0
    event(p_before - d.p_close, p_after - d.p_close, small, ~wet)
    event(d.p_close - p_before - small, d.p_close - p_after - small, small, ~wet)
    switched = (d.control == Control.SWITCH) | (d.control == Control.COMMANDED)
    if switched.any():
        event(d.cut_in - run.y[1], d.cut_in - y[1], tolerance * d.cut_in, switched & (run.on == 0))
        event(run.y[1] - d.cut_out, y[1] - d.cut_out, tolerance * np.minimum(d.cut_out, 1e9), switched & (run.on > 0))
    if wet.any():
        event(-run.y[layout.slug + 1], -y[layout.slug + 1], 1e-4 * d.wet, wet)
    return part


def after_step(run: Run, d: Designs, layout: Layout, took: Mask, at: Rates, tolerance: float) -> None:
    """Kinks passed, compressor switched, marks set; ``at`` holds what was met at the start of the step."""
    met = at.mach2_inlet > 0.8
    run.sonic_at = np.where(met & np.isnan(run.sonic_at), run.t, run.sonic_at)
    run.p_peak = np.maximum(run.p_peak, np.where(took, run.y[1], 0.0))
    closing = took & (run.t >= d.t_blast) & np.isnan(run.p_blast_end)
    if closing.any():
        _note_end_of_blast(run, d, layout, closing)
    shut = took & (run.t >= d.t_blast + d.t_close) & np.isnan(run.shut_mass)
    if shut.any():
        _note_shut(run, shut)
    _switch(run, d, took)


def _note_end_of_blast(run: Run, d: Designs, layout: Layout, now: Mask) -> None:
    run.p_blast_end = np.where(now, run.y[1], run.p_blast_end)
    run.end_blast_end = np.where(now, run.y[layout.end], run.end_blast_end)
    run.h = np.where(now, np.minimum(run.h, d.t_close / RAMP_PARTS), run.h)
    run.on = np.where(now & (d.control == Control.BLAST), 0.0, run.on)


def _note_shut(run: Run, now: Mask) -> None:
    run.shut_mass, run.shut_pressure = np.where(now, run.y[0], run.shut_mass), np.where(now, run.y[1], run.shut_pressure)
    run.shut_on = np.where(now, run.on, run.shut_on)


def _switch(run: Run, d: Designs, took: Mask) -> None:
    switched = took & ((d.control == Control.SWITCH) | (d.control == Control.COMMANDED))
    if not switched.any():
        return
    start = switched & (run.on == 0) & (run.y[1] <= d.cut_in)
    stop = switched & (run.on > 0) & (run.y[1] >= d.cut_out)
    if start.any() or stop.any():
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
    p_wave = _wave(d, i, p_end, p_end / a * y[k])  # before the rescaling: the wave starts from the pressure the slug saw
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


def _wave(d: Designs, i: NDArray[np.intp], p: Array, momentum: Array) -> Array:
    """End pressure behind the wave sent back when the head starts to pass air: p_b + a m(p_b)/A = p + a rho v."""
    target, low, high = p + momentum, d.p_close[i], p + np.abs(momentum)
    for _ in range(50):
        mid = 0.5 * (low + high)
        m, _ = head_flow(d.head_s[i], mid, d.crack[i], d.p_back[i], d.bore_outlet[i])
        over = mid + m / d.bore_outlet[i] > target
        low, high = np.where(over, low, mid), np.where(over, mid, high)
    return 0.5 * (low + high)
