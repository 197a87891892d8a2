"""Water in the air: dew point at the source and along the exposed run, water dropped, ice in the bore."""

from __future__ import annotations

import numpy as np

from purgecalc.air_sources import Supply
from purgecalc.formulas import moisture as mo
from purgecalc.formulas import plant
from purgecalc.formulas.site import ICE
from purgecalc.inputs import Inputs
from purgecalc.working import Given, Node, Origin, Sheet


def moisture(sheet: Sheet, inputs: Inputs, supply: Supply) -> None:
    """Dew and frost point, and where the route is stated what falls out on it. Nothing without ``air_quality``."""
    if "air_quality.intake_humidity" not in inputs:
        return
    reservoir = inputs.choice("source.kind") == "reservoir"
    p_src = supply.highest_possible if reservoir else sheet["source.pressure"]
    e_w = _saturation(sheet, "intake", "at the intake", inputs["air_quality.intake_temperature"])
    e_in = sheet.do(mo.vapour_pressure, RH=inputs["air_quality.intake_humidity"], e_w=e_w)
    e_src = sheet.do(
        mo.compressed_vapour_pressure, title="Vapour pressure at the source, nothing taken out", e=e_in, p=p_src,
        p_in=sheet["site.pressure"],
    )  # fmt: skip
    e_line = _taken_out(sheet, inputs, e_src, e_w)
    _dew_and_frost(sheet, "source", "at the source", e_line)
    if "route.coldest" in inputs:
        _exposed_run(sheet, inputs, (e_line, p_src), reservoir)


def _taken_out(sheet: Sheet, inputs: Inputs, e: Node, e_w: Node) -> Node:
    """Vapour left behind a drained reservoir and behind a dryer."""
    if inputs.choice("source.kind") == "reservoir" and inputs.choices.get("air_quality.drain") == "yes":
        title = "Vapour pressure behind the drained reservoir"
        e = sheet.do(plant.vapour_left, as_id="moisture.behind_reservoir", title=title, e=e, e_out=e_w)
    dew = dryer_dew_point(inputs)
    if dew is None:
        return e
    e_dry = _saturation(sheet, "dryer", "at the dew point of the dryer", dew)
    return sheet.do(plant.vapour_left, as_id="moisture.behind_dryer", title="Vapour pressure behind the dryer", e=e, e_out=e_dry)


def dryer_dew_point(inputs: Inputs) -> Given | None:
    """Pressure dew point of the dryer, as given or by its class; None without a dryer."""
    if "air_quality.dryer_class" in inputs:
        number = int(inputs["air_quality.dryer_class"].value)
        t = mo.DEW_POINT_CLASSES[number]
        origin = Origin("other", f"{mo.ISO_8573.at()}, humidity class {number}")
        title = "pressure dew point behind the dryer"
        return Given("air_quality.dryer_dew_point", title, "temperature", ICE.value + t, origin, f"{t:g} degC")
    return inputs.get("air_quality.dryer_dew_point")


def _saturation(sheet: Sheet, id: str, where: str, T: Node) -> Node:
    return sheet.do(
        mo.saturation_over_water, as_id=f"moisture.{id}_saturation", title=f"Saturation vapour pressure over water {where}", T=T
    )  # fmt: skip


def _dew_and_frost(sheet: Sheet, id: str, where: str, e: Node) -> None:
    """Both points by name: over water and over ice they differ below 0 degC."""
    dew = sheet.do(mo.dew_point, as_id=f"moisture.{id}_dew_point", title=f"Pressure dew point (over water) {where}", e=e)
    frost = sheet.do(mo.frost_point, as_id=f"moisture.{id}_frost_point", title=f"Frost point (over ice) {where}", e=e)
    title = f"Temperature at which water falls out {where}"
    sheet.do(mo.falls_out_at, as_id=f"moisture.{id}_falls_out", title=title, T_dew=dew, T_frost=frost)


def _exposed_run(sheet: Sheet, inputs: Inputs, air: tuple[Node, Node], reservoir: bool) -> None:
    """Dew point against the cold, water dropped a blast and a day, ice where it freezes."""
    e_line, p_src = air
    p_run, T_min = sheet["hose.inlet_pressure"], inputs["route.coldest"]
    title = "Vapour pressure in the exposed run"
    e_run = sheet.do(mo.compressed_vapour_pressure, as_id="moisture.run_vapour", title=title, e=e_line, p=p_run, p_in=p_src)
    _dew_and_frost(sheet, "run", "in the exposed run", e_run)
    sheet.do(mo.dew_point_needed, T_min=T_min)
    coldest: Node = T_min
    if reservoir:  # the valve chills what passes it
        coldest = sheet.do(mo.throttled_temperature, title="Air behind the valve, in the cold", T=T_min, p_1=p_src, p_2=p_run)
    _water(sheet, inputs, (e_run, p_run), coldest)


def _water(sheet: Sheet, inputs: Inputs, air: tuple[Node, Node], coldest: Node) -> None:
    e_run, p_run = air
    over_water = _saturation(sheet, "run", "at the coldest place", coldest)
    title = "Saturation vapour pressure over ice at the coldest place"
    over_ice = sheet.do(mo.saturation_over_ice, as_id="moisture.run_ice_saturation", title=title, T=coldest)
    e_out = sheet.do(plant.saturation_at_coldest, e_w=over_water, e_i=over_ice)
    w_in = sheet.do(mo.mixing_ratio, as_id="moisture.run_mixing_ratio", title="Water per mass of dry air", e=e_run, p=p_run)
    w_out = sheet.do(mo.mixing_ratio, as_id="moisture.left_mixing_ratio", title="Water the cold lets pass", e=e_out, p=p_run)
    dw = sheet.do(mo.water_dropped, w_in=w_in, w_out=w_out)
    m_w = sheet.do(mo.water_per_blast, m_air=sheet["blast.air_mass"], dw=dw)
    m_day = sheet.do(mo.water_per_day, m_w=m_w, T=inputs["schedule.interval"])
    if np.ndim(coldest.value) or coldest.value < ICE.value:
        length = sheet.do(plant.ice_length, L_exposed=inputs["route.exposed_length"])
        share = sheet.do(mo.ice_share, m_day=m_day, A=sheet["hose.bore_area"], L_ice=length)
        sheet.do(mo.time_to_block, share_ice=share)
