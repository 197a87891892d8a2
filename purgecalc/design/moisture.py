"""Water in the air: dew point at the source and along the exposed run, water dropped, ice in the bore.

Air of a receiver followed in time comes out up to 15 K colder than measured at its lowest: frost in a blast
(``blast-frost``, WATCH) is judged with 15 K put on, at the end of the blast. The run in the open is judged by the cold
outside and the valve's own chill, without it.

Dew point (over water) is what is judged; frost point (over ice) stands beside it. In frost a wet line without a drain
is STOP, with one FIX.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from purgecalc.air_sources import LineSupply
from purgecalc.design.line import airway, read_for_airway
from purgecalc.design.reach import strongest_law
from purgecalc.formulas import moisture as mo
from purgecalc.formulas import moisture_line, operating_point
from purgecalc.formulas.site import ICE
from purgecalc.inputs import Inputs
from purgecalc.working import Given, Node, Origin, Sheet, Step


@dataclass(frozen=True)
class _Moment:
    """When both pressures are taken: ``end`` for ids, ``when`` for titles; at the source, and in the exposed run."""

    end: str
    when: str
    p_src: Node
    p_run: Node


def moisture(sheet: Sheet, inputs: Inputs, supply: LineSupply) -> None:
    """Dew and frost point, and where the route is stated what falls out on it. Nothing without ``moisture``."""
    if "moisture.intake_humidity" not in inputs:
        return
    e_w = _saturation(sheet, "intake", "at the intake", inputs["moisture.intake_temperature"])
    e_in = sheet.do(mo.vapour_pressure, RH=inputs["moisture.intake_humidity"], e_w=e_w)
    high = supply.highest_possible if _receiver(inputs) else sheet["source.pressure"]
    e_line = _vapour_at(sheet, inputs, _Moment("", "", high, high), (e_in, e_w))
    _dew_and_frost(sheet, "source", "at the source", e_line)
    if "route.coldest" not in inputs:
        return
    if _receiver(inputs):
        _exposed_run(sheet, inputs, _either_end(sheet, inputs, supply), (e_in, e_w))
    else:
        e_run, _, dw = _in_the_run(sheet, inputs, _Moment("", "", high, sheet["hose.inlet_pressure"]), e_line)
        _dew_and_frost(sheet, "run", "in the exposed run", e_run)
        _water(sheet, inputs, dw, inputs["route.coldest"])


def _receiver(inputs: Inputs) -> bool:
    return inputs.choice("source.kind") == "receiver"


def _vapour_at(sheet: Sheet, inputs: Inputs, at: _Moment, intake: tuple[Node, Node]) -> Node:
    """Vapour pressure that leaves the source at one moment."""
    e_in, e_w = intake
    e = sheet.do(
        mo.compressed_vapour_pressure,
        as_id=f"moisture.compressed_vapour_pressure{at.end}",
        title=f"Vapour pressure at the source, nothing taken out{at.when}",
        e=e_in,
        p=at.p_src,
        p_in=sheet["site.pressure"],
    )
    return _taken_out(sheet, inputs, at, e, e_w)


def _taken_out(sheet: Sheet, inputs: Inputs, at: _Moment, e: Node, e_w: Node) -> Node:
    """Vapour left behind a drained receiver and behind a dryer."""
    if _receiver(inputs) and inputs.choices.get("moisture.drain") == "yes":
        id, title = f"moisture.behind_receiver{at.end}", f"Vapour pressure behind the drained receiver{at.when}"
        e = sheet.do(moisture_line.vapour_left, as_id=id, title=title, e=e, e_out=e_w)
    dew = dryer_dew_point(inputs)
    if dew is None:
        return e
    e_dry = sheet.get("moisture.dryer_saturation") or _saturation(sheet, "dryer", "at the dew point of the dryer", dew)
    id, title = f"moisture.behind_dryer{at.end}", f"Vapour pressure behind the dryer{at.when}"
    return sheet.do(moisture_line.vapour_left, as_id=id, title=title, e=e, e_out=e_dry)


def dryer_dew_point(inputs: Inputs) -> Given | None:
    """Pressure dew point of the dryer, as given or by its class; None without a dryer."""
    if "moisture.dryer_class" in inputs:
        number = int(inputs["moisture.dryer_class"].value)
        t = mo.DEW_POINT_CLASSES[number]
        origin = Origin("other", f"{mo.ISO_8573.at()}, humidity class {number}")
        title = "pressure dew point behind the dryer"
        return Given("moisture.dryer_dew_point", title, "temperature", ICE.value + t, origin, f"{t:g} degC")
    return inputs.get("moisture.dryer_dew_point")


def _saturation(sheet: Sheet, id: str, where: str, T: Node) -> Node:
    return sheet.do(
        mo.saturation_over_water, as_id=f"moisture.{id}_saturation", title=f"Saturation vapour pressure over water {where}", T=T
    )


def _dew_and_frost(sheet: Sheet, id: str, where: str, e: Node) -> None:
    """Both points by name: over water and over ice they differ below 0 degC."""
    dew = sheet.do(mo.dew_point, as_id=f"moisture.{id}_dew_point", title=f"Pressure dew point (over water) {where}", e=e)
    frost = sheet.do(mo.frost_point, as_id=f"moisture.{id}_frost_point", title=f"Frost point (over ice) {where}", e=e)
    title = f"Temperature at which water falls out {where}"
    sheet.do(mo.falls_out_at, as_id=f"moisture.{id}_falls_out", title=title, T_dew=dew, T_frost=frost)


def _either_end(sheet: Sheet, inputs: Inputs, supply: LineSupply) -> tuple[_Moment, _Moment]:
    """A receiver as a blast begins at either end of the switch band."""
    law, rests = strongest_law(sheet, supply, supply.highest_possible)
    point = operating_point.solve(airway(sheet, inputs), law)
    title = "Pressure at the source end of the hose as a blast from cut-out begins"
    rests, how = {**read_for_airway(sheet, inputs), **rests}, "solved like head.pressure, from the highest pressure"
    p_run = sheet.add(Step("moisture.inlet_from_cut_out", title, "pressure", point.inlet, None, rests, how))
    return (
        _Moment("_from_cut_in", ", from cut-in", sheet["source.cut_in_absolute"], sheet["hose.inlet_pressure"]),
        _Moment("_from_cut_out", ", from cut-out", supply.highest_possible, p_run),
    )


def _exposed_run(sheet: Sheet, inputs: Inputs, moments: tuple[_Moment, _Moment], intake: tuple[Node, Node]) -> None:
    """Dew point against the cold and water dropped, each at the worse of the two moments."""
    (e_1, T_1, dw_1), (e_2, T_2, dw_2) = (_in_the_run(sheet, inputs, at, _vapour_at(sheet, inputs, at, intake)) for at in moments)
    title = "Vapour pressure in the exposed run"
    e_run = sheet.do(moisture_line.worse_vapour, as_id="moisture.run_vapour", title=title, e_1=e_1, e_2=e_2)
    _dew_and_frost(sheet, "run", "in the exposed run", e_run)
    title = "Air behind the valve, in the cold"
    coldest = sheet.do(moisture_line.colder, as_id="moisture.throttled_temperature", title=title, T_1=T_1, T_2=T_2)
    title = "Water dropped per mass of dry air"
    dw = sheet.do(moisture_line.worse_drop, as_id="moisture.water_dropped", title=title, dw_1=dw_1, dw_2=dw_2)
    _water(sheet, inputs, dw, coldest)


def _in_the_run(sheet: Sheet, inputs: Inputs, at: _Moment, e_line: Node) -> tuple[Node, Node, Node]:
    """Vapour pressure in the exposed run, its coldest air, and the water dropped there, at one moment."""
    id, title = f"moisture.run_vapour{at.end}", f"Vapour pressure in the exposed run{at.when}"
    e_run = sheet.do(mo.compressed_vapour_pressure, as_id=id, title=title, e=e_line, p=at.p_run, p_in=at.p_src)
    T: Node = inputs["route.coldest"]
    if _receiver(inputs):  # the valve chills what passes it
        id, title = f"moisture.throttled_temperature{at.end}", f"Air behind the valve, in the cold{at.when}"
        T = sheet.do(mo.throttled_temperature, as_id=id, title=title, T=T, p_1=at.p_src, p_2=at.p_run)
    over_water = _saturation(sheet, f"run{at.end}", f"at the coldest place{at.when}", T)
    id, title = f"moisture.run_ice_saturation{at.end}", f"Saturation vapour pressure over ice at the coldest place{at.when}"
    over_ice = sheet.do(mo.saturation_over_ice, as_id=id, title=title, T=T)
    id, title = f"moisture.saturation_at_coldest{at.end}", f"Vapour pressure the cold lets pass{at.when}"
    e_out = sheet.do(moisture_line.saturation_at_coldest, as_id=id, title=title, e_w=over_water, e_i=over_ice)
    id, title = f"moisture.run_mixing_ratio{at.end}", f"Water per mass of dry air{at.when}"
    w_in = sheet.do(mo.mixing_ratio, as_id=id, title=title, e=e_run, p=at.p_run)
    id, title = f"moisture.left_mixing_ratio{at.end}", f"Water the cold lets pass{at.when}"
    w_out = sheet.do(mo.mixing_ratio, as_id=id, title=title, e=e_out, p=at.p_run)
    id, title = f"moisture.water_dropped{at.end}", f"Water dropped per mass of dry air{at.when}"
    return e_run, T, sheet.do(mo.water_dropped, as_id=id, title=title, w_in=w_in, w_out=w_out)


def _water(sheet: Sheet, inputs: Inputs, dw: Node, coldest: Node) -> None:
    """Water dropped a blast and a day, ice where it freezes."""
    sheet.do(mo.dew_point_needed, T_min=inputs["route.coldest"])
    m_w = sheet.do(mo.water_per_blast, m_air=sheet["blast.air_mass"], dw=dw)
    m_day = sheet.do(mo.water_per_day, m_w=m_w, T=inputs["schedule.interval"])
    if np.ndim(coldest.value) or coldest.value < ICE.value:
        length = sheet.do(moisture_line.ice_length, L_exposed=inputs["route.exposed_length"])
        share = sheet.do(mo.ice_share, m_day=m_day, A=sheet["hose.bore_area"], L_ice=length)
        sheet.do(mo.time_to_block, share_ice=share)
