"""Water in the air along the line: what saturates, what is left, what drops out, and where it freezes."""

from __future__ import annotations

import numpy as np

from purgecalc.references import DERIVED, OUR_JUDGEMENT
from purgecalc.si import Kelvin, Metre, Pascal, Ratio
from purgecalc.working import constant, formula

ICE_RUN = constant("L_ice_0", 1.0, "m", "length within which the water freezes", OUR_JUDGEMENT.at("one metre"))


@formula(
    "moisture.saturation_at_coldest",
    symbol="e_sat",
    title="Saturation vapour pressure at the coldest place",
    kind="pressure",
    takes="e_w: saturation vapour pressure over water; e_i: saturation vapour pressure over ice at the same temperature",
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
    takes="e: vapour pressure of what comes in; e_out: saturation vapour pressure at the dew point of the dryer, or at the "
    "temperature of a drained receiver",
    shown="min(e, e_out)",
    cite=DERIVED.at("air leaves a dryer or a drained receiver no wetter than saturated there"),
    valid="at one pressure; dryer and drain in order",
    unpublished="a comparison",
)
def vapour_left(e: Pascal, e_out: Pascal) -> Pascal:
    """A dryer or a drain takes what is above saturation."""
    return np.minimum(e, e_out)


@formula(
    "moisture.worse_vapour",
    symbol="e_worst",
    title="Vapour pressure at the worse moment",
    kind="pressure",
    takes="e_1: vapour pressure as a blast begins at cut-in; e_2: vapour pressure as one begins at cut-out",
    shown="max(e_1, e_2)",
    cite=DERIVED.at("a blast begins anywhere between the two"),
    valid="each with all its pressures at one moment",
    unpublished="a comparison",
)
def worse_vapour(e_1: Pascal, e_2: Pascal) -> Pascal:
    """Whichever blast is the wetter."""
    return np.maximum(e_1, e_2)


@formula(
    "moisture.worse_drop",
    symbol="dw_worst",
    title="Water dropped per mass of dry air at the worse moment",
    kind="ratio",
    takes="dw_1: water dropped per mass of dry air as a blast begins at cut-in; dw_2: the same as one begins at cut-out",
    shown="max(dw_1, dw_2)",
    cite=DERIVED.at("a blast begins anywhere between the two"),
    valid="each with all its pressures at one moment",
    unpublished="a comparison",
)
def worse_drop(dw_1: Ratio, dw_2: Ratio) -> Ratio:
    """Whichever blast drops more."""
    return np.maximum(dw_1, dw_2)


@formula(
    "moisture.colder",
    symbol="T_cold",
    title="Air behind the valve at the colder moment",
    kind="temperature",
    takes="T_1: temperature as a blast begins at cut-in; T_2: temperature as one begins at cut-out",
    shown="min(T_1, T_2)",
    cite=DERIVED.at("a blast begins anywhere between the two"),
    valid="each with both its pressures at one moment",
    unpublished="a comparison",
)
def colder(T_1: Kelvin, T_2: Kelvin) -> Kelvin:
    """Whichever blast ends colder."""
    return np.minimum(T_1, T_2)


@formula(
    "moisture.ice_length",
    symbol="L_ice",
    title="Length within which the water freezes",
    kind="length",
    takes="L_exposed: length of the run in the cold",
    shown="min(L_exposed, L_ice_0)",
    cite=OUR_JUDGEMENT.at("one metre, or the exposed run where that is shorter"),
    valid="frost forms where the air first meets the cold wall",
    unpublished="a comparison",
)
def ice_length(L_exposed: Metre) -> Metre:
    """Cautious: over a longer length the bore lasts longer."""
    return np.minimum(L_exposed, ICE_RUN.value)
