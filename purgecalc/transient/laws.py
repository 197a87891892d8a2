"""What passes the valve, the hose wall and the head, each with its slopes for the implicit step.

The steady laws live in ``purgecalc.formulas``; here they get what a time integration needs besides the value: slopes, a
finite slope where the pressure ratio reaches one (a square root has none there), and the sonic limit of the bore.
"""

from __future__ import annotations

from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from purgecalc.formulas import hose, orifice
from purgecalc.formulas.air import GAMMA

Array = NDArray[np.float64]
LINEAR_FROM = 0.999
"""Pressure ratio above which valve and head pass a flow proportional to 1 - r instead of its root."""
_KAPPA = (GAMMA.value - 1) / GAMMA.value
_LN10_2 = 2 / np.log(10)


class FrictionLaw(Protocol):
    """Darcy friction as f*Re and d(ln f)/d(ln Re), from Reynolds number and relative roughness eps/D (same shapes).

    f*Re rather than f, because it stays finite in a hose at rest.
    """

    def __call__(self, Re: Array, roughness: Array) -> tuple[Array, Array]: ...


def blended(Re: Array, roughness: Array) -> tuple[Array, Array]:
    """Laminar, Colebrook-White, or the straight line between them: the law of ``formulas.hose``, here with its slope.

    Two Newton steps from the middle of the range end within 1e-5 of the converged factor for eps/D up to 0.05.
    """
    re = np.maximum(Re, hose.RE_LAMINAR.value)
    rough = roughness / 3.7
    x = hose.colebrook_step(6.5, rough, re)
    x = hose.colebrook_step(x, rough, re)
    t = _LN10_2 * 2.51 / (re * rough + 2.51 * x)
    turbulent = re / (x * x)
    span = hose.RE_TURBULENT.value - hose.RE_LAMINAR.value
    weight = np.clip((Re - hose.RE_LAMINAR.value) / span, 0.0, 1.0)
    value = 64 + (turbulent - 64) * weight
    bend = np.where(weight < 1, (turbulent - 64) * re / span, 0.0)  # the weight itself grows with Re
    slope = (weight * turbulent * (1 - 2 * t / (1 + t)) + np.where(weight > 0, bend, 0.0)) / value - 1
    return value, slope


def churchill(Re: Array, roughness: Array) -> tuple[Array, Array]:
    """Churchill's single expression over all regimes (Chem. Eng. 84 (24), 1977, 91), smooth where the blend has kinks."""
    re = np.maximum(Re, 1.0)
    inner = (7 / re) ** 0.9
    log_term = np.log(1 / (inner + 0.27 * roughness))
    big_a, big_b = (2.457 * log_term) ** 16, (37530 / re) ** 16
    total = big_a + big_b
    laminar = (8 / re) ** 12
    mixed = laminar + total**-1.5
    value = 8 * re * mixed ** (1 / 12)
    d_total = 16 * big_a / log_term * 0.9 * inner / (inner + 0.27 * roughness) - 16 * big_b
    slope = (-12 * laminar - 1.5 * total**-2.5 * d_total) / (12 * mixed)
    low = Re < 200
    return np.where(low, 64.0, value), np.where(low, -1.0, slope)


def frictionless(Re: Array, roughness: Array) -> tuple[Array, Array]:
    """No wall friction: for comparison with closed forms."""
    return 0.0 * Re, 0.0 * Re


def valve_flow(c: Array, b: Array, p_1: Array, p_2: Array, cap: Array) -> tuple[Array, Array, Array]:
    """Mass flow of the fully open valve in kg/s and its slopes in ``p_1`` and ``p_2``.

    ``c`` conductance in kg/(s Pa) at the temperature of the air, ``cap`` bore limit A/a in kg/(s Pa) applied to the
    pressure behind the valve. Antisymmetric: air runs back when ``p_2`` is the higher. Equals ``formulas.valve.mass_flow``
    up to the pressure ratio ``LINEAR_FROM``.
    """
    high, low = np.maximum(p_1, p_2), np.minimum(p_1, p_2)
    r = low / high
    x = np.maximum((np.minimum(r, LINEAR_FROM) - b) / (1 - b), 0.0)
    phi = np.sqrt(1 - x * x)
    near = r > LINEAR_FROM
    by_low = c * np.where(near, -phi / (1 - LINEAR_FROM), -x / ((1 - b) * phi))
    phi = c * phi * np.where(near, (1 - r) / (1 - LINEAR_FROM), 1.0)
    by_high = phi - r * by_low
    forward = p_1 >= p_2
    m = phi * np.where(forward, high, -high)
    by_1, by_2 = np.where(forward, by_high, -by_low), np.where(forward, by_low, -by_high)
    over = m > cap * p_2
    return np.where(over, cap * p_2, m), np.where(over, 0.0, by_1), np.where(over, cap, by_2)


def head_flow(s: Array, p_end: Array, crack: Array, p_back: Array, cap: Array) -> tuple[Array, Array]:
    """Mass flow through the head in kg/s and its slope in the pressure at the hose end.

    ``s`` effective hole area over sqrt(R T); ``crack`` is what the check valve keeps; nothing flows backwards. ``cap`` is
    A/a of the hose end, where the flow cannot pass the isothermal speed of sound. All pressures absolute.
    """
    p = p_end - crack
    r = np.minimum(p_back / np.maximum(p, p_back), 1.0)
    bounded = np.clip(r, orifice.CRITICAL_RATIO.value, LINEAR_FROM)
    psi = orifice.flow_function(bounded)
    fall = np.exp(_KAPPA * np.log(bounded))
    # r dpsi/dr in closed form; psi no longer varies once choked
    rise = (
        bounded
        * bounded
        / (_KAPPA * fall * fall * psi)
        * (2 / GAMMA.value - (1 + _KAPPA) * fall + (_KAPPA - 1 / GAMMA.value) * fall)
    )
    near = r > LINEAR_FROM
    choked = r < orifice.CRITICAL_RATIO.value
    by_p = s * np.where(near, psi / (1 - LINEAR_FROM), psi - np.where(choked, 0.0, rise))
    m = s * np.maximum(p, p_back) * psi * np.where(near, (1 - r) / (1 - LINEAR_FROM), 1.0)
    by_p = np.where(p > p_back, by_p, 0.0)
    over = m > cap * p_end
    return np.where(over, cap * p_end, m), np.where(over, cap, by_p)
