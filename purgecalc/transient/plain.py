"""The substeps of ``step`` for one dry design on plain numbers: an array of one costs ten times what a number does.

Same equations, same grid, same laws of valve, head and compressor as ``balance`` and ``step``, which the tests hold it
against; rows of the state are lists.
"""

from __future__ import annotations

from operator import add, mul, sub
from typing import Any

import numpy as np

from purgecalc.formulas.air import GAMMA
from purgecalc.transient.balance import DYNAMIC_LIMIT, Drive, Rates, flows
from purgecalc.transient.designs import Designs, Layout
from purgecalc.transient.laws import PLAIN, Array

_G = GAMMA.value
Row = list[float]


class Substeps:
    """What the substeps of one step have in common."""

    def __init__(self, y: Array, design: Designs, layout: Layout, start: Rates, drive: Drive) -> None:
        s = start.slopes
        self.d, self.layout = design.plain, layout
        self.y, self.r = y[:, 0].tolist(), start.d[:, 0].tolist()
        self.left, self.right, self.drag = s.left[:, 0].tolist(), s.right[:, 0].tolist(), s.drag[:, 0].tolist()
        self.tangent = s.tangent[0][:, 0].tolist(), s.tangent[1][:, 0].tolist()
        ends = (s.valve_source, s.valve_hose, s.head, s.made, s.wall, s.warmth, s.T_source)
        self.by_source, self.by_hose, self.by_end, self.by_made, self.wall, self.warmth, self.T = [float(v[0]) for v in ends]
        self.cap, self.inertia = design.cap[:, 0].tolist(), design.inertia[:, 0].tolist()
        self.per_flux2 = [v * v for v in self.d.per_flux]
        self.ramp = [0.0] * 4 if start.ramp is None else start.ramp[:, 0].tolist()
        self.opening, self.motor = float(drive.opening[0]), float(drive.motor[0])
        self.opening_rate, self.motor_rate = float(drive.opening_rate[0]), float(drive.motor_rate[0])
        self.standing = not (self.motor > 0 or self.motor_rate > 0)

    def series(self, h: float, parts: int) -> Row:
        """State after ``parts`` linearly implicit Euler substeps."""
        part = h / parts
        system = self.eliminate(part)
        now, r = self.y, self.r
        for i in range(parts):
            if i:
                r = self.rates(now, part * i)
            now = list(map(add, now, self.increment(system, r, part)))
        return now

    def eliminate(self, part: float) -> Any:
        """Branch flows eliminated, pressures factored: see ``step.eliminate``."""
        g = 1 / part
        by_flow = [1 / (g + v) for v in self.drag]
        al = list(map(mul, self.left, by_flow))
        ar = list(map(mul, self.right, by_flow))
        heat, gain = self.d.rv * _G, self.wall * self.warmth * part
        first = g + self.wall - heat * (self.d.T_in * self.by_made - self.T * self.by_source)
        first -= gain * (self.by_made - self.by_source)
        nodes = [c * g + a + b for c, a, b in zip(self.cap, [*al, self.by_end], [-self.by_hose, *ar], strict=True)]
        w = 1 / first
        lower, pivot, upper = [self.by_source, *al], [w], [-(heat * self.T + gain) * self.by_hose * w]
        for below, own, beyond in zip(lower, nodes, [*ar, 0.0], strict=True):
            w = 1 / (own - below * upper[-1])
            pivot.append(w)
            upper.append(beyond * w)
        return by_flow, al, ar, gain, lower, pivot, upper

    def increment(self, system: Any, r: Row, part: float) -> Row:
        by_flow, al, ar, gain, lower, pivot, upper = system
        end, k, ramp = self.layout.end, self.layout.slug, self.ramp
        mass = r[0] + ramp[0] * part
        rest = list(map(mul, r[self.layout.flows], by_flow))
        last = (r[1] + ramp[1] * part + gain * mass) * pivot[0]
        x = [last]
        nodes = r[2 : end + 1]
        nodes[0] += ramp[2] * part
        for below, own, enters, leaves, w in zip(lower, nodes, [0.0, *rest], [*rest, 0.0], pivot[1:], strict=True):
            last = (own + enters - leaves + below * last) * w
            x.append(last)
        for i in range(len(x) - 2, -1, -1):
            last = x[i] + upper[i] * last
            x[i] = last
        q = [a * u - b * v + c for a, u, b, v, c in zip(al, x[1:-1], ar, x[2:], rest, strict=True)]
        through, made, head = self.by_source * x[0] + self.by_hose * x[1], self.by_made * x[0], self.by_end * x[-1]
        air = r[k + 2] + ramp[3] * part + made
        return [(mass + made - through) * part, *x, *q, 0.0, 0.0, air * part, (r[k + 3] + head) * part]

    def rates(self, y: Row, t: float) -> Row:
        """See ``balance.later_rates``."""
        d, end = self.d, self.layout.end
        p, q = y[2 : end + 1], y[self.layout.flows]
        opening, motor = self.opening + self.opening_rate * t, self.motor + self.motor_rate * t
        made, valve, head, T = flows((y[0], y[1], p[0], p[-1], opening, motor), d, self.standing, False, PLAIN)
        nodes = map(sub, [valve, *q], [*q, head])
        doubled = [3 * q[0] - q[1], *map(add, q, q[1:]), 3 * q[-1] - q[-2]]
        speed2 = [0.25 * a * a / (b * b) for a, b in zip(doubled, p, strict=True)]
        branches = []
        rows = zip(p, p[1:], speed2, speed2[1:], q, self.inertia, self.per_flux2, *self.tangent, strict=False)
        for p_up, p_down, up, down, flow, inertia, per_flux2, fixed, rising in rows:
            up, down = up * per_flux2, down * per_flux2
            if up > DYNAMIC_LIMIT or down > DYNAMIC_LIMIT:
                up, down = min(up, DYNAMIC_LIMIT), min(down, DYNAMIC_LIMIT)
            force = inertia * (p_up * (1 + up) - p_down * (1 + down))
            branches.append(force - (fixed + rising * abs(flow)) * flow / (p_up + p_down))
        warmed = d.rv * (_G * (d.T_in * made - T * valve) + d.wall * (d.T_wall - T))
        return [made - valve, warmed, *nodes, *branches, 0.0, 0.0, made, head]


def all_series(y: Array, design: Designs, layout: Layout, start: Rates, drive: Drive, h: float, order: int) -> Array:
    """States after one, two (and three) substeps over ``h``, (rows, series, 1); nan where the arithmetic failed."""
    try:
        both = Substeps(y, design, layout, start, drive)
        return np.array([both.series(h, parts) for parts in range(1, order + 1)]).T[:, :, None]
    except (ArithmeticError, ValueError):
        return np.full((layout.rows, order, 1), np.nan)
