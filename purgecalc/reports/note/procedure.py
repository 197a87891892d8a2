"""What to do in which order before the line is handed over: energising, isolation, dry and wet test."""

from __future__ import annotations

import math
from collections.abc import Iterator

from purgecalc.design import Design
from purgecalc.design.pressure import passed_pointers
from purgecalc.reports.blocks import Block, Cautions, Checklist, Heading, Paragraph, Table
from purgecalc.reports.cautions import DRY_TEST_ALONE
from purgecalc.reports.note.sentences import broken, each_line, judged_at
from purgecalc.reports.note.shut_in import isolation, place
from purgecalc.scenario.facts import FACTS
from purgecalc.shown import text_of
from purgecalc.studies.commissioning import Commissioning
from purgecalc.studies.contact_table import truth_table
from purgecalc.studies.expected import exposure_known

CONTACT = (
    "Contact checked with the load isolated, by continuity: open at rest, open with the coil de-energised, open with a conductor "
    "disconnected."
)
MANUAL = "Put the aeration loop in manual and tell the operator."
AUTOMATIC = "Put the loop back in automatic and tell the operator."
NO_LOOP = "Tell the operator. Put any control that acts on this reading in manual."
NO_LOOP_AFTER = "Put what was in manual back in automatic, and tell the operator."


def before_energising(c: Commissioning) -> Iterator[Block]:
    """Electrical checks, dead; and the truth table of the contact."""
    yield Heading("Before energising", "before-energising", on_new_page=True)
    d = c.designs[0]
    if c.checked.verdict == "STOP":
        yield Paragraph("Do not start this procedure while a finding at level STOP stands.", strong=True)
    supply = ""
    if "supply.voltage" in d.inputs:
        supply = f" (supply {text_of(d['supply.voltage'])}, {text_of(d['supply.frequency'])})"
    wired_wrong = sorted({rule for d in c.designs for rule in broken(c, d, "contact-at-rest", "contact-on-loss")})
    parts = "Hose, fittings and receiver" if d.has_receiver else "Hose and fittings"
    yield Checklist(
        (
            f"Name plate of the source compared with the supply: voltage class and frequency{supply}. Licensed people only.",
            "Insulation and earth tested; residual-current protection tested; the way is separate and labelled.",
            *([] if wired_wrong else [CONTACT]),
            f"{parts} compared with their ratings; date codes readable; hose restrained at both ends.",
            *each_line(c, lambda d: f"A bleed and a gauge fitted on the hose, {place(d)}."),
            "Head on axis, stand-off set with a gauge block, holes clear.",
        )
    )
    if wired_wrong:
        yield Paragraph(f"Not to be ticked as designed: {CONTACT} Clear {' and '.join(wired_wrong)} first.", strong=True)
    for d in c.designs:
        table = truth_table(d)
        if table is not None:
            heads = tuple(f"{h}{' (as wired)' if i == table.chosen else ''}" for i, h in enumerate(table.heads))
            rows = tuple((name, *("runs" if flow else "no" for flow in flows)) for name, flows in table.rows)
            yield Table(f"Does air flow? {d.inputs.line}, {table.load}", ("Condition", *heads), rows)


def safety(c: Commissioning) -> Iterator[Block]:
    """Isolation, stored energy, and what only a person on site can know."""
    yield Heading("Safety and isolation", "safety")
    d = c.designs[0]
    facts = [f"Highest pressure of the source {text_of(d.highest_pressure)}"]
    if d.has_receiver:
        facts[0] += f", should its switch stick; it stops the compressor at {text_of(d['source.highest_gauge'])}"
    if "receiver.stored_energy" in d:
        facts.append(f"the receiver holds {text_of(d['receiver.stored_energy'])} that a burst would release")
    yield Paragraph("; ".join(facts) + ".")
    yield Paragraph("Before hands go near hose or head, in this order:")
    yield Checklist(isolation(c))
    yield Cautions(
        (
            "Working over water: guard rail, tether, second person. Bubbly water carries less.",
            "The water may contain pathogens: wear gloves and eye protection, cover cuts, wash before eating.",
            "Confined space and gas: test the air before you enter or lean into a chamber; follow the site's permit.",
            "The compressor can start without warning: isolate and lock it before hands go near.",
            DRY_TEST_ALONE,
        )
    )
    rows = tuple((f.question, d.inputs.choices.get(f"site_facts.{f.id}", "unknown"), str(f.cite)) for f in FACTS)
    yield Table("What only a person on site can know", ("Question", "Answer", "Basis"), rows)
    pointers = passed_pointers(d.sheet, d.inputs)
    if pointers:
        where = tuple((p.text, str(p.cite)) for p in pointers)
        yield Table("Regulations to check (not legal advice)", ("Pointer", "Source"), where)


def dry_test(c: Commissioning) -> Iterator[Block]:
    """Air on deck, before the head goes into the water."""
    yield Heading("Dry test", "dry-test")
    yield Paragraph(
        "The one time the head blows out of the water: tied down, pointing away from people; nobody near the jets; eyes and ears "
        f"protected; single blasts by hand, schedule locked. {_low_pressure(c.designs[0])}"
    )
    steps = []
    for d in c.designs:
        who = f"{d.inputs.line}: " if c.many else ""
        steps.append(f"{who}command a blast: air from every one of {text_of(d['head.holes'])} holes, none between blasts.")
        steps.append(f"{who}the blast lasts {text_of(d['schedule.blast'])} by the stopwatch.")
    yield Checklist(
        (
            MANUAL if _has_loop(c) else NO_LOOP,
            *steps,
            "In mid-blast open the control supply by its own switch or test link, then the load's supply by its own switch: the "
            "air stops each time. A licensed person opens a conductor at a test link made for it. Disconnect nothing live.",
            AUTOMATIC if _has_loop(c) else NO_LOOP_AFTER,
        )
    )


def _has_loop(c: Commissioning) -> bool:
    return any("loop.uptake" in d.inputs for d in c.designs)


def _low_pressure(d: Design) -> str:
    """How low the dry test can be kept with this source."""
    if "source.regulator_gauge" in d:
        return (
            "Turn the regulator down to the lowest pressure at which every hole blows, and back to "
            f"{text_of(d['source.regulator_gauge'])} afterwards."
        )
    if d.has_receiver:
        return (
            "There is no regulator: fill the receiver to about a tenth of its highest pressure, the compressor switched off by "
            "hand."
        )
    return "There is no regulator; through open holes the source stands at about its working pressure."


def wet_test(c: Commissioning) -> Iterator[Block]:
    """At depth: time to the plume, pressures, the bump."""
    yield Heading("Wet test", "wet-test")
    steps, waits = [], []
    for d in c.designs:
        who = f"{d.inputs.line}: " if c.many else ""
        depth = text_of(d["head.depth"])
        if broken(c, d, "blast-arrives"):
            waits.append(f"{who}wait for no plume before the finding blast-arrives is cleared.")
        else:
            steps.append(
                f"{who}head at {depth}: full flow at the head {text_of(d['blast.delivery_time'])} after the command, 2 s later "
                "at most (the plume shows at the surface later, by the rise of its bubbles); it serves the whole face."
            )
        if "reading.bump" in d:
            (waits if broken(c, d, "hold-off") else steps).append(f"{who}{_bump(c, d)}")
    yield Checklist(
        (
            MANUAL if _has_loop(c) else NO_LOOP,
            *steps,
            "No bubbles at the head between blasts, watched for ten minutes or until the next blast.",
            *each_line(c, _repeats),
            AUTOMATIC if _has_loop(c) else NO_LOOP_AFTER,
        )
    )
    for text in waits:
        yield Paragraph(f"Not to be ticked as designed: {text}", strong=True)


def _repeats(d: Design) -> str:
    """Three blasts, spaced so that the source keeps its duty rating."""
    apart = d.get("interval.shortest_duty")
    if apart is not None and math.isfinite(float(apart.value)):
        return f"Repeat for three blasts, their starts at least {text_of(apart)} apart (duty of the source): all measured alike."
    return f"Repeat for three blasts, their starts {text_of(d['schedule.interval'])} apart as scheduled: all measured alike."


def _bump(c: Commissioning, d: Design) -> str:
    """What the raw reading does, and what is left of it when it is released with the hold-off as set."""
    rise, held, allowed = (text_of(d[id]) for id in ("reading.bump", "schedule.hold_off", "probe.tolerance"))
    rise += "" if exposure_known(d) else " at most"
    if broken(c, d, "hold-off"):
        there = judged_at(c, d, "hold-off")
        where = f" {there.where}" if there.where else ""
        return (
            f"raw reading rises by {rise}; with a hold-off of {held} it is released with {text_of(there['reading.residual'])} "
            f"of that left{where}, where {allowed} is allowed: set a hold-off of {text_of(there['reading.hold_off_needed'])} "
            "or more first."
        )
    return f"raw reading rises by {rise} and is back within {allowed} when it is released, {held} after the blast."
