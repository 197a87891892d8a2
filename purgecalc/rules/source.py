"""Rules on the air source: pressure, recovery, duty."""

from __future__ import annotations

import numpy as np

from purgecalc.design import Design
from purgecalc.references import COMMON_PRACTICE, DERIVED, IEC_60034, ISO_1217, OUR_JUDGEMENT
from purgecalc.rules._base import rule
from purgecalc.rules._outcomes import Fact, Level, Margin, Missing
from purgecalc.shown import text_of


@rule(
    "source-rating",
    "The source works within its continuous pressure",
    noun="source rating",
    level=Level.FIX,
    cite=IEC_60034.at("rating; the figure is the maker's"),
)
def source_rating(d: Design, limit: None) -> Margin | Missing | None:
    """A small compressor run above its rated pressure overheats and wears out early.

    Take a larger bore, a shorter hose, or larger or more holes. Or take the next size of source.
    """
    if d.has_receiver:
        return None
    if "source.rated_gauge" not in d:
        return Missing(("source.rated_pressure",))
    return Margin(d["source.gauge_pressure"], at_most=d["source.rated_gauge"])


@rule(
    "flow-basis",
    "The source's flow is what it delivers, not its displacement",
    noun="flow basis",
    level=Level.WATCH,
    cite=ISO_1217.at("definition of free air delivered"),
    scope="source",
)
def flow_basis(d: Design, limit: None) -> Fact | None:
    """Small pistons deliver half to three quarters of what they sweep, so a flow taken from displacement is a guess.

    Measure the fill time of a known receiver. Or ask the maker for the flow delivered (FAD) against pressure.
    """
    if d.given("source.displacement") is not None:
        return Fact("displacement is given", "the flow delivered is given", False)
    return Fact("the flow delivered is given", "the flow delivered is given", True)


@rule(
    "recovery",
    "The receiver recovers well before the next blast",
    noun="receiver recovery",
    level=Level.FIX,
    cite=OUR_JUDGEMENT.at("1.5 times the recovery time"),
    limit="1.5",
    kind="ratio",
)
def recovery(d: Design, limit: float) -> Margin | None:
    """A receiver that has not recovered starts the next blast lower, and each one after it lower still.

    Lengthen the interval, shorten the blast, or take a larger compressor.
    """
    return Margin(d["source.recovery_reserve"], at_least=limit) if "source.recovery_reserve" in d else None


@rule(
    "lines-apart",
    "Lines that share a receiver do not take each other's air",
    noun="shared receiver",
    level=Level.WATCH,
    cite=OUR_JUDGEMENT.at("nine tenths of cut-in left after the blasts of the other lines"),
    limit="90 %",
    kind="fraction",
)
def lines_apart(d: Design, limit: float) -> Margin | None:
    """Every line is worked out as if its blast began at cut-in or above; right after those of the others it begins lower.

    Give the lines start times further apart than the recovery, and intervals that keep them so; or take a larger receiver.
    With such start times seen to, waive this rule and say so.
    """
    return Margin(d["source.start_share"], at_least=limit) if "source.start_share" in d else None


@rule(
    "duty",
    "The motor's duty rating covers the worst ten minutes",
    noun="motor duty",
    level=Level.FIX,
    also=(Level.NOTE, Level.STOP),
    cite=IEC_60034.at("duty type S3, cycle 10 min unless stated"),
    scope="source",
)
def duty(d: Design, limit: None) -> Margin | Missing:
    """The mean over a day hides a burst of runs that takes the motor past the temperature it is rated for.

    Make blasts fewer or shorter, or take a source of higher duty. Where the contact is inverted, clear that first. Spread the
    lines over the interval. With a pressure switch narrow the band between cut-in and cut-out, or take a smaller receiver.
    """
    if "source.run_allowed" not in d:
        window = f"{text_of(d['source.run_in_window'])} in the worst {text_of(d['source.duty_window'])}"
        return Missing(
            ("source.duty",), True, f"the motor runs {text_of(d['source.duty_fraction'])} of the time, {window}", Level.NOTE
        )
    allowed = d["source.run_allowed"]
    return Margin(d["source.run_in_window"], at_most=allowed, worse=(2 * allowed.value, Level.STOP))


@rule(
    "motor-derated",
    "The motor's rating counts the thin or hot air of the site",
    noun="motor derating",
    level=Level.WATCH,
    cite=IEC_60034.at("ratings hold up to 1000 m and 40 degC"),
    scope="source",
)
def motor_derated(d: Design, limit: None) -> Margin | None:
    """Thin or hot air cools a motor less, and {source.rating_left} of the running time it is rated for is left.

    Ask the maker what holds at this altitude and in this air. State that as duty (S3 with fewer per cent) and rated pressure,
    and write derated = "yes".
    """
    left = d["source.rating_left"]
    return Margin(left, at_least=d["source.rating_counted"], applies=np.asarray(left.value) < 1)


@rule(
    "switch-band",
    "The pressure switch has room between its settings",
    noun="switch band",
    level=Level.WATCH,
    cite=COMMON_PRACTICE.at("a twentieth of cut-out"),
    limit="5 %",
    kind="fraction",
    scope="source",
)
def switch_band(d: Design, limit: float) -> Margin | None:
    """A band no wider than the switch repeats its settings starts the motor at every whiff, and wears out both.

    Set cut-in lower or cut-out higher.
    """
    return Margin(d["source.band_share"], at_least=limit) if "source.band_share" in d else None


@rule(
    "keeps-up",
    "The compressor makes the air that the lines use",
    noun="air supply",
    level=Level.FIX,
    cite=DERIVED.at("air used against air made"),
    limit="100 %",
    kind="fraction",
    scope="source",
)
def keeps_up(d: Design, limit: float) -> Margin | None:
    """A compressor asked to run more than all the time never fills the receiver again, and every blast is weaker than the last.

    Lengthen the intervals or shorten the blasts. Or lower the regulator, or take a larger compressor.
    """
    return Margin(d["source.duty_fraction"], at_most=limit)


@rule(
    "starts",
    "The motor starts no more often than it may",
    noun="motor starts",
    level=Level.FIX,
    cite=COMMON_PRACTICE.at("10 an hour where the maker says nothing"),
    limit="10 per hour",
    kind="rate",
    scope="source",
)
def starts(d: Design, limit: float) -> Margin | None:
    """Each start heats the winding and strains the contacts.

    Lengthen the interval, or take a larger receiver. Or blow lines one after another in one run.
    """
    return Margin(d["source.starts_per_hour"], at_most=d.get("source.starts_allowed") or limit)
