"""Rules on pressure that can hurt: warm hose, probe face, dead end, receiver."""

from __future__ import annotations

import numpy as np

from purgecalc.design import Design
from purgecalc.design.pressure import greatest_of_receiver
from purgecalc.formulas.pressure import HOSE_REFERENCE, OSHA_242, RELIEF_RISE, ladder_of
from purgecalc.references import COMMON_PRACTICE, ISO_4414, OUR_JUDGEMENT, Work
from purgecalc.rules._base import rule
from purgecalc.rules._outcomes import Fact, Level, Margin, Missing
from purgecalc.shown import text_of

NATIONAL = Work("national rules", "national rules on pressure equipment; figures are pointers, look there")

HARD_JET = 3.0
"""Jet thrust ratio above which a face whose limit nobody has stated is a finding (our judgement)."""


@rule(
    "hose-warm",
    "The hose holds the highest pressure when it is warm",
    noun="warm hose",
    level=Level.STOP,
    also=(Level.WATCH,),
    cite=OUR_JUDGEMENT.at("by material; 1 % a kelvin above 20 degC where it is not known; a table goes first"),
)
def hose_warm(d: Design, limit: None) -> Margin | Missing | None:
    """In the sun or beside the source a plastic hose is good for less than is printed on it.

    State the warmest it gets (hose.warmest). Fit a hose of a higher rating or of rubber, shade it, or limit the source with a
    relief valve that is proved.
    """
    if d.inputs.choices.get("hose.material") == "rubber":
        return None
    warm = "hose.warmest" in d.inputs
    if "pressure.hose_rating" not in d:
        return Missing((*(() if "hose.rated_gauge" in d else ("hose.rated_pressure",)), *(() if warm else ("hose.warmest",))))
    if warm:
        return Margin(d.highest_pressure, at_most=d["pressure.hose_rating"])
    # nobody has said how warm it gets: the air of the site is the least
    above = np.asarray(d.value("site.air_temperature")) > HOSE_REFERENCE.value
    return Margin(
        d.highest_pressure, at_most=d["pressure.hose_rating"], base=Level.WATCH, applies=above, missing=("hose.warmest",)
    )


@rule(
    "relief",
    "The relief valve opens above the working pressure and before what it protects gives way",
    noun="relief valve",
    level=Level.WATCH,
    cite=COMMON_PRACTICE.at("set above the working pressure, full lift 10 % above the set pressure"),
)
def relief(d: Design, limit: None) -> Margin | None:
    """Set too low it blows at every filling or blast and takes air from the head; set too high it never opens, or too late.

    Set it above the highest pressure in a blast (with a receiver, its cut-out) and below the dead-head of the compressor or the
    plate of the receiver, whichever is less, and prove it.
    """
    if "pressure.relief_set" not in d:
        return None
    if not d.has_receiver:
        steady, peak = d.value("source.gauge_pressure"), d.get("source.peak_gauge")  # water in the hose raises a peak ahead of it
        least = steady if peak is None else np.maximum(steady, peak.value)
        return Margin(d["pressure.relief_set"], at_least=least, at_most=d["source.highest_gauge"])
    limits = [node.value for node in (d.given("pressure.receiver_pressure"), d.get("source.dead_head_gauge")) if node]
    most = np.min(np.broadcast_arrays(*limits), axis=0)[()] if limits else None
    return Margin(d["pressure.relief_set"], at_least=d["source.highest_gauge"], at_most=most)


@rule(
    "receiver-plate",
    "The receiver never stands above its plate",
    noun="receiver plate",
    level=Level.STOP,
    cite=ISO_4414.at("no more than the greatest working pressure; 10 % while a relief valve blows"),
)
def receiver_plate(d: Design, limit: None) -> Margin | Missing | None:
    """A receiver is made and examined for the pressure on its plate, and a switch that sticks is no protection.

    Fit and prove a relief valve set at the plate pressure or below. Or lower cut-out, or take a receiver of a higher plate.
    """
    if not d.has_receiver:
        return None
    plate = d.given("pressure.receiver_pressure")
    if plate is None:
        regime = () if "pressure.regime" in d.inputs.choices else ("pressure.regime",)
        return Missing((*regime, "pressure.receiver_pressure"))
    blowing = 1 + RELIEF_RISE.value if "pressure.relief_set" in d else 1.0
    return Margin(d.highest_pressure, at_most=blowing * plate.value)


@rule(
    "highest-known",
    "Something other than a pressure switch sets the highest pressure of a receiver",
    noun="highest pressure",
    level=Level.WATCH,
    cite=ISO_4414.at("protection against more than the greatest working pressure"),
    scope="source",
)
def highest_known(d: Design, limit: None) -> Fact | None:
    """A switch that sticks lets the compressor run on, and ratings are then compared with a pressure that nobody has stated.

    State the set pressure of the receiver's relief valve (pressure.relief), or the dead-head of the compressor
    (source.dead_head); fit a relief valve where there is none.
    """
    if not d.has_receiver:
        return None
    known = "pressure.highest_pressure" in d
    return Fact(
        "only the cut-out is stated" if not known else "relief valve or dead-head is stated", "relief valve or dead-head", known
    )


@rule(
    "face-pressure",
    "A part-blocked head does not press harder than the probe's face bears",
    noun="pressure on the face",
    level=Level.STOP,
    also=(Level.WATCH,),
    cite=OUR_JUDGEMENT.at("all but one hole blocked, upper end of the estimate; the limit is the maker's"),
)
def face_pressure(d: Design, limit: None) -> Margin | Missing:
    """When rag or scale closes the other holes one jet gets all the pressure, and a membrane gives way.

    Set the head further off, or take a smaller source. Or put a regulator behind a receiver.
    """
    if "pressure.face_pressure_worst" in d:
        return Margin(d["pressure.face_pressure_worst"], at_most=d["probe.face_limit"])
    ratio = d["head.jet_thrust_ratio"]
    return Missing(("probe.face_limit",), np.asarray(ratio.value) > HARD_JET, f"the jets have {text_of(ratio)} x 150 mN")


@rule(
    "dead-end",
    "A head that hands can reach does not dead-end at skin-breaking pressure",
    noun="dead-end pressure",
    level=Level.NOTE,
    also=(Level.FIX,),
    cite=OSHA_242.at("(b), below 30 psi where that rule applies; FIX there"),
    limit="30 psig",
    kind="gauge pressure",
)
def dead_end(d: Design, limit: float) -> Margin | Missing:
    """A hole held shut by a hand stands at the highest pressure of the source, and air can be driven under skin.

    Never cover the holes by hand. Regulate or relieve to less, use a head that relieves itself, or inhibit the blast when it is
    lifted. Whether that rule applies here is to be asked locally.
    """
    if "pressure.dead_end_pressure" not in d:
        return Missing(("head.within_reach",))
    us = d.inputs.choices.get("pressure.regime") == "US"
    return Margin(d["pressure.dead_end_pressure"], at_most=limit, worse=(float(limit), Level.FIX) if us else None)


@rule(
    "pressure-volume",
    "The receiver is below the thresholds of national rules",
    noun="receiver threshold",
    level=Level.NOTE,
    cite=NATIONAL.at("pointers by regime; no legal conclusion"),
    scope="source",
)
def pressure_volume(d: Design, limit: None) -> Fact | Missing | None:
    """Above them papers, marking or examinations may be asked for; this is a pointer, and the answer is the authority's.

    Look up the rules named, or take a smaller receiver. The receiver holds {receiver.stored_energy} that a burst would release.
    """
    if not d.has_receiver:
        return None
    if "pressure.pressure_volume" not in d:
        return Missing(("pressure.regime",))
    amount, high = np.asarray(d.value("pressure.pressure_volume")), greatest_of_receiver(d.sheet, d.inputs).value
    ladder = [p for p in ladder_of(d.inputs.choice("pressure.regime")) if p.above > 0]
    passed = [(amount > p.above) & (np.asarray(high) > p.above_pressure) for p in ladder]
    over = [f"{p.text} ({p.cite.source.key})" for p, here in zip(ladder, passed, strict=True) if here.all()]
    found = "" if amount.ndim else "; ".join([f"{float(amount):.4g} bar litres", *over])
    return Fact(found, "below the thresholds", ~np.logical_or.reduce(passed) if passed else np.full(amount.shape, True))
