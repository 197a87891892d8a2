"""Contact logic: does air flow, in every condition? Nothing of it without the table of the contact."""

from __future__ import annotations

from collections.abc import Mapping

from purgecalc.formulas import contact
from purgecalc.formulas.contact import Condition, Load, Terminal, Wiring
from purgecalc.inputs import Inputs
from purgecalc.working import Given, Node, Origin, Sheet

CONDITIONS = {
    "contact.at_rest": Condition.AT_REST,
    "contact.in_blast": Condition.IN_BLAST,
    "contact.control_power_lost": Condition.CONTROL_POWER_LOST,
    "contact.load_supply_lost": Condition.LOAD_SUPPLY_LOST,
    "contact.conductor_broken": Condition.CONDUCTOR_BROKEN,
    "contact.welded": Condition.CONTACT_WELDED,
}
"""Line of the sheet that says whether air flows, by condition."""


def wiring_of(inputs: Inputs) -> Wiring | None:
    """The wiring as the truth model knows it, or None where it is not stated."""
    if "contact.terminal" not in inputs.choices:
        return None
    on = inputs.choice("contact.coil_at_rest") == "on"
    return Wiring(Terminal(inputs.choice("contact.terminal")), on, Load(inputs.choice("contact.load")))


def contact_logic(sheet: Sheet, inputs: Inputs) -> None:
    """Coil, contact, load and air in every condition, and the share of the time that air flows."""
    wiring = wiring_of(inputs)
    if wiring is None:
        return
    said = inputs.words
    title = "landed on the normally-closed terminal"
    on_nc = _flag("contact.on_NC", title, said("contact.terminal"), yes=wiring.terminal is Terminal.NORMALLY_CLOSED)
    title = "load lets air through without power"
    opens = _flag("contact.opens_unpowered", title, said("contact.load"), yes=wiring.load is Load.NORMALLY_OPEN_VALVE)
    for id, condition in CONDITIONS.items():
        case = condition.value
        commanded = condition is Condition.IN_BLAST
        energised = contact.coil_energised(wiring, condition, commanded=commanded)
        coil = _flag(f"{id}.coil", f"coil energised, {case}", said("contact.coil_at_rest"), yes=energised)
        closed = sheet.do(contact.contact_closed, as_id=f"{id}.closed", title=f"Contact closed, {case}", coil=coil, on_NC=on_nc)
        powered = sheet.do(
            contact.load_powered,
            as_id=f"{id}.powered",
            title=f"Load powered, {case}",
            closed=closed,
            welded=_flag(f"{id}.weld", f"contact welded, {case}", yes=condition is Condition.CONTACT_WELDED),
            conductor=_flag(f"{id}.conductor", f"conductor whole, {case}", yes=condition is not Condition.CONDUCTOR_BROKEN),
            supply=_flag(f"{id}.supply", f"supply of the load present, {case}", yes=condition is not Condition.LOAD_SUPPLY_LOST),
        )
        sheet.do(contact.air_flows, as_id=id, title=f"Air flows, {case}", powered=powered, opens_unpowered=opens)
    rest, blast = sheet["contact.at_rest"], sheet["contact.in_blast"]
    sheet.do(contact.run_share, rest=rest, blast=blast, t_blast=inputs["schedule.blast"], T=inputs["schedule.interval"])


def _flag(id: str, title: str, read: Mapping[str, Node] | None = None, *, yes: bool) -> Given:
    return Given(id, title, "flag", float(yes), Origin("other", "state of the case"), "1" if yes else "0", read=read or {})
