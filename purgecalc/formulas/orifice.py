"""Discharge of air through the holes of the head, choked or not, and the force of the jets."""

from __future__ import annotations

import numpy as np

from purgecalc.formulas.air import GAMMA, R_AIR
from purgecalc.references import CENGEL, DERIVED, SHAPIRO
from purgecalc.working import (
    Kelvin,
    KgPerSecond,
    Metre,
    MetrePerSecond,
    Newton,
    Num,
    Pascal,
    Ratio,
    SquareMetre,
    constant,
    formula,
)

_G = GAMMA.value
_KAPPA = (_G - 1) / _G
CRITICAL_RATIO = constant(
    "r_crit", (2 / (_G + 1)) ** (_G / (_G - 1)), "", "critical pressure ratio of a nozzle", SHAPIRO.at("eq. 4.18, gamma 1.4")
)
PSI_CHOKED = constant(
    "psi_max",
    float(np.sqrt(_G) * (2 / (_G + 1)) ** ((_G + 1) / (2 * (_G - 1)))),
    "",
    "choked flow function",
    SHAPIRO.at("eq. 4.17"),
)


@formula(
    "head.hole_area",
    symbol="A_h",
    title="Area of all the holes of the head",
    kind="area",
    shown="n*pi*d**2/4",
    cite=DERIVED.at("circle"),
    valid="round holes",
    unpublished="geometry",
)
def hole_area(n: Ratio, d: Metre) -> SquareMetre:
    """``n`` round holes of diameter ``d``."""
    return n * np.pi * d**2 / 4


def flow_function(r: Num) -> Num:
    """Isentropic flow function psi of the pressure ratio r = p_back/p_0, held at its maximum below the critical ratio."""
    bounded = np.clip(r, CRITICAL_RATIO.value, 1.0)
    fall = -np.expm1(_KAPPA * np.log(bounded))  # 1 - r**kappa without loss of digits near r = 1
    out: Num = np.sqrt(2 / _KAPPA * fall) * bounded ** (1 / _G)
    return out


@formula(
    "head.mass_flow",
    symbol="m",
    title="Mass flow through the head",
    kind="mass flow",
    shown="C_d*A_h*p_h/sqrt(R_air*T)*sqrt(2*gamma/(gamma - 1)*(max(p_b/p_h, r_crit)**(2/gamma)"
    " - max(p_b/p_h, r_crit)**((gamma + 1)/gamma)))",
    cite=CENGEL.at("eqs. 12-38 to 12-42"),
    valid="gas upstream of the hole; p_h >= p_b",
)
def mass_flow(C_d: Ratio, A_h: SquareMetre, p_h: Pascal, p_b: Pascal, T: Kelvin) -> KgPerSecond:
    """Isentropic nozzle with a discharge coefficient. ``p_h`` stagnation pressure ahead of the holes, both absolute."""
    return C_d * A_h * p_h / np.sqrt(R_AIR.value * T) * flow_function(p_b / p_h)


@formula(
    "head.jet_velocity",
    symbol="u",
    title="Velocity of the jet where it leaves the hole",
    kind="speed",
    shown="sqrt(2*gamma/(gamma - 1)*R_air*T*(1 - max(p_b/p_h, r_crit)**((gamma - 1)/gamma)))",
    cite=CENGEL.at("eq. 12-28"),
    valid="isentropic expansion to the hole exit; sonic when choked",
)
def jet_velocity(p_h: Pascal, p_b: Pascal, T: Kelvin) -> MetrePerSecond:
    """Velocity at the exit plane of a hole."""
    r = np.maximum(p_b / p_h, CRITICAL_RATIO.value)
    return np.sqrt(2 / _KAPPA * R_AIR.value * T * -np.expm1(_KAPPA * np.log(r)))


@formula(
    "head.exit_pressure",
    symbol="p_e",
    title="Pressure in the hole exit",
    kind="pressure",
    shown="max(p_b, r_crit*p_h)",
    cite=SHAPIRO.at("ch. 4, convergent nozzle"),
    valid="convergent hole",
)
def exit_pressure(p_h: Pascal, p_b: Pascal) -> Pascal:
    """Equal to the water's pressure until the hole chokes, above it after."""
    return np.maximum(p_b, CRITICAL_RATIO.value * p_h)


@formula(
    "head.thrust",
    symbol="F",
    title="Thrust of all the jets",
    kind="force",
    shown="m*u + (p_e - p_b)*C_d*A_h",
    cite=DERIVED.at("momentum balance on the jet, effective area in the pressure term"),
    valid="total over the open holes",
    unpublished="momentum balance; no handbook prints this case. Checked against the independently computed scenario figures",
)
def thrust(m: KgPerSecond, u: MetrePerSecond, p_e: Pascal, p_b: Pascal, C_d: Ratio, A_h: SquareMetre) -> Newton:
    """Momentum flux plus the pressure excess of a choked exit."""
    return m * u + (p_e - p_b) * C_d * A_h


@formula(
    "head.jet_ratio",
    symbol="ratio_jet",
    title="Thrust over the fixed reference thrust",
    kind="ratio",
    shown="F/F_ref",
    cite=DERIVED.at("reference: 60 L/min at 3 bar, 7.6 m of 8 mm hose, four 1.5 mm holes 1 m deep"),
    valid="an index for comparison, not a promise of cleaning",
    unpublished="our own index",
)
def jet_ratio(F: Newton, F_ref: Newton) -> Ratio:
    """Ratio of two thrusts."""
    return F / F_ref


@formula(
    "head.mach",
    symbol="M",
    title="Mach number of an isentropic expansion",
    kind="ratio",
    shown="sqrt(2/(gamma - 1)*((p_b/p_h)**((1 - gamma)/gamma) - 1))",
    cite=SHAPIRO.at("eq. 4.14b"),
    valid="before the critical ratio in a convergent hole",
)
def isentropic_mach(p_h: Pascal, p_b: Pascal) -> Ratio:
    """Mach number reached when stagnation pressure ``p_h`` expands to ``p_b``."""
    return np.sqrt(2 / (_G - 1) * np.expm1(-_KAPPA * np.log(p_b / p_h)))


@formula(
    "head.overpressure",
    symbol="dp",
    title="Pressure of the head above the water's",
    kind="pressure difference",
    shown="p_h - p_b",
    cite=DERIVED.at("difference"),
    valid="any",
    unpublished="a difference",
)
def overpressure(p_h: Pascal, p_b: Pascal) -> Pascal:
    """What drives the jets."""
    return p_h - p_b


@formula(
    "head.choked",
    symbol="choked",
    title="Holes of the head choked",
    kind="flag",
    shown="floor(min(p_h*r_crit/p_b, 1))",
    cite=SHAPIRO.at("ch. 4, convergent nozzle"),
    valid="1 where the pressure ratio is at or beyond the critical one, else 0",
    unpublished="a comparison of pressures",
)
def choked(p_h: Pascal, p_b: Pascal) -> Ratio:
    """1 where sonic in the holes, 0 where not."""
    return np.floor(np.minimum(p_h * CRITICAL_RATIO.value / p_b, 1.0))
