"""Pressure that can hurt, noise, lifting, upkeep: each worked out only where the scenario speaks of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from purgecalc.air_sources import AirSource, Supply
from purgecalc.design.blast import hose_is_flooded, wetted_length
from purgecalc.design.holes import with_holes
from purgecalc.design.line import airway
from purgecalc.design.reach import strongest_law, thrust_of
from purgecalc.formulas import hose, noise, orifice, plant, receiver, site
from purgecalc.formulas import lifting as lift
from purgecalc.formulas import pressure_safety as ps
from purgecalc.formulas import surroundings as air_about
from purgecalc.formulas import upkeep as up
from purgecalc.inputs import Inputs
from purgecalc.references import DERIVED
from purgecalc.working import Given, Node, Origin, Sheet, constant, renamed

ONE_HOLE = constant("n_one", 1.0, "", "one hole left open", DERIVED.at("worst case"))
ONE_OPERATION = constant("n_op", 1.0, "", "operations of the valve in an interval", DERIVED.at("one blast"))


def pressure_safety(sheet: Sheet, inputs: Inputs, supply: Supply) -> None:
    """Highest pressure, warm hose, coverage, blocked head, dead end, energy stored."""
    high = _highest(sheet, inputs, supply)
    _warm_hose(sheet, inputs)
    if "source.regulator_gauge" in sheet:
        p_reg, title = sheet["source.regulator_gauge"], "Highest pressure behind the regulator"
        sheet.do(ps.highest_pressure, as_id="safety.behind_regulator", title=title, p_dead=high, p_rel=p_reg)
    n = inputs["head.holes"]
    sheet.do(ps.coverage, title="Holes left when one is blocked", n_open=sheet.do(plant.all_but_one, n=n), n=n)
    if "probe.face_limit" in inputs:
        _blocked_head(sheet, inputs, supply, _absolute(sheet, high))
    if "head.within_reach" in inputs.choices:
        sheet.do(ps.dead_end_pressure, p_high=sheet.get("safety.behind_regulator") or high, p_crack=sheet["head.check_valve"])
    if "pressure_safety.regime" in inputs.choices and inputs.choice("source.kind") == "reservoir":
        _vessel(sheet, inputs, high)


def _warm_hose(sheet: Sheet, inputs: Inputs) -> None:
    """What the hose bears at the warmest it gets; by the air of the site where only its material is stated."""
    material, warmest = inputs.choices.get("hose.material"), inputs.get("hose.warmest")
    if "hose.rated_gauge" not in sheet or material == "rubber" or not (warmest or material):
        return
    k_T, read = ps.LOSSES.get(material or "", ps.HOSE_LOSS), inputs.words("hose.material")
    T = warmest or inputs["site.air_temperature"]
    sheet.do(ps.hose_rating, p_rated=sheet["hose.rated_gauge"], k_T=k_T, T=T, read=read)


def surroundings(sheet: Sheet, inputs: Inputs) -> None:
    """What altitude and warmth leave of the motor's rating, at the warmest that is known of the air about it."""
    z: Node = inputs["site.altitude"]
    if "site.pressure" in inputs:
        z = sheet.do(air_about.pressure_altitude, p=inputs["site.pressure"])
    T = inputs.get("source.warmest") or inputs["site.air_temperature"]
    left = sheet.do(air_about.rating_left, z=z, T=T)
    derated, read = inputs.choices.get("source.derated") == "yes", inputs.words("source.derated")
    function = air_about.as_derated if derated else air_about.as_plated
    sheet.do(function, as_id="source.rating_counted", title="Share of the plate's rating that is counted on", k=left, read=read)


def _highest(sheet: Sheet, inputs: Inputs, supply: Supply) -> Node:
    """Highest pressure with the switch stuck: what relief valve or dead-head leaves; the cut-out only where neither is known."""
    dead, reservoir = sheet["source.highest_gauge"], inputs.choice("source.kind") == "reservoir"
    if reservoir and supply.stops is not None:
        title = "Pressure at which the compressor stops delivering"
        dead = sheet.do(
            site.gauge_pressure, as_id="source.dead_head_gauge", title=title, p=supply.stops, p_atm=sheet["site.pressure"]
        )
    if "pressure_safety.relief" not in inputs:
        known = reservoir and supply.stops is not None
        return sheet.do(ps.highest_alone, as_id="safety.highest_pressure", p=dead) if known else dead
    given = inputs["pressure_safety.relief"]
    p_set = renamed(given, "safety.relief_set", given.title, "gauge pressure")
    p_rel = sheet.do(ps.relief_pressure, p_set=p_set)
    if reservoir and supply.stops is None:
        return sheet.do(ps.highest_alone, as_id="safety.highest_pressure", p=p_rel)
    return sheet.do(ps.highest_pressure, p_dead=dead, p_rel=p_rel)


def _blocked_head(sheet: Sheet, inputs: Inputs, supply: Supply, high: Node) -> None:
    """All but one hole blocked, a reservoir as high as its relief valve lets it go: the most a jet can put on the face."""
    p_b = sheet["water.back_pressure"]
    title = "Area of one hole"
    area = sheet.do(ps.open_area, title=title, A_h=sheet["head.hole_area"], n_open=ONE_HOLE, n=inputs["head.holes"])
    way = with_holes(airway(sheet, inputs), ONE_HOLE.value / inputs["head.holes"].value)
    words = ("blocked", "with all but one hole blocked", "solved like head.pressure, with the area of one hole")
    law, rests = strongest_law(sheet, supply, high)
    F = thrust_of(sheet, inputs, way, law, p_b, words, rests, area)
    p_h = sheet["blocked.head_pressure"]
    face = sheet.do(ps.jet_impact, F_1=F, x=inputs["head.stand_off"], p_h=p_h, p_b=p_b)
    sheet.do(plant.face_pressure_worst, p_face=face, p_h=p_h, p_b=p_b)


def _absolute(sheet: Sheet, high: Node) -> Node:
    """The highest pressure, absolute."""
    id, title = "safety.highest_absolute", "Highest pressure of the source, absolute"
    return sheet.get(id) or sheet.do(site.absolute_pressure, as_id=id, title=title, p_gauge=high, p_atm=sheet["site.pressure"])


def greatest_of_vessel(sheet: Sheet, inputs: Inputs) -> Node:
    """The greatest gauge pressure of a vessel: its plate, or where none is stated the highest it can reach."""
    stated = inputs.get("pressure_safety.vessel_pressure")
    return stated or sheet.get("safety.highest_pressure") or sheet["source.highest_gauge"]


def _vessel(sheet: Sheet, inputs: Inputs, high: Node) -> None:
    """Pressure times volume, and the energy the vessel holds at the highest it can reach."""
    V, p, p_atm = inputs["source.volume"], _absolute(sheet, high), sheet["site.pressure"]
    sheet.do(ps.pressure_volume, PS=greatest_of_vessel(sheet, inputs), V=V)
    sheet.do(ps.stored_energy_upper, p=p, V=V, p_atm=p_atm)
    sheet.do(receiver.stored_energy, p=p, V=V, p_atm=p_atm)


def passed_pointers(sheet: Sheet, inputs: Inputs) -> tuple[ps.Pointer, ...]:
    """Where to look for a vessel of this pressure and volume under the regime stated; empty where none is."""
    if "safety.pressure_volume" not in sheet:
        return ()
    amount, high = float(sheet["safety.pressure_volume"].value), float(greatest_of_vessel(sheet, inputs).value)
    return ps.pointers(inputs.choice("pressure_safety.regime"), amount, high)


def noise_in_air(sheet: Sheet, inputs: Inputs, supply: Supply) -> None:
    """Level at the ear of a head that blows with its holes in air. Nothing without ``noise``."""
    if "noise.ear_distance" not in inputs:
        return
    p_atm = sheet["site.pressure"]
    way = replace(airway(sheet, inputs), p_back=p_atm.value)
    words = ("in_air", "with the head in air", "solved like head.pressure, out of the water")
    law, rests = strongest_law(sheet, supply, supply.highest_possible)
    thrust_of(sheet, inputs, way, law, p_atm, words, rests)
    p_h, p_e = sheet["in_air.head_pressure"], sheet["in_air.exit_pressure"]
    M = sheet.do(orifice.isentropic_mach, as_id="in_air.mach", title="Mach number in the holes, head in air", p_h=p_h, p_b=p_e)
    W = sheet.do(noise.acoustic_power, M=M, m=sheet["in_air.mass_flow"], u=sheet["in_air.jet_velocity"])
    level = sheet.do(
        noise.level_at, title="Sound level at the ear, head in air, dB(A)", L_W=sheet.do(noise.power_level, W_ac=W),
        r=inputs["noise.ear_distance"], Q_dir=plant.HARD_FLOOR,
    )  # fmt: skip
    choked = sheet.do(orifice.choked, as_id="in_air.choked", title="Holes choked, head in air", p_h=p_h, p_b=p_atm)
    title = "Sound level at the ear, head in air, upper end, dB(A)"
    sheet.do(plant.upper_level, as_id="noise.in_air_upper", title=title, L=level, choked=choked)


def compressor_noise(sheet: Sheet, inputs: Inputs, source: AirSource, others: Sequence[Sheet]) -> None:
    """Daily dose from the compressor, of who is there when it runs most, for whichever line. It comes after the duty."""
    if "noise.compressor_level" not in inputs:
        return
    level = sheet.do(
        noise.from_one_metre, as_id="noise.compressor_at_ear", title="Sound level of the compressor at the ear, dB(A)",
        L_1=inputs["noise.compressor_level"], r=inputs["noise.ear_distance"],
    )  # fmt: skip
    words = "noise.on_time", "Most running time of the source while somebody is there"
    t_on = source.run_within(sheet, inputs, others, words, inputs["noise.presence"])
    regime, read = inputs.choices.get("pressure_safety.regime", "other"), inputs.words("pressure_safety.regime")
    dose, title = noise.daily_exposure_us if regime == "US" else noise.daily_exposure, "Daily noise exposure from the compressor"
    sheet.do(dose, as_id="noise.daily_exposure", title=f"{title}, dB(A)", read=read, L_p=level, t_on=t_on)
    first = noise.ACTION_VALUES[regime][0]
    text, origin = f"{first.daily:g} dB(A), {first.name} ({first.cite})", Origin("other", str(first.cite))
    sheet.add(Given("noise.action_value", f"{first.name} of the daily exposure", "ratio", first.daily, origin, text, read=read))


def lifting(sheet: Sheet, inputs: Inputs) -> None:
    """Everything that comes up with the probe, the water in the hose included. Nothing without ``lifting``."""
    if "lifting.probe_mass" not in inputs:
        return
    if hose_is_flooded(inputs):
        water: Node = sheet.do(
            lift.mass_of_length, as_id="lifting.water_mass", title="Mass of the water in the hose", rho=sheet["water.density"],
            A=sheet["hose.bore_area"], L=wetted_length(inputs), read=inputs.words("head.check_valve_at"),
        )  # fmt: skip
    else:
        dry = Origin("other", "a check valve at the head keeps the hose dry")
        read = inputs.words("head.check_valve_at")
        water = Given("lifting.water_mass", "mass of the water in the hose", "mass", 0.0, dry, "0 kg", read=read)
    probe, pole, tube, rag = (inputs[f"lifting.{k}_mass"] for k in ("probe", "pole", "hose", "rag"))
    inside = _inside_the_pole(sheet, inputs)
    m = sheet.do(lift.total_mass, m_probe=probe, m_pole=pole, m_hose=tube, m_water=water, m_inside=inside, m_rag=rag)
    F = sheet.do(lift.weight, m_lift=m)
    if "lifting.reach" in inputs:
        sheet.do(lift.reach_moment, F=F, a=inputs["lifting.reach"])


def _inside_the_pole(sheet: Sheet, inputs: Inputs) -> Node:
    """Water that a pole open below holds up to the water level, the highest there is, and brings up with it."""
    bore = inputs.get("lifting.pole_bore")
    if bore is None:
        solid = Origin("other", "no bore of the pole stated: it is solid, or runs empty as it is lifted")
        return Given("lifting.pole_water", "mass of the water in the pole", "mass", 0.0, solid, "0 kg")
    area = sheet.do(hose.bore_area, as_id="lifting.pole_area", title="Area of the bore of the pole", D=bore)
    return sheet.do(
        lift.mass_of_length, as_id="lifting.pole_water", title="Mass of the water in the pole", rho=sheet["water.density"],
        A=area, L=inputs["head.depth"],
    )  # fmt: skip


def upkeep(sheet: Sheet, inputs: Inputs) -> None:
    """Running time, starts and valve operations a year, and the lives they use up. Nothing without ``upkeep``."""
    if "upkeep.start" not in inputs.choices:
        return
    share, T = sheet["source.duty_fraction"], inputs["schedule.interval"]
    sheet.do(plant.run_time_of_share, share=share)
    sheet.do(plant.starts_per_year, rate=sheet["source.starts_per_hour"])
    if "upkeep.seal_life" in inputs:
        title = "Calendar time the compressor's seal lasts"
        sheet.do(plant.life_of_share, as_id="upkeep.seal_lasts", title=title, t_rated=inputs["upkeep.seal_life"], share=share)
    if "valve.conductance" not in sheet:
        return
    sheet.do(up.operations_per_year, title="Operations of the valve a year", n=ONE_OPERATION, T=T)
    if "upkeep.valve_life" in inputs:
        title = "Calendar time the valve lasts"
        life = inputs["upkeep.valve_life"]
        sheet.do(up.life_by_operations, as_id="upkeep.valve_lasts", title=title, n_rated=life, n=ONE_OPERATION, T=T)
