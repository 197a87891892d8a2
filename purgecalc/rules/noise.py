"""Rules on noise: of the head in air, and of a day's dose."""

from __future__ import annotations

from purgecalc.design import Design
from purgecalc.references import COMMON_PRACTICE, Work
from purgecalc.rules._base import rule
from purgecalc.rules._outcomes import Level, Margin, Missing


@rule(
    "noise-in-air",
    "A head that blows in air is not painfully loud",
    noun="noise of the head",
    level=Level.WATCH,
    cite=COMMON_PRACTICE.at("85 dB(A) at the ear; upper end of an estimate"),
    limit="85",
)
def noise_in_air(d: Design, limit: float) -> Margin | Missing:
    """Lifted out of the water the head is the loudest thing on the bridge; an estimate, upper end, in dB(A).

    Do not blow in air: inhibit the schedule before lifting. Regulate the source, and wear hearing protection for tests on deck.
    """
    return Margin(d["noise.in_air_upper"], at_most=limit) if "noise.in_air_upper" in d else Missing(("noise.ear_distance",))


NOISE_LAW = Work("noise law", "noise-at-work law of the regime stated; common practice where none is")


@rule(
    "noise-dose",
    "The compressor alone stays below the first action value",
    noun="noise dose",
    level=Level.WATCH,
    cite=NOISE_LAW.at("its first action value"),
)
def noise_dose(d: Design, limit: None) -> Margin | Missing:
    """Daily exposure in dB(A) of who works {noise.presence} at {noise.ear_distance}, from this source alone.

    The first value at which something is to be done is {noise.action_value}. Silence or enclose the compressor, or move it away
    from where people work.
    """
    if "noise.daily_exposure" not in d:
        return Missing(("noise.compressor_level",))
    return Margin(d["noise.daily_exposure"], at_most=d["noise.action_value"])
