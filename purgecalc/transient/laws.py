"""What passes the valve, the hose wall and the head, each with its slopes for the implicit step.

The steady laws live in ``purgecalc.formulas``; here they get what a time integration needs besides the value: slopes, a
finite slope where the pressure ratio reaches one (a square root has none there), and the sonic limit of the bore.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from types import SimpleNamespace
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

from purgecalc.formulas import head as hd
from purgecalc.formulas import hose
from purgecalc.formulas.air import GAMMA, KAPPA
from purgecalc.si import Num

Array = NDArray[np.float64]
LINEAR_FROM = 0.999
"""Pressure ratio above which valve and head pass a flow proportional to 1 - r instead of its root."""
_GAMMA_1 = 1 / GAMMA.value
_CRITICAL = hd.CRITICAL_RATIO.value
_LINEAR = 1 / (1 - LINEAR_FROM)
some = np.count_nonzero
"""Is any true? Quicker on short arrays than their own ``any``."""
ARRAYS: Any = np
SCALARS: Any = SimpleNamespace(
    minimum=min, maximum=max, sqrt=math.sqrt, exp=math.exp, log=math.log, where=lambda which, yes, no: yes if which else no
)
"""The operations the laws of the ends are written in: on arrays, or on plain numbers, which for one design is ten times quicker
than arrays of length one."""


class FrictionLaw(Protocol):
    """Darcy friction as f*Re and d(ln f)/d(ln Re), from Reynolds number and relative roughness eps/D (same shapes).

    f*Re rather than f, because it stays finite in a hose at rest.
    """

    def __call__(self, Re: Array, roughness: Array) -> tuple[Array, Array]: ...


def blended(Re: Array, roughness: Array) -> tuple[Array, Array]:
    """Laminar, Colebrook-White, or the straight line between them: the law of ``formulas.hose``, here with its slope.

    Two Newton steps from the middle of the range end within 1e-5 of the converged factor for eps/D up to 0.05.
    """
    laminar, turbulent = hose.RE_LAMINAR.value, hose.RE_TURBULENT.value
    re, rough = np.maximum(Re, laminar), roughness / 3.7
    x = hose.colebrook_step(6.5, rough, re)
    x = hose.colebrook_step(x, rough, re)
    t = hose.LN10_2 * 2.51 / (re * rough + 2.51 * x)
    value, slope = re / (x * x), -2 * t / (1 + t)
    low = Re < turbulent
    if some(low):
        weight = np.maximum(Re - laminar, 0.0) / (turbulent - laminar)
        over = value - 64
        mixed = 64 + over * weight
        bend = np.where(weight > 0, over * re / (turbulent - laminar), 0.0)  # the weight itself grows with Re
        slope = np.where(low, (weight * value * (1 + slope) + bend) / mixed - 1, slope)
        value = np.where(low, mixed, value)
    return value, slope


def churchill(Re: Array, roughness: Array) -> tuple[Array, Array]:
    """Churchill's single expression over all regimes (Chem. Eng. 84 (24), 1977, 91), smooth where the blend has kinks."""
    re = np.maximum(Re, 1.0)
    inner = (7 / re) ** 0.9
    log_term = np.log(1 / (inner + 0.27 * roughness))
    big_a, big_b = (2.457 * log_term) ** 16, (37530 / re) ** 16
    total = big_a + big_b
    laminar = (8 / re) ** 12
    rest = total**-1.5
    mixed = laminar + rest
    value = 8 * re * mixed ** (1 / 12)
    d_total = 16 * big_a / log_term * 0.9 * inner / (inner + 0.27 * roughness) - 16 * big_b
    slope = (-12 * laminar - 1.5 * rest * (d_total / total)) / (12 * mixed)
    low = Re < 200
    return np.where(low, 64.0, value), np.where(low, -1.0, slope)


def frictionless(Re: Array, roughness: Array) -> tuple[Array, Array]:
    """No wall friction: for comparison with closed forms."""
    return 0.0 * Re, 0.0 * Re


def valve_flow(
    c: Num, b: Num, p_1: Num, p_0: Num, crack: Num, cap: Num, xp: Any = ARRAYS, *, slopes: bool = True
) -> tuple[Num, Num, Num]:
    """Mass flow of the fully open valve in kg/s and, if wanted, its slopes in ``p_1`` and ``p_0``.

    ``c`` conductance in kg/(s Pa) at the temperature of the air, ``cap`` bore limit A/a in kg/(s Pa) applied to the
    pressure ``p_0`` in the hose. Antisymmetric: air runs back when that is the higher, unless a check valve behind the valve
    keeps ``crack`` and lets nothing back. ISO 6358 up to the pressure ratio ``LINEAR_FROM``.
    """
    p_2 = p_0 + crack
    high = xp.maximum(p_1, p_2)
    r = xp.minimum(p_1, p_2) / high
    gap = 1 - b
    x = xp.maximum((xp.minimum(r, LINEAR_FROM) - b) / gap, 0.0)
    phi = xp.sqrt(1 - x * x)
    taper = xp.maximum(
        xp.minimum((p_1 - p_2) / high * _LINEAR, 1.0), xp.where(crack > 0, 0.0, -1.0)
    )  # carries the direction as well
    cap = math.e * cap  # u - a ln p stays along the wave into the hose: sonic when the pressure has risen e-fold
    m, most = c * phi * high * taper, cap * p_0
    if not slopes:
        return xp.minimum(m, most), math.nan, math.nan
    by_low = -c * xp.where(r > LINEAR_FROM, phi * _LINEAR, x / (gap * phi))
    by_high = c * phi * abs(taper) - r * by_low
    forward, over = p_1 >= p_2, m > most
    by_1, by_2 = xp.where(forward, by_high, -by_low), xp.where(forward, by_low, -by_high)
    shut = (crack > 0) & (p_2 > p_1)
    by_1, by_2 = xp.where(shut | over, 0.0, by_1), xp.where(shut, 0.0, by_2)
    return xp.minimum(m, most), by_1, xp.where(over, cap, by_2)


def head_flow(
    s: Num, p_end: Num, crack: Num, p_back: Num, cap: Num, xp: Any = ARRAYS, thin: Num | None = None, *, slopes: bool = True
) -> tuple[Num, Num]:
    """Mass flow through the head in kg/s and, if wanted, its slope in the pressure at the hose end.

    ``s`` effective hole area over sqrt(R T), ``thin`` the same of holes in a thin plate (None where there are none), whose
    coefficient follows the pressure; ``crack`` is what the check valve keeps; nothing flows backwards. ``cap`` is
    A/a of the hose end, where the flow cannot pass the isothermal speed of sound. All pressures absolute. Equals
    ``formulas.head.flow_function`` up to the pressure ratio ``LINEAR_FROM``.
    """
    p = p_end - crack
    top = xp.maximum(p, p_back)
    r = p_back / top
    bounded = xp.minimum(xp.maximum(r, _CRITICAL), LINEAR_FROM)
    fall = xp.exp(KAPPA * xp.log(bounded))
    lost = 1 - fall
    psi = bounded / fall * xp.sqrt(2 / KAPPA * lost)
    bend: Num = 0.0
    if thin is not None:
        s, bend = s + thin * hd.thin_coefficient(r), thin * r * hd.thin_slope(r)
    taper = xp.minimum((1 - r) * _LINEAR, 1.0)
    m, most = s * top * psi * taper, cap * p_end
    if not slopes:
        return xp.minimum(m, most), math.nan
    # psi - r dpsi/dr; the second vanishes at the critical ratio
    by_p = s * psi * xp.where(r > LINEAR_FROM, _LINEAR, 1 - _GAMMA_1 + 0.5 * KAPPA * fall / lost)
    by_p = xp.where(p > p_back, by_p - bend * psi * taper, 0.0)
    return xp.minimum(m, most), xp.where(m > most, cap, by_p)


def made_flow(
    p: Num, points: Sequence[Num] | Array, flows: Sequence[Num] | Array, xp: Any = ARRAYS, *, slopes: bool = True
) -> tuple[Num, Num]:
    """Flow of the compressor at full speed and its slope: ``formulas.compressor.curve``, which knows only arrays."""
    flow = flows[0]
    slope: Num = 0.0 * p
    for i in range(len(points) - 1):
        width = points[i + 1] - points[i]
        rate, above = (flows[i + 1] - flows[i]) / width, p - points[i]
        flow = flow + rate * xp.minimum(xp.maximum(above, 0.0), width)
        if slopes:
            slope = xp.where((above >= 0) & (above < width), rate, slope)
    return xp.maximum(flow, 0.0), slope
