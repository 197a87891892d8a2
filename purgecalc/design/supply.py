"""The electrical supply of the source. Nothing of it without its table."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np

from purgecalc.formulas import supply as sp
from purgecalc.inputs import Inputs
from purgecalc.working import Given, Node, Origin, Sheet


def electrical_supply(sheet: Sheet, inputs: Inputs) -> None:
    """Class and frequency against the name plate, and what the cable takes in running and in starting."""
    if "supply.voltage" not in inputs:
        return
    U, low = inputs["supply.voltage"], inputs["supply.plate_voltage"]
    sheet.do(sp.voltage_departure, U=U, U_low=low, U_high=inputs.get("supply.plate_voltage_to") or low)
    sheet.do(sp.frequency_departure, f=inputs["supply.frequency"], f_plate=_nearer_frequency(inputs))
    if "supply.current" not in inputs:
        return
    I_start = sheet.do(sp.start_current, k=inputs["supply.inrush_factor"], I=inputs["supply.current"])
    if "contact.contact_rating" in inputs:
        sheet.do(sp.contact_load, I_start=I_start, I_rated=inputs["contact.contact_rating"])
    if "supply.cable_length" in inputs:
        _cable(sheet, inputs, U, I_start)


def _cable(sheet: Sheet, inputs: Inputs, U: Node, I_start: Node) -> None:
    """Running drop and starting dip, and the conductor or length that would keep the dip."""
    b, rho, x = sp.SINGLE_PHASE, sp.RHO_COPPER, sp.REACTANCE
    cos_phi, L, S = inputs["supply.power_factor"], inputs["supply.cable_length"], inputs["supply.conductor_area"]

    def lost(function: Callable[..., Any], id: str, title: str, I: Node) -> Node:  # noqa: E741
        return sheet.do(function, as_id=f"supply.{id}", title=title, b=b, rho_c=rho, x_c=x, L=L, S=S, cos_phi=cos_phi, I=I)

    dV = lost(sp.voltage_drop, "run_drop", "Voltage lost along the cable, running", inputs["supply.current"])
    sheet.do(sp.drop_share, as_id="supply.run_share", title="Share of the voltage lost in running", dV=dV, U=U)
    sheet.do(sp.voltage_at_load, as_id="supply.run_voltage", title="Voltage left at the source in running", U=U, dV=dV)
    dV = lost(sp.voltage_drop, "start_drop", "Voltage lost along the cable by the starting current at full voltage", I_start)
    U_load = sheet.do(sp.start_voltage, U=U, dV=dV, dV_x=lost(sp.cross_drop, "start_cross", "", I_start))
    sheet.do(sp.start_share, U=U, U_load=U_load)
    sheet.do(sp.conductor_needed, b=b, rho_c=rho, x_c=x, L=L, cos_phi=cos_phi, I=I_start, du=sp.START_LIMIT, U=U)
    sheet.do(sp.longest_cable, b=b, rho_c=rho, x_c=x, S=S, cos_phi=cos_phi, I=I_start, du=sp.START_LIMIT, U=U)


def _nearer_frequency(inputs: Inputs) -> Given:
    """For a plate with two frequencies, the one nearer to the supply's."""
    one, other = inputs["supply.plate_frequency"], inputs.get("supply.plate_frequency_or")
    if other is None:
        return one
    f = inputs["supply.frequency"].value
    nearer = np.where(np.abs(f - one.value) <= np.abs(f - other.value), one.value, other.value)[()]
    origin = Origin("other", f"nearer of {one.text} and {other.text}")
    title = "frequency on the name plate nearer to the supply's"
    read = {"f": inputs["supply.frequency"], "f_one": one, "f_other": other}
    return Given("supply.plate_frequency_nearer", title, "frequency", nearer, origin, read=read)
