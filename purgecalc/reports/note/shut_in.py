"""Where air stays shut in once the source is off, and how it is let out: by check valve, blast valve and kind of source.

What a check valve at the head keeps in the hose (``hose.kept_gauge``) is on the sheet for the note alone: steps of
isolation and leak test follow from check valve, blast valve and kind of source (``reports/note/shut_in.py``,
``leak.py``), and what a finding forbids is not printed as a box to tick.
"""

from __future__ import annotations

from purgecalc.design import Design
from purgecalc.design.blast import hose_is_flooded
from purgecalc.reports.note.sentences import each_line
from purgecalc.shown import text_of
from purgecalc.studies.commissioning import Commissioning

_SHUT_IN = {
    ("head", True): "between the blast valve and the check valve at the head",
    ("head", False): "between the source and the check valve at the head",
    ("source", True): "beyond both blast valve and check valve",
    ("source", False): "beyond the check valve at the source",
    ("none", True): "beyond the blast valve",
    ("none", False): "at its source end",
}


def check_valve_at(d: Design) -> str:
    """head, source or none."""
    if "head.check_valve" not in d.inputs:
        return "none"
    return "source" if hose_is_flooded(d.inputs) else "head"


def has_blast_valve(d: Design) -> bool:
    """Whether a valve shuts the hose off, or the motor itself is switched."""
    return "valve.conductance" in d


def place(d: Design) -> str:
    """Where bleed and gauge must sit to let out, and to see, what is shut in."""
    return _SHUT_IN[check_valve_at(d), has_blast_valve(d)]


def highest_in_hose(d: Design) -> str:
    """The most the hose can be shut in at."""
    return text_of(d.get("pressure.behind_regulator") or d.highest_pressure)


def stays(d: Design) -> str:
    """What is left in the hose, and which gauge does not see it."""
    if check_valve_at(d) == "head":
        unseen = "does not see it" if has_blast_valve(d) else "does not see it if the source's own delivery valve holds"
        return (
            f"After every blast up to {text_of(d.most('hose.kept_gauge'))} stays there, water head and cracking pressure of the "
            f"check valve together; a gauge at the source {unseen}."
        )
    shut = f"With blocked holes or a closed end the hose stays at up to {highest_in_hose(d)}"
    if check_valve_at(d) == "source":
        return f"{shut}: air beyond the check valve does not come back, whatever the gauge at the source reads."
    if has_blast_valve(d):
        return f"{shut}: the shut blast valve keeps it, whatever the gauge at the source reads."
    return f"{shut} as long as the source's own delivery valve holds."


def isolation(c: Commissioning) -> tuple[str, ...]:
    """Steps before hands go near hose or head, in order."""
    steps = ["Stop and lock the schedule.", "Switch off and lock the supply of the source."]
    if c.designs[0].has_receiver:
        steps.append(
            "Shut and lock the outlet cock of the receiver; where it has none, drain it until its own gauge reads zero. That "
            "gauge says nothing of the hose, nor the hose's of the receiver."
        )
    steps += each_line(c, lambda d: f"Vent the hose {place(d)} and see the gauge on the hose there at zero. {stays(d)}")
    return (
        *steps,
        "Open the first joint slowly: air may still be trapped. Lift the head only then; second person, guard rail, gloves, eye "
        "protection.",
    )
