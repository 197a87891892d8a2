"""The line worked backwards: what pressure a thrust or a flow needs, and how long a hose that leaves.

Jet thrust ratio is thrust over a fixed, round 150 mN (our judgement), so that a weak source, depth and altitude count.
How little is enough, and how much is too much, is the probe's: its kind has a floor and a ceiling in the catalogue.

Time counts as useful above 0.98 of the jet floor: a jet at its floor reaches it only in the limit, and the moment would
be noise.
"""

from __future__ import annotations

import numpy as np

from purgecalc.formulas.air import GAMMA, KAPPA, R_AIR, RHO_ANR, G
from purgecalc.formulas.head import CRITICAL_RATIO, PSI_CHOKED
from purgecalc.formulas.valve import T_ANR
from purgecalc.references import DERIVED, ISO_6358, OUR_JUDGEMENT
from purgecalc.si import Kelvin, KgPerCubicMetre, KgPerSecond, Metre, Newton, Pascal, Ratio, SonicConductance, SquareMetre
from purgecalc.working import constant, formula

_G = GAMMA.value

F_REFERENCE = constant(
    "F_ref",
    0.150,
    "N",
    "thrust that jets are compared with",
    OUR_JUDGEMENT.at("a round figure: 60 L/min through four 1.5 mm holes 1 m deep give 151 mN"),
)
USEFUL_SHARE = constant(
    "k_useful",
    0.98,
    "",
    "share of the jet floor above which time counts as useful",
    OUR_JUDGEMENT.at("a jet that rises to its floor reaches it only in the limit"),
)


@formula(
    "limit.thrust",
    symbol="F",
    title="Thrust regarded as enough",
    kind="force",
    takes="ratio_floor: jet thrust ratio regarded as enough; F_ref: thrust that jets are compared with",
    shown="ratio_floor*F_ref",
    cite=OUR_JUDGEMENT.at("share of 150 mN"),
    valid="index",
    unpublished="our own index",
)
def thrust_floor(ratio_floor: Ratio, F_ref: Newton) -> Newton:
    """Smallest thrust counted as useful."""
    return ratio_floor * F_ref


@formula(
    "blast.useful_thrust",
    symbol="F_useful",
    title="Thrust above which time counts as useful",
    kind="force",
    takes="k_useful: share of the jet floor above which time counts as useful; F: thrust regarded as enough",
    shown="k_useful*F",
    cite=OUR_JUDGEMENT.at("share of the thrust regarded as enough"),
    valid="index",
    unpublished="our own index",
)
def useful_thrust(k_useful: Ratio, F: Newton) -> Newton:
    """A little below the thrust regarded as enough."""
    return k_useful * F


@formula(
    "limit.head_pressure_for_thrust",
    symbol="p_h",
    title="Pressure ahead of the holes that a thrust needs",
    kind="pressure",
    takes="F: thrust of all the jets; p_b: pressure of the water at the head; C_d: discharge coefficient of the holes; A_h: "
    "area of all the holes",
    shown="p_b*(1 + (gamma - 1)/2*min(F/(gamma*p_b*C_d*A_h), 1 + 0*F/F))**(gamma/(gamma - 1))"
    " + p_b*gamma/((gamma + 1)*r_crit)*(max(F/(gamma*p_b*C_d*A_h), 1 + 0*F/F) - 1)",
    cite=DERIVED.at("thrust = gamma p M^2 C_d A_h up to choking, linear in p_h beyond"),
    valid="F > 0",
    unpublished="inverse of head.thrust; the round trip is a property test",
)
def head_pressure_for_thrust(F: Newton, p_b: Pascal, C_d: Ratio, A_h: SquareMetre) -> Pascal:
    """Inverse of the thrust of the holes; absolute pressures."""
    x = F / (_G * p_b * C_d * A_h)
    return p_b * (1 + (_G - 1) / 2 * np.minimum(x, 1.0)) ** (1 / KAPPA) + p_b * _G / ((_G + 1) * CRITICAL_RATIO.value) * (
        np.maximum(x, 1.0) - 1
    )


@formula(
    "limit.head_pressure_for_flow",
    symbol="p_h",
    title="Pressure ahead of the holes that a flow needs",
    kind="pressure",
    takes="m: mass flow; C_d: discharge coefficient of the holes; A_h: area of all the holes; p_b: pressure of the water at the "
    "head; T: temperature of the air",
    shown="m = C_d*A_h*p_h/sqrt(R_air*T)*sqrt(2*gamma/(gamma - 1)*(max(p_b/p_h, r_crit)**(2/gamma)"
    " - max(p_b/p_h, r_crit)**((gamma + 1)/gamma)))",
    cite=DERIVED.at("nozzle equation solved for p_h: a quadratic in (p_b/p_h)**((gamma-1)/gamma), or linear when choked"),
    valid="m > 0",
    unpublished="inverse of head.mass_flow; the round trip is a property test",
)
def head_pressure_for_flow(m: KgPerSecond, C_d: Ratio, A_h: SquareMetre, p_b: Pascal, T: Kelvin) -> Pascal:
    """Inverse of the nozzle flow; absolute pressures."""
    c = C_d * A_h / np.sqrt(R_AIR.value * T)
    w = (m / (c * p_b)) ** 2 * KAPPA / 2
    r = (2 / (1 + np.sqrt(1 + 4 * w))) ** (1 / KAPPA)
    return np.where(r > CRITICAL_RATIO.value, p_b / r, m / (c * PSI_CHOKED.value))[()]


@formula(
    "limit.source_pressure_for_flow",
    symbol="p",
    title="Pressure at which the source delivers a flow",
    kind="pressure",
    takes="m: mass flow; p_a: pressure at one point of the source's curve; p_b: pressure at the other; m_a: mass flow at p_a; "
    "m_b: mass flow at p_b; p_atm: pressure of the atmosphere",
    shown="p_a + (m_a - m)/(m_a - m_b)*(p_b - p_a) + 0*p_atm",
    cite=OUR_JUDGEMENT.at("straight line between the stated points of the source"),
    valid="m between the flows of the two points; none where it would be below the atmosphere: more than the source can give",
    unpublished="inverse of source.mass_flow",
)
def source_pressure_for_flow(
    m: KgPerSecond, p_a: Pascal, p_b: Pascal, m_a: KgPerSecond, m_b: KgPerSecond, p_atm: Pascal
) -> Pascal:
    """Where the source's line passes ``m``; absolute pressures."""
    p = p_a + (m_a - m) / (m_a - m_b) * (p_b - p_a)
    return np.where(p >= p_atm * (1 - 1e-9), p, np.nan)[()]


@formula(
    "valve.outlet_pressure",
    symbol="p_2",
    title="Pressure after the valve",
    kind="pressure",
    takes="m: mass flow; C: sonic conductance of the valve; b: its critical pressure ratio; p_1: pressure ahead of it; T: "
    "temperature of the air",
    shown="p_1*(b + (1 - b)*sqrt(1 - (m/(C*p_1*rho_ANR*sqrt(T_ANR/T)))**2))",
    cite=ISO_6358.at("clause 5, eq. 2, solved for the downstream pressure"),
    valid="m below the choked flow at p_1; nan beyond",
    unpublished="the ISO 6358 flow solved for the pressure behind; the round trip is a property test",
)
def valve_outlet_pressure(m: KgPerSecond, C: SonicConductance, b: Ratio, p_1: Pascal, T: Kelvin) -> Pascal:
    """Highest downstream pressure at which the valve passes ``m``."""
    share = m / (C * p_1 * RHO_ANR.value * np.sqrt(T_ANR.value / T))
    inside = np.where(share <= 1, 1 - np.minimum(share, 1.0) ** 2, np.nan)
    return p_1 * (b + (1 - b) * np.sqrt(inside))


@formula(
    "hose.longest",
    symbol="L_max",
    title="Length at which jet or source rating ends (size judges by every rule)",
    kind="length",
    takes="L_a: longest hose by one limit; L_b: longest hose by the other",
    shown="min(L_a, L_b)",
    cite=DERIVED.at("the stricter of jet and source rating"),
    valid="jet at its floor, or source at its rated pressure; 0 where there is none for one of them",
    unpublished="the smaller of two",
)
def longest(L_a: Metre, L_b: Metre) -> Metre:
    """The lesser of two lengths."""
    return np.where(np.isnan(L_a) | np.isnan(L_b), 0.0, np.minimum(L_a, L_b))[()]


@formula(
    "water.deepest_head",
    symbol="h_max",
    title="Deepest the head may hang before the source stalls",
    kind="length",
    takes="p_max: highest pressure of the source; p_atm: pressure of the atmosphere; p_crack: pressure difference the check "
    "valve takes; rho_w: density of the water",
    shown="(p_max - p_atm - p_crack)/(rho_w*g)",
    cite=DERIVED.at("hydrostatics"),
    valid="no flow at this depth; a working depth is less",
    unpublished="hydrostatics",
)
def deepest_head(p_max: Pascal, p_atm: Pascal, p_crack: Pascal, rho_w: KgPerCubicMetre) -> Metre:
    """Depth at which the source's highest pressure is all spent."""
    return (p_max - p_atm - p_crack) / (rho_w * G.value)
