"""One blast cycle by simulation: tank, blower, controller, sensor and held output, step by step.

A check on the closed forms and the data of the cycle drawing. Every part of a step is solved exactly for what is held
constant in it: the controller's command (it scans once a step), the mean airflow (exact for the actuator's lags), and
the input of the sensor as a straight line. Edges of the blast fall on steps, so a sensor in still water is exact.
Arrays run many cycles at once; results then have time along the first axis. Airflow counts from 1 at the start.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from purgecalc.formulas.sensor_models import MODELS
from purgecalc.working import Num

Array = NDArray[np.float64]
TREATMENTS = ("freeze-last", "park-at-value", "live")


@dataclass(frozen=True)
class Tank:
    """Mixed tank at rest: oxygen ``C`` and effective saturation ``C_star`` (kg/m3), uptake ``OUR`` (kg/m3/s).

    The uptake rises by the share ``load_step`` at ``load_at`` (s after air on).
    """

    C: Num
    C_star: Num
    OUR: Num
    load_step: Num = 0.0
    load_at: Num = 0.0


@dataclass(frozen=True)
class Sensor:
    """``model`` one-lag, two-lags or dead-time-lag; ``t90`` and ``dead_time`` (s). Default: the benchmark's class A."""

    model: str = "two-lags"
    t90: Num = 60.0
    dead_time: Num = 0.0


@dataclass(frozen=True)
class Blower:
    """Airflow follows its command through ``lags`` equal lags (0, 1, 2) of response ``t90`` (s). Default: the benchmark's."""

    lags: int = 2
    t90: Num = 240.0


@dataclass(frozen=True)
class Controller:
    """PI: ``gain`` (share of airflow per kg/m3; 100 is 10 % per mg/L), ``T_i`` (s), limits as shares.

    With ``tracking`` the output stands still while the reading is held, and takes over at release without a step.
    ``active`` False keeps the airflow as it is.
    """

    set_point: Num
    gain: Num = 100.0
    T_i: Num = 300.0
    tracking: bool = True
    active: bool = True
    low: Num = 0.0
    high: Num = 2.0


@dataclass(frozen=True)
class Blast:
    """Times (s): freeze ``lead`` before air on, ``blast``, ``hold_off`` after air off, ``linger`` of bubbles after air off.

    ``linger`` is clearing and mixing, or zero for bubbles gone at once. ``C_b`` (kg/m3) is
    saturation in the bubbles, ``phi`` the share of the face they cover. ``park`` (kg/m3) is the parked value.
    """

    lead: Num
    blast: Num
    hold_off: Num
    linger: Num
    C_b: Num
    phi: Num = 1.0
    treatment: str = "freeze-last"
    park: Num = 0.0


@dataclass(frozen=True)
class Cycle:
    """What was simulated, along the first axis: time (s) from air on, oxygen, raw and released reading, command, airflow.

    ``transferred`` and ``consumed`` are oxygen since the start (kg/m3), each summed on its own.
    """

    t: Array
    oxygen: Array
    raw: Array
    released: Array
    command: Array
    airflow: Array
    transferred: Array
    consumed: Array
    release: Num


@dataclass(frozen=True)
class Release:
    """What a release does: bias left, step of the command, extremes after it of command, airflow and oxygen.

    Concentrations in kg/m3, command and airflow as shares of the airflow at the start.
    """

    bias: Num
    command_step: Num
    command_low: Num
    command_high: Num
    airflow_low: Num
    airflow_high: Num
    oxygen_low: Num
    oxygen_high: Num


def _mean_of_decay(x: Array) -> Array:
    """(1 - exp(-x))/x with its limit 1."""
    tiny = np.abs(x) < 1e-9
    return np.asarray(np.where(tiny, 1 - x / 2, -np.expm1(-np.where(tiny, 1.0, x)) / np.where(tiny, 1.0, x)))


class _Lags:
    """Up to two equal lags in series, driven exactly by an input that runs straight from ``u`` to ``v`` in a step."""

    def __init__(self, lags: int, tau: Num, start: Array) -> None:
        self.lags, self.tau, self.y = lags, np.asarray(tau, dtype=float), [start] * max(lags, 1)

    def step(self, u: Array, v: Array, h: Array) -> tuple[Array, Array]:
        """Output at the end of the step, and its mean over the step."""
        if self.lags == 0:
            self.y = [v]
            return v, (u + v) / 2
        x = h / self.tau
        fall, mean = np.exp(-x), _mean_of_decay(x)
        m = np.where(h > 0, (v - u) / np.where(h > 0, x, 1.0), 0.0)  # slope per time constant
        a = self.y[0] - u + m  # a lag on a ramp trails it by the slope once the start has died away
        first = v - m + a * fall
        if self.lags == 1:
            self.y = [first]
            return first, (u + v) / 2 - m + a * mean
        b = self.y[1] - u + 2 * m
        second = v - 2 * m + (b + a * x) * fall
        self.y = [first, second]
        return second, (u + v) / 2 - 2 * m + (a + b) * mean - a * fall


def _grid(
    b: Blast, tank: Tank, before: float, after: float, dead: Num, dt: float, parts: int, shape: tuple[int, ...]
) -> Array:  # fmt: skip
    """Instants with every edge on one, the same number for all elements; dead time repeats the edges of the bubbles."""
    end = np.zeros(shape) + b.blast + b.hold_off
    gone = b.blast + np.asarray(b.linger)
    edges = [-np.asarray(b.lead) - before, -np.asarray(b.lead), 0.0 * end, gone, end, end + after, np.asarray(tank.load_at)]
    edges += [np.asarray(dead), gone + dead, np.asarray(b.blast)]
    stack = np.sort(np.stack(np.broadcast_arrays(*edges)), axis=0)
    stack = np.clip(stack, edges[0], end + after)
    t = [stack[0]]
    for a, z in pairwise(stack):
        longest = np.max(z - a)
        n = max(int(np.ceil(longest / dt - 1e-9)), parts if longest > 0 else 0)
        t += [a + (z - a) * (i / n) for i in range(1, n + 1)]
    return np.array(t)


@dataclass
class _Delay:
    """Oxygen as it was a dead time ago; before the record began it stood at its first value."""

    t: Array
    shape: tuple[int, ...]
    at: NDArray[np.int64] = field(init=False)
    columns: tuple[NDArray[np.int64], ...] = field(init=False)

    def __post_init__(self) -> None:
        self.at = np.zeros(self.shape, dtype=np.int64)
        self.columns = np.indices(self.shape, sparse=True)

    def value(self, record: Array, want: Array, newest: int) -> Array:
        """Between recorded instants along a straight line; each instant asked for is later than the one before."""
        while np.any(ahead := (self.at < newest - 1) & (self._pick(self.t, self.at + 1) < want)):
            self.at = self.at + ahead
        t0, t1 = self._pick(self.t, self.at), self._pick(self.t, self.at + 1)
        share = np.clip(np.where(t1 > t0, (want - t0) / np.where(t1 > t0, t1 - t0, 1.0), 0.0), 0.0, 1.0)
        a, z = self._pick(record, self.at), self._pick(record, self.at + 1)
        return np.asarray(a + share * (z - a))

    def _pick(self, record: Array, at: NDArray[np.int64]) -> Array:
        return np.asarray(record[(np.minimum(at, len(record) - 1), *self.columns)])


class _Loop:
    """Controller with its held value, its integrator and its output while tracked."""

    def __init__(self, c: Controller, b: Blast, start: Array) -> None:
        if b.treatment not in TREATMENTS:
            raise ValueError(f"{b.treatment!r} is not a treatment; known: {', '.join(TREATMENTS)}")
        self.c, self.b = c, b
        self.integral, self.out = 0.0 * start, np.ones_like(start)
        self.held, self.was_blind = start, np.zeros(start.shape, dtype=bool)
        self.offset = np.asarray(c.gain) * (np.asarray(c.set_point) - start)

    def scan(self, raw: Array, t: Array, h: Array) -> tuple[Array, Array]:
        """Value released and command for the step of length ``h`` that begins at ``t``."""
        c, b = self.c, self.b
        slack = 1e-9 * (1 + np.abs(t))  # a step that begins on an edge belongs to what follows the edge
        blind = (t >= -np.asarray(b.lead) - slack) & (t < b.blast + np.asarray(b.hold_off) - slack)
        blind = blind & (b.treatment != "live")
        self.held = np.where(blind & self.was_blind, self.held, raw)
        released = np.where(blind, np.asarray(b.park) if b.treatment == "park-at-value" else self.held, raw)
        if c.active:
            error = c.gain * (c.set_point - released) - self.offset
            tracked = (blind | self.was_blind) & c.tracking
            self.integral = np.where(tracked, self.out - 1 - error, self.integral)
            wanted = 1 + error + self.integral
            self.out = np.clip(wanted, c.low, c.high)
            rise = h * c.gain * (c.set_point - released) / c.T_i
            winds = ((wanted < c.high) | (rise < 0)) & ((wanted > c.low) | (rise > 0)) & ~(blind & c.tracking)
            self.integral = self.integral + np.where(winds, rise, 0.0)
        self.was_blind = blind
        return released, self.out


def simulate(
    tank: Tank, sensor: Sensor, blower: Blower, controller: Controller, blast: Blast, *, before: float = 30.0,
    after: float = 900.0, dt: float = 1.0, parts: int = 1,
) -> Cycle:  # fmt: skip
    """From ``before`` the freeze until ``after`` the release, with steps (and controller scans) of at most ``dt`` seconds.

    Between two edges of the blast there are ``parts`` steps at least.
    """
    model = MODELS[sensor.model]
    dead = sensor.dead_time if sensor.model == "dead-time-lag" else 0.0
    numbers = [v for p in (tank, sensor, blower, controller, blast) for v in vars(p).values() if not isinstance(v, str)]
    shape = np.broadcast_shapes(*(np.shape(v) for v in numbers))
    t = _grid(blast, tank, before, after, dead, dt, parts, shape)
    start = np.zeros(shape) + tank.C
    kla = tank.OUR / (tank.C_star - start)
    face = _Lags(model.lags, model.time_constant(sensor.t90, dead), start)
    air = _Lags(blower.lags, MODELS["one-lag" if blower.lags == 1 else "two-lags"].time_constant(blower.t90, 0.0), np.ones(shape))
    loop, delay = _Loop(controller, blast, start), _Delay(t, shape)
    rows = {k: np.zeros_like(t) for k in ("oxygen", "raw", "released", "command", "airflow", "transferred", "consumed")}
    rows["oxygen"][0], rows["raw"][0], rows["airflow"][0] = start, start, 1.0
    for i, h in enumerate(np.diff(t, axis=0)):
        C = rows["oxygen"][i]
        rows["released"][i], rows["command"][i] = loop.scan(rows["raw"][i], t[i], h)
        rows["airflow"][i + 1], q = air.step(rows["command"][i], rows["command"][i], h)
        uptake = tank.OUR * (1 + np.where(t[i] >= np.asarray(tank.load_at) - 1e-9, tank.load_step, 0.0))
        rate = kla * q
        mean = _mean_of_decay(rate * h)
        rows["oxygen"][i + 1] = C + (rate * (tank.C_star - C) - uptake) * h * mean
        gap = (tank.C_star - C) * mean + uptake * h * _mean_of_ramp(rate * h)
        rows["transferred"][i + 1] = rows["transferred"][i] + rate * h * gap
        rows["consumed"][i + 1] = rows["consumed"][i] + uptake * h
        middle = (t[i] + t[i + 1]) / 2 - dead
        share = np.where((middle > 0) & (middle < blast.blast + np.asarray(blast.linger)), blast.phi, 0.0)
        u, v = (delay.value(rows["oxygen"], t[j] - dead, i + 1) for j in (i, i + 1))
        rows["raw"][i + 1], _ = face.step(u + share * (blast.C_b - u), v + share * (blast.C_b - v), h)
    rows["released"][-1], rows["command"][-1] = loop.scan(rows["raw"][-1], t[-1], 0.0 * t[-1])
    return Cycle(t, **rows, release=blast.blast + blast.hold_off)


def _mean_of_ramp(x: Array) -> Array:
    """(1 - (1 - exp(-x))/x)/x, the mean of 1 - exp(-x s) over a step, per x, with its limit 1/2."""
    small = np.abs(x) < 1e-4
    safe = np.where(small, 1.0, x)
    return np.asarray(np.where(small, 0.5 - x / 6 + x * x / 24, (1 - _mean_of_decay(safe)) / safe))


def at_release(cycle: Cycle) -> Release:
    """Bias, kick and the extremes that follow."""
    t, end = cycle.t, np.asarray(cycle.release)
    on = t >= end - 1e-9 * (1 + np.abs(end))
    first = np.argmax(on, axis=0)

    def pick(record: Array, shift: int = 0) -> Array:
        return np.asarray(np.take_along_axis(record, (first + shift)[None], axis=0)[0])

    def low(record: Array) -> Array:
        return np.asarray(np.min(np.where(on, record, np.inf), axis=0))

    def high(record: Array) -> Array:
        return np.asarray(np.max(np.where(on, record, -np.inf), axis=0))

    return Release(
        bias=pick(cycle.raw) - pick(cycle.oxygen),
        command_step=pick(cycle.command) - pick(cycle.command, -1),
        command_low=low(cycle.command), command_high=high(cycle.command),
        airflow_low=low(cycle.airflow), airflow_high=high(cycle.airflow),
        oxygen_low=low(cycle.oxygen), oxygen_high=high(cycle.oxygen),
    )  # fmt: skip
