"""The leak test of the hose: low pressure first, people clear, and a way to tell pass from fail that this line has."""

from __future__ import annotations

from collections.abc import Iterator

from purgecalc.design import Design
from purgecalc.formulas.acceptance import IDLE_MINUTE
from purgecalc.reports.blocks import Block, Checklist, Heading, Paragraph
from purgecalc.reports.note.shut_in import check_valve_at, has_blast_valve, highest_in_hose, place
from purgecalc.shown import text_of
from purgecalc.studies.commissioning import Commissioning
from purgecalc.units import show

FALL = f"less than {show(IDLE_MINUTE.value, 'pressure difference')} a minute over ten minutes (common practice, no source)"
SOAP = (
    "After a minute at that pressure go near, at this low pressure only, and soap every joint: no bubbles that grow. Tighten "
    "nothing under pressure."
)


def leak_test(c: Commissioning) -> Iterator[Block]:
    """Once for all lines where they are alike, else line by line."""
    yield Heading("Leak test", "leak-test")
    if c.many:
        yield Paragraph("One line at a time, the others shut off from the source.")
    idle = text_of(c.designs[0]["acceptance.idle_fall"]) if c.designs[0].has_receiver else ""  # one receiver, one figure
    lists = [tuple(_steps(d, idle)) for d in c.designs]
    if len(set(lists)) == 1:
        yield Checklist(lists[0])
        return
    for i, (d, steps) in enumerate(zip(c.designs, lists, strict=True), 1):
        yield Heading(d.inputs.line, f"leak-test-{i}", 2)
        yield Checklist(steps)


def _steps(d: Design, idle: str) -> Iterator[str]:
    # a relief valve is not proved yet
    most = max(d.highest_pressure, d["source.highest_gauge"], key=lambda node: float(node.value))
    yield (
        f"Hose end closed ahead of the head with a plug that bears {text_of(most)}, both ends tied down; "
        f"a bleed and a gauge on the hose {place(d)}."
    )
    yield from _receiver(d, idle) if d.has_receiver else _direct(d)


def _direct(d: Design) -> Iterator[str]:
    high, held = text_of(d.highest_pressure), "blast valve held open, " if has_blast_valve(d) else ""
    yield (
        f"People clear of hose, plug and joints. Bleed wide open, {held}source on; throttle the bleed until the gauge on the "
        f"hose reads about a tenth of {high}. If it stands higher with the bleed wide open, stop and fit a larger bleed."
    )
    yield SOAP
    shut = "shut the blast valve, switch off" if has_blast_valve(d) else "switch off"
    yield (
        f"People clear again. Close the bleed, let the source stand at its highest pressure ({high}) no longer than one blast "
        f"({text_of(d['schedule.blast'])}), read the gauge from a distance, {shut}.{_beyond_rating(d)}"
    )
    yield _shut_in(d)
    until = f" Until then the hose stays at up to {high}." if has_blast_valve(d) or check_valve_at(d) == "source" else ""
    yield (
        f"Open the bleed and see the gauge on the hose at zero before the hose end is opened, whatever the source shows.{until}"
    )


def _beyond_rating(d: Design) -> str:
    if "source.rated_gauge" not in d:
        return " Its highest continuous pressure is not stated: ask the maker first."
    if d.number("source.rated_gauge") >= float(d.highest_pressure.value):
        return ""
    return f" That is above its highest continuous pressure, {text_of(d['source.rated_gauge'])}."


def _shut_in(d: Design) -> str:
    if has_blast_valve(d):
        return f"Shut in by the blast valve, source off: the gauge on the hose falls by {FALL}."
    if check_valve_at(d) == "source":
        return (
            f"Shut in by the check valve, source off: the gauge on the hose falls by {FALL}. Its seat is tested with the joints."
        )
    return (
        "Nothing in this design shuts the hose in, so no fall of pressure is judged: soap at the low pressure decides, no "
        f"bubbles that grow. With a hand cock at the source, shut in, the gauge on the hose falls by {FALL}."
    )


def _receiver(d: Design, idle: str) -> Iterator[str]:
    high = text_of(d["source.highest_gauge"])
    yield (
        "People clear of hose, plug and joints. Receiver empty, bleed closed, blast valve held open: run the compressor by hand "
        f"and switch it off by hand when the gauge on the hose reads about a tenth of {high}."
    )
    yield SOAP
    yield (
        f"People clear again. Let the compressor fill the receiver until its pressure switch stops it ({high}); read both "
        f"gauges from a distance. The hose may stand at {highest_in_hose(d)}."
    )
    yield (
        "Compressor locked off, blast valve shut, the air cooled down: in ten minutes the gauge of the receiver falls by no "
        f"more than {idle}; the gauge on the hose falls by {FALL}."
    )
    yield (
        "Open the bleed and see the gauge on the hose at zero. The receiver keeps its air: drain it until its own gauge reads "
        "zero, or shut and lock its outlet cock, before the hose end is opened."
    )
