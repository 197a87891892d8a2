"""The equations of the line: what flows, how fast every state changes, and the slopes an implicit step needs.

Staggered grid: pressures at nodes, mass flows in the branches between them. With ``u`` for the rate of change:

    mass in node i           V_i/a^2 dp_i/dt = q_i - q_(i+1)
    momentum in branch j     dq_j/dt = A_j/dx_j (H_(j-1) - H_j) - drag q_j,   H = p + (q/A)^2/rho
    reservoir                dm/dt = m_c - m_v,  V/R dp/dt = gamma (m_c T_in - m_v T) + hA/c_v (T_wall - T)
    slug                     rho (L + L_0) dv/dt = p_end - p_back + (p_back - p_atm) L/L_w - losses,  dL/dt = -v

Every mass flow enters two rows with opposite sign, in the rates and in the slopes alike, so that mass is kept to round-off
whatever the step.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from purgecalc.formulas import compressor
from purgecalc.formulas.air import GAMMA
from purgecalc.transient.designs import Designs, Layout
from purgecalc.transient.laws import Array, head_flow, valve_flow

DYNAMIC_LIMIT = 0.9
"""Momentum flux over pressure is held below this: beyond it the end node's pressure would fall as it fills."""
LEAST_MASS = 1e-12


@dataclass
class Slopes:
    """Partial derivatives at the start of a step, as the elimination uses them. Rates of the ramps in ``ramp``."""

    valve_source: Array
    valve_hose: Array
    head: Array
    made: Array
    wall: Array
    warmth: Array  # reservoir pressure per mass
    T_source: Array
    left: Array  # (branches, designs) d(dq/dt)/dp upstream
    right: Array
    drag: Array  # -d(dq/dt)/dq


@dataclass
class Drive:
    """Opening of the valve and share of the compressor's flow, with their rates (1/s)."""

    opening: Array
    opening_rate: Array
    motor: Array
    motor_rate: Array


@dataclass
class Slug:
    """Extra slopes where water still stands in the hose end; zero columns elsewhere."""

    stretch: Array  # volume of the end node over its dry volume
    spread: Array  # p / (stretch * half length): pressure lost per length gained
    push: Array
    damp: Array
    spring: Array


@dataclass
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


def rates(y: Array, design: Designs, layout: Layout, drive: Drive, wet: Array | None, first: bool = True) -> Rates:
    """Rates and slopes at state ``y`` (rows, designs).

    ``wet`` marks the designs with water in the hose end, None if there are none; ``first`` asks for the ramps as well,
    which only the first stage of a step needs.
    """
    out = np.zeros_like(y)
    p, q = y[layout.nodes], y[layout.flows]
    slug = None
    if wet is not None:
        slug, p = _slug(out, y, design, layout, wet)
    p_end = p[-1]
    T = y[1] / (y[0] * design.rv)
    full, by_source, by_hose = _valve(y[1], p[0], T, design)
    by_source, m_valve = by_source * drive.opening, full * drive.opening
    curve, curve_slope = _compressor(y[1], design, drive)
    made = curve * drive.motor
    m_head, by_end = head_flow(design.head_s, p_end, design.crack, design.p_back, design.bore_outlet)
    if wet is not None:
        m_head, by_end = np.where(wet, 0.0, m_head), np.where(wet, 0.0, by_end)
    rest = design.wall * (design.T_wall - T)
    out[0] = made - m_valve
    out[1] = design.rv * (GAMMA.value * (design.T_in * made - T * m_valve) + rest)
    out[2] = m_valve - q[0]
    np.subtract(q[:-1], q[1:], out=out[3 : layout.end])
    out[layout.end] = q[-1] - m_head
    left, right, drag, mach2 = _branches(out, p, q, design, layout)
    out[layout.slug + 2], out[layout.slug + 3], out[layout.slug + 4] = made, m_head, m_valve
    slopes = Slopes(
        by_source,
        by_hose * drive.opening,
        by_end,
        curve_slope * drive.motor,
        design.wall / y[0],
        y[1] / y[0],
        T,
        left,
        right,
        drag,
    )
    ramp = None
    if first:
        ramp = _ramp(full * drive.opening_rate, curve * drive.motor_rate, design, T)
    return Rates(out, ramp, slopes, slug, mach2, m_head, m_valve, p_end)


def _valve(p_source: Array, p_hose: Array, T: Array, design: Designs) -> tuple[Array, Array, Array]:
    """Flow of the open valve behind its regulator, and the slopes in both pressures."""
    p_1 = np.minimum(p_source, design.regulated)
    full, by_source, by_hose = valve_flow(design.valve_c / np.sqrt(T), design.b, p_1, p_hose, design.bore_inlet)
    return full, np.where(p_source > design.regulated, 0.0, by_source), by_hose


def _compressor(p: Array, design: Designs, drive: Drive) -> tuple[Array, Array]:
    """Flow of the compressor at full speed and its slope; not worked out while every one of them stands still."""
    if not (drive.motor.any() or drive.motor_rate.any()):
        return np.zeros_like(p), np.zeros_like(p)
    flow, slope = compressor.curve(p, design.curve_p, design.curve_m)
    return np.asarray(flow), np.asarray(slope)


def _ramp(valve: Array, made: Array, design: Designs, T: Array) -> Array:
    """Explicit rate of change of the driven rows: reservoir mass and pressure, first node, air made, air through the valve."""
    return np.stack([made - valve, design.rv * GAMMA.value * (design.T_in * made - T * valve), valve, made, valve])


def _branches(out: Array, p: Array, q: Array, design: Designs, layout: Layout) -> tuple[Array, Array, Array, Array]:
    """Momentum rows; returns the slopes in the pressures at both ends and in the flow, and (u/a)^2 at the inlet."""
    through = np.empty_like(p)
    np.add(q[:-1], q[1:], out=through[1:-1])
    through[1:-1] *= 0.5
    # extrapolated, not the valve's flow: that would tie the first branch to the reservoir with a slope we drop
    if layout.branches > 1:
        through[0], through[-1] = 1.5 * q[0] - 0.5 * q[1], 1.5 * q[-1] - 0.5 * q[-2]
    else:
        through[0], through[-1] = q[0], q[0]
    through *= design.a
    through /= p
    mach_left, mach_right = through[:-1] / design.area, through[1:] / design.area
    mach_left *= mach_left
    mach_right *= mach_right
    inlet = mach_left[0].copy()
    np.minimum(mach_left, DYNAMIC_LIMIT, out=mach_left)
    np.minimum(mach_right, DYNAMIC_LIMIT, out=mach_right)
    size = np.abs(q)
    f_re, n = layout.friction(size * design.re_per_flow, design.roughness)
    f_re = f_re * design.wall_drag
    minor = design.minor_drag * size
    pair = p[:-1] + p[1:]
    light = (2 * design.a * design.a) / pair  # 1/density, mean of the branch
    drag = (f_re + minor) * light
    drag_q = drag * q
    out[layout.flows] = design.inertia * (p[:-1] * (1 + mach_left) - p[1:] * (1 + mach_right)) - drag_q
    drag_q /= pair
    left = design.inertia * (1 - mach_left) + drag_q
    right = design.inertia * (1 - mach_right) - drag_q
    return left, right, (f_re * (2 + n) + 2 * minor) * light, inlet


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
    minor = design.minor_drag[-1] * design.area[-1]
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
