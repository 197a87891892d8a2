"""Charts of the commissioning note: pressure along the air path, and one cycle of reading and release."""

from __future__ import annotations

from typing import Any

import numpy as np

from purgecalc.design import Design
from purgecalc.reports.charts import STROKES, blank, few_ticks
from purgecalc.units import scaled, show, unit_for

PATH = (
    ("source", "source.gauge_pressure"),
    ("hose inlet", "hose.inlet_gauge"),
    ("hose end", "hose.outlet_gauge"),
    ("ahead of holes", "head.gauge_pressure"),
    ("water at the head", "water.depth_pressure"),
)
"""Stations along the air path, upstream first."""

HOLDS_SHOWN = 4.0
"""Holds of a cycle that are drawn; nothing happens in the rest of it."""


def path_figure(d: Design) -> Any:
    """Gauge pressure from source to water, station by station, during the blast."""
    figure = blank((7.0, 3.0), laid_out=False)
    axes = figure.subplots()
    names, values = path_values(d)
    colour, dash = STROKES[0]
    label = unit_for(max(values), "gauge pressure")[1]
    y = [scaled(value, max(values), "gauge pressure") for value in values]
    axes.plot(range(len(y)), y, color=colour, linestyle=dash, marker="o")
    for i, value in enumerate(values):
        text = show(value, "gauge pressure")
        axes.annotate(text, (i, y[i]), textcoords="offset points", xytext=(4, 6), ha="left", fontsize=8)
    axes.set_xticks(range(len(values)), names, fontsize=8)
    axes.set_xlim(-0.3, len(values) - 0.3)
    axes.set_ylabel(f"pressure, {label}")
    axes.set_ylim(0, 1.2 * max(y))
    axes.grid(axis="y", alpha=0.3)
    few_ticks(axes, axis="y")
    return figure


def path_values(d: Design) -> tuple[list[str], list[float]]:
    """Names of the stations and what a gauge would read there (Pa)."""
    found = [(name, d.number(id)) for name, id in PATH if name != "source" or "valve.conductance" in d.sheet]
    return [name for name, _ in found], [value for _, value in found]


def cycle_figure(d: Design) -> Any:
    """Raw, true and released reading through one cycle, and the change of the airflow beneath where a loop acts on it."""
    cycle = d.cycle
    assert cycle is not None
    loop = "loop.uptake" in d.inputs
    figure = blank((7.0, 4.4 if loop else 3.0), laid_out=False)
    panels = np.atleast_1d(figure.subplots(2 if loop else 1, 1, sharex=True, height_ratios=[3, 1] if loop else [1]))
    axes = panels[0]
    t = cycle.t / 60
    for (y, label), (colour, dash) in zip(
        ((cycle.raw, "raw reading"), (cycle.oxygen, "true oxygen"), (cycle.released, "released reading")),
        STROKES[1:],
        strict=True,
    ):
        axes.plot(t, 1e3 * np.asarray(y), color=colour, linestyle=dash, label=label)
    axes.set_ylabel("oxygen, mg/L")
    axes.legend(frameon=False, fontsize=8, loc="upper right")  # the bump is over by then
    axes.set_ylim(bottom=0)
    if loop:
        panels[1].plot(t, 100 * (np.asarray(cycle.airflow) - 1), color=STROKES[0][0])
        panels[1].set_ylabel("airflow change, %", fontsize=8)
    hold = d.number("reading.hold_time")
    panels[-1].set_xlim(-d.number("schedule.hold_lead") / 60, min(d.number("schedule.interval"), HOLDS_SHOWN * hold) / 60)
    panels[-1].set_xlabel("time from air on, min")
    for panel in panels:
        panel.grid(alpha=0.3)
    few_ticks(*panels)
    return figure
