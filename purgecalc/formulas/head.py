"""Discharge of air through the holes of the head, choked or not, and the force of the jets."""

from __future__ import annotations

from typing import Any

import numpy as np

from purgecalc.formulas.air import GAMMA, KAPPA, R_AIR
from purgecalc.references import CENGEL, DERIVED, OUR_JUDGEMENT, PERRY, SHAPIRO, WEISBACH
from purgecalc.si import Kelvin, KgPerSecond, Metre, MetrePerSecond, Newton, Num, Pascal, Ratio, SquareMetre
from purgecalc.working import Sheet, constant, formula

_G = GAMMA.value
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
CHOKING = PSI_CHOKED.value / CRITICAL_RATIO.value
"""Flow from which on the holes are choked, counted as ``excess_root`` counts it."""


@formula(
    "head.hole_area",
    symbol="A_h",
    title="Area of all the holes of the head",
    kind="area",
    takes="n: number of holes; d: diameter of a hole",
    shown="n*pi*d**2/4",
    cite=DERIVED.at("circle"),
    valid="round holes",
    unpublished="geometry",
)
def hole_area(n: Ratio, d: Metre) -> SquareMetre:
    """All of them, open or not."""
    return n * np.pi * d**2 / 4


def flow_function(r: Num) -> Num:
    """Isentropic flow function psi of the pressure ratio r = p_back/p_0, held at its maximum below the critical ratio."""
    bounded = np.clip(r, CRITICAL_RATIO.value, 1.0)
    fall = -np.expm1(KAPPA * np.log(bounded))  # 1 - r**kappa without loss of digits near r = 1
    out: Num = np.sqrt(2 / KAPPA * fall) * bounded ** (1 / _G)
    return out


C_THICK = constant(
    "C_thick", 0.82, "", "discharge coefficient of a hole at least as long as it is wide", WEISBACH.at("0.81 to 0.84, air")
)
_PERRY = (-1.6827, 4.6001, -3.9, 0.8415, -0.1002, 0.8414)


def thin_coefficient(r: Num) -> Num:
    """Discharge coefficient of a thin plate at the pressure ratio r = p_back/p_0: 0.60 near 1, 0.84 at 0."""
    out: Num = 0.0
    for c in _PERRY:
        out = out * r + c
    return out


def thin_slope(r: Num) -> Num:
    """Its slope in r, nowhere above zero: flow rises with pressure whatever the wall."""
    out: Num = 0.0
    for power, c in zip(range(len(_PERRY) - 1, 0, -1), _PERRY, strict=False):
        out = out * r + power * c
    return out


@formula(
    "head.thinness",
    symbol="w",
    title="How far the holes are those of a thin plate",
    kind="ratio",
    takes="t: thickness of the wall at the hole; d: diameter of the hole",
    shown="max(0*t/t, min(1 + 0*t/t, 2*(1 - t/d)))",
    cite=OUR_JUDGEMENT.at("straight line between half a diameter and a diameter of wall"),
    valid="1 up to half a diameter of wall, 0 from a diameter on",
    unpublished="our own line between two kinds of hole that have cases",
)
def thinness(t: Metre, d: Metre) -> Ratio:
    """Straight between the two."""
    return np.clip(2 * (1 - t / d), 0.0, 1.0)[()]


@formula(
    "head.pressure_ratio",
    symbol="r",
    title="Pressure behind the holes over that ahead of them",
    kind="ratio",
    takes="p_b: pressure of the water at the head; p_h: pressure ahead of the holes",
    shown="p_b/p_h",
    cite=DERIVED.at("both absolute"),
    valid="p_h >= p_b",
    unpublished="a definition; the cases of the discharge coefficient use it",
)
def pressure_ratio(p_b: Pascal, p_h: Pascal) -> Ratio:
    """1 at rest, 0.53 and below where the holes choke."""
    return p_b / p_h


@formula(
    "head.discharge_coefficient",
    symbol="C_d",
    title="Discharge coefficient of the holes",
    kind="ratio",
    takes="w: 1 for holes in a thin plate, 0 for holes as long as wide; r: pressure behind the holes over that ahead of them",
    shown="C_thick + w*(0.8414 - 0.1002*r + 0.8415*r**2 - 3.9*r**3 + 4.6001*r**4 - 1.6827*r**5 - C_thick)",
    cite=PERRY.at("thin plate, as a function of the pressure ratio; long holes after Weisbach"),
    valid="round holes with a sharp edge, air",
)
def coefficient_of_wall(w: Ratio, r: Ratio) -> Ratio:
    """Between a hole as long as it is wide and one in a thin plate."""
    return C_THICK.value + w * (thin_coefficient(r) - C_THICK.value)


def effective_areas(sheet: Sheet) -> tuple[Num, Num]:
    """Effective area of the holes, and beside it their area as a thin plate, whose coefficient follows the pressure."""
    A = sheet["head.hole_area"].value
    if "head.thinness" not in sheet:
        return sheet["head.discharge_coefficient"].value * A, 0.0
    w = sheet["head.thinness"].value
    return C_THICK.value * (1 - w) * A, w * A


@formula(
    "head.mass_flow",
    symbol="m",
    title="Mass flow through the head",
    kind="mass flow",
    takes="C_d: discharge coefficient of the holes; A_h: area of all the holes; p_h: stagnation pressure ahead of the holes; "
    "p_b: pressure of the water at the head; T: temperature of the air",
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
    takes="p_h: stagnation pressure ahead of the holes; p_b: pressure of the water at the head; T: temperature of the air",
    shown="sqrt(2*gamma/(gamma - 1)*R_air*T*(1 - max(p_b/p_h, r_crit)**((gamma - 1)/gamma)))",
    cite=CENGEL.at("eq. 12-28"),
    valid="isentropic expansion to the hole exit; sonic when choked",
)
def jet_velocity(p_h: Pascal, p_b: Pascal, T: Kelvin) -> MetrePerSecond:
    """Velocity at the exit plane of a hole, in steady flow; absolute pressures, ``p_h`` ahead of the hole."""
    r = np.maximum(p_b / p_h, CRITICAL_RATIO.value)
    return np.sqrt(2 / KAPPA * R_AIR.value * T * -np.expm1(KAPPA * np.log(r)))


@formula(
    "head.exit_pressure",
    symbol="p_e",
    title="Pressure in the hole exit",
    kind="pressure",
    takes="p_h: stagnation pressure ahead of the holes; p_b: pressure of the water at the head",
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
    takes="m: mass flow through the head; u: velocity of the jets at the exit; p_e: pressure in the hole exit; p_b: pressure of "
    "the water at the head; C_d: discharge coefficient; A_h: area of all the holes",
    shown="m*u + (p_e - p_b)*C_d*A_h",
    cite=DERIVED.at("momentum balance on the jet, effective area in the pressure term"),
    valid="total over the open holes",
    unpublished="momentum balance; no handbook prints this case. Checked against the independently computed scenario figures",
)
def thrust(m: KgPerSecond, u: MetrePerSecond, p_e: Pascal, p_b: Pascal, C_d: Ratio, A_h: SquareMetre) -> Newton:
    """Momentum flux plus the pressure excess of a choked exit."""
    return m * u + (p_e - p_b) * C_d * A_h


@formula(
    "head.jet_thrust_ratio",
    symbol="ratio_jet",
    title="Jet thrust ratio: thrust over a round 150 mN",
    kind="ratio",
    takes="F: thrust of all the jets; F_ref: thrust that jets are compared with",
    shown="F/F_ref",
    cite=OUR_JUDGEMENT.at("a round 150 mN to compare with"),
    valid="an index for comparison, not a promise of cleaning",
    unpublished="our own index",
)
def jet_thrust_ratio(F: Newton, F_ref: Newton) -> Ratio:
    """Ratio of two thrusts."""
    return F / F_ref


@formula(
    "head.mach",
    symbol="M",
    title="Mach number of an isentropic expansion",
    kind="ratio",
    takes="p_h: stagnation pressure; p_b: pressure expanded to",
    shown="sqrt(2/(gamma - 1)*((p_b/p_h)**((1 - gamma)/gamma) - 1))",
    cite=SHAPIRO.at("eq. 4.14b"),
    valid="before the critical ratio in a convergent hole",
)
def isentropic_mach(p_h: Pascal, p_b: Pascal) -> Ratio:
    """Mach number reached when stagnation pressure ``p_h`` expands to ``p_b``."""
    return np.sqrt(2 / (_G - 1) * np.expm1(-KAPPA * np.log(p_b / p_h)))


@formula(
    "head.overpressure",
    symbol="dp",
    title="Pressure of the head above the water's",
    kind="pressure difference",
    takes="p_h: pressure ahead of the holes; p_b: pressure of the water at the head",
    shown="p_h - p_b",
    cite=DERIVED.at("difference"),
    valid="any",
    unpublished="a difference",
)
def overpressure(p_h: Pascal, p_b: Pascal) -> Pascal:
    """What drives the jets in steady flow; absolute pressures, ``p_h`` ahead of the holes."""
    return p_h - p_b


@formula(
    "head.choked",
    symbol="choked",
    title="Holes of the head choked",
    kind="flag",
    takes="p_h: pressure ahead of the holes; p_b: pressure of the water at the head",
    shown="floor(min(p_h*r_crit/p_b, 1))",
    cite=SHAPIRO.at("ch. 4, convergent nozzle"),
    valid="1 where the pressure ratio is at or beyond the critical one, else 0",
    unpublished="a comparison of pressures",
)
def choked(p_h: Pascal, p_b: Pascal) -> Ratio:
    """1 where sonic in the holes, 0 where not."""
    return np.floor(np.minimum(p_h * CRITICAL_RATIO.value / p_b, 1.0))


def excess_root(u: Any) -> Any:
    """sqrt(p_h/p_b - 1) at flow u, counted in A_h p_b/sqrt(R T)."""
    warm = np.log1p(KAPPA * u * u / (1 + np.sqrt(1 + 2 * KAPPA * u * u)))
    return np.sqrt(np.where(u >= CHOKING, u / PSI_CHOKED.value - 1, np.expm1(warm / KAPPA)))
