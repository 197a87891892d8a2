"""``purgecalc trace``."""

from __future__ import annotations

import sys
from pathlib import Path

from purgecalc.cli.console import say, width_of
from purgecalc.cli.explain import chosen
from purgecalc.cli.output import Target
from purgecalc.design import design_all
from purgecalc.errors import UsageError
from purgecalc.reports.chart_text import chart, marker
from purgecalc.reports.page import folded
from purgecalc.scenario import load
from purgecalc.studies.trace import BlastTrace, trace
from purgecalc.units import show

TRACE_FORMS = (".csv", ".svg", ".png")


def run_trace(file: str, settings: list[str], line: str, output: str, force: bool) -> None:
    """Follow a blast in time, on the screen or into a file."""
    suffix = Path(output).suffix.lower() if output else ""
    if output and suffix not in TRACE_FORMS:
        raise UsageError(f"-o {output}: trace writes {', '.join(TRACE_FORMS)}")
    target = Target(output, force, [file]) if output else None
    history = trace(chosen(design_all(load(file, settings).lines, unsteady=False, corners=False), line))
    if target is None:
        _screen(history)
    elif suffix == ".csv":
        target.write(as_csv(history))
    else:
        from purgecalc.reports.charts import blast_figure, image

        target.write(image(blast_figure(history), suffix[1:], f"Blast trace, {history.what}"))


def as_csv(h: BlastTrace) -> str:
    """The history as a table, one step a row, units in the header."""
    head = "t [s],source pressure [Pa(g)],hose inlet pressure [Pa(g)],hose outlet pressure [Pa(g)]"
    head += ",flow into hose [kg/s],flow at head [kg/s],water in hose [m],source temperature [K]"
    columns = (h.t, h.source, h.inlet, h.outlet, h.flow_in, h.flow_out, h.slug, h.temperature)
    rows = [",".join(f"{v:.9g}" for v in row) for row in zip(*columns, strict=True)]
    return "\n".join([head, *rows]) + "\n"


def headline(h: BlastTrace) -> str:
    """When the blast is delivered; else what became of it."""
    if h.delivered == h.delivered:
        return f"Delivered {show(h.delivered, 'time')} after the command, blast {show(h.blast, 'time')}: {h.what}{h.begins}"
    return f"Not delivered ({h.outcome.lower().replace('_', ' ')}): {h.what}{h.begins}"


def _screen(h: BlastTrace) -> None:
    width = min(width_of(sys.stdout), 100)
    plain = "utf" not in (sys.stdout.encoding or "").lower()
    whole = float(h.t[-1])
    early = min(whole, 4 * h.delivered) if h.delivered == h.delivered else whole
    end = {whole: show(whole, "time"), early: show(early, "time")}
    panels = [
        ("Flow at the head as the blast arrives", h.flow_out, "mass flow", early),
        ("Flow at the head, blast and tail", h.flow_out, "mass flow", whole),
        ("Pressure at the source", h.source, "gauge pressure", whole),
        ("Pressure at the head end of the hose", h.outlet, "gauge pressure", whole),
    ]
    if h.slug.max() > 0:
        panels.insert(0, ("Water in the hose", h.slug, "length", early))
    say("\n".join(folded(headline(h), width)))
    for title, y, kind, t_end in panels:
        top = show(float(y[h.t <= t_end].max()), kind)
        say("")
        say(title)
        say("\n".join(chart(h.t, y, t_end, top, end[t_end], width, plain=plain)))
        if t_end == early and h.delivered == h.delivered:
            say(marker(h.delivered, t_end, "delivered (90 % of the highest flow)", width, max(len(top), 1) + 1))
