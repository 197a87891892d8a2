"""What to do in which order before the line is handed over: energising, isolation, leak, dry and wet test."""

from __future__ import annotations

from collections.abc import Iterator

from purgecalc.design.plant import passed_pointers
from purgecalc.reports.blocks import Block, Cautions, Checklist, Heading, Paragraph, Table
from purgecalc.reports.summary import text_of
from purgecalc.scenario.facts import FACTS
from purgecalc.studies.commissioning import Commissioning
from purgecalc.studies.truth import truth_table


def before_energising(c: Commissioning) -> Iterator[Block]:
    """Electrical checks, dead; and the truth table of the contact."""
    yield Heading("Before energising", "before-energising", on_new_page=True)
    d = c.designs[0]
    supply = ""
    if "supply.voltage" in d.inputs:
        supply = f" (supply {text_of(d['supply.voltage'])}, {text_of(d['supply.frequency'])})"
    yield Checklist(
        (
            f"Name plate of the source compared with the supply: voltage class and frequency{supply}. Licensed people only.",
            "Insulation and earth tested; residual-current protection tested; the way is separate and labelled.",
            "Contact logic proved dead: no air at rest, none when control power is lost, none when a core is lifted.",
            "Hose, fittings and vessel compared with their ratings; date codes readable; hose restrained at both ends.",
            "Head on axis, stand-off set with a gauge block, holes clear.",
        )
    )
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
    facts = [f"Highest pressure of the source {text_of(d['source.highest_gauge'])}"]
    if "receiver.stored_energy" in d:
        facts.append(f"the vessel holds {text_of(d['receiver.stored_energy'])} that a burst would release")
    yield Paragraph("; ".join(facts) + ".")
    yield Cautions(
        (
            "Isolate, exhaust to zero, lock, inhibit the schedule; only then touch hose or head. Air may still be trapped.",
            "Working over water: guard rail, tether, second person. Aerated water does not carry a swimmer.",
            "Water of the works carries agents of disease: gloves, eye protection, no eating; do not blow near the surface.",
        )
    )
    rows = tuple((f.question, d.inputs.choices.get(f"site_facts.{f.id}", "unknown"), str(f.cite)) for f in FACTS)
    yield Table("What only a person on site can know", ("Question", "Answer", "On whose word"), rows)
    pointers = passed_pointers(d.sheet, d.inputs)
    if pointers:
        where = tuple((p.text, str(p.cite)) for p in pointers)
        yield Table("Where to look, no legal conclusion", ("Pointer", "Source"), where)


def leak_test(c: Commissioning) -> Iterator[Block]:
    """Low pressure first, people clear, then working pressure."""
    yield Heading("Leak test", "leak-test")
    d = c.designs[0]
    steps = [
        "People clear of hose and head. Pressurise low first (about a tenth of the highest pressure), soap every joint.",
        f"Then close the hose end, let the source stand at its highest pressure ({text_of(d['source.highest_gauge'])}), read it.",
    ]
    if d.has_reservoir:
        steps.append(
            "Valve shut, source off: the gauge falls by less than 0.05 bar a minute in ten (common practice, no source)."
        )
    steps.append("Exhaust to zero and see the gauge at zero before anything is opened.")
    yield Checklist(tuple(steps))


def dry_test(c: Commissioning) -> Iterator[Block]:
    """Air on deck, before the head goes into the water."""
    yield Heading("Dry test", "dry-test")
    yield Paragraph("Head tied down, pointing away from people; eyes and ears protected; nobody near the jets.")
    steps = []
    for d in c.designs:
        who = f"{d.inputs.line}: " if c.many else ""
        steps.append(f"{who}command a blast: air from every one of {text_of(d['head.holes'])} holes, none between blasts.")
        steps.append(f"{who}the blast lasts {text_of(d['schedule.blast'])} by the stopwatch.")
    yield Checklist((*steps, "Pull the control fuse, lift a core, cut the load's supply in mid-blast: the air stops each time."))


def wet_test(c: Commissioning) -> Iterator[Block]:
    """At depth: time to the plume, pressures, the bump."""
    yield Heading("Wet test", "wet-test")
    steps = []
    for d in c.designs:
        who = f"{d.inputs.line}: " if c.many else ""
        depth = text_of(d["head.deepest"] if "head.deepest" in d else d["head.depth"])
        steps.append(
            f"{who}head at {depth}: full plume {text_of(d['blast.delivery_time'])} after the command, 2 s later at most; "
            "it serves the whole face."
        )
        if "reading.bump" in d:
            steps.append(f"{who}raw reading rises by {text_of(d['reading.bump'])} and is back before it is released.")
    yield Checklist((*steps, "No bubbles at the head for ten minutes between blasts.", "Three blasts in a row measured alike."))
