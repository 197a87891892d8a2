"""Adiabatic flow with friction (Fanno), the cross-check on the isothermal hose where the Mach number is not small."""

from __future__ import annotations

import numpy as np

from purgecalc.formulas.air import GAMMA, R_AIR
from purgecalc.references import SHAPIRO
from purgecalc.si import Kelvin, KgPerSecond, Num, Pascal, Ratio, SquareMetre
from purgecalc.working import formula

_G = GAMMA.value
_SLOW = 1e-4
"""Below this Mach number at the exit the air's speed and cooling count for nothing beside friction."""


@formula(
    "fanno.length",
    symbol="fL_D",
    title="Friction length to choking, f L*/D",
    kind="ratio",
    takes="M: Mach number",
    shown="(1 - M**2)/(gamma*M**2) + (gamma + 1)/(2*gamma)*ln((gamma + 1)*M**2/(2 + (gamma - 1)*M**2))",
    cite=SHAPIRO.at("eq. 6.20, Darcy friction factor"),
    valid="adiabatic, constant area, M <= 1",
)
def length(M: Ratio) -> Ratio:
    """Velocity heads of friction that bring flow at Mach ``M`` to choking."""
    return (1 - M**2) / (_G * M**2) + (_G + 1) / (2 * _G) * np.log((_G + 1) * M**2 / (2 + (_G - 1) * M**2))


@formula(
    "fanno.pressure_ratio",
    symbol="p_ratio",
    title="Static pressure over that at choking, p/p*",
    kind="ratio",
    takes="M: Mach number",
    shown="sqrt((gamma + 1)/(2 + (gamma - 1)*M**2))/M",
    cite=SHAPIRO.at("eq. 6.23"),
    valid="adiabatic, constant area",
)
def pressure_ratio(M: Ratio) -> Ratio:
    """p/p* at Mach ``M``."""
    return np.sqrt((_G + 1) / (2 + (_G - 1) * M**2)) / M


def mach_of_length(target: Num) -> Num:
    """Subsonic Mach number whose friction length to choking is ``target`` (Newton in ln M, held within a bracket)."""
    low, high = np.log(1e-6) + 0.0 * target, 0.0 * target
    at = -0.5 * np.log1p(_G * np.maximum(target, 0.0))  # a little high, and right for very long and very short hoses
    for _ in range(60):
        M2 = np.exp(2 * at)
        short = target - length(np.sqrt(M2))
        low, high = np.where(short < 0, at, low), np.where(short < 0, high, at)
        slope = -2 * (1 - M2) / (_G * M2 * (1 + 0.5 * (_G - 1) * M2))
        to = at + short / np.minimum(slope, -1e-300)
        to = np.where((to >= low) & (to <= high), to, 0.5 * (low + high))
        moved, at = np.abs(to - at), to
        if not np.any(moved > 1e-12):  # nan has nowhere to go
            break
    return np.exp(at)


@formula(
    "hose.adiabatic_inlet_pressure",
    symbol="p_in",
    title="Source-end pressure if the hose were adiabatic",
    kind="pressure",
    takes="m: mass flow; A: area of the bore; p_out: pressure at the head end of the hose; T_0: stagnation temperature of the "
    "air; N: resistance of hose and fittings in velocity heads",
    shown="fanno_inlet(m, A, p_out, T_0, N)",
    cite=SHAPIRO.at("section 6.4, Fanno line between two Mach numbers"),
    valid="adiabatic, stagnation temperature T_0; friction alone below Mach 1e-4; nan where the exit would be sonic",
    unpublished="composition of the tabulated Fanno functions above",
)
def adiabatic_inlet_pressure(m: KgPerSecond, A: SquareMetre, p_out: Pascal, T_0: Kelvin, N: Ratio) -> Pascal:
    """Fanno counterpart of ``hose.inlet_pressure``."""
    # m/(A p) sqrt(R T0/gamma) = M sqrt(1 + (gamma-1)/2 M^2), a quadratic in M^2
    y = (m / (A * p_out)) ** 2 * R_AIR.value * T_0 / _G
    M_out = np.sqrt((np.sqrt(1 + 2 * (_G - 1) * y) - 1) / (_G - 1))
    slow = M_out < _SLOW
    M_out = np.where(M_out < 1, np.maximum(M_out, _SLOW), np.nan)
    M_in = mach_of_length(N + length(M_out))
    return np.where(slow, p_out * np.sqrt(1 + _G * y * N), p_out * pressure_ratio(M_in) / pressure_ratio(M_out))[()]
