"""Noise of a head blowing in air, and what it adds to a working day.

An estimate from the power of the jet, good to about 6 dB; under-expanded jets may be 10 dB louder. Under water the
head is quiet and the compressor governs. Levels are A-weighted decibels, carried as plain numbers.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from purgecalc.references import COMMON_PRACTICE, DERIVED, OUR_JUDGEMENT, Citation, Work
from purgecalc.si import KgPerSecond, Metre, MetrePerSecond, Ratio, Second, Watt
from purgecalc.working import constant, formula

JET_NOISE = Work("jet noise", "acoustic efficiency of subsonic and sonic jets, Lighthill's law of the eighth power")
NOISE_UK = Work(
    "SI 2005/1643", "Control of Noise at Work Regulations 2005, SI 2005/1643 (in Northern Ireland those of 2006, SR 2006/1)"
)
NOISE_EU = Work("2003/10/EC", "Directive 2003/10/EC Noise at work")
OSHA_95 = Work("29 CFR 1910.95", "US 29 CFR 1910.95 Occupational noise exposure")

ETA_JET = constant("eta_ac", 1e-4, "", "acoustic efficiency of a sonic jet", JET_NOISE.at("order of magnitude"))
W_REFERENCE = constant("W_ref", 1e-12, "W", "reference sound power", DERIVED.at("definition of the level"))
T_DAY = constant("T_8h", 28800.0, "s", "nominal working day", NOISE_EU.at("8 hours"))
ONE_METRE = constant("metre", 1.0, "m", "one metre", DERIVED.at("unit"))
BAND = 6.0  # dB either way, our judgement
SHOCK = 10.0  # dB a jet under-expanded at the hole may add, from memory


@formula(
    "noise.acoustic_power",
    symbol="W_ac",
    title="Sound power of the jets in air",
    kind="power",
    takes="M: Mach number at the exit of the holes; m: mass flow of all of them; u: velocity at the exit",
    shown="eta_ac*min(M, 1 + 0*M)**5*m*u**2/2",
    cite=JET_NOISE.at("efficiency falling with the fifth power of the Mach number"),
    valid="head in air; screech and shock noise not counted",
    unpublished="an estimate; no printed case of small holes",
)
def acoustic_power(M: Ratio, m: KgPerSecond, u: MetrePerSecond) -> Watt:
    """Of all the jets together."""
    return ETA_JET.value * np.minimum(M, 1.0) ** 5 * m * u**2 / 2


@formula(
    "noise.power_level",
    symbol="L_W",
    title="Sound power level",
    kind="ratio",
    takes="W_ac: sound power",
    shown="10*log10(W_ac/W_ref)",
    cite=DERIVED.at("definition of the level"),
    valid="decibels re 1 pW; a plain number here",
    unpublished="a definition",
)
def power_level(W_ac: Watt) -> Ratio:
    """Decibels."""
    return 10 * np.log10(W_ac / W_REFERENCE.value)


@formula(
    "noise.level_at",
    symbol="L_p",
    title="Sound level at a distance",
    kind="ratio",
    takes="L_W: sound power level in dB; r: distance from head to ear; Q_dir: directivity of where it stands, 1 in the open",
    shown="L_W - 10*log10(4*pi*(r/metre)**2/Q_dir)",
    cite=DERIVED.at("spherical spreading"),
    valid="Q_dir 1 in the open, 2 over a hard floor, 4 beside a wall; jets are louder about 30 degrees off their axis",
    unpublished="spherical spreading",
)
def level_at(L_W: Ratio, r: Metre, Q_dir: Ratio) -> Ratio:
    """As if the sound came from one point."""
    return L_W - 10 * np.log10(4 * np.pi * (r / ONE_METRE.value) ** 2 / Q_dir)


@formula(
    "noise.from_one_metre",
    symbol="L_p",
    title="Sound level at a distance, from the level at one metre",
    kind="ratio",
    takes="L_1: sound level at one metre, in dB; r: distance from the compressor to the ear",
    shown="L_1 - 20*log10(r/metre)",
    cite=DERIVED.at("spherical spreading"),
    valid="in the open; a kiosk keeps the sound in",
    unpublished="spherical spreading",
)
def from_one_metre(L_1: Ratio, r: Metre) -> Ratio:
    """A compressor's data sheet usually says 60 to 75 dB(A)."""
    return L_1 - 20 * np.log10(r / ONE_METRE.value)


@formula(
    "noise.daily_exposure",
    symbol="L_EX",
    title="Daily noise exposure from this source",
    kind="ratio",
    takes="L_p: sound level at the ear, in dB; t_on: time it is heard in a day",
    shown="L_p + 10*log10(t_on/T_8h)",
    cite=NOISE_EU.at("daily exposure level, equal energy"),
    valid="this source alone; add the rest of the day's noise",
    unpublished="a definition",
)
def daily_exposure(L_p: Ratio, t_on: Second) -> Ratio:
    """The day's sound energy, spread over eight hours."""
    return L_p + 10 * np.log10(t_on / T_DAY.value)


@formula(
    "noise.daily_exposure_us",
    symbol="L_TWA",
    title="Daily noise exposure from this source, US time-weighted average",
    kind="ratio",
    takes="L_p: sound level at the ear, in dB; t_on: time it is heard in a day",
    shown="L_p + 16.61*log10(t_on/T_8h)",
    cite=OSHA_95.at("appendix A: 5 dB for each halving of the time"),
    valid="one level for the time t_on; levels below 80 dB(A), which need not be counted there, are counted",
    unpublished="a definition; table G-16a of the same rule is met by the tests",
)
def daily_exposure_us(L_p: Ratio, t_on: Second) -> Ratio:
    """By an exchange rate of 5 dB."""
    return L_p + 16.61 * np.log10(t_on / T_DAY.value)


@dataclass(frozen=True)
class ActionValue:
    """A daily level, and where given a peak, at which something has to be done."""

    name: str
    daily: float
    peak: float | None
    cite: Citation


ACTION_VALUES: dict[str, tuple[ActionValue, ...]] = {
    "EU": (
        ActionValue("lower action value", 80.0, 135.0, NOISE_EU.at("art. 3")),
        ActionValue("upper action value", 85.0, 137.0, NOISE_EU.at("art. 3")),
        ActionValue("limit, hearing protection counted", 87.0, 140.0, NOISE_EU.at("art. 3")),
    ),
    "UK": (
        ActionValue("lower action value", 80.0, 135.0, NOISE_UK.at("reg. 4")),
        ActionValue("upper action value", 85.0, 137.0, NOISE_UK.at("reg. 4")),
        ActionValue("limit, hearing protection counted", 87.0, 140.0, NOISE_UK.at("reg. 4")),
    ),
    "US": (
        ActionValue("action level", 85.0, None, OSHA_95.at("(c), 5 dB exchange")),
        ActionValue("permissible exposure", 90.0, 140.0, OSHA_95.at("(b), table G-16, 5 dB exchange")),
    ),
    "other": (
        ActionValue("lower action value of common practice", 80.0, None, COMMON_PRACTICE.at()),
        ActionValue("upper action value of common practice", 85.0, None, OUR_JUDGEMENT.at("ask locally")),
    ),
}


HARD_FLOOR = constant("Q_floor", 2.0, "", "directivity over a hard floor", DERIVED.at("half space"))
LEVEL_BAND = constant("dL", BAND, "", "uncertainty of an estimated level, dB", OUR_JUDGEMENT.at("either way"))
SHOCK_NOISE = constant("dL_shock", SHOCK, "", "what shocks may add to a choked jet, dB", OUR_JUDGEMENT.at("from memory"))


@formula(
    "noise.upper",
    symbol="L_up",
    title="Upper end of an estimated sound level",
    kind="ratio",
    takes="L: estimated sound level, in dB; choked: 1 where the holes are sonic, else 0",
    shown="L + dL + dL_shock*choked",
    cite=OUR_JUDGEMENT.at("estimate good to 6 dB; shock noise of a choked jet up to 10 dB more"),
    valid="decibels; a plain number here",
    unpublished="our judgement",
)
def upper_level(L: Ratio, choked: Ratio) -> Ratio:
    """Shock noise counts where the holes are sonic."""
    return L + LEVEL_BAND.value + SHOCK_NOISE.value * choked
