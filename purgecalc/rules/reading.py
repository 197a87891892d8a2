"""Rules on the reading: when it may be released and how much of it is left."""

from __future__ import annotations

from typing import Any

from purgecalc.design import Design
from purgecalc.references import COMMON_PRACTICE, DERIVED
from purgecalc.rules._base import Level, Margin, rule


@rule(
    "hold-off", "The reading is held until the bump is gone",
    level=Level.FIX, cite=DERIVED.at("decay of the sensor to the tolerance"),
)  # fmt: skip
def hold_off(d: Design, limit: Any) -> Margin | None:
    """Released too early the reading is wrong for everyone who uses it, and a blower control acts on it.

    Hold for {reading.hold_off_needed} or more, or fit a faster sensor. If the live share then falls short, lengthen the interval.
    """
    return Margin(d["schedule.hold_off"], at_least=d["reading.hold_off_needed"])


@rule(
    "hold-off-usual", "The hold-off is at least the usual minute",
    level=Level.WATCH, cite=COMMON_PRACTICE.at("at least 1 min"), limit="60 s", kind="time",
)  # fmt: skip
def hold_off_usual(d: Design, limit: Any) -> Margin | None:
    """A minute covers bubbles that stick and a sensor slower than its data sheet.

    Hold for a minute unless a logged bump shows that less is enough.
    """
    return Margin(d["schedule.hold_off"], at_least=limit)


@rule(
    "live-share", "The reading is live most of the time",
    level=Level.FIX, cite=COMMON_PRACTICE.at("nine tenths"), limit="90 %", kind="fraction",
)  # fmt: skip
def live_share(d: Design, limit: Any) -> Margin | None:
    """While it is held the reading tells nobody anything.

    Lengthen the interval, or shorten blast and hold-off as far as their own rules allow.
    """
    return Margin(d["reading.live_fraction"], at_least=limit)


@rule(
    "interval-usual", "The interval is in the usual range",
    level=Level.NOTE, cite=COMMON_PRACTICE.at("30 min, 60 min in cleaner water"), limit="15 min to 120 min", kind="time",
)  # fmt: skip
def interval_usual(d: Design, limit: Any) -> Margin | None:
    """Outside it the schedule may be right, but somebody should have a reason.

    Say in the note why this interval was chosen.
    """
    return Margin(d["schedule.interval"], at_least=limit[0], at_most=limit[1])


@rule(
    "blast-usual", "The blast is of usual length",
    level=Level.NOTE, cite=COMMON_PRACTICE.at("30 s"), limit="5 s to 60 s", kind="time",
)  # fmt: skip
def blast_usual(d: Design, limit: Any) -> Margin | None:
    """Outside it the schedule may be right, but somebody should have a reason.

    Say in the note why this blast was chosen.
    """
    return Margin(d["schedule.blast"], at_least=limit[0], at_most=limit[1])
