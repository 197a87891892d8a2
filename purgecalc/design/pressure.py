"""Pressure that can hurt: warm hose, blocked and dead-ended head, relief, stored energy.

A part-blocked head is judged by the upper end of an order of magnitude, never above the pressure behind the hole; a
receiver at what its relief valve or dead-head leaves, should its switch stick.

A pressure switch is no safety device. The highest pressure of a receiver is its relief valve blowing or its
compressor's dead-head; where neither is stated the cut-out stands in, and ``highest-known`` says so.

Where the material of a hose is known and nobody has said how warm it gets, the air of the site is the least (WATCH;
STOP is by what is stated).
"""

from __future__ import annotations

from purgecalc.air_sources import LineSupply
from purgecalc.design.holes import with_holes
from purgecalc.design.line import airway
from purgecalc.design.reach import strongest_law, thrust_of
from purgecalc.formulas import pressure as ps
from purgecalc.formulas import receiver, site
from purgecalc.inputs import Inputs
from purgecalc.references import DERIVED
from purgecalc.working import Node, Sheet, constant, renamed

ONE_HOLE = constant("n_one", 1.0, "", "one hole left open", DERIVED.at("worst case"))


def pressure(sheet: Sheet, inputs: Inputs, supply: LineSupply) -> None:
    """Highest pressure, warm hose, coverage, blocked head, dead end, energy stored."""
    high = _highest(sheet, inputs, supply)
    _warm_hose(sheet, inputs)
    if "source.regulator_gauge" in sheet:
        p_reg, title = sheet["source.regulator_gauge"], "Highest pressure behind the regulator"
        sheet.do(ps.highest_pressure, as_id="pressure.behind_regulator", title=title, p_dead=high, p_rel=p_reg)
    n = inputs["head.holes"]
    sheet.do(ps.coverage, title="Holes left when one is blocked", n_open=sheet.do(ps.all_but_one, n=n), n=n)
    if "probe.face_limit" in inputs:
        _blocked_head(sheet, inputs, supply, _absolute(sheet, high))
    if "head.within_reach" in inputs.choices:
        sheet.do(ps.dead_end_pressure, p_high=sheet.get("pressure.behind_regulator") or high, p_crack=sheet["head.check_valve"])
    if "pressure.regime" in inputs.choices and inputs.choice("source.kind") == "receiver":
        _receiver(sheet, inputs, high)


def _warm_hose(sheet: Sheet, inputs: Inputs) -> None:
    """What the hose bears at the warmest it gets; by the air of the site where only its material is stated."""
    material, warmest = inputs.choices.get("hose.material"), inputs.get("hose.warmest")
    if "hose.rated_gauge" not in sheet or material == "rubber" or not (warmest or material):
        return
    k_T, read = ps.RATING_LOSSES.get(material or "", ps.HOSE_LOSS), inputs.words("hose.material")
    T = warmest or inputs["site.air_temperature"]
    sheet.do(ps.hose_rating, p_rated=sheet["hose.rated_gauge"], k_T=k_T, T=T, read=read)


def _highest(sheet: Sheet, inputs: Inputs, supply: LineSupply) -> Node:
    """Highest pressure with the switch stuck: what relief valve or dead-head leaves; the cut-out only where neither is known."""
    dead, receiver = sheet["source.highest_gauge"], inputs.choice("source.kind") == "receiver"
    if receiver and supply.stops is not None:
        title = "Pressure at which the compressor stops delivering"
        dead = sheet.do(
            site.gauge_pressure, as_id="source.dead_head_gauge", title=title, p=supply.stops, p_atm=sheet["site.pressure"]
        )
    if "pressure.relief" not in inputs:
        known = receiver and supply.stops is not None
        return sheet.do(ps.highest_alone, as_id="pressure.highest_pressure", p=dead) if known else dead
    given = inputs["pressure.relief"]
    p_set = renamed(given, "pressure.relief_set", given.title, "gauge pressure")
    p_rel = sheet.do(ps.relief_pressure, p_set=p_set)
    if receiver and supply.stops is None:
        return sheet.do(ps.highest_alone, as_id="pressure.highest_pressure", p=p_rel)
    return sheet.do(ps.highest_pressure, p_dead=dead, p_rel=p_rel)


def _blocked_head(sheet: Sheet, inputs: Inputs, supply: LineSupply, high: Node) -> None:
    """All but one hole blocked, a receiver as high as its relief valve lets it go: the most a jet can put on the face."""
    p_b = sheet["water.back_pressure"]
    title = "Area of one hole"
    area = sheet.do(ps.open_area, title=title, A_h=sheet["head.hole_area"], n_open=ONE_HOLE, n=inputs["head.holes"])
    way = with_holes(airway(sheet, inputs), ONE_HOLE.value / inputs["head.holes"].value)
    words = ("blocked", "with all but one hole blocked", "solved like head.pressure, with the area of one hole")
    law, rests = strongest_law(sheet, supply, high)
    F = thrust_of(sheet, inputs, way, law, p_b, words, rests, area)
    p_h = sheet["blocked.head_pressure"]
    face = sheet.do(ps.jet_impact, F_1=F, x=inputs["head.stand_off"], p_h=p_h, p_b=p_b)
    sheet.do(ps.face_pressure_worst, p_face=face, p_h=p_h, p_b=p_b)


def _absolute(sheet: Sheet, high: Node) -> Node:
    """The highest pressure, absolute."""
    id, title = "pressure.highest_absolute", "Highest pressure of the source, absolute"
    return sheet.get(id) or sheet.do(site.absolute_pressure, as_id=id, title=title, p_gauge=high, p_atm=sheet["site.pressure"])


def greatest_of_receiver(sheet: Sheet, inputs: Inputs) -> Node:
    """The greatest gauge pressure of a receiver: its plate, or where none is stated the highest it can reach."""
    stated = inputs.get("pressure.receiver_pressure")
    return stated or sheet.get("pressure.highest_pressure") or sheet["source.highest_gauge"]


def _receiver(sheet: Sheet, inputs: Inputs, high: Node) -> None:
    """Pressure times volume, and the energy the receiver holds at the highest it can reach."""
    V, p, p_atm = inputs["source.volume"], _absolute(sheet, high), sheet["site.pressure"]
    sheet.do(ps.pressure_volume, PS=greatest_of_receiver(sheet, inputs), V=V)
    sheet.do(ps.stored_energy_upper, p=p, V=V, p_atm=p_atm)
    sheet.do(receiver.stored_energy, p=p, V=V, p_atm=p_atm)


def passed_pointers(sheet: Sheet, inputs: Inputs) -> tuple[ps.Pointer, ...]:
    """Where to look for a receiver of this pressure and volume under the regime stated; empty where none is."""
    if "pressure.pressure_volume" not in sheet:
        return ()
    amount, high = float(sheet["pressure.pressure_volume"].value), float(greatest_of_receiver(sheet, inputs).value)
    return ps.pointers(inputs.choice("pressure.regime"), amount, high)
