"""Rules on water, ice and oil in the air; not judged where air quality and route are not stated."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from purgecalc.design import Design
from purgecalc.formulas.moisture import ISA_7, ISO_8573
from purgecalc.formulas.site import ICE
from purgecalc.references import COMMON_PRACTICE, OUR_JUDGEMENT
from purgecalc.rules._base import rule
from purgecalc.rules._outcomes import Fact, Level, Margin, Missing
from purgecalc.shown import text_of
from purgecalc.working import Node

INTAKE, ROUTE = ("moisture.intake_temperature", "moisture.intake_humidity"), ("route.coldest", "route.exposed_length")


def _unsaid(d: Design) -> tuple[str, ...]:
    """What nobody has stated of the air and its way."""
    return tuple(key for key in (*INTAKE, *ROUTE) if key not in d.inputs)


def _freezes(node: Node) -> NDArray[np.bool_]:
    return np.asarray(np.asarray(node.value) < ICE.value)


def _frost(d: Design) -> NDArray[np.bool_]:
    """Whether the air gets below freezing on its way, the chill behind a valve included."""
    return _freezes(d.get("moisture.throttled_temperature") or d["route.coldest"])


@rule(
    "dew-point",
    "The air is dry enough for the exposed run",
    noun="dew point",
    level=Level.NOTE,
    also=(Level.WATCH, Level.FIX, Level.STOP),
    cite=ISA_7.at("10 degC below the lowest temperature; a note without frost, STOP in frost without a drain"),
)
def dew_point(d: Design, limit: None) -> Margin | Missing:
    """Water that falls out on the way drips without frost, and plugs the hose in frost.

    Dry the air to {moisture.dew_point_needed} or lower. Or trace-heat the exposed run, or lead it inside. With frost about, add
    drains, stand the source in a warm kiosk at the tank, or wipe by hand in that season.
    """
    if "moisture.run_dew_point" not in d:
        coldest = d.get("route.coldest") or d["site.air_temperature"]
        silent = "moisture.intake_humidity" not in d.inputs
        return Missing(_unsaid(d), silent & _freezes(coldest), f"the coldest known on the way is {text_of(coldest)}")
    in_frost = Level.FIX if d.inputs.choices.get("route.low_drain") == "yes" else Level.STOP
    level = np.where(_frost(d), in_frost, Level.NOTE)
    return Margin(d["moisture.run_dew_point"], at_most=d["moisture.dew_point_needed"], base=level)


@rule(
    "ice",
    "A day's water does not fill the bore with ice",
    noun="ice in the bore",
    level=Level.FIX,
    cite=OUR_JUDGEMENT.at("all the water of a day freezes in one metre"),
    limit="5 %",
    kind="fraction",
)
def ice(d: Design, limit: float) -> Margin | Missing | None:
    """{moisture.water_per_day} of water a day freezes in the bore, which would block within {moisture.time_to_block} of frost.

    Dry the air, or trace-heat the run. Or shorten what lies in the open, or take a larger bore.
    """
    if "moisture.ice_share" not in d:
        return Missing(unsaid) if (unsaid := _unsaid(d)) else None
    return Margin(d["moisture.ice_share"], at_most=limit, applies=_frost(d))


@rule(
    "blast-frost",
    "The air a blast chills in the receiver does not freeze its own water",
    noun="frost in a blast",
    level=Level.WATCH,
    cite=OUR_JUDGEMENT.at("as worked out, and the 15 K put on by which that is too cold beside a test"),
)
def blast_frost(d: Design, limit: None) -> Margin | Missing | None:
    """A blast chills the air left in the receiver to {source.end_temperature} as worked out; with 15 K put on, because that came
    out so much too cold beside a measured blow-down, it still freezes, and damp air then leaves ice in the valve.

    Dry the air to a dew point below {source.coldest_air}, shorten the blast, or take a larger receiver.
    """
    if "source.coldest_air" not in d:
        return None
    cold = d["source.coldest_air"]
    if "moisture.source_dew_point" not in d:
        way = d.get("route.coldest") or d["site.air_temperature"]  # frost on the way is dew-point's to tell
        told = np.asarray(cold.value < ICE.value) & ~_freezes(way)
        return Missing(INTAKE, told, f"a blast chills the air of the receiver to {text_of(d['source.end_temperature'])}")
    return Margin(d["moisture.source_dew_point"], at_most=cold, applies=np.asarray(cold.value) < ICE.value)


@rule(
    "drain",
    "Water that condenses in the receiver is drained",
    noun="receiver drain",
    level=Level.WATCH,
    cite=COMMON_PRACTICE.at("automatic drain"),
    scope="source",
)
def drain(d: Design, limit: None) -> Fact | Missing | None:
    """Air compressed to the receiver's pressure would have its dew point above its surroundings: water collects every day.

    Fit an automatic drain, and look at it monthly.
    """
    if not d.has_receiver:
        return None
    if "moisture.intake_humidity" not in d.inputs:
        return Missing(INTAKE)
    dry = np.asarray(d.value("moisture.compressed_vapour_pressure")) <= d.value("moisture.intake_saturation")
    if dry.all():
        return Fact("nothing condenses in the receiver", "a drain where water condenses", dry)
    said = d.inputs.choices.get("moisture.drain")
    found = {"yes": "drained", "no": "no drain", None: "no drain stated"}[said]
    return Fact(f"water condenses; {found}", "an automatic drain", dry | (said == "yes"))


@rule(
    "sag",
    "The hose has no low point where water lies",
    noun="hose sag",
    level=Level.WATCH,
    also=(Level.FIX,),
    cite=COMMON_PRACTICE.at("falls to the head; FIX where it freezes"),
    limit="0 m",
    kind="length",
)
def sag(d: Design, limit: float) -> Margin | Missing:
    """Water in a low point is spat out with each blast, and in frost it is a plug.

    Support the hose so that it falls to the head, or drain the low point.
    """
    if "route.sag" not in d.inputs:
        return Missing((*(key for key in ROUTE if key not in d.inputs), "route.sag"))
    return Margin(d["route.sag"], at_most=limit, base=np.where(_frost(d), Level.FIX, Level.WATCH))


@rule(
    "oil",
    "The air leaves no oil on the face",
    noun="oil in the air",
    level=Level.FIX,
    cite=ISO_8573.at("oil class 2 or better at optical and ion-selective faces"),
    scope="source",
)
def oil(d: Design, limit: None) -> Fact | Missing:
    """Oil smears an optical face and spoils an ion-selective membrane, and no purge takes it off again.

    Take an oil-free source, or a coalescing filter of class 2 or better. Blow on a white cloth to see.
    """
    said = d.inputs.choices.get("moisture.oil")
    if said is None:
        return Missing((*INTAKE, "moisture.oil"))
    return Fact(said, "oil-free, or class 2 or better", said in ("oil-free", "class 1", "class 2"))
