"""Rules on the head and on how the blast arrives there."""

from __future__ import annotations

import numpy as np

from purgecalc.design import Design
from purgecalc.references import COMMON_PRACTICE, DERIVED, OUR_JUDGEMENT
from purgecalc.rules._base import rule
from purgecalc.rules._limits import Range
from purgecalc.rules._outcomes import Fact, Level, Margin
from purgecalc.transient import Outcome
from purgecalc.units import show

OUTCOMES = {
    Outcome.OK: "air flowed to the end of the blast",
    Outcome.SOURCE_EXHAUSTED: "the source was exhausted before the end of the blast",
    Outcome.NO_FLOW: "no air left the head",
    Outcome.WATER_REMAINS: "the water had not left the hose when the blast ended",
    Outcome.NOT_CONVERGED: "the integration did not converge",
}


@rule(
    "jet-strength",
    "The jets still reach the probe face with force",
    noun="jet strength",
    level=Level.WATCH,
    also=(Level.FIX,),
    cite=OUR_JUDGEMENT.at("0.7 of 150 mN, less for faces that want a gentle jet; below five sevenths of that to be fixed"),
)
def jet_strength(d: Design, limit: None) -> Margin:
    """Thrust is what is left of the source's effort at the face; no published figure says how much is enough, so it is compared
    with a line known in practice.

    Hose takes {hose.budget_share}: if that is most, larger bore; else larger source. Where most of the pressure at the source
    is lost in the hose, a larger bore, a nearer source or fewer fittings help; otherwise a larger source, other holes or less
    depth. A longer blast does not help a weak jet.
    """
    floor = d["probe.jet_floor"]
    return Margin(d["head.jet_thrust_ratio"], at_least=floor, worse=(5 / 7 * floor.value, Level.FIX))


@rule(
    "jet-gentle",
    "The jets are no harder than this kind of probe bears",
    noun="hard jet",
    level=Level.WATCH,
    cite=OUR_JUDGEMENT.at("2.5 times 150 mN for membranes and glass, 15 for a plain face; no published figure"),
)
def jet_gentle(d: Design, limit: None) -> Margin:
    """A jet harder than the face wants wears a membrane, breaks glass or dries a reference, and cleans no better.

    Regulate, or take a smaller source, or fewer or smaller holes. Or ask the probe's maker what its face bears and state that
    as probe.jet_ceiling.
    """
    return Margin(d["head.jet_thrust_ratio"], at_most=d["probe.jet_ceiling"])


@rule(
    "blast-arrives",
    "The blast ends as a blast should: air flowing at the head",
    noun="end of the blast",
    level=Level.FIX,
    cite=DERIVED.at("integrated unsteady flow"),
)
def blast_arrives(d: Design, limit: None) -> Fact | None:
    """A blast that ends with water still in the hose, or with the source empty, has not cleaned for its whole length.

    If water remains, lengthen the blast or fit a check valve at the head. If the source runs out, shorten the blast or add
    volume.
    """
    if "blast.outcome" not in d:
        return None
    arrived = np.asarray(d.value("blast.outcome")) == Outcome.OK
    return Fact("" if arrived.ndim else _ending(d), OUTCOMES[Outcome.OK], arrived)


def _ending(d: Design) -> str:
    outcome = Outcome(int(d.number("blast.outcome")))
    if outcome in (Outcome.SOURCE_EXHAUSTED, Outcome.NOT_CONVERGED):
        return f"{OUTCOMES[outcome]} (at {show(d.number('blast.outcome_time'), 'time')})"
    return OUTCOMES[outcome]


@rule(
    "delivery-time",
    "The blast arrives early in its own duration",
    noun="delivery time",
    level=Level.WATCH,
    also=(Level.FIX,),
    cite=OUR_JUDGEMENT.at("a tenth of the blast; beyond a third it is FIX"),
    limit="10 %",
    kind="fraction",
)
def delivery_time(d: Design, limit: float) -> Margin | None:
    """Air that has not arrived does not clean, and a long rise wastes compressor running time.

    Shorten the hose, or fit a check valve at the head if it floods. Or lengthen the blast if the compressor's duty allows.
    """
    return Margin(d["blast.delivery_share"], at_most=limit, worse=(max(1 / 3, limit), Level.FIX))


@rule(
    "useful-time",
    "Most of the blast blows with useful force",
    noun="useful time",
    level=Level.FIX,
    cite=OUR_JUDGEMENT.at("four fifths of the blast"),
    limit="80 %",
    kind="fraction",
)
def useful_time(d: Design, limit: float) -> Margin | None:
    """Seconds below the thrust floor cost air and compressor life and clean nothing.

    Shorten the blast to its useful part, {blast.useful_time}. Or give a receiver more volume, a higher band or a regulator.
    """
    # a jet that is weak from the start is left to jet-strength
    strong = np.asarray(d.value("head.jet_thrust_ratio")) >= d.value("probe.jet_floor")
    return Margin(d["blast.useful_share"], at_least=limit, applies=strong)


@rule(
    "stand-off",
    "The holes stand at a usual distance from the face",
    noun="stand-off",
    level=Level.WATCH,
    cite=COMMON_PRACTICE.at("5 to 20 mm"),
    limit="5 mm to 20 mm",
    kind="length",
)
def stand_off(d: Design, limit: Range) -> Margin | None:
    """Too near, a jet strikes one spot and may harm the face; too far, it breaks up into bubbles.

    Set the head with a gauge block.
    """
    return Margin(d["head.stand_off"], at_least=limit[0], at_most=limit[1])


@rule(
    "coverage",
    "One blocked hole leaves most of the face served",
    noun="blocked hole",
    level=Level.WATCH,
    cite=DERIVED.at("equal holes; three quarters by common practice"),
    limit="75 %",
    kind="fraction",
)
def coverage(d: Design, limit: float) -> Margin | None:
    """Pressure and thrust can rise when a hole blocks, so nobody sees that part of the face is no longer cleaned.

    Take four or more holes.
    """
    return Margin(d["head.coverage"], at_least=limit)
