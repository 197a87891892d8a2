"""The steady operating point: source - valve - hose - check valve - head, for one design or many at once.

The unknown is the mass flow, and the line is worked upstream from the head: for any flow every upstream pressure
exists, so there is no "no such outlet pressure" to recover from. Each element loses p_1**2 - p_2**2 roughly as m**2, so
near any flow the line is taken as p**2 = a + b m**2, with a and b from the pressure and its slope, and crossed with the
supply in closed form: three such steps settle most designs. Then ``march`` works the line again from nothing but the
answer, by the direct formulas and with every inner equation converged. What does not close gets more steps, and then
bisection of ``march`` itself. Nothing is recorded here: the sheet records the converged point.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from purgecalc.formulas import hose, source, valve
from purgecalc.formulas.air import GAMMA, KAPPA, R_AIR
from purgecalc.formulas.head import CHOKING, CRITICAL_RATIO, PSI_CHOKED, excess_root, thin_coefficient, thin_slope
from purgecalc.si import Num

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]
Chosen = slice | NDArray[np.intp]
TOLERANCE = 1e-9  # relative mismatch of mass flow accepted as closed
SETTLED = 1e-4  # last relative step of the flow that leaves an error well below the tolerance
QUICK, PATIENT, BISECTIONS = 3, 8, 60
SETTLE_HEAD = 2  # Newton steps that settle the head pressure of thin holes at the last flow
SOLVED_AT_ONCE = 16384


@dataclass(frozen=True, eq=False)
class Airway:
    """The line as the solver sees it. SI, absolute pressures; every field broadcasts against the others.

    ``hole_area`` is the effective area (discharge coefficient included), ``thin_area`` that of holes in a thin plate,
    whose coefficient follows the pressure; ``valve_slope`` is 1/(C rho_ANR sqrt(T_ANR/T)), zero without a valve;
    ``crack`` is what a check valve at the head keeps, ``crack_in`` what one at the source end of the hose does.
    """

    p_back: Num
    crack: Num
    hole_area: Num
    T: Num
    mu: Num
    D: Num
    L: Num
    eps: Num
    K: Num
    valve_slope: Num
    valve_b: Num
    thin_area: Num = 0.0
    crack_in: Num = 0.0

    def open_area(self, r: Num) -> Num:
        """Effective area at the pressure ratio ``r`` over the holes."""
        return self.hole_area if self.all_thick else self.hole_area + self.thin_area * thin_coefficient(r)

    @property
    def all_thick(self) -> bool:
        """Whether no hole's coefficient follows the pressure."""
        return not np.any(self.thin_area)

    @property
    def p_open(self) -> Num:
        """Source pressure needed before any flow."""
        return self.p_back + self.crack + self.crack_in


AIRWAY = len(fields(Airway))


@dataclass(frozen=True, eq=False)
class Supply:
    """What holds the upstream end: a flow curve (points along axis 0, absolute pressures), or a fixed pressure.

    The flow of a curve does not rise with pressure, and is constant outside its points.
    """

    points: tuple[Array, ...] | Array = ()
    flows: tuple[Array, ...] | Array = ()
    pressure: Array | None = None

    def top(self) -> Array:
        """Highest pressure the supply can stand at."""
        return np.asarray(self.points[-1] if self.pressure is None else self.pressure)

    def curve(self, p: Num) -> tuple[Num, Num]:
        """Flow at ``p`` and its slope."""
        return source.curve(p, np.asarray(self.points), np.asarray(self.flows))

    def overcomes(self, p: Num) -> Mask:
        """Whether the supply still gives air against ``p``."""
        enough = self.top() > p
        return enough if self.pressure is not None else enough & (self.curve(p)[0] > 0)

    def crossing(self, a: Num, b: Num, p: Num) -> Array:
        """Flow at which p**2 = a + b m**2 meets the supply, a curve being taken as straight about ``p``."""
        if self.pressure is not None:
            return np.sqrt(np.maximum(self.pressure**2 - a, 0.0) / b)
        near = np.minimum(np.maximum(p, self.points[0]), self.points[-1] * (1 - 1e-12))
        flow, slope = self.curve(near)
        open_flow = flow - slope * near
        rest = open_flow**2 - slope**2 * a
        m = rest / (open_flow - slope * np.sqrt(np.maximum(a + b * rest, 0.0)) + 1e-300)
        return np.minimum(np.maximum(m, self.flows[-1]), self.flows[0])

    def mismatch(self, m: Array, p: Array, p_open: Num) -> Array:
        """Relative mismatch of mass flow when the line takes ``m`` at ``p``; ``p_open`` is needed before any flow."""
        # the floors keep round-off of the pressure from counting as mismatch when there is next to no flow
        if self.pressure is None:
            return (m - self.curve(p)[0]) / np.maximum(m, 1e-4 * self.flows[0])
        square = self.pressure**2
        return (p**2 - square) / (2 * np.maximum(square - p_open**2, 1e-6 * square))  # m**2 goes with the fall of p**2


@dataclass(frozen=True, eq=False)
class Point:
    """State along the line at one flow; every field an array of the designs' shape."""

    head: Array
    mass_flow: Array
    outlet: Array
    inlet: Array
    source: Array
    mismatch: Array
    iterations: int


@dataclass(frozen=True, eq=False)
class _Designs:
    """Fields of the airway and numbers of the supply, one column each; what all designs share stays a single number."""

    columns: list[Array]
    fixed: bool

    def take(self, chosen: Chosen) -> tuple[Airway, Supply]:
        cut = [c if c.ndim == 0 else c[chosen] for c in self.columns]
        way, laws = Airway(*cut[:AIRWAY]), cut[AIRWAY:]
        if self.fixed:
            return way, Supply(pressure=laws[0])
        rows = np.stack(np.broadcast_arrays(*laws))
        return way, Supply(rows[: len(rows) // 2], rows[len(rows) // 2 :])

    def with_flow(self, size: int) -> Iterator[Chosen]:
        """The designs that have a flow, a chunk at a time: their numbers, or a slice where none is left out."""
        for start in range(0, size, SOLVED_AT_ONCE):
            piece = slice(start, min(start + SOLVED_AT_ONCE, size))
            way, supply = self.take(piece)
            gives = supply.overcomes(way.p_open) & (np.asarray(way.hole_area) + way.thin_area > 0)
            which = np.flatnonzero(np.broadcast_to(gives, piece.stop - start))
            if len(which):
                yield piece if len(which) == piece.stop - start else start + which


Find = Callable[[Airway, Supply, int], tuple[Array, Mask | bool]]


def solve(way: Airway, supply: Supply) -> Point:
    """Operating point of every design at once.

    Fields of ``way`` and arrays of ``supply`` broadcast to one shape. Where the supply cannot overcome depth and
    check valve there is no flow: mass flow 0 and head pressure nan.
    """
    laws = [*supply.points, *supply.flows] if supply.pressure is None else [supply.pressure]
    inputs = [np.asarray(f, float) for f in (*vars(way).values(), *laws)]
    shape = np.broadcast_shapes(*(f.shape for f in inputs))
    columns = [f.reshape(()) if f.size == 1 else np.broadcast_to(f, shape).reshape(-1) for f in inputs]
    designs = _Designs(columns, supply.pressure is not None)
    states = np.full((6, int(np.prod(shape))), np.nan)
    states[1] = 0.0
    pieces = list(designs.with_flow(states.shape[1]))
    total = 0
    for find, rounds in ((_cross, QUICK), (_cross, PATIENT), (_bisect, BISECTIONS)):
        if pieces:
            pieces = _settle(designs, pieces, states, find, rounds)
            total += rounds
    head, m, outlet, inlet, source, mismatch = (s.reshape(shape)[()] for s in states)
    return Point(head, m, outlet, inlet, source, mismatch, total)


def _settle(designs: _Designs, pieces: list[Chosen], states: Array, find: Find, rounds: int) -> list[Chosen]:
    """Solve the chosen designs, fill in their states (rows as in ``Point``) and give back those that did not close."""
    left = []
    for piece in pieces:
        way, supply = designs.take(piece)
        v, settled = find(way, supply, rounds)
        head, m, outlet, inlet, source = march(v, way)
        miss = supply.mismatch(m, source, way.p_open)
        for row, value in zip(states, (head, m, outlet, inlet, source, miss), strict=True):
            row[piece] = value
        open_ = np.flatnonzero(~(settled & (np.abs(miss) <= TOLERANCE)))
        left.append(open_ + piece.start if isinstance(piece, slice) else piece[open_])
    together = np.concatenate(left)
    return [together[i : i + SOLVED_AT_ONCE] for i in range(0, len(together), SOLVED_AT_ONCE)]


def march(v: Array, way: Airway) -> tuple[Array, Array, Array, Array, Array]:
    """Head pressure, mass flow, hose outlet, hose inlet and source pressure, from v = sqrt(p_h/p_b - 1).

    Inner equations converged. In v the flow starts straight from zero and is smooth through choking.
    """
    head = way.p_back * (1 + v * v)
    fall = KAPPA * np.minimum(np.log1p(v * v), -np.log(CRITICAL_RATIO.value))
    psi = np.sqrt(-2 / KAPPA * np.expm1(-fall)) * np.exp(-fall / (KAPPA * GAMMA.value))
    m = way.open_area(1 / (1 + v * v)) * head / np.sqrt(R_AIR.value * way.T) * psi
    area = hose.bore_area(way.D)
    outlet = np.maximum(head + way.crack, hose.choking_pressure(m, area, way.T))
    re = hose.reynolds(m, way.D, way.mu)
    f = hose.friction_factor(hose.laminar_friction(re), hose.turbulent_friction(re, way.eps, way.D), re)
    inlet = hose.inlet_pressure(m, area, outlet, way.T, hose.resistance(f, way.L, way.D, way.K))
    source = valve.inlet_pressure_from(m * way.valve_slope, way.valve_b, inlet + way.crack_in)
    return head, m, np.asarray(outlet), np.asarray(inlet), np.asarray(source)


@dataclass(frozen=True, eq=False)
class _Line:
    """What the steps need of an airway, worked out once; ``u``, ``gas`` and ``re`` are per kg/s, ``u`` for an open area of 1."""

    way: Airway
    u: Num
    gas: Num
    re: Num
    rough: Num
    slender: Num


def _cross(way: Airway, supply: Supply, rounds: int) -> tuple[Array, Mask]:
    """v after so many crossings of line and supply, and whether the last one hardly moved the flow."""
    rt = np.sqrt(R_AIR.value * way.T)
    u, gas = rt / way.p_back, rt / hose.bore_area(way.D)
    line = _Line(way, u, gas, hose.reynolds(1.0, way.D, way.mu), way.eps / (3.7 * way.D), way.L / way.D)
    # to begin with, the holes taken as incompressible and a common friction factor: a little high, seldom far off
    p_open, losses = way.p_open, gas**2 * (0.03 * line.slender + way.K) + way.valve_slope**2
    m = np.maximum(supply.crossing(p_open**2, (rt / way.open_area(0.9)) ** 2 + losses, p_open), 1e-300)
    x, r, before = np.asarray(6.0), np.asarray(0.9), m
    for _ in range(rounds):
        p, rise, x, r = _upstream(m, line, x, r)
        m, before = np.maximum(supply.crossing(p * p - rise, rise / (m * m), p), 0.05 * m), m
    for _ in range(0 if way.all_thick else SETTLE_HEAD):
        r = _head(m, line, r)[2]
    return excess_root(m * line.u / way.open_area(r)), np.abs(m - before) <= SETTLED * m


def _bisect(way: Airway, supply: Supply, rounds: int) -> tuple[Array, bool]:
    """Bracketed root: no flow is too little, and all the pressure at the head, or the open flow, too much."""
    p_open = way.p_open
    high = np.sqrt(supply.top() / way.p_back - 1)
    if supply.pressure is None:
        high = excess_root(supply.flows[0] * np.sqrt(R_AIR.value * way.T) / (way.open_area(1.0) * way.p_back))  # least at rest
    low = 0.0 * high
    for _ in range(rounds):
        middle = 0.5 * (low + high)
        _, m, _, _, source = march(middle, way)
        below = supply.mismatch(m, source, p_open) < 0
        low, high = np.where(below, middle, low), np.where(below, high, middle)
    return 0.5 * (low + high), True


def _head(m: Array, line: _Line, r: Array) -> tuple[Array, Array, Array]:
    """Head pressure at flow ``m``, its logarithmic slope, and the pressure ratio ``r`` of the holes a Newton step on."""
    way = line.way
    u = m * line.u / way.open_area(r)
    root = np.sqrt(1 + 2 * KAPPA * u * u)
    warm = 0.5 * (1 + root)  # (p_h/p_b)**kappa while the holes are not choked
    over = np.where(u >= CHOKING, u / PSI_CHOKED.value, warm ** (1 / KAPPA))
    slope = np.minimum(u * u / (warm * root), 1.0)
    if way.all_thick:
        return way.p_back * over, slope, r
    # the wider the holes get with the pressure, the slower it rises
    bend = -slope * r * way.thin_area * thin_slope(r) / way.open_area(r)
    over = np.maximum((over * r) ** (1 / (1 + bend)) / r, 1.0)
    return way.p_back * over, slope / (1 + bend), 1 / over


def _upstream(m: Array, line: _Line, x: Array, r: Array) -> tuple[Array, Array, Array, Array]:
    """Source pressure p, half the slope of p**2 in ln m, and 1/sqrt(f) and p_b/p_h brought one Newton step further."""
    way = line.way
    head, steep, r = _head(m, line, r)
    star = m * line.gas
    free = head + way.crack
    outlet = np.maximum(free, star)
    rise = np.where(free > star, free * head * steep, star * star)
    f, f_slope, newer = hose.friction_step(m * line.re, line.rough, x)
    c = np.minimum((star / outlet) ** 2, 1.0)
    q = hose.squared_pressure_ratio(c, f * line.slender + way.K)
    rise = rise * (1 - c + 1e-15) + outlet * outlet * (q - 1 + 0.5 * c * line.slender * f_slope)
    rise = rise / (1 - c / q + 1e-15)
    inlet = outlet * np.sqrt(q)
    rise, inlet = rise * (1 + way.crack_in / inlet), inlet + way.crack_in
    reduced = m * way.valve_slope
    p = np.asarray(valve.inlet_pressure_from(reduced, way.valve_b, inlet))
    span = (1 - way.valve_b) ** 2
    ellipse = np.maximum(inlet - way.valve_b * p, 0.0)
    rise = p * (ellipse * rise / inlet + span * reduced**2) / (span * p + way.valve_b * ellipse)
    return p, rise, np.asarray(newer), r
