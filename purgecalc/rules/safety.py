"""Rules on coverage, noise and lifting."""

from __future__ import annotations

from typing import Any

import numpy as np

from purgecalc.design import Design
from purgecalc.formulas.lifting import FILTER_CITE, filter_load
from purgecalc.references import COMMON_PRACTICE, DERIVED, Source
from purgecalc.rules._base import Fact, Level, Margin, rule, worded


@rule(
    "coverage", "One blocked hole leaves most of the face served",
    level=Level.WATCH, cite=DERIVED.at("equal holes; three quarters by common practice"), limit="75 %", kind="fraction",
)  # fmt: skip
def coverage(d: Design, limit: Any) -> Margin | None:
    """Pressure and thrust can rise when a hole blocks, so nobody sees that part of the face is no longer cleaned.

    Take four or more holes.
    """
    return Margin(d["head.coverage"], at_least=limit)


@rule(
    "noise-in-air", "A head that blows in air is not painfully loud",
    level=Level.WATCH, cite=COMMON_PRACTICE.at("85 dB(A) at the ear; upper end of an estimate"), limit="85",
)  # fmt: skip
def noise_in_air(d: Design, limit: Any) -> Margin | None:
    """Lifted out of the water the head is the loudest thing on the bridge; an estimate, upper end, in dB(A).

    Do not blow in air: inhibit the schedule before lifting. Regulate the source, and wear hearing protection for tests on deck.
    """
    return Margin(d["noise.in_air_upper"], at_most=limit) if "noise.in_air_upper" in d else None


NOISE_LAW = Source("noise law", "noise-at-work law of the regime stated; common practice where none is")


@rule(
    "noise-dose", "The compressor alone stays below the first action value",
    level=Level.WATCH, cite=NOISE_LAW.at("its first action value"),
)  # fmt: skip
def noise_dose(d: Design, limit: Any) -> Margin | None:
    """Daily exposure in dB(A) of who works {noise.presence} at {noise.ear_distance}, from this source alone.

    The first value at which something is to be done is {noise.action_value}. Silence or enclose the compressor, or move it away
    from where people work.
    """
    return Margin(d["noise.daily_exposure"], at_most=d["noise.action_value"]) if "noise.daily_exposure" in d else None


@rule(
    "lift", "The probe can be lifted by one person",
    level=Level.FIX, cite=FILTER_CITE,
)  # fmt: skip
def lift(d: Design, limit: Any) -> Fact | None:
    """Wet, with water and rag, the probe is heavier than it was in the shop, and it is lifted over a rail and over water.

    Fit a swing arm or a davit, lighten pole and hose, or lift with two people. The figure is a filter, not a limit.
    """
    if "lifting.total_mass" not in d:
        return None
    height, far = d.inputs.choice("lifting.height"), d.inputs.choice("lifting.arms_length") == "yes"
    load, mass = filter_load(height, at_arms_length=far), np.asarray(d.value("lifting.total_mass"))
    how = f"at {height}, {'at arm' + chr(39) + 's length' if far else 'held close'}"
    return Fact(f"{worded(d['lifting.total_mass'])} {how}", f"at most {load:g} kg", mass <= load)
