"""The equations of the line: what flows, how fast every state changes, and the slopes an implicit step needs.

Staggered grid: pressures at nodes, mass flows in the branches between them. With ``u`` for the rate of change:

    mass in node i           V_i/a^2 dp_i/dt = q_i - q_(i+1)
    momentum in branch j     dq_j/dt = A_j/dx_j (H_(j-1) - H_j) - drag q_j,   H = p + (q/A)^2/rho
    receiver                dm/dt = m_c - m_v,  V/R dp/dt = gamma (m_c T_in - m_v T) + hA/c_v (T_wall - T)
    slug                     rho (L + L_0) dv/dt = p_end - p_back + (p_back - p_atm) L/L_w - losses,  dL/dt = -v

Every mass flow enters two rows with opposite sign, in the rates and in the slopes alike, so that mass is kept to round-off
whatever the step. A jump of flow that the grid cannot carry is resisted at inner nodes (``_blunted``). Arrays are
(rows, designs), or (rows, substeps, designs) with ``Designs.spread``.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from purgecalc.formulas.air import GAMMA
from purgecalc.transient.designs import Designs, Layout
from purgecalc.transient.laws import ARRAYS, SCALARS, Array, head_flow, made_flow, some, valve_flow

DYNAMIC_LIMIT = 1.0
"""Momentum flux over pressure is held to this, the isothermal speed of sound: beyond it a node would fall as it fills."""
IMPEDANCE_SHARE = 0.5
"""Share of the acoustic impedance a/A that resists a jump of flow across a node: what an acoustic Riemann solver has."""
FELT = 200.0
"""How soon that resistance enters the implicit slope: fully where it reaches 1/FELT of the pressure."""
LEAST_MASS = 1e-12
LEAST_FLOW = 1e-30
_G = GAMMA.value


@dataclass(eq=False)
class Slopes:
    """Partial derivatives at the start of a step, as the elimination uses them."""

    valve_source: Array
    valve_hose: Array
    head: Array
    made: Array
    wall: Array
    warmth: Array  # receiver pressure per mass
    T_source: Array
    left: Array  # (branches, designs) d(dq/dt)/dp upstream
    right: Array
    drag: Array  # -d(dq/dt)/dq
    tangent: tuple[Array, Array]  # drag q = (first + second |q|) q/(p_up + p_down) in the later substeps


@dataclass(eq=False)
class Drive:
    """Opening of the valve and share of the compressor's flow, with their rates (1/s)."""

    opening: Array
    opening_rate: Array
    motor: Array
    motor_rate: Array

    def after(self, t: Array) -> Drive:
        opening, motor = self.opening + self.opening_rate * t, self.motor + self.motor_rate * t
        return Drive(opening, self.opening_rate, motor, self.motor_rate)


@dataclass(eq=False)
class Slug:
    """Extra slopes where water still stands in the hose end; zero columns elsewhere."""

    stretch: Array  # volume of the end node over its dry volume
    spread: Array  # p / (stretch * half length): pressure lost per length gained
    push: Array
    damp: Array
    spring: Array


@dataclass(eq=False)
class Rates:
    """Rates of every row (kg/s in the node rows) and what was met on the way."""

    d: Array
    ramp: Array | None
    slopes: Slopes
    slug: Slug | None
    mach2_inlet: Array
    head: Array
    valve: Array
    p_end: Array


def end_pressure(y: Array, design: Designs, layout: Layout) -> Array:
    """Pressure at the hose end, from the product kept in the last node row."""
    half = 0.5 * design.area[-1] / design.inertia[-1]
    stretch = np.where(y[layout.slug + 1] > 0, 1 + (design.wet - y[layout.slug + 1]) / half, 1.0)
    out: Array = y[layout.end] / stretch
    return out


def rates(y: Array, design: Designs, layout: Layout, drive: Drive, wet: Array | None) -> Rates:
    """Rates, slopes and ramps at state ``y``; ``wet`` marks the designs with water in the hose end, None if there are none."""
    out = np.empty_like(y)
    slug, p, ends = _rows_but_momentum(out, y, design, layout, drive, wet, slopes=True)
    left, right, drag, tangent, mach2 = _momentum(out, p, y[layout.flows], ends[1], design, layout)
    _, valve, head, T, full, curve, by_source, by_hose, by_end, by_made = ends
    slopes = Slopes(by_source, by_hose, by_end, by_made, design.wall / y[0], y[1] / y[0], T, left, right, drag, tangent)
    ramp = None
    if some(drive.opening_rate) or some(drive.motor_rate):
        ramp = _ramp(full * drive.opening_rate, curve * drive.motor_rate, design, T)
    return Rates(out, ramp, slopes, slug, mach2, head, valve, p[-1])


def later_rates(
    y: Array, design: Designs, layout: Layout, drive: Drive, wet: Array | None, tangent: tuple[Array, Array]
) -> Array:
    """Rates alone, for the substeps after the first: friction follows its tangent at the start of the step."""
    out = np.empty_like(y)
    _, p, ends = _rows_but_momentum(out, y, design, layout, drive, wet, slopes=False)
    q = y[layout.flows]
    force, _, _, pair, _ = _force(p, q, ends[1], design, layout)
    lost = np.abs(q)
    lost *= tangent[1]
    lost += tangent[0]
    lost *= q
    lost /= pair
    np.subtract(force, lost, out=out[layout.flows])
    return out


def _rows_but_momentum(
    out: Array, y: Array, design: Designs, layout: Layout, drive: Drive, wet: Array | None, *, slopes: bool
) -> tuple[Slug | None, Array, Any]:
    """Fills every row but the branches'; returns the slug's slopes, node pressures and what ``flows`` says of the ends."""
    p, q, k, end = y[layout.nodes], y[layout.flows], layout.slug, layout.end
    slug = None
    if wet is None:
        out[k : k + 2] = 0.0
    else:
        slug, p = _slug(out, y, design, layout, wet)
    ends = _ends(y, p, design, drive, slopes=slopes)
    made, valve, head, T = ends[:4]
    if wet is not None:
        head = np.where(wet, 0.0, head)
        ends = (*ends[:2], head, *ends[3:])
        if slopes:
            ends = (*ends[:8], np.where(wet, 0.0, ends[8]), *ends[9:])
    np.subtract(made, valve, out=out[0])
    out[1] = design.rv * (_G * (design.T_in * made - T * valve) + design.wall * (design.T_wall - T))
    np.subtract(valve, q[0], out=out[2])
    np.subtract(q[:-1], q[1:], out=out[3:end])
    np.subtract(q[-1], head, out=out[end])
    out[k + 2], out[k + 3] = made, head
    return slug, p, ends


def _ends(y: Array, p: Array, design: Designs, drive: Drive, *, slopes: bool) -> Any:
    """Flows of compressor, valve and head with what belongs to them: on arrays, or on plain numbers for one design."""
    state = (y[0], y[1], p[0], p[-1], drive.opening, drive.motor)
    if design.size > 1:
        standing = not (some(drive.motor) or some(drive.motor_rate))
        return flows(state, design, ARRAYS, standing=standing, slopes=slopes)
    wide = (y[0].size,)
    columns: list[Any] = [part.reshape(-1).tolist() if part.size == wide[0] else part.tolist() * wide[0] for part in state]
    standing = not any(columns[5]) and not drive.motor_rate[0] > 0
    try:
        found = [flows(c, design.plain, SCALARS, standing=standing, slopes=slopes) for c in zip(*columns, strict=True)]
    except (ArithmeticError, ValueError):  # where arrays give nan; such a step is rejected
        return np.full((10 if slopes else 4, *y.shape[1:]), np.nan)
    return np.array(found).T.reshape(-1, *y.shape[1:])


def flows(state: Any, d: Any, xp: Any, *, standing: bool, slopes: bool) -> Any:
    """Air made, through the valve and the head, receiver temperature; with ``slopes`` flows unthrottled and slopes too.

    ``state``: mass and pressure of the receiver, pressures at both ends of the hose, opening of the valve, share of the
    compressor. ``standing``: no compressor runs.
    """
    m, p_s, p_0, p_end, opening, motor = state
    T = p_s / (m * d.rv)
    through, by_source, by_hose = valve_flow(
        d.valve_c / xp.sqrt(T), d.b, xp.minimum(p_s, d.regulated), p_0, d.crack_in, d.bore_inlet, xp, slopes=slopes
    )
    head, by_end = head_flow(d.head_s, p_end, d.crack, d.p_back, d.bore_outlet, xp, d.thin, slopes=slopes)
    curve, by_made = (0.0 * T, 0.0 * T) if standing else made_flow(p_s, d.curve_p, d.curve_m, xp, slopes=slopes)
    if not slopes:
        return curve * motor, through * opening, head, T
    by_source = xp.where(p_s > d.regulated, 0.0, by_source)
    slope_of = (by_source * opening, by_hose * opening, by_end, by_made * motor)
    return (curve * motor, through * opening, head, T, through, curve, *slope_of)


def _ramp(valve: Array, made: Array, design: Designs, T: Array) -> Array:
    """Explicit rate of change of the driven rows: receiver mass and pressure, first node, air made."""
    return np.stack([made - valve, design.rv * _G * (design.T_in * made - T * valve), valve, made])


def _force(p: Array, q: Array, valve: Array, design: Designs, layout: Layout) -> tuple[Array, Array, Array, Array, Array]:
    """Pressure and momentum difference on every branch, (u/a)^2 at both its ends, the sum of its end pressures, and what
    inner nodes add to their pressure against a jump of flow."""
    through = np.empty_like(p)
    inner = through[1:-1]
    np.add(q[:-1], q[1:], out=inner)
    inner *= 0.5
    through[0], through[-1] = valve, q[-1]
    through /= p
    blunt = _blunted(p, q, design)
    if layout.uniform:
        speed = _mach2(through, design.per_flux[0])
        left, right = speed[:-1], speed[1:]
        speed = speed + 1
        speed *= p
        speed += blunt
        force = speed[:-1] - speed[1:]
    else:
        left, right = _mach2(through[:-1], design.per_flux), _mach2(through[1:], design.per_flux)
        force = p[:-1] * (1 + left) - p[1:] * (1 + right) + blunt[:-1] - blunt[1:]
    force *= design.inertia
    return force, left, right, p[:-1] + p[1:], blunt


def _blunted(p: Array, q: Array, design: Designs) -> Array:
    """Pressure added at inner nodes against a jump of flow that the grid cannot carry.

    The flow on both sides of a node is reached along limited slopes (monotonized central), so that what is left as a jump
    falls with the square of the spacing where the flow is smooth and keeps its size at a front.
    """
    step = q[1:] - q[:-1]
    slope = np.empty_like(q)
    slope[0], slope[-1] = step[0], step[-1]
    a, b = step[:-1], step[1:]
    least = np.minimum(2 * np.minimum(np.abs(a), np.abs(b)), 0.5 * np.abs(a + b))
    slope[1:-1] = np.where(a * b > 0, np.copysign(least, a), 0.0)
    out = np.zeros_like(p)
    impedance = design.per_flux if design.per_flux.shape[0] == 1 else design.per_flux[:-1]
    np.multiply(IMPEDANCE_SHARE * impedance, 0.5 * (slope[1:] + slope[:-1]) - step, out=out[1:-1])
    return out


def _mach2(through: Array, per_flux: Array) -> Array:
    out = through * per_flux
    out *= out
    return np.minimum(out, DYNAMIC_LIMIT, out=out)


def _momentum(
    out: Array, p: Array, q: Array, valve: Array, design: Designs, layout: Layout
) -> tuple[Array, Array, Array, Any, Array]:
    """Momentum rows; returns the slopes in the pressures at both ends and in the flow, the tangent and (u/a)^2 at the inlet."""
    force, mach_left, mach_right, pair, blunt = _force(p, q, valve, design, layout)
    size = np.abs(q)
    f_re, n = layout.friction(size * design.re_per_flow, design.roughness)
    wall = f_re * design.wall_drag  # with 2 a^2, as the minor losses: over ``pair`` it is the drag
    bend = wall * n
    wall += design.minor_drag * size
    np.maximum(size, LEAST_FLOW, out=size)
    tangent = -bend, (wall + bend) / size
    drag = wall / pair
    drag_q = drag * q
    np.subtract(force, drag_q, out=out[layout.flows])
    drag_q /= pair
    inertia = design.inertia
    left, right = inertia - inertia * mach_left, inertia - inertia * mach_right
    left += drag_q
    right -= drag_q
    bend /= pair
    drag *= 2
    drag += bend
    felt = np.minimum(FELT * np.abs(blunt) / p, 1.0)
    drag += IMPEDANCE_SHARE * inertia * design.per_flux * np.maximum(felt[:-1], felt[1:])
    return left, right, drag, tangent, mach_left[0]


def _slug(out: Array, y: Array, design: Designs, layout: Layout, wet: Array) -> tuple[Slug, Array]:
    """Slug rows; returns slopes and node pressures with the end node's volume taken into account."""
    k = layout.slug
    v, length = y[k], np.maximum(y[k + 1], 0.0)
    half = 0.5 * design.area[-1] / design.inertia[-1]
    stretch = np.where(wet, 1 + (design.wet - y[k + 1]) / half, 1.0)
    p = y[layout.nodes].copy()
    p[-1] /= stretch
    column = length + design.added
    speed = np.abs(v)
    f_re, _ = layout.friction(speed * design.water_re, design.roughness[-1])
    wall = f_re * design.water_wall
    minor = design.water_minor
    drive = (p[-1] - design.p_back + design.water_head * length / np.maximum(design.wet, LEAST_MASS)) / design.rho_w
    loss = v * (speed * (0.5 * design.water_loss + minor * length) + wall * length)
    out[k] = np.where(wet, (drive - loss) / column, 0.0)
    out[k + 1] = np.where(wet, -v, 0.0)
    push = np.where(wet, 1 / (design.rho_w * column), 0.0)
    damp = (speed * (design.water_loss + 2 * minor * length) + 2 * wall * length) / column
    by_length = design.water_head / (np.maximum(design.wet, LEAST_MASS) * design.rho_w) - v * (speed * minor + wall)
    spring = (by_length - out[k]) / column
    zero = np.where(wet, 1.0, 0.0)
    return Slug(stretch, zero * p[-1] / (stretch * half), push, zero * damp, zero * spring), p
