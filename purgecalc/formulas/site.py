"""Pressure of the site and of the water above the head."""

from __future__ import annotations

from purgecalc.formulas.air import P_STANDARD, G
from purgecalc.references import DERIVED, ISO_2533, MILLERO, US_STD_ATM
from purgecalc.si import Kelvin, KgPerCubicMetre, Metre, Pascal, Ratio
from purgecalc.working import constant, formula

EARTH_RADIUS = constant("r_earth", 6356766.0, "m", "effective earth radius", US_STD_ATM.at("table 1"))
T_SEA = constant("T_0", 288.15, "K", "standard sea-level temperature", ISO_2533.at("table 1"))
LAPSE = constant("beta", 0.0065, "K/m", "temperature gradient of the troposphere", ISO_2533.at("table 4"))
EXPONENT = constant("n_atm", 5.2558797, "", "g/(beta R) with R 287.05287 J/(kg K)", ISO_2533.at("eq. 12"))
ICE = constant("T_ice", 273.15, "K", "0 degC", DERIVED.at("definition"))
ONE_KELVIN = constant("kelvin", 1.0, "K", "one kelvin", DERIVED.at("unit"))
ONE_DENSITY = constant("kg_m3", 1.0, "kg/m**3", "one kilogram per cubic metre", DERIVED.at("unit"))


@formula(
    "site.geopotential_altitude",
    symbol="H",
    title="Geopotential altitude",
    kind="altitude",
    takes="z: altitude of the site above sea level",
    shown="r_earth*z/(r_earth + z)",
    cite=US_STD_ATM.at("eq. 18"),
    valid="-500 to 11 000 m",
)
def geopotential_altitude(z: Metre) -> Metre:
    """Geometric altitude ``z`` corrected for the fall of gravity with height."""
    return EARTH_RADIUS.value * z / (EARTH_RADIUS.value + z)


@formula(
    "site.pressure",
    symbol="p_atm",
    title="Atmospheric pressure at the site",
    kind="pressure",
    takes="H: geopotential altitude",
    shown="p_0*(1 - beta*H/T_0)**n_atm",
    cite=ISO_2533.at("eq. 12"),
    valid="geopotential altitude -500 to 11 000 m; weather moves it by about 3 %",
)
def atmospheric_pressure(H: Metre) -> Pascal:
    """Standard-atmosphere pressure at geopotential altitude ``H``."""
    return P_STANDARD.value * (1 - LAPSE.value * H / T_SEA.value) ** EXPONENT.value


@formula(
    "pressure.absolute",
    symbol="p",
    title="Absolute pressure",
    kind="pressure",
    takes="p_gauge: gauge pressure; p_atm: pressure of the atmosphere at the site",
    shown="p_gauge + p_atm",
    cite=DERIVED.at("definition of gauge pressure"),
    valid="any",
    unpublished="a definition",
)
def absolute_pressure(p_gauge: Pascal, p_atm: Pascal) -> Pascal:
    """Gauge reading plus the site's own atmosphere."""
    return p_gauge + p_atm


@formula(
    "pressure.gauge",
    symbol="p_gauge",
    title="Gauge pressure",
    kind="gauge pressure",
    takes="p: absolute pressure; p_atm: pressure of the atmosphere at the site",
    shown="p - p_atm",
    cite=DERIVED.at("definition of gauge pressure"),
    valid="any",
    unpublished="a definition",
)
def gauge_pressure(p: Pascal, p_atm: Pascal) -> Pascal:
    """What a gauge at the site reads."""
    return p - p_atm


@formula(
    "water.density",
    symbol="rho_w",
    title="Density of the water",
    kind="density",
    takes="T: temperature of the water; S: salinity as kg/kg",
    shown="(999.842594 + 6.793952e-2*(T - T_ice)/kelvin - 9.095290e-3*((T - T_ice)/kelvin)**2"
    " + 1.001685e-4*((T - T_ice)/kelvin)**3 - 1.120083e-6*((T - T_ice)/kelvin)**4 + 6.536332e-9*((T - T_ice)/kelvin)**5"
    " + (0.824493 - 4.0899e-3*(T - T_ice)/kelvin + 7.6438e-5*((T - T_ice)/kelvin)**2 - 8.2467e-7*((T - T_ice)/kelvin)**3"
    " + 5.3875e-9*((T - T_ice)/kelvin)**4)*1000*S + (-5.72466e-3 + 1.0227e-4*(T - T_ice)/kelvin"
    " - 1.6546e-6*((T - T_ice)/kelvin)**2)*(1000*S)**1.5 + 4.8314e-4*(1000*S)**2)*kg_m3",
    cite=MILLERO.at("eqs. 1-4"),
    valid="0 to 40 degC, salinity 0 to 42 g/kg, one atmosphere",
)
def water_density(T: Kelvin, S: Ratio) -> KgPerCubicMetre:
    """One-atmosphere equation of state of sea water."""
    t, s = T - 273.15, 1000 * S
    fresh = 999.842594 + t * (6.793952e-2 + t * (-9.095290e-3 + t * (1.001685e-4 + t * (-1.120083e-6 + t * 6.536332e-9))))
    linear = 0.824493 + t * (-4.0899e-3 + t * (7.6438e-5 + t * (-8.2467e-7 + t * 5.3875e-9)))
    return fresh + linear * s + (-5.72466e-3 + t * (1.0227e-4 - 1.6546e-6 * t)) * s**1.5 + 4.8314e-4 * s**2


@formula(
    "water.back_pressure",
    symbol="p_b",
    title="Pressure of the water at the head",
    kind="pressure",
    takes="p_atm: pressure of the atmosphere at the site; rho_w: density of the water; h: depth of the head",
    shown="p_atm + rho_w*g*h",
    cite=DERIVED.at("hydrostatics"),
    valid="still water",
    unpublished="hydrostatics; the depth case of the oxygen table uses it",
)
def back_pressure(p_atm: Pascal, rho_w: KgPerCubicMetre, h: Metre) -> Pascal:
    """Absolute pressure at depth ``h``."""
    return p_atm + rho_w * G.value * h
