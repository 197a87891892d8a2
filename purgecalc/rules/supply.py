"""Rules on the electrical supply of the source; not judged where it is not stated."""

from __future__ import annotations

import numpy as np

from purgecalc.design import Design
from purgecalc.formulas.supply import IEC_60038, IEC_60364, RUN_LIMIT_PRIVATE
from purgecalc.references import COMMON_PRACTICE, IEC_60034, Work
from purgecalc.rules._base import rule
from purgecalc.rules._outcomes import Fact, Level, Margin, Missing

PLATE = ("supply.voltage", "supply.frequency", "supply.plate_voltage", "supply.plate_frequency")
IEC_60947 = Work("IEC 60947-4-1", "IEC 60947-4-1 Contactors and motor-starters")


def _unsaid(d: Design) -> tuple[str, ...]:
    """What nobody has stated of the supply and its cable."""
    return tuple(key for key in (*PLATE, "supply.current", "supply.cable_length", "supply.conductor_area") if key not in d.inputs)


@rule(
    "supply-voltage",
    "The supply is of the name plate's voltage class",
    noun="supply voltage",
    level=Level.STOP,
    cite=IEC_60038.at("standard voltages; a motor bears 5 % (IEC 60034-1, zone A)"),
    limit="5 %",
    kind="fraction",
    scope="source",
)
def supply_voltage(d: Design, limit: float) -> Margin | Missing:
    """A unit for 100 to 120 V burns on 230 V, and one for 230 V does not start on 110 V.

    Do not plug it in. Fit a transformer of the right size, or take the unit for {supply.voltage}; measure before plugging.
    """
    return Margin(d["supply.voltage_departure"], at_most=limit) if "supply.voltage_departure" in d else Missing(PLATE)


@rule(
    "supply-frequency",
    "The supply has the name plate's frequency",
    noun="supply frequency",
    level=Level.STOP,
    cite=IEC_60034.at("a motor bears 2 %, zone A"),
    limit="2 %",
    kind="fraction",
    scope="source",
)
def supply_frequency(d: Design, limit: float) -> Margin | Missing:
    """Another frequency changes speed, flow, current and heat of the motor.

    Take a unit rated for {supply.frequency}. Or have the maker confirm it in writing with the figures that then hold.
    """
    return Margin(d["supply.frequency_departure"], at_most=limit) if "supply.frequency_departure" in d else Missing(PLATE)


@rule(
    "supply-run-drop",
    "The cable keeps the running voltage",
    noun="running voltage drop",
    level=Level.FIX,
    cite=IEC_60364.at("other uses: 5 % public, 8 % own transformer"),
    limit="5 %",
    kind="fraction",
    scope="source",
)
def supply_run_drop(d: Design, limit: float) -> Margin | Missing:
    """A motor on low voltage draws more current and runs hot.

    Take a larger conductor or feed the source from nearer.
    """
    if "supply.run_share" not in d:
        return Missing(_unsaid(d))
    private = d.inputs.choice("supply.network") == "private"
    return Margin(d["supply.run_share"], at_most=np.maximum(limit, RUN_LIMIT_PRIVATE.value) if private else limit)


@rule(
    "supply-start-dip",
    "The voltage holds while the motor starts",
    noun="starting voltage dip",
    level=Level.FIX,
    cite=COMMON_PRACTICE.at("10 % unless the maker says; cable alone"),
    limit="10 %",
    kind="fraction",
    scope="source",
)
def supply_start_dip(d: Design, limit: float) -> Margin | Missing:
    """On a long cable a motor runs once it turns, and cannot start.

    Take conductors of {supply.conductor_needed} or the next size up. Or take no more than {supply.longest_cable} of this cable.
    The feed ahead of the cable adds its own dip.
    """
    return Margin(d["supply.start_share"], at_most=limit) if "supply.start_share" in d else Missing(_unsaid(d))


@rule(
    "contact-rating",
    "The contact may switch the motor, or a contactor does",
    noun="contact rating",
    level=Level.FIX,
    cite=IEC_60947.at("motor duty, AC-3; a resistive or coil rating does not count"),
)
def contact_rating(d: Design, limit: None) -> Margin | Fact | Missing | None:
    """Starting current welds the small contacts of instruments, and a welded contact blows for ever.

    Fit an interposing relay or contactor with a motor rating. Let the instrument's contact switch that.
    """
    if "contact.load" not in d.inputs.choices:
        return Missing(("contact.terminal", "contact.coil_at_rest", "contact.load"))
    if d.inputs.choices["contact.load"] != "motor":
        return None
    if d.inputs.choices.get("contact.interposing_relay") == "yes":
        return Fact("an interposing relay carries the motor", "a contact with a motor rating", True)
    if "supply.contact_load" in d:
        return Margin(d["supply.contact_load"], at_most=1.0)
    return Fact("no interposing relay and no motor rating stated", "a contact with a motor rating", False)


@rule(
    "separate-supply",
    "The source has a supply of its own",
    noun="separate supply",
    level=Level.FIX,
    cite=COMMON_PRACTICE.at("separate, protected and labelled way"),
    scope="source",
)
def separate_supply(d: Design, limit: None) -> Fact | Missing:
    """On the instrument's supply the dip of each start reboots the probe in every blast.

    Feed the source from its own protected and labelled way.
    """
    if "supply.voltage" not in d.inputs:
        return Missing((*PLATE, "supply.separate"))
    said = d.inputs.choices.get("supply.separate")
    found = {"yes": "a way of its own", "no": "shared with instruments", None: "not stated"}[said]
    return Fact(found, "a way of its own", said == "yes")
