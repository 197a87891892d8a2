"""Water in the air: dew and frost point, what compression does to them, and the ice it leaves in a cold hose.

Dew point is over liquid water, frost point over ice; both are named, and below 0 degC they differ. The air of a direct
source is no drier for being compressed: what falls out between intake and head falls out in the hose unless a drain takes it.
"""

from __future__ import annotations

import numpy as np

from purgecalc.formulas.air import R_AIR, R_VAPOUR
from purgecalc.formulas.site import ICE, ONE_KELVIN  # noqa: F401  (named in printed equations)
from purgecalc.references import DERIVED, OUR_JUDGEMENT, Work
from purgecalc.si import Kelvin, Kilogram, Metre, Pascal, Ratio, Second, SquareMetre
from purgecalc.working import constant, formula

WMO_8 = Work("WMO-No. 8", "WMO-No. 8 Guide to Meteorological Instruments and Methods of Observation, Annex 4.B")
ISO_8573 = Work("ISO 8573-1", "ISO 8573-1:2010 Compressed air, contaminants and purity classes", checked=True)
ISA_7 = Work("ISA-7.0.01", "ANSI/ISA-7.0.01 Quality standard for instrument air")
JOULE_THOMSON = Work("reference equation of air", "E. W. Lemmon et al., J. Phys. Chem. Ref. Data 29 (2000) 331")

E_0 = constant("e_0", 611.2, "Pa", "vapour pressure over water or ice at 0 degC in the Magnus form", WMO_8.at("6.112 hPa"))
ICE_DENSITY = constant("rho_ice", 917.0, "kg/m**3", "density of ice", OUR_JUDGEMENT.at("clear ice; hoar is lighter"))
DAY = constant("day", 86400.0, "s", "one day", DERIVED.at("definition"))
DEW_MARGIN = constant("dT_dew", 10.0, "K", "dew point kept below the coldest surface", ISA_7.at("10 degC"))
MU_JT = constant("mu_JT", 2.4e-6, "K/Pa", "Joule-Thomson coefficient of air near 15 degC", JOULE_THOMSON.at("0.24 K/bar"))

# Pressure dew point in degC that each humidity class of ISO 8573-1 stays at or below (classes 7 and up hold liquid water).
DEW_POINT_CLASSES = {1: -70.0, 2: -40.0, 3: -20.0, 4: 3.0, 5: 7.0, 6: 10.0}


@formula(
    "moisture.saturation_over_water",
    symbol="e_w",
    title="Saturation vapour pressure over water",
    kind="pressure",
    takes="T: temperature",
    shown="e_0*exp(17.62*(T - T_ice)/(T - T_ice + 243.12*kelvin))",
    cite=WMO_8.at("Magnus form over water"),
    valid="-45 to 60 degC; pure vapour, 0.3 % below the reference equation at 20 degC",
)
def saturation_over_water(T: Kelvin) -> Pascal:
    """Pure vapour: in air at a few bar it is up to 2 % more, which is not counted."""
    t = T - ICE.value
    return E_0.value * np.exp(17.62 * t / (t + 243.12))


@formula(
    "moisture.saturation_over_ice",
    symbol="e_i",
    title="Saturation vapour pressure over ice",
    kind="pressure",
    takes="T: temperature",
    shown="e_0*exp(22.46*(T - T_ice)/(T - T_ice + 272.62*kelvin))",
    cite=WMO_8.at("Magnus form over ice"),
    valid="-65 to 0 degC",
    unpublished="no printed value was seen; checked against the sublimation equation of an independent library",
)
def saturation_over_ice(T: Kelvin) -> Pascal:
    """Less than over water below 0 degC: frost forms before dew would."""
    t = T - ICE.value
    return E_0.value * np.exp(22.46 * t / (t + 272.62))


@formula(
    "moisture.dew_point",
    symbol="T_dew",
    title="Dew point (over water)",
    kind="temperature",
    takes="e: vapour pressure",
    shown="T_ice + 243.12*kelvin*ln(e/e_0)/(17.62 - ln(e/e_0))",
    cite=WMO_8.at("Magnus form over water, inverted"),
    valid="-45 to 60 degC",
)
def dew_point(e: Pascal) -> Kelvin:
    """Temperature at which vapour of partial pressure ``e`` begins to condense."""
    x = np.log(e / E_0.value)
    return ICE.value + 243.12 * x / (17.62 - x)


@formula(
    "moisture.frost_point",
    symbol="T_frost",
    title="Frost point (over ice)",
    kind="temperature",
    takes="e: vapour pressure",
    shown="T_ice + 272.62*kelvin*ln(e/e_0)/(22.46 - ln(e/e_0))",
    cite=WMO_8.at("Magnus form over ice, inverted"),
    valid="-65 to 0 degC",
    unpublished="inverse of the vapour pressure over ice; the round trip is a property test",
)
def frost_point(e: Pascal) -> Kelvin:
    """Temperature at which vapour of partial pressure ``e`` begins to freeze out."""
    x = np.log(e / E_0.value)
    return ICE.value + 272.62 * x / (22.46 - x)


@formula(
    "moisture.falls_out_at",
    symbol="T_out",
    title="Temperature at which water begins to fall out, as dew or as frost",
    kind="temperature",
    takes="T_dew: dew point; T_frost: frost point",
    shown="max(T_dew, T_frost)",
    cite=DERIVED.at("below 0 degC the frost point is the higher of the two, above it the dew point"),
    valid="no supercooling",
    unpublished="a comparison",
)
def falls_out_at(T_dew: Kelvin, T_frost: Kelvin) -> Kelvin:
    """The one that comes first on cooling."""
    return np.maximum(T_dew, T_frost)


@formula(
    "moisture.vapour_pressure",
    symbol="e",
    title="Vapour pressure in the air taken in",
    kind="pressure",
    takes="RH: relative humidity at the intake, as a fraction; e_w: saturation vapour pressure over water there",
    shown="RH*e_w",
    cite=DERIVED.at("definition of relative humidity, over water"),
    valid="0 < RH <= 1",
    unpublished="a definition",
)
def vapour_pressure(RH: Ratio, e_w: Pascal) -> Pascal:
    """At the intake."""
    return RH * e_w


@formula(
    "moisture.compressed_vapour_pressure",
    symbol="e_p",
    title="Vapour pressure of the same air at another pressure",
    kind="pressure",
    takes="e: vapour pressure at the total pressure p_in; p: total pressure it is wanted at; p_in: total pressure it is known at",
    shown="e*p/p_in",
    cite=DERIVED.at("Dalton's law: the share of vapour stays"),
    valid="before any of it condenses; limit it to saturation where it does",
    unpublished="Dalton's law; checked against an independent library of humid air",
)
def compressed_vapour_pressure(e: Pascal, p: Pascal, p_in: Pascal) -> Pascal:
    """Absolute pressures. The dew point of the result is the pressure dew point."""
    return e * p / p_in


@formula(
    "moisture.mixing_ratio",
    symbol="w",
    title="Water per mass of dry air",
    kind="ratio",
    takes="e: vapour pressure; p: total pressure of the mixture",
    shown="R_air/R_vapour*e/(p - e)",
    cite=DERIVED.at("ideal mixture of air and vapour"),
    valid="e well below p",
    unpublished="ideal-gas law; checked against an independent library of humid air",
)
def mixing_ratio(e: Pascal, p: Pascal) -> Ratio:
    """Absolute pressure ``p`` of the mixture."""
    return R_AIR.value / R_VAPOUR.value * e / (p - e)


@formula(
    "moisture.water_dropped",
    symbol="dw",
    title="Water dropped per mass of dry air",
    kind="ratio",
    takes="w_in: water per mass of dry air before; w_out: the same at saturation in the coldest place, at the pressure there",
    shown="max(w_in - w_out, 0*w_in)",
    cite=DERIVED.at("water balance"),
    valid="air leaves saturated at the coldest place; nil where it stays unsaturated",
    unpublished="a balance",
)
def water_dropped(w_in: Ratio, w_out: Ratio) -> Ratio:
    """``w_out`` is saturation at the coldest place, at the pressure there."""
    return np.maximum(w_in - w_out, 0 * w_in)


@formula(
    "moisture.water_per_blast",
    symbol="m_w",
    title="Water dropped in one blast",
    kind="mass",
    takes="m_air: mass of air in a blast; dw: water dropped per mass of dry air",
    shown="m_air*dw",
    cite=DERIVED.at("water balance"),
    valid="m_air of dry air; moist air is up to 2 % more",
    unpublished="a product",
)
def water_per_blast(m_air: Kilogram, dw: Ratio) -> Kilogram:
    """Between the intake and the coldest place."""
    return m_air * dw


@formula(
    "moisture.water_per_day",
    symbol="m_day",
    title="Water dropped in a day",
    kind="mass",
    takes="m_w: mass of water dropped in a blast; T: interval between blasts",
    shown="m_w*day/T",
    cite=DERIVED.at("blasts at equal intervals"),
    valid="blasts all day",
)
def water_per_day(m_w: Kilogram, T: Second) -> Kilogram:
    """Mass in 24 hours at interval ``T``."""
    return m_w * DAY.value / T


@formula(
    "moisture.ice_share",
    symbol="share_ice",
    title="Share of the bore filled with ice in a day",
    kind="fraction",
    takes="m_day: mass of water dropped in a day; A: area of the bore; L_ice: length within which it freezes",
    shown="m_day/(rho_ice*A*L_ice)",
    cite=OUR_JUDGEMENT.at("all the water of a day freezes within the length L_ice, one metre unless known"),
    valid="the run stays below 0 degC all day and nothing is blown out",
    unpublished="geometry",
)
def ice_share(m_day: Kilogram, A: SquareMetre, L_ice: Metre) -> Ratio:
    """As if the ice lay evenly over that length."""
    return m_day / (ICE_DENSITY.value * A * L_ice)


@formula(
    "moisture.time_to_block",
    symbol="t_block",
    title="Time until ice fills the bore",
    kind="time",
    takes="share_ice: share of the bore filled with ice in a day",
    shown="day/share_ice",
    cite=DERIVED.at("steady growth"),
    valid="as the share of ice; unlimited when nothing freezes",
    unpublished="a quotient",
)
def time_to_block(share_ice: Ratio) -> Second:
    """In unbroken frost. Flow and pressure suffer long before."""
    share = np.asarray(share_ice, dtype=float)
    return np.where(share > 0, DAY.value / np.where(share > 0, share, 1.0), np.inf)[()]


@formula(
    "moisture.dew_point_needed",
    symbol="T_need",
    title="Highest pressure dew point allowed",
    kind="temperature",
    takes="T_min: lowest temperature of the exposed run",
    shown="T_min - dT_dew",
    cite=ISA_7.at("10 degC below the lowest temperature the air meets"),
    valid="exposed runs",
    unpublished="a difference",
)
def dew_point_needed(T_min: Kelvin) -> Kelvin:
    """With the usual margin below the coldest place."""
    return T_min - DEW_MARGIN.value


@formula(
    "moisture.throttled_temperature",
    symbol="T_thr",
    title="Temperature of the air after throttling",
    kind="temperature",
    takes="T: temperature ahead of the valve; p_1: pressure ahead of it; p_2: pressure behind it at the same moment",
    shown="T - mu_JT*(p_1 - p_2)",
    cite=JOULE_THOMSON.at("constant coefficient"),
    valid="below 10 bar, -20 to 50 degC; mild bound of the chill at a valve, without that of a blast (source.coldest_air)",
    unpublished="checked against the reference equation of air in an independent library",
)
def throttled_temperature(T: Kelvin, p_1: Pascal, p_2: Pascal) -> Kelvin:
    """Air that has come to rest again, no heat taken up: what the body of a valve sees at the least.

    Absolute pressures ahead and behind, at one moment.
    """
    return T - MU_JT.value * (p_1 - p_2)
