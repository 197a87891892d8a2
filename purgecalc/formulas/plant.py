"""Small steps that join the calculations on what stands around the line: vapour, pressure, noise, wear."""

from __future__ import annotations

import numpy as np

from purgecalc.formulas.duty import YEAR
from purgecalc.formulas.noise import BAND, SHOCK
from purgecalc.formulas.pressure_safety import ORDER_OF_MAGNITUDE
from purgecalc.references import DERIVED, OUR_JUDGEMENT
from purgecalc.working import Kelvin, Metre, Pascal, PerSecond, Ratio, Second, constant, formula

ICE_RUN = constant("L_ice_0", 1.0, "m", "length within which the water freezes", OUR_JUDGEMENT.at("one metre"))
HARD_FLOOR = constant("Q_floor", 2.0, "", "directivity over a hard floor", DERIVED.at("half space"))
WITHIN = constant("k_order", ORDER_OF_MAGNITUDE, "", "order of magnitude: either way", OUR_JUDGEMENT.at("a factor of three"))
LEVEL_BAND = constant("dL", BAND, "", "uncertainty of an estimated level, dB", OUR_JUDGEMENT.at("either way"))
SHOCK_NOISE = constant("dL_shock", SHOCK, "", "what shocks may add to a choked jet, dB", OUR_JUDGEMENT.at("from memory"))


@formula(
    "moisture.saturation_at_coldest",
    symbol="e_sat",
    title="Saturation vapour pressure at the coldest place",
    kind="pressure",
    shown="min(e_w, e_i)",
    cite=DERIVED.at("over ice below 0 degC, over water above: the lower of the two"),
    valid="no supercooling",
    unpublished="a comparison",
)
def saturation_at_coldest(e_w: Pascal, e_i: Pascal) -> Pascal:
    """Saturation pressures, both at the same temperature."""
    return np.minimum(e_w, e_i)


@formula(
    "moisture.vapour_left",
    symbol="e_left",
    title="Vapour pressure left after water has been taken out",
    kind="pressure",
    shown="min(e, e_out)",
    cite=DERIVED.at("air leaves a dryer or a drained reservoir no wetter than saturated there"),
    valid="at one pressure; dryer and drain in order",
    unpublished="a comparison",
)
def vapour_left(e: Pascal, e_out: Pascal) -> Pascal:
    """``e_out`` saturation at the dew point of the dryer, or at the temperature of a drained reservoir."""
    return np.minimum(e, e_out)


@formula(
    "moisture.worse_vapour",
    symbol="e_worst",
    title="Vapour pressure at the worse moment",
    kind="pressure",
    shown="max(e_1, e_2)",
    cite=DERIVED.at("a blast begins anywhere between the two"),
    valid="each with all its pressures at one moment",
    unpublished="a comparison",
)
def worse_vapour(e_1: Pascal, e_2: Pascal) -> Pascal:
    """``e_1`` as a blast begins at cut-in, ``e_2`` as one begins at cut-out."""
    return np.maximum(e_1, e_2)


@formula(
    "moisture.worse_drop",
    symbol="dw_worst",
    title="Water dropped per mass of dry air at the worse moment",
    kind="ratio",
    shown="max(dw_1, dw_2)",
    cite=DERIVED.at("a blast begins anywhere between the two"),
    valid="each with all its pressures at one moment",
    unpublished="a comparison",
)
def worse_drop(dw_1: Ratio, dw_2: Ratio) -> Ratio:
    """``dw_1`` as a blast begins at cut-in, ``dw_2`` as one begins at cut-out."""
    return np.maximum(dw_1, dw_2)


@formula(
    "moisture.colder",
    symbol="T_cold",
    title="Air behind the valve at the colder moment",
    kind="temperature",
    shown="min(T_1, T_2)",
    cite=DERIVED.at("a blast begins anywhere between the two"),
    valid="each with both its pressures at one moment",
    unpublished="a comparison",
)
def colder(T_1: Kelvin, T_2: Kelvin) -> Kelvin:
    """``T_1`` as a blast begins at cut-in, ``T_2`` as one begins at cut-out."""
    return np.minimum(T_1, T_2)


@formula(
    "head.all_but_one",
    symbol="n_left",
    title="Holes left when one is blocked",
    kind="count",
    shown="n - 1",
    cite=DERIVED.at("count"),
    valid="n of 1 and more",
    unpublished="a count",
)
def all_but_one(n: Ratio) -> Ratio:
    """Nil for a head with one hole."""
    return n - 1


@formula(
    "safety.face_pressure_worst",
    symbol="p_worst",
    title="Highest pressure the face may see",
    kind="pressure difference",
    shown="min(k_order*p_face, p_h - p_b)",
    cite=OUR_JUDGEMENT.at("upper end of an order of magnitude, never above the pressure behind the hole"),
    valid="as the pressure of one jet",
    unpublished="a band about an order of magnitude",
)
def face_pressure_worst(p_face: Pascal, p_h: Pascal, p_b: Pascal) -> Pascal:
    """For judging a probe whose maker states a limit."""
    return np.minimum(WITHIN.value * p_face, p_h - p_b)


@formula(
    "noise.upper",
    symbol="L_up",
    title="Upper end of an estimated sound level",
    kind="ratio",
    shown="L + dL + dL_shock*choked",
    cite=OUR_JUDGEMENT.at("estimate good to 6 dB; shock noise of a choked jet up to 10 dB more"),
    valid="decibels; a plain number here",
    unpublished="our judgement",
)
def upper_level(L: Ratio, choked: Ratio) -> Ratio:
    """``choked`` 1 where the holes are sonic, else 0."""
    return L + LEVEL_BAND.value + SHOCK_NOISE.value * choked


@formula(
    "upkeep.run_time_of_share",
    symbol="t_year",
    title="Running time of the source a year, all lines",
    kind="time",
    shown="share*year",
    cite=DERIVED.at("mean share of running time"),
    valid="every day of the year; a year of 365.25 days",
    unpublished="a product",
)
def run_time_of_share(share: Ratio) -> Second:
    """Over a year, for the mean ``share`` of the time that the source runs for all its lines."""
    return share * YEAR.value


@formula(
    "upkeep.starts_per_year",
    symbol="n_year",
    title="Starts of the source a year, all lines",
    kind="count",
    shown="rate*year",
    cite=DERIVED.at("mean rate of starts"),
    valid="every day of the year",
    unpublished="a product",
)
def starts_per_year(rate: PerSecond) -> Ratio:
    """Over a year, at the mean ``rate`` of starts of the whole source."""
    return rate * YEAR.value


@formula(
    "upkeep.life_of_share",
    symbol="t_life",
    title="Calendar time until a life in running time is used up",
    kind="time",
    shown="t_rated/share",
    cite=DERIVED.at("mean share of running time"),
    valid="wear by running only",
    unpublished="a quotient",
)
def life_of_share(t_rated: Second, share: Ratio) -> Second:
    """Calendar time, at the mean ``share`` of the time that the source runs for all its lines."""
    return t_rated / share


@formula(
    "moisture.ice_length",
    symbol="L_ice",
    title="Length within which the water freezes",
    kind="length",
    shown="min(L_exposed, L_ice_0)",
    cite=OUR_JUDGEMENT.at("one metre, or the exposed run where that is shorter"),
    valid="frost forms where the air first meets the cold wall",
    unpublished="a comparison",
)
def ice_length(L_exposed: Metre) -> Metre:
    """Cautious: over a longer length the bore lasts longer."""
    return np.minimum(L_exposed, ICE_RUN.value)
