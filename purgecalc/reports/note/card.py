"""One page for the kiosk door: settings, longest hose, how to isolate, five numbers to measure in ten minutes."""

from __future__ import annotations

from collections.abc import Iterator

from purgecalc import __version__
from purgecalc.design import Design
from purgecalc.reports.blocks import Block, Cautions, Checklist, Document, Facts, Heading, Table
from purgecalc.reports.cautions import DRY_TEST_ALONE
from purgecalc.reports.note import status
from purgecalc.reports.note.shut_in import isolation
from purgecalc.shown import text_of
from purgecalc.studies.commissioning import Commissioning
from purgecalc.studies.readings import judged, passes_text

FIVE = (
    "source.highest_gauge",
    "pressure.highest_pressure",
    "source.gauge_pressure",
    "source.fall",
    "head.gauge_pressure",
    "blast.delivery_time",
    "source.recovery_from_cut_out",
    "source.recovery_from_cut_in",
    "source.run_time",
    "reading.bump",
    "reading.residual",
)
"""What can be measured in ten minutes, most telling first; the first five that apply are printed."""

COUNTED = ("No", "One", "Two", "Three", "Four", "Five", "Six", "Seven", "Eight", "Nine", "Ten")


def field_card(c: Commissioning) -> Document:
    """The card."""
    words, grade = status(c)
    return Document(
        title=f"Field card: {c.scenario.title}",
        subtitle="Compressed-air purge: what is set, how to isolate, what to measure",
        status=words,
        grade=grade,
        foot=f"inputs {c.scenario.hash} | purgecalc {__version__}",
        date=c.scenario.paper.get("date", ""),
        author=c.scenario.paper.get("author", ""),
        blocks=tuple(_blocks(c)),
    )


def _blocks(c: Commissioning) -> Iterator[Block]:
    for i, d in enumerate(c.designs, 1):
        yield Heading(f"Set: {d.inputs.line}" if c.many else "Set", f"set-{i}")
        yield Facts(tuple(_settings(c, d)))
    yield Heading("Before hands go near hose or head", "isolate")
    yield Checklist(isolation(c))
    rows, lines = [], {line.id: line for line in c.lines}
    for i, d in enumerate(c.designs, 1):
        prefix = f"{i}." if c.many else ""
        keys = dict.fromkeys(key for id in FIVE for key in (f"{prefix}{id}", *([id] if i == 1 else [])))
        for line in [lines[key] for key in keys if key in lines][:5]:
            e = line.expected
            what = e.test.what if line.id == e.test.id else f"{d.inputs.line}: {e.test.what}"
            taken = c.readings.values.get(line.id) if c.readings else None
            measured = "" if taken is None else f"{taken.text}: {judged(e, taken)}"
            rows.append((what, e.figure, passes_text(e), measured))
    count = COUNTED[len(rows)] if len(rows) < len(COUNTED) else str(len(rows))
    yield Heading(f"{count} numbers{', ten minutes a line' if c.many else ' in ten minutes'}", "measure")
    yield Table("Write down what you read, with the date", ("Quantity", "Expected", "Passes", "Measured"), tuple(rows))
    yield Cautions(
        (
            "Do not lengthen or change the hose without working the line out again.",
            DRY_TEST_ALONE,
            "Never close a hole by hand.",
            "Local codes and licensed practice come before this card.",
        )
    )


def _settings(c: Commissioning, d: Design) -> Iterator[tuple[str, str]]:
    for label, id in (("Interval", "interval"), ("Blast", "blast"), ("Hold-off", "hold_off"), ("Hold lead", "hold_lead")):
        yield label, text_of(d[f"schedule.{id}"])
    yield "Hose", f"{text_of(d['hose.length'])} of {text_of(d['hose.bore'])}"
    yield "Highest pressure", text_of(d.highest_pressure)
