"""Charts of the commissioning note: pressure along the air path, and one cycle of reading and release."""

from __future__ import annotations

from typing import Any

import numpy as np

from purgecalc.design import Design
from purgecalc.reports.charts import STYLES, blank

PATH = (
    ("source", "source.gauge_pressure"),
    ("hose inlet", "hose.inlet_gauge"),
    ("hose end", "hose.outlet_gauge"),
    ("ahead of holes", "head.gauge_pressure"),
    ("water at the head", "water.depth_pressure"),
)
"""Stations along the air path, upstream first."""


def path_figure(d: Design) -> Any:
    """Gauge pressure from source to water, station by station, during the blast."""
    figure = blank((7.0, 3.0))
    axes = figure.subplots()
    names, values = path_values(d)
    colour, dash = STYLES[0]
    axes.plot(range(len(values)), values, color=colour, linestyle=dash, marker="o", drawstyle="default")
    for i, value in enumerate(values):
        axes.annotate(f"{value:.3g}", (i, value), textcoords="offset points", xytext=(0, 6), ha="center", fontsize=8)
    axes.set_xticks(range(len(values)), names, fontsize=8)
    axes.set_ylabel("pressure, mbar(g)")
    axes.set_ylim(0, 1.2 * max(values))
    axes.grid(axis="y", alpha=0.3)
    return figure


def path_values(d: Design) -> tuple[list[str], list[float]]:
    """Names of the stations and what a gauge would read there, mbar."""
    found = [(name, d.number(id) / 100) for name, id in PATH if name != "source" or "valve.conductance" in d.sheet]
    return [name for name, _ in found], [value for _, value in found]


def cycle_figure(d: Design) -> Any:
    """Raw, true and released reading through one cycle, and the airflow beneath where a loop acts on it."""
    cycle = d.cycle
    assert cycle is not None
    loop = "loop.uptake" in d.inputs
    figure = blank((7.0, 4.4 if loop else 3.0))
    panels = np.atleast_1d(figure.subplots(2 if loop else 1, 1, sharex=True, height_ratios=[3, 1] if loop else [1]))
    axes = panels[0]
    t = cycle.t / 60
    for (y, label), (colour, dash) in zip(
        ((cycle.raw, "raw reading"), (cycle.oxygen, "true oxygen"), (cycle.released, "released reading")), STYLES[1:], strict=True
    ):
        axes.plot(t, 1e3 * np.asarray(y), color=colour, linestyle=dash, label=label)
    axes.set_ylabel("oxygen, mg/L")
    axes.legend(frameon=False, fontsize=8)
    axes.set_ylim(bottom=0)
    if loop:
        panels[1].plot(t, 100 * np.asarray(cycle.airflow), color=STYLES[0][0])
        panels[1].set_ylabel("airflow, %")
    panels[-1].set_xlabel("time from air on, min")
    for panel in panels:
        panel.grid(alpha=0.3)
    return figure
