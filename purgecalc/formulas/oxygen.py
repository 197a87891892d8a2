"""Oxygen saturation of water by temperature, salinity and pressure."""

from __future__ import annotations

import numpy as np

from purgecalc.formulas.air import P_STANDARD
from purgecalc.formulas.site import ICE, ONE_KELVIN  # noqa: F401  (named in printed equations)
from purgecalc.references import BENSON_KRAUSE, DERIVED, STANDARD_METHODS
from purgecalc.si import Kelvin, KgPerCubicMetre, Pascal, Ratio
from purgecalc.working import constant, formula

MOST_CHECKED = 1.1 * P_STANDARD.value
"""Pressure (Pa) up to which the pressure correction of the saturation table is stated."""
MG_L = constant("mg_L", 1e-3, "kg/m**3", "one milligram per litre", DERIVED.at("unit"))


@formula(
    "oxygen.saturation_at_standard_pressure",
    symbol="C_0",
    title="Oxygen saturation at one standard atmosphere",
    kind="concentration",
    takes="T: temperature of the water; S: salinity as kg/kg",
    shown="exp(-139.34411 + 1.575701e5*kelvin/T - 6.642308e7*(kelvin/T)**2 + 1.243800e10*(kelvin/T)**3"
    " - 8.621949e11*(kelvin/T)**4 - 1000*S*(0.017674 - 10.754*kelvin/T + 2140.7*(kelvin/T)**2))*mg_L",
    cite=BENSON_KRAUSE.at("as given in Standard Methods 4500-O"),
    valid="0 to 40 degC, salinity 0 to 40 g/kg, water-saturated air",
)
def saturation_at_standard_pressure(T: Kelvin, S: Ratio) -> KgPerCubicMetre:
    """Equilibrium with water-saturated air at 101 325 Pa."""
    i = 1 / T
    fresh = -139.34411 + i * (1.575701e5 + i * (-6.642308e7 + i * (1.243800e10 - i * 8.621949e11)))
    return np.exp(fresh - 1000 * S * (0.017674 + i * (-10.754 + i * 2140.7))) * MG_L.value


@formula(
    "oxygen.vapour_pressure",
    symbol="p_w",
    title="Water vapour pressure used in the pressure correction",
    kind="pressure",
    takes="T: temperature of the water",
    shown="p_0*exp(11.8571 - 3840.70*kelvin/T - 216961*(kelvin/T)**2)",
    cite=STANDARD_METHODS.at("pressure correction, vapour pressure in atm"),
    valid="0 to 40 degC",
)
def vapour_pressure(T: Kelvin) -> Pascal:
    """Saturation vapour pressure over water."""
    return P_STANDARD.value * np.exp(11.8571 - 3840.70 / T - 216961 / T**2)


@formula(
    "oxygen.theta",
    symbol="theta",
    title="Second-order coefficient of the pressure correction",
    kind="ratio",
    takes="T: temperature of the water",
    shown="0.000975 - 1.426e-5*(T - T_ice)/kelvin + 6.436e-8*((T - T_ice)/kelvin)**2",
    cite=STANDARD_METHODS.at("pressure correction, theta per atm"),
    valid="0 to 40 degC",
    unpublished="an intermediate of the pressure correction, which is checked",
)
def theta(T: Kelvin) -> Ratio:
    """Departure of oxygen from the ideal gas, per standard atmosphere."""
    t = T - 273.15
    return 0.000975 + t * (-1.426e-5 + t * 6.436e-8)


@formula(
    "oxygen.saturation",
    symbol="C_s",
    title="Oxygen saturation at the surface of the water",
    kind="concentration",
    takes="C_0: saturation at one standard atmosphere; p: total pressure; p_w: vapour pressure of the water; theta: "
    "second-order coefficient of the correction, per standard atmosphere",
    shown="C_0*(p/p_0)*(1 - p_w/p)*(1 - theta*p/p_0)/((1 - p_w/p_0)*(1 - theta))",
    cite=STANDARD_METHODS.at("pressure correction of the saturation table"),
    valid="0.5 to 1.1 atm; used beyond for bubbles held at depth",
)
def saturation(C_0: KgPerCubicMetre, p: Pascal, p_w: Pascal, theta: Ratio) -> KgPerCubicMetre:
    """Saturation at total pressure ``p`` (absolute); at depth, of water against bubbles held there."""
    atm = p / P_STANDARD.value
    return C_0 * (p - p_w) / (P_STANDARD.value - p_w) * (1 - theta * atm) / (1 - theta)


@formula(
    "loop.effective_saturation",
    symbol="C_star",
    title="Oxygen saturation effective in the tank",
    kind="concentration",
    takes="beta: saturation effective in the tank over that at the surface; C_s: oxygen saturation at the surface",
    shown="beta*C_s",
    cite=DERIVED.at("clean-water saturation at the surface times a factor for salts and depth of the diffusers"),
    valid="factor measured or estimated for the tank",
    unpublished="a product",
)
def effective_saturation(beta: Ratio, C_s: KgPerCubicMetre) -> KgPerCubicMetre:
    """What the balance of the tank sees."""
    return beta * C_s
