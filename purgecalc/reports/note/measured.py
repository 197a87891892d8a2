"""Alarm set points, the table of measured against expected, and the baseline kept for later."""

from __future__ import annotations

import math
from collections.abc import Iterator

from purgecalc.kinds import KINDS
from purgecalc.reports.blocks import Block, Heading, Measurement, Measurements, Paragraph, Table
from purgecalc.shown import text_of
from purgecalc.studies.commissioning import Commissioning
from purgecalc.studies.expected import NOT_A_TEST, Expected, commanded
from purgecalc.studies.readings import FormLine, head, judged, passes_text
from purgecalc.units import scaled, show, span, unit_for

ALARMS = {
    "source.gauge_pressure": (
        "Pressure during the blast, once it is steady and any water is out",
        "no flow or blocked above; burst, leak or weak source below",
    ),
    "source.fall": ("Fall of the pressure in a blast", "burst or leak above; no flow or blocked head below"),
    "source.end_pressure_gauge": ("Pressure at the end of that blast", "the same, seen from the end"),
    "source.recovery_from_cut_out": ("Recovery to cut-out", "worn compressor or leak above"),
    "source.recovery_from_cut_in": ("Recovery to cut-out", "worn compressor or leak above"),
}


def alarms(c: Commissioning) -> Iterator[Block]:
    """Set points by which the source proves its own blast."""
    yield Heading("Alarm set points", "alarms")
    rows = []
    for line in c.lines:
        e, d = line.expected, c.design_of(line.line)
        if e.test.id in ALARMS and not (e.test.id == "source.end_pressure_gauge" and not commanded(d)):
            name, meaning = ALARMS[e.test.id]
            rows.append((_named(line, name), show(e.value, e.kind), _no_alarm(e), meaning))
    yield Table("Evidence of air, blast by blast", ("Quantity", "Expected", "No alarm", "Beyond it"), tuple(rows))
    d = c.designs[0]
    if d.has_receiver:
        begins = (
            "Each blast begins at cut-out, as long as the receiver has recovered."
            if commanded(d)
            else "A blast begins anywhere between cut-in and cut-out, and the band of the fall holds for both: no alarm can be "
            "set on the pressure at its end."
        )
        yield Paragraph(
            f"{begins} After a blast the air in the receiver warms and the pressure climbs without a compressor: compare "
            "settled pressures."
        )
    yield Paragraph(
        "Set alarms about what was measured at commissioning, within these bands. Prove each: open the bleed a little for a "
        "leak, shut the air off at its valve, hold the source off by its switch. No alarm is masked longer than the hold, and "
        "its timer does not start afresh with every blast."
    )


def _no_alarm(e: Expected) -> str:
    """Between which figures there is no alarm; of a time, only what is too long."""
    if e.quiet is None:
        return e.why_none
    return f"at most {show(e.quiet[1], e.kind)}" if e.kind == "time" else span(*e.quiet, e.kind)


def _named(line: FormLine, what: str) -> str:
    return f"{line.line}: {what}" if line.id != line.expected.test.id else what


def measured(c: Commissioning) -> Iterator[Block]:
    """The table itself."""
    yield Heading("Measured against expected", "measured", on_new_page=True)
    yield Paragraph(
        "Bands hold nine tenths of what the inputs' uncertainty leads to. A line passes within the wider of its band and what an "
        "ordinary gauge may be off, capped by common practice. A band wider than "
        f"{show(NOT_A_TEST, 'fraction')} either way tests nothing."
    )
    yield from _at_depth(c)
    yield Measurements("Measured against expected", tuple(_row(line, c) for line in c.lines), head(c.scenario))
    if c.readings is not None and c.readings.other_scenario:
        yield Paragraph("The readings were taken for other inputs than those of this note: compare with care.", strong=True)
    if c.readings is not None and (c.readings.date or c.readings.by):
        when, who = (f" {word} {said}" if said else "" for word, said in (("on", c.readings.date), ("by", c.readings.by)))
        yield Paragraph(f"Readings taken{when}{who}.")


def _at_depth(c: Commissioning) -> Iterator[Block]:
    """Where the water level moves, figures hold for one of its states."""
    for d in c.designs:
        depth = text_of(d["head.depth"])
        ends = [e for e in d.corners.values() if text_of(e["head.depth"]) != depth]
        if ends:
            who = f"{d.inputs.line}: expected" if c.many else "Expected"
            stands = " and ".join(f"{text_of(e['source.gauge_pressure'])} with {text_of(e['head.depth'])}" for e in ends)
            yield Paragraph(
                f"{who} figures hold with {depth} of water over the head; read them at that level. During the blast the source "
                f"stands at {text_of(d['source.gauge_pressure'])} with that, at {stands}.",
                strong=True,
            )


def _row(line: FormLine, c: Commissioning) -> Measurement:
    e = line.expected
    reading = c.readings.values.get(line.id) if c.readings else None
    band = "" if e.band is None else span(*e.band, e.kind)
    off = show(e.gauge_error, "pressure difference")
    hint = "" if e.gauge is None else f"gauge to {show(e.gauge, 'gauge pressure')}, which may be off {off}"
    if e.gauge is not None and e.gauge < float(c.design_of(line.line).highest_pressure.value):
        hint += "; behind a cock that is shut whenever hose end or head is: it does not bear the highest pressure"
    label = unit_for(e.value, e.kind)[1]
    low, high = (None, None) if e.passes is None else (_in(v, e.value, e.kind) for v in e.passes)
    taken = "" if reading is None else " +- ".join(filter(None, (reading.text, reading.instrument_text)))
    return Measurement(
        line.id,
        _named(line, e.test.what),
        e.test.how,
        e.figure,
        band,
        passes_text(e),
        label,
        hint,
        taken,
        "" if reading is None else judged(e, reading),
        low,
        high,
    )


def _in(value: float, like: float, kind: str) -> float | None:
    """A value in the unit ``like`` is shown in; None where there is no such end."""
    return None if math.isinf(value) else scaled(value, like, kind)


def baseline(c: Commissioning) -> Iterator[Block]:
    """What was found, in SI, for whoever compares later."""
    if c.readings is None:
        return
    yield Heading("Baseline", "baseline")
    yield Paragraph("Kept in SI units, unrounded, for later comparison. Pressures as a gauge reads them.")
    rows = tuple(
        (
            line.id,
            repr(c.readings.values[line.id].value),
            repr(0.0 if line.expected.test.ceiling else line.expected.value),
            KINDS[line.expected.kind].si or "1",
        )
        for line in c.lines
        if line.id in c.readings.values
    )
    yield Table("Baseline", ("Quantity", "Measured", "Expected", "SI unit"), rows, (1, 2))
