"""One blast cycle by simulation: tank, blower, controller, sensor and held output, step by step.

A check on the closed forms and the data of the cycle drawing. Every part of a step is solved exactly for what is held
constant in it: the controller's command (it scans once a step), the mean airflow (exact for the actuator's lags), and
the input of the sensor as a straight line. Edges of the blast fall on steps, so a sensor in still water is exact.
One cycle at a time, in plain floats: thousands of scans must not keep a screen waiting. Airflow counts from 1 at the start.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, fields
from itertools import pairwise
from math import ceil
from typing import Any

import numpy as np
from numpy.typing import NDArray

from purgecalc.formulas.lags import Lags, mean_of_decay, mean_of_ramp
from purgecalc.formulas.sensor_fall import quick_constant
from purgecalc.formulas.sensor_models import MODELS

Array = NDArray[np.float64]
TREATMENTS = ("hold-last", "substitute", "live")


@dataclass(frozen=True)
class Tank:
    """Mixed tank at rest: oxygen ``C`` and effective saturation ``C_star`` (kg/m3), uptake ``OUR`` (kg/m3/s).

    The uptake rises by the share ``load_step`` at ``load_at`` (s after air on).
    """

    C: float
    C_star: float
    OUR: float
    load_step: float = 0.0
    load_at: float = 0.0


@dataclass(frozen=True)
class Sensor:
    """``model`` one-lag, two-lags or dead-time-lag; ``t90`` and ``dead_time`` (s). Default: the benchmark's class A.

    Once it sees no bubbles any more it follows ``stretch`` times slower. With a ``slow_share`` of time constant ``slow`` (s)
    beside it, the model is one-lag and ``t90`` that of the whole.
    """

    model: str = "two-lags"
    t90: float = 60.0
    dead_time: float = 0.0
    stretch: float = 1.0
    slow_share: float = 0.0
    slow: float = 0.0


@dataclass(frozen=True)
class Blower:
    """Airflow follows its command through ``lags`` equal lags (0, 1, 2) of response ``t90`` (s). Default: the benchmark's."""

    lags: int = 2
    t90: float = 240.0


@dataclass(frozen=True)
class Controller:
    """PI: ``gain`` (share of airflow per kg/m3; 100 is 10 % per mg/L), ``T_i`` (s), limits as shares.

    With ``tracking`` the output stands still from the hold to the release, whatever the reading does meanwhile, and
    takes over without a step. ``active`` False keeps the airflow as it is.
    """

    set_point: float
    gain: float = 100.0
    T_i: float = 300.0
    tracking: bool = True
    active: bool = True
    low: float = 0.0
    high: float = 2.0


@dataclass(frozen=True)
class CycleTimes:
    """Times (s): hold ``lead`` before air on, ``blast``, ``hold_off`` after air off, ``linger`` of bubbles after air off.

    ``linger`` is clearing and mixing, or zero for bubbles gone at once. ``C_b`` (kg/m3) is
    saturation in the bubbles, ``phi`` the share of the face they cover. ``substitute`` (kg/m3) is the substituted value.
    """

    lead: float
    blast: float
    hold_off: float
    linger: float
    C_b: float
    phi: float = 1.0
    treatment: str = "hold-last"
    substitute: float = 0.0


@dataclass(frozen=True, eq=False, repr=False)
class Cycle:
    """What was simulated: time (s) from air on, oxygen, raw and released reading, command, airflow.

    ``transferred`` and ``consumed`` are oxygen since the start (kg/m3), each summed on its own. ``edges`` are the steps
    at which something begins or ends.
    """

    t: Array
    oxygen: Array
    raw: Array
    released: Array
    command: Array
    airflow: Array
    transferred: Array
    consumed: Array
    edges: NDArray[np.int_]
    release: float

    def thinned(self, steps: int, parts: int) -> Cycle:
        """The same curves on about ``steps`` of their steps, for drawing: every edge, and ``parts`` between two at least."""
        total = self.t[-1] - self.t[0]
        keep = {0}
        for a, z in pairwise(self.edges):
            n = max(round(float(steps * (self.t[z] - self.t[a]) / total)), parts)
            keep.update(np.linspace(a, z, min(n, z - a) + 1).round().astype(int).tolist())
        at = np.array(sorted(keep))
        rows = {f.name: getattr(self, f.name)[at] for f in fields(self) if f.name not in ("edges", "release")}
        return Cycle(**rows, edges=np.searchsorted(at, self.edges), release=self.release)


@dataclass(frozen=True)
class Release:
    """What a release does: bias left (kg/m3), step of the command, extremes of command (share of the start) and oxygen."""

    bias: float
    command_step: float
    command_low: float
    command_high: float
    oxygen_low: float
    oxygen_high: float


def _grid(
    b: CycleTimes, tank: Tank, before: float, after: float, dead: float, dt: float, parts: int
) -> tuple[list[float], list[int]]:
    """Instants with every edge on one, and which of them are edges."""
    first, end, gone = -b.lead - before, b.blast + b.hold_off, b.blast + b.linger
    inner = (-b.lead, 0.0, b.blast, gone, end, tank.load_at, dead, gone + dead)
    stack = sorted({first, end + after, *(e for e in inner if first < e < end + after)})
    t, edges = [stack[0]], [0]
    for a, z in pairwise(stack):
        n = max(ceil((z - a) / dt - 1e-9), parts)
        t += [a + (z - a) * (i / n) for i in range(1, n)]
        t.append(z)
        edges.append(len(t) - 1)
    return t, edges


class _Delay:
    """Oxygen as it was a dead time ago; before the record began it stood at its first value."""

    def __init__(self, t: list[float], record: list[float]) -> None:
        self.t, self.record, self.at = t, record, 0

    def newest(self, newest: int) -> tuple[float, float]:
        """The two instants recorded last: what a dead time of nothing asks for."""
        return self.record[newest - 1], self.record[newest]

    def value(self, want: float, newest: int) -> float:
        """Between recorded instants along a straight line; each instant asked for is no earlier than the one before."""
        t, at = self.t, self.at
        while at < newest - 1 and t[at + 1] < want:
            at += 1
        self.at = at
        if at >= newest or want <= t[at]:
            return self.record[at]
        share = min((want - t[at]) / (t[at + 1] - t[at]), 1.0)
        return self.record[at] + share * (self.record[at + 1] - self.record[at])


class _Loop:
    """Controller with its held value, its integrator and its output while tracked."""

    def __init__(self, c: Controller, b: CycleTimes, start: float) -> None:
        if b.treatment not in TREATMENTS:
            raise ValueError(f"{b.treatment!r} is not a treatment; known: {', '.join(TREATMENTS)}")
        self.c, self.b = c, b
        self.integral, self.out, self.held, self.was_held = 0.0, 1.0, start, False
        self.offset = c.gain * (c.set_point - start)

    def scan(self, raw: float, t: float, h: float) -> tuple[float, float]:
        """Value released and command for the step of length ``h`` that begins at ``t``."""
        c, b = self.c, self.b
        slack = 1e-9 * (1 + abs(t))  # a step that begins on an edge belongs to what follows the edge
        hold = -b.lead - slack <= t < b.blast + b.hold_off - slack
        if not (hold and self.was_held):
            self.held = raw
        released = raw
        if hold and b.treatment != "live":
            released = b.substitute if b.treatment == "substitute" else self.held
        if c.active:
            error = c.gain * (c.set_point - released) - self.offset
            if c.tracking and (hold or self.was_held):
                self.integral = self.out - 1 - error
            wanted = 1 + error + self.integral
            self.out = min(max(wanted, c.low), c.high)
            rise = h * c.gain * (c.set_point - released) / c.T_i
            winds = (wanted < c.high or rise < 0) and (wanted > c.low or rise > 0) and not (hold and c.tracking)
            if winds:
                self.integral += rise
        self.was_held = hold
        return released, self.out


def simulate(
    tank: Tank,
    sensor: Sensor,
    blower: Blower,
    controller: Controller,
    blast: CycleTimes,
    *,
    before: float = 30.0,
    after: float = 900.0,
    dt: float = 1.0,
    parts: int = 1,
) -> Cycle:
    """From ``before`` the hold until ``after`` the release, with steps (and controller scans) of at most ``dt`` seconds.

    Between two edges of the blast there are ``parts`` steps at least.
    """
    dead = sensor.dead_time if sensor.model == "dead-time-lag" else 0.0
    t, edges = _grid(blast, tank, before, after, dead, dt, parts)
    loop, oxygen = _Loop(controller, blast, tank.C), [tank.C]
    face = _face(sensor, blast, tank.C, dead, _Delay(t, oxygen))
    actuator = MODELS["one-lag" if blower.lags == 1 else "two-lags"].time_constant(blower.t90, 0.0)
    air, kla = Lags(blower.lags, float(actuator), 1.0), tank.OUR / (tank.C_star - tank.C)
    raw, released, command, airflow, transferred, consumed = [tank.C], [], [], [1.0], [0.0], [0.0]
    for i in range(len(t) - 1):
        h = t[i + 1] - t[i]
        value, out = loop.scan(raw[i], t[i], h)
        released.append(value)
        command.append(out)
        flow, mean_flow = air.step(out, out, h)
        airflow.append(flow)
        used = h * (tank.OUR * (1 + tank.load_step) if t[i] >= tank.load_at - 1e-9 else tank.OUR)
        moved, came = _balance(tank.C_star - oxygen[i], kla * mean_flow * h, used)
        oxygen.append(oxygen[i] + moved)
        transferred.append(transferred[i] + came)
        consumed.append(consumed[i] + used)
        raw.append(face(t[i], t[i + 1], i + 1))
    value, out = loop.scan(raw[-1], t[-1], 0.0)
    rows: dict[str, Any] = {
        "t": t,
        "oxygen": oxygen,
        "raw": raw,
        "released": [*released, value],
        "command": [*command, out],
        "airflow": airflow,
        "transferred": transferred,
        "consumed": consumed,
        "edges": edges,
    }
    return Cycle(**{name: np.array(row) for name, row in rows.items()}, release=blast.blast + blast.hold_off)


def _balance(gap: float, x: float, used: float) -> tuple[float, float]:
    """Change of the oxygen in a step, and what came: ``gap`` below saturation, ``x`` transfer times step, ``used`` up."""
    mean = mean_of_decay(x)
    return (x * gap - used) * mean, x * (gap * mean + used * mean_of_ramp(x))


def _face(sensor: Sensor, blast: CycleTimes, start: float, dead: float, delay: _Delay) -> Callable[[float, float, int], float]:
    """The raw reading at the end of a step: the sensor behind a face that is in bubbles from air on until they have gone."""
    model, s, gone = MODELS[sensor.model], sensor.slow_share, blast.blast + blast.linger
    quick = quick_constant(sensor.t90, sensor.slow, s) if s else model.time_constant(sensor.t90, dead)
    lags, slow = Lags(model.lags, float(quick), start), Lags(1, sensor.slow, start)

    def raw(t: float, end: float, newest: int) -> float:
        middle = (t + end) / 2 - dead
        share, h = blast.phi if 0 < middle < gone else 0.0, (end - t) / (sensor.stretch if middle >= gone else 1.0)
        u, v = (delay.value(t - dead, newest), delay.value(end - dead, newest)) if dead else delay.newest(newest)
        u, v = u + share * (blast.C_b - u), v + share * (blast.C_b - v)
        y = lags.step(u, v, h)[0]
        return y + s * (slow.step(u, v, h)[0] - y) if s else y

    return raw


def at_release(cycle: Cycle, since: float | None = None) -> Release:
    """Bias left and step of the command at release, and the extremes from then on, or from ``since`` (s after air on)."""
    at, start = (
        int(np.argmax(cycle.t >= t - 1e-9 * (1 + abs(t)))) for t in (cycle.release, cycle.release if since is None else since)
    )
    command, oxygen = cycle.command[start:], cycle.oxygen[start:]
    bias, step = cycle.raw[at] - cycle.oxygen[at], cycle.command[at] - cycle.command[at - 1]
    return Release(*map(float, (bias, step, command.min(), command.max(), oxygen.min(), oxygen.max())))
