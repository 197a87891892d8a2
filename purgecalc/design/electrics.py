"""Contact logic and electrical supply. Nothing of it without the tables ``wiring`` and ``supply``."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import numpy as np

from purgecalc.formulas import contact
from purgecalc.formulas import supply as sp
from purgecalc.formulas.contact import Condition, Load, Terminal, Wiring
from purgecalc.inputs import Inputs
from purgecalc.working import Given, Node, Origin, Sheet

CONDITIONS = {
    "contact.at_rest": Condition.AT_REST,
    "contact.in_blast": Condition.IN_BLAST,
    "contact.control_power_lost": Condition.CONTROL_POWER_LOST,
    "contact.load_supply_lost": Condition.LOAD_SUPPLY_LOST,
    "contact.core_broken": Condition.CORE_BROKEN,
    "contact.welded": Condition.CONTACT_WELDED,
}
"""Line of the sheet that says whether air flows, by condition."""


def wiring_of(inputs: Inputs) -> Wiring | None:
    """The wiring as the truth model knows it, or None where it is not stated."""
    if "wiring.terminal" not in inputs.choices:
        return None
    on = inputs.choice("wiring.coil_at_rest") == "on"
    return Wiring(Terminal(inputs.choice("wiring.terminal")), on, Load(inputs.choice("wiring.load")))


def contact_logic(sheet: Sheet, inputs: Inputs) -> None:
    """Coil, contact, load and air in every condition, and the share of the time that air flows."""
    wiring = wiring_of(inputs)
    if wiring is None:
        return
    said = inputs.words
    title = "landed on the normally-closed terminal"
    on_nc = _flag("wiring.on_NC", title, wiring.terminal is Terminal.NORMALLY_CLOSED, said("wiring.terminal"))
    title = "load lets air through without power"
    opens = _flag("wiring.opens_unpowered", title, wiring.load is Load.NORMALLY_OPEN_VALVE, said("wiring.load"))
    for id, condition in CONDITIONS.items():
        case = condition.value
        commanded = condition is Condition.IN_BLAST
        energised = contact.coil_energised(wiring, condition, commanded)
        coil = _flag(f"{id}.coil", f"coil energised, {case}", energised, said("wiring.coil_at_rest"))
        closed = sheet.do(contact.contact_closed, as_id=f"{id}.closed", title=f"Contact closed, {case}", coil=coil, on_NC=on_nc)
        powered = sheet.do(
            contact.load_powered, as_id=f"{id}.powered", title=f"Load powered, {case}", closed=closed,
            welded=_flag(f"{id}.weld", f"contact welded, {case}", condition is Condition.CONTACT_WELDED),
            core=_flag(f"{id}.core", f"core whole, {case}", condition is not Condition.CORE_BROKEN),
            supply=_flag(f"{id}.supply", f"supply of the load present, {case}", condition is not Condition.LOAD_SUPPLY_LOST),
        )  # fmt: skip
        sheet.do(contact.air_flows, as_id=id, title=f"Air flows, {case}", powered=powered, opens_unpowered=opens)
    rest, blast = sheet["contact.at_rest"], sheet["contact.in_blast"]
    sheet.do(contact.run_share, rest=rest, blast=blast, t_blast=inputs["schedule.blast"], T=inputs["schedule.interval"])


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
    if "wiring.contact_rating" in inputs:
        sheet.do(sp.contact_load, I_start=I_start, I_rated=inputs["wiring.contact_rating"])
    if "supply.cable_length" in inputs:
        _cable(sheet, inputs, U, I_start)


def _cable(sheet: Sheet, inputs: Inputs, U: Node, I_start: Node) -> None:
    """Running drop and starting dip, and the core or length that would keep the dip."""
    b, rho, x = sp.SINGLE_PHASE, sp.RHO_COPPER, sp.REACTANCE
    cos_phi, L, S = inputs["supply.power_factor"], inputs["supply.cable_length"], inputs["supply.core_area"]

    def lost(function: Callable[..., Any], id: str, title: str, I: Node) -> Node:  # noqa: E741
        return sheet.do(function, as_id=f"supply.{id}", title=title, b=b, rho_c=rho, x_c=x, L=L, S=S, cos_phi=cos_phi, I=I)

    dV = lost(sp.voltage_drop, "run_drop", "Voltage lost along the cable, running", inputs["supply.current"])
    sheet.do(sp.drop_share, as_id="supply.run_share", title="Share of the voltage lost in running", dV=dV, U=U)
    sheet.do(sp.voltage_at_load, as_id="supply.run_voltage", title="Voltage left at the source in running", U=U, dV=dV)
    dV = lost(sp.voltage_drop, "start_drop", "Voltage lost along the cable by the starting current at full voltage", I_start)
    U_load = sheet.do(sp.start_voltage, U=U, dV=dV, dV_x=lost(sp.cross_drop, "start_cross", "", I_start))
    sheet.do(sp.start_share, U=U, U_load=U_load)
    sheet.do(sp.core_needed, b=b, rho_c=rho, x_c=x, L=L, cos_phi=cos_phi, I=I_start, du=sp.START_LIMIT, U=U)
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


def _flag(id: str, title: str, yes: bool, read: Mapping[str, Node] | None = None) -> Given:
    return Given(id, title, "flag", float(yes), Origin("other", "state of the case"), "1" if yes else "0", read=read or {})
