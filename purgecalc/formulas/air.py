"""Air as an ideal gas of constant ratio of specific heats, and the reference states its volume is counted in."""

from __future__ import annotations

import numpy as np

from purgecalc.references import DERIVED, DIN_1343, ISO_1217, ISO_2533, ISO_8778, US_STD_ATM
from purgecalc.si import (
    CubicMetre,
    CubicMetrePerSecond,
    Kelvin,
    KgPerCubicMetre,
    KgPerSecond,
    Kilogram,
    MetrePerSecond,
    Pascal,
    PascalSecond,
)
from purgecalc.working import constant, formula

R_AIR = constant("R_air", 287.05287, "J/(kg*K)", "specific gas constant of dry air", ISO_2533.at("table 1"))
R_VAPOUR = constant("R_vapour", 461.523, "J/(kg*K)", "specific gas constant of water vapour", DERIVED.at("8.314462/0.0180153"))
GAMMA = constant("gamma", 1.4, "", "ratio of specific heats of air", ISO_2533.at("table 1"))
KAPPA = (GAMMA.value - 1) / GAMMA.value
"""Exponent of temperature over pressure in isentropic flow of air."""
G = constant("g", 9.80665, "m/s**2", "standard acceleration of free fall", ISO_2533.at("table 1"))
P_STANDARD = constant("p_0", 101325.0, "Pa", "standard sea-level pressure", ISO_2533.at("table 1"))
RHO_ANR = constant("rho_ANR", 1.185, "kg/m**3", "density of air in the ISO 8778 state", ISO_8778.at("as used by ISO 6358-1"))
RHO_NORMAL = constant("rho_N", 1.2930, "kg/m**3", "density of dry air in the normal state", DIN_1343.at())
RHO_US = constant(
    "rho_US", 1.1884, "kg/m**3", "density of dry air at 68 degF, 14.5 psia", ISO_1217.at("14.5 psia = 100 kPa, 20 degC")
)
SUTHERLAND_B = constant("beta_S", 1.458e-6, "kg/(m*s*K**0.5)", "Sutherland coefficient of air", US_STD_ATM.at("eq. 51"))
SUTHERLAND_T = constant("T_S", 110.4, "K", "Sutherland temperature of air", US_STD_ATM.at("eq. 51"))


@formula(
    "air.density",
    symbol="rho",
    title="Density of dry air",
    kind="density",
    takes="p: pressure of the air; T: temperature of the air",
    shown="p/(R_air*T)",
    cite=ISO_2533.at("ideal gas, eq. 3"),
    valid="below 20 bar, -40 to 80 degC (within 0.5 %)",
)
def density(p: Pascal, T: Kelvin) -> KgPerCubicMetre:
    """Ideal-gas density. ``p`` absolute."""
    return p / (R_AIR.value * T)


@formula(
    "air.viscosity",
    symbol="mu",
    title="Dynamic viscosity of air",
    kind="viscosity",
    takes="T: temperature of the air",
    shown="beta_S*T**1.5/(T + T_S)",
    cite=US_STD_ATM.at("eq. 51"),
    valid="-50 to 200 degC, up to 10 bar (0.4 % below newer correlations)",
)
def viscosity(T: Kelvin) -> PascalSecond:
    """Sutherland's law."""
    return SUTHERLAND_B.value * T**1.5 / (T + SUTHERLAND_T.value)


@formula(
    "air.sound_speed",
    symbol="c",
    title="Speed of sound in air",
    kind="speed",
    takes="T: temperature of the air",
    shown="sqrt(gamma*R_air*T)",
    cite=ISO_2533.at("eq. 13"),
    valid="dry air at moderate pressure",
)
def sound_speed(T: Kelvin) -> MetrePerSecond:
    """Isentropic speed of sound of an ideal gas."""
    return np.sqrt(GAMMA.value * R_AIR.value * T)


@formula(
    "air.wave_speed",
    symbol="c",
    title="Speed of a pressure wave in the hose",
    kind="speed",
    takes="T: temperature of the air and of the wall of the hose",
    shown="sqrt(R_air*T)",
    cite=DERIVED.at(
        "isothermal: the wall of a bore holds the air at its temperature; that it does so in a purge hose is our judgement"
    ),
    valid="bores of some millimetres; without heat from the wall the first front is 18 % faster",
    unpublished="the speed of sound over sqrt(gamma)",
)
def wave_speed(T: Kelvin) -> MetrePerSecond:
    """What the integrated blast has as well."""
    return np.sqrt(R_AIR.value * T)


@formula(
    "air.free_volume",
    symbol="V_free",
    title="Volume of a mass of air, ANR (ISO 8778)",
    kind="volume",
    takes="m: mass of the air",
    shown="m/rho_ANR",
    cite=ISO_8778.at("20 degC, 100 kPa, 65 % RH"),
    valid="any",
    unpublished="a definition",
)
def free_volume(m: Kilogram) -> CubicMetre:
    """Volume ``m`` would have in the ISO 8778 reference state."""
    return m / RHO_ANR.value


@formula(
    "air.free_flow",
    symbol="Q_free",
    title="Flow of air, ANR (ISO 8778)",
    kind="air flow",
    takes="m: mass flow of the air",
    shown="m/rho_ANR",
    cite=ISO_8778.at("20 degC, 100 kPa, 65 % RH"),
    valid="any",
    unpublished="a definition",
)
def free_flow(m: KgPerSecond) -> CubicMetrePerSecond:
    """Volume flow ``m`` would have in the ISO 8778 reference state."""
    return m / RHO_ANR.value


@formula(
    "air.volume_at",
    symbol="V",
    title="Volume of a mass of air in a given state",
    kind="volume",
    takes="m: mass of the air; rho: its density in that state",
    shown="m/rho",
    cite=DERIVED.at("definition of density"),
    valid="any",
    unpublished="a definition",
)
def volume_at(m: Kilogram, rho: KgPerCubicMetre) -> CubicMetre:
    """Volume of ``m`` at density ``rho``."""
    return m / rho
