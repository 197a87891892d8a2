"""Rules on the contact that commands the air; not judged where the wiring is not stated."""

from __future__ import annotations

from purgecalc.design import Design
from purgecalc.design.contact import wiring_of
from purgecalc.formulas.contact import AlarmEvent, Terminal, alarm_announced, alternatives
from purgecalc.references import COMMON_PRACTICE, DERIVED, Work
from purgecalc.rules._base import rule
from purgecalc.rules._outcomes import Fact, Level, Missing
from purgecalc.shown import text_of

IEC_60204 = Work("IEC 60204-1", "IEC 60204-1 Safety of machinery, electrical equipment")
NOT_WIRED = Missing(("contact.terminal", "contact.coil_at_rest", "contact.load"))
LOSSES_NAMED = {
    "contact.control_power_lost": "control power is lost",
    "contact.load_supply_lost": "the load's supply is lost",
    "contact.conductor_broken": "a conductor breaks",
}


@rule(
    "contact-at-rest",
    "No air flows between blasts",
    noun="contact at rest",
    level=Level.STOP,
    cite=DERIVED.at("coil, contact, load and air in turn"),
)
def contact_at_rest(d: Design, limit: None) -> Fact | Missing:
    """An inverted contact runs the source all the time except in a blast, and the probe stands in bubbles.

    Land the load on the other terminal. Or let the coil stand the other way at rest. For a motor or a normally-closed valve
    take the normally-open terminal with the coil off at rest. Time the motor with a stopwatch.
    """
    if "contact.at_rest" not in d:
        return NOT_WIRED
    share = text_of(d["contact.run_share"])
    quiet = not d.number("contact.at_rest")
    when = "only in a blast" if quiet else "at rest and none in a blast"
    return Fact(f"air {when}, {share} of the time", "air only in a blast", quiet)


@rule(
    "contact-on-loss",
    "No loss starts a flow of air nobody asked for",
    noun="loss of supply",
    level=Level.FIX,
    also=(Level.STOP,),
    cite=IEC_60204.at("loss of supply must not start a movement"),
)
def contact_on_loss(d: Design, limit: None) -> Fact | Missing:
    """A missed purge fouls a probe over days; a purge that does not stop spoils its reading in seconds.

    Use the normally-open terminal, with the coil off at rest. With a motor or a normally-closed valve every loss then ends in
    no air.
    """
    wiring = wiring_of(d.inputs)
    if wiring is None:
        return NOT_WIRED
    starts = [words for id, words in LOSSES_NAMED.items() if d.number(id)]
    level = Level.STOP if d.number("contact.control_power_lost") else None
    found = f"air flows when {' or when '.join(starts)}" if starts else "no loss makes air flow"
    if starts and not alternatives(wiring):
        found += "; no wiring of this valve is safe"
    return Fact(found, "no air on any loss", not starts, level)


@rule(
    "contact-welded",
    "A welded contact does not blow for ever",
    noun="welded contact",
    level=Level.WATCH,
    cite=COMMON_PRACTICE.at("longest-run timer or second means"),
)
def contact_welded(d: Design, limit: None) -> Fact | Missing | None:
    """A contact that has welded keeps the air on whatever the sequence says.

    Add a timer that ends too long a run by a second contact. Or add an alarm on air without command.
    """
    if "contact.welded" not in d:
        return NOT_WIRED
    if not d.number("contact.welded"):
        return None
    said = d.inputs.choices.get("contact.run_timer")
    found = {"yes": "a second means stops it", "no": "nothing stops it", None: "no second means stated"}[said]
    return Fact(found, "a second means of stopping", said == "yes")


@rule(
    "alarm-contact",
    "The failure alarm announces fault, lost power and a broken conductor",
    noun="alarm contact",
    level=Level.FIX,
    cite=COMMON_PRACTICE.at("alarm relay energised while healthy, loop closed"),
)
def alarm_contact(d: Design, limit: None) -> Fact | Missing:
    """The alarm contact is the opposite of the purge contact: it must be closed by a healthy, energised relay.

    Use the normally-open terminal of a relay energised while all is well. Take the open loop for the alarm.
    """
    if "contact.alarm_terminal" not in d.inputs.choices:
        return Missing(("contact.alarm_terminal", "contact.alarm_coil_healthy"))
    terminal, on = Terminal(d.inputs.choice("contact.alarm_terminal")), d.inputs.choice("contact.alarm_coil_healthy") == "on"
    silent = [e.value for e in AlarmEvent if not alarm_announced(terminal, e, coil_on_when_healthy=on)]
    found = f"silent on {' and '.join(silent)}" if silent else "announces fault, power lost and conductor broken"
    return Fact(found, "all three announced", not silent)


@rule(
    "alarm-sense",
    "Something senses the failure that the alarm contact announces",
    noun="failure sensing",
    level=Level.WATCH,
    cite=COMMON_PRACTICE.at("a pressure switch that must see each blast"),
)
def alarm_sense(d: Design, limit: None) -> Fact | None:
    """An alarm contact tells of the failures that something senses; a hose that is off, kinked or blocked is none of them.

    Fit a pressure switch or transmitter that must see each blast, and answer air_evidence in site_facts.
    """
    said = d.inputs.choices.get("site_facts.air_evidence", "unknown")
    if "contact.alarm_terminal" not in d.inputs.choices or said == "no":  # a "no" is a finding of its own
        return None
    found = "each blast is sensed" if said == "yes" else "nothing stated that senses a blast without air"
    return Fact(found, "a switch or transmitter that must see each blast", said == "yes")


@rule(
    "suppression",
    "The coil that is switched is suppressed",
    noun="coil suppressor",
    level=Level.WATCH,
    cite=COMMON_PRACTICE.at("RC element, diode or varistor"),
)
def suppression(d: Design, limit: None) -> Fact | Missing:
    """The spike of an unsuppressed coil resets instruments and burns contacts.

    Fit a suppressor across the coil. Take a diode for direct current, an RC element or varistor for alternating.
    """
    if wiring_of(d.inputs) is None:
        return NOT_WIRED
    said = d.inputs.choices.get("contact.suppression")
    found = {"yes": "suppressed", "no": "not suppressed", None: "not stated"}[said]
    return Fact(found, "a suppressor across the coil", said == "yes")
