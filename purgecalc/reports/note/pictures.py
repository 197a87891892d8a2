"""Charts of the note, each with a caption and the words that stand in for it; drawn only where the form can show them."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

from purgecalc.design import Design
from purgecalc.errors import NoPhysicalAnswer
from purgecalc.reports.blocks import Chart
from purgecalc.reports.charts_note import path_values
from purgecalc.shown import text_of
from purgecalc.studies.commissioning import Commissioning
from purgecalc.studies.hose_map import HoseMap, hose_map
from purgecalc.units import show


def pictures(c: Commissioning, *, drawn: bool) -> Iterator[Chart]:
    """All charts of all lines; without ``drawn`` only their words."""
    for d in c.designs:
        for make in (_path, _blast, _cycle, _map):
            chart = make(c, d, drawn=drawn)
            if chart is not None:
                yield chart


def _title(c: Commissioning, d: Design, what: str) -> str:
    return f"{what}, {d.inputs.line}" if c.many else what


def _svg(figure: Callable[[], Any], title: str, *, drawn: bool) -> str:
    if not drawn:
        return ""
    from purgecalc.reports.charts import image

    return image(figure(), "svg", title).decode()


def _path(c: Commissioning, d: Design, *, drawn: bool) -> Chart:
    from purgecalc.reports.charts_note import path_figure

    title = _title(c, d, "Pressure along the air path during the blast")
    names, values = path_values(d)
    stations = ", ".join(f"{show(v, 'gauge pressure')} at {name}" for name, v in zip(names, values, strict=True))
    when = " as a blast from cut-in begins" if d.has_receiver else ""
    return Chart(_svg(lambda: path_figure(d), title, drawn=drawn), title, f"What a gauge would read{when}: {stations}.")


def _blast(c: Commissioning, d: Design, *, drawn: bool) -> Chart | None:
    title = _title(c, d, "The blast in time")
    delivered = f"Air is delivered at the head {text_of(d['blast.delivery_time'])} after the command"
    if d.has_receiver:
        words = f"Pressure and flow at source and head against time, in a blast from cut-out. {delivered} at the latest."
    else:
        words = f"Pressure and flow at source and head against time. {delivered}; ahead of the holes the pressure settles at "
        words += f"{text_of(d['head.gauge_pressure'])}."
    if not drawn:
        return Chart("", title, words)
    from purgecalc.air_sources import BLAST_BRANCHES, BLAST_TOLERANCE
    from purgecalc.reports.charts import blast_figure
    from purgecalc.studies.trace import trace

    try:
        history = trace(d, BLAST_BRANCHES, BLAST_TOLERANCE)
    except NoPhysicalAnswer:
        return None
    return Chart(_svg(lambda: blast_figure(history), title, drawn=drawn), title, words)


def _cycle(c: Commissioning, d: Design, *, drawn: bool) -> Chart | None:
    from purgecalc.reports.charts_note import cycle_figure

    if d.cycle is None or "reading.bump" not in d:
        return None
    title = _title(c, d, "One cycle of the reading")
    words = (
        f"The raw reading rises by {text_of(d['reading.bump'])} until bubbles have gone and the water has mixed, and falls back; "
        f"the released reading is held for {text_of(d['reading.hold_time'])} and released with "
        f"{text_of(d['reading.residual'])} of bias left."
    )
    return Chart(_svg(lambda: cycle_figure(d), title, drawn=drawn), title, words)


def _map(c: Commissioning, d: Design, *, drawn: bool) -> Chart:
    title = _title(c, d, "Which hose would do, by length and bore")
    m = hose_map(c.checked, d.inputs.line)
    apart = f" but those that no hose clears: {', '.join(m.apart)}" if m.apart else ""
    words = (
        f"Verdict by length and bore of the hose; this design is {text_of(d['hose.length'])} of {text_of(d['hose.bore'])}. "
        f"The map counts every rule{apart}."
    )
    return Chart(_svg(lambda: _map_figure(m), title, drawn=drawn), title, words)


def _map_figure(m: HoseMap) -> Any:
    from purgecalc.reports.charts_map import verdict_figure

    fitted = m.fitted[0], 1e3 * m.fitted[1]
    return verdict_figure(m.lengths, 1e3 * m.bores, m.verdict, "length of the hose, m", "bore, mm", present=fitted)
