"""What thin or hot air about a motor leaves of its rating."""

from __future__ import annotations

import numpy as np

from purgecalc.formulas.air import P_STANDARD
from purgecalc.formulas.site import EARTH_RADIUS, EXPONENT, LAPSE, T_SEA
from purgecalc.references import DERIVED, IEC_60034, ISO_2533, OUR_JUDGEMENT
from purgecalc.si import Kelvin, Metre, Pascal, Ratio
from purgecalc.working import constant, formula

MOTOR_ALTITUDE = constant("z_motor", 1000.0, "m", "altitude a motor is rated up to", IEC_60034.at("site conditions"))
MOTOR_AMBIENT = constant("T_motor", 313.15, "K", "temperature a motor is rated up to", IEC_60034.at("40 degC"))
PER_ALTITUDE = constant(
    "k_z", 1e-4, "1/m", "temperature rise lost per metre above it", IEC_60034.at("1 % in 100 m, up to 4000 m")
)
RISE = constant("dT_motor", 80.0, "K", "temperature rise of a winding", OUR_JUDGEMENT.at("class B by resistance; F has 105 K"))


@formula(
    "site.pressure_altitude",
    symbol="z",
    title="Altitude of the air pressure",
    kind="altitude",
    takes="p: pressure of the atmosphere, as measured",
    shown="r_earth*T_0/beta*(1 - (p/p_0)**(1/n_atm))/(r_earth - T_0/beta*(1 - (p/p_0)**(1/n_atm)))",
    cite=ISO_2533.at("eq. 12, solved for the altitude"),
    valid="-500 to 11 000 m; the weather of the day moves it by about 250 m",
    unpublished="the standard atmosphere turned round; checked against it",
)
def pressure_altitude(p: Pascal) -> Metre:
    """Where the atmosphere has the pressure ``p`` that was measured."""
    H = T_SEA.value / LAPSE.value * (1 - (p / P_STANDARD.value) ** (1 / EXPONENT.value))
    return EARTH_RADIUS.value * H / (EARTH_RADIUS.value - H)


@formula(
    "source.rating_left",
    symbol="k_left",
    title="Share of the motor's rating left by thin or hot air",
    kind="fraction",
    takes="z: altitude; T: temperature of the warmest air about the source",
    shown="max(1 - k_z*max(z - z_motor, 0*z) - max(T - T_motor, 0*T)/dT_motor, 0*z/z_motor)",
    cite=IEC_60034.at("temperature rise reduced by 1 % per 100 m above 1000 m, and by what the air is above 40 degC"),
    valid="up to 4000 m and 60 degC; heat in proportion to running time; the maker's own figure goes first",
    unpublished="quoted from memory; no printed case",
)
def rating_left(z: Metre, T: Kelvin) -> Ratio:
    """Of running time."""
    hot = np.maximum(T - MOTOR_AMBIENT.value, 0.0) / RISE.value
    return np.maximum(1 - PER_ALTITUDE.value * np.maximum(z - MOTOR_ALTITUDE.value, 0.0) - hot, 0.0)


@formula(
    "source.rating_plated",
    symbol="k",
    title="Share of the plate's rating that is counted on, as it stands on the plate",
    kind="fraction",
    takes="k: share of the rating that altitude and heat leave",
    shown="1 + 0*k",
    cite=DERIVED.at("nobody has said that the rating stated is that for this site"),
    valid="any",
    unpublished="a definition",
)
def as_plated(k: Ratio) -> Ratio:
    """All of it, whatever share is left."""
    return 1 + 0 * k


@formula(
    "source.rating_derated",
    symbol="k",
    title="Share of the plate's rating that is counted on, the maker asked",
    kind="fraction",
    takes="k: share of the rating that altitude and heat leave",
    shown="1*k",
    cite=DERIVED.at("the rating stated is that for this site"),
    valid="any",
    unpublished="a definition",
)
def as_derated(k: Ratio) -> Ratio:
    """What is left of it."""
    return 1 * k
