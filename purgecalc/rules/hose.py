"""Rules on the purge hose and the valve ahead of it."""

from __future__ import annotations

import numpy as np

from purgecalc.design import Design
from purgecalc.formulas.hose import RE_LAMINAR, RE_TURBULENT
from purgecalc.references import COMMON_PRACTICE, DERIVED, ISO_2398, ISO_6358, OUR_JUDGEMENT, PIPE_TESTS
from purgecalc.rules._base import rule
from purgecalc.rules._outcomes import Fact, Level, Margin, Missing
from purgecalc.shown import text_of

RATING_ASKED = 2e5
"""Gauge pressure of the source above which a hose without a rating is a finding (our judgement)."""


@rule(
    "hose-rating",
    "The hose is rated for the highest pressure the source can reach",
    noun="hose rating",
    level=Level.STOP,
    also=(Level.WATCH,),
    cite=ISO_2398.at("working pressure marked on the hose"),
)
def hose_rating(d: Design, limit: None) -> Margin | Missing:
    """A blocked head puts the whole hose at the highest pressure of the source, and a hose that bursts or lets go can injure.

    Fit a hose rated above the highest pressure found here. Or limit the source with a relief valve that is proved.
    """
    if "hose.rated_gauge" in d:
        return Margin(d.highest_pressure, at_most=d["hose.rated_gauge"])
    found = f"the source can reach {text_of(d.highest_pressure)}"
    return Missing(("hose.rated_pressure",), np.asarray(d.highest_pressure.value) > RATING_ASKED, found)


@rule(
    "hose-reaches-head",
    "The hose is long enough to reach the head",
    noun="hose to the head",
    level=Level.STOP,
    cite=DERIVED.at("no part of a hose is longer than the hose"),
)
def hose_reaches_head(d: Design, limit: None) -> Margin | None:
    """A hose that is shorter than the way to its head is not the one that will be fitted, so no figure here is that of the line.

    State the hose as it is, {hose.way} or more. Or put right its depth, its wetted length or its run in the open.
    """
    return Margin(d["hose.length"], at_least=d["hose.way"])


@rule(
    "hose-length",
    "The hose is no longer than common practice",
    noun="hose length",
    level=Level.WATCH,
    cite=COMMON_PRACTICE.at("25 ft (7.62 m), not extended"),
    limit="7.62 m",
    kind="length",
)
def hose_length(d: Design, limit: float) -> Margin | None:
    """Delivery and response suffer with length, and a hose already longer than usual leaves nothing for later changes.

    Move the source nearer, or accept the length with a reason. By calculation the jet has {head.jet_thrust_ratio} where
    {probe.jet_floor} is needed; "purgecalc size" gives the longest hose of each bore by every rule.
    """
    return Margin(d["hose.length"], at_most=limit)


@rule(
    "transition",
    "The flow in the hose is clearly turbulent, or clearly laminar",
    noun="hose flow",
    level=Level.NOTE,
    cite=PIPE_TESTS.at("friction measured between scatters by 15 %"),
)
def transition(d: Design, limit: None) -> Margin | None:
    """Between laminar and turbulent flow the friction of one hose is 15 % more or less than that of the next, so the hose's
    pressure drop and what follows from it are known no better than that.

    Measure the pressure at the source, or take the next smaller bore: what the hose then takes is known, if more.
    """
    turbulent_at_all = np.asarray(d.value("hose.reynolds")) > RE_LAMINAR.value
    return Margin(d["hose.reynolds"], at_least=RE_TURBULENT.value, applies=turbulent_at_all)


@rule(
    "delivery-sharp",
    "Delivery is sharply defined",
    noun="sharp delivery",
    level=Level.NOTE,
    cite=OUR_JUDGEMENT.at("twice the branches moved such a delivery by up to 4 % in 3,000 random lines"),
)
def delivery_sharp(d: Design, limit: None) -> Margin | None:
    """Nine tenths of the flow come with a single wave in the hose, in the burst behind a slug of water or about a restart of the
    source, so delivery may be off by 4 % and more; otherwise 95 of 100 random lines are within 0.15 %, and all within 1.3 %.

    Measure delivery on the line, or let the flow rise more slowly with a longer hose; keep water out with a check valve at the
    head, and the source from starting again during the blast.
    """
    if "blast.delivery_vague" not in d:
        return None
    arrives = np.isfinite(d.value("blast.delivery_time"))
    return Margin(d["blast.delivery_vague"], at_most=0.0, applies=arrives)


@rule(
    "choked-element",
    "Only the holes of the head may choke",
    noun="choking",
    level=Level.WATCH,
    cite=ISO_6358.at("clause 5, choked flow"),
)
def choked_element(d: Design, limit: None) -> Fact | None:
    """A valve or hose end that chokes sets the flow instead of the head, and wastes the pressure ahead of it.

    Enlarge what chokes: a valve of larger conductance, or a larger bore.
    """
    valve = np.asarray(d.value("valve.choked") if "valve.choked" in d else 0.0) != 0
    end = np.asarray(d.value("hose.choked")) != 0
    which = "the valve" if valve.all() else "the end of the hose" if end.all() else "nothing ahead of the head"
    return Fact(f"{which} chokes", "only the head chokes", ~(valve | end))


@rule(
    "valve-share",
    "Valve and check valve take a small share of the pressure",
    noun="valve pressure share",
    level=Level.WATCH,
    cite=COMMON_PRACTICE.at(),
    limit="25 %",
    kind="fraction",
)
def valve_share(d: Design, limit: float) -> Margin | None:
    """Pressure spent in the valves is missing at the jet.

    Take a valve of larger conductance. Or take a check valve that opens at a lower pressure.
    """
    any_valve = "valve.conductance" in d or np.asarray(d.value("head.check_valve")) > 0
    return Margin(d["valve.budget_share"], at_most=limit, applies=any_valve)


@rule(
    "slug",
    "Water standing in the hose is pushed out early in the blast",
    noun="water slug",
    level=Level.FIX,
    cite=OUR_JUDGEMENT.at("a tenth of the blast"),
    limit="10 %",
    kind="fraction",
)
def slug(d: Design, limit: float) -> Margin | None:
    """Without a check valve at the head the hose floods between blasts, and no air arrives until the water is out.

    Fit a check valve at the head. Or shorten the wetted length, or take a smaller bore there.
    """
    return Margin(d["blast.slug_share"], at_most=limit) if "blast.slug_share" in d else None
