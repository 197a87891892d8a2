"""Rules on the delivery hose and the valve ahead of it."""

from __future__ import annotations

from typing import Any

from purgecalc.design import Design
from purgecalc.references import COMMON_PRACTICE, DERIVED, ISO_2398, ISO_6358, OUR_JUDGEMENT
from purgecalc.rules._base import Fact, Level, Margin, rule


@rule(
    "hose-rating", "The hose is rated for the highest pressure the source can reach",
    level=Level.STOP, cite=ISO_2398.at("working pressure marked on the hose"),
)  # fmt: skip
def hose_rating(d: Design, limit: Any) -> Margin | None:
    """A blocked head puts the whole hose at the highest pressure of the source, and a hose that bursts or lets go can injure.

    Fit a hose rated above {source.highest_gauge}, or limit the source with a regulator or a relief valve that is proved.
    """
    highest = d.get("safety.highest_pressure") or d["source.highest_gauge"]
    return Margin(highest, at_most=d["hose.rated_gauge"]) if "hose.rated_gauge" in d else None


@rule(
    "hose-length", "The hose is no longer than common practice",
    level=Level.WATCH, cite=COMMON_PRACTICE.at("25 ft (7.62 m), not extended"), limit="7.62 m", kind="length",
)  # fmt: skip
def hose_length(d: Design, limit: Any) -> Margin | None:
    """Delivery and response suffer with length, and a hose already longer than usual leaves nothing for later changes.

    Move the source nearer. Jet and source rating allow {hose.longest} of {hose.bore} hose with this source.
    """
    return Margin(d["hose.length"], at_most=limit)


@rule(
    "hose-reach", "The hose is no longer than this bore and source allow",
    level=Level.WATCH, cite=DERIVED.at("length at which the jet falls to its floor or the source reaches its rating"),
)  # fmt: skip
def hose_reach(d: Design, limit: Any) -> Margin | None:
    """Beyond this length the jet falls below its floor or the source works above its rated pressure.

    Shorten the hose to {hose.longest} or less, or take a larger bore.
    """
    if float(d["hose.longest"].value) == 0:
        return None  # the source is too weak at any length; jet-strength and source-rating say so
    return Margin(d["hose.length"], at_most=d["hose.longest"])


@rule(
    "choked-element", "Only the holes of the head may choke",
    level=Level.WATCH, cite=ISO_6358.at("clause 5, choked flow"),
)  # fmt: skip
def choked_element(d: Design, limit: Any) -> Fact | None:
    """A valve or hose end that chokes sets the flow instead of the head, and wastes the pressure ahead of it.

    Enlarge the element that chokes: a valve of larger conductance, or a larger bore.
    """
    if "valve.choked" in d and float(d["valve.choked"].value):
        return Fact("the valve chokes", "only the head chokes", False)
    if float(d["hose.choked"].value):
        return Fact("the end of the hose chokes", "only the head chokes", False)
    return Fact("nothing ahead of the head chokes", "only the head chokes", True)


@rule(
    "valve-share", "Valve and check valve take a small share of the pressure",
    level=Level.WATCH, cite=COMMON_PRACTICE.at(), limit="25 %", kind="fraction",
)  # fmt: skip
def valve_share(d: Design, limit: Any) -> Margin | None:
    """Pressure spent in the valves is missing at the jet.

    Take a valve of larger conductance, or a check valve that opens at a lower pressure.
    """
    if float(d["head.check_valve"].value) == 0 and "valve.conductance" not in d:
        return None
    return Margin(d["valve.budget_share"], at_most=limit)


@rule(
    "slug", "Water standing in the hose is pushed out early in the blast",
    level=Level.FIX, cite=OUR_JUDGEMENT.at("a tenth of the blast"), limit="10 %", kind="fraction",
)  # fmt: skip
def slug(d: Design, limit: Any) -> Margin | None:
    """Without a check valve at the head the hose floods between blasts, and no air arrives until the water is out.

    Fit a check valve at the head, shorten the wetted length, or take a smaller bore there.
    """
    return Margin(d["blast.slug_share"], at_most=limit) if "blast.slug_share" in d else None
