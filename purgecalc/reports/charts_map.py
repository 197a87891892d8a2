"""Maps of verdicts and curves of a sweep, drawn by matplotlib, which is imported only when one is asked for.

Plain arrays in, a figure out: verdicts are told apart by hatching as well as by colour.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from purgecalc.reports.charts import STROKES, blank

Array = NDArray[np.float64]
# the darker the worse; colours of Okabe and Ito's set, which stay distinct for colour-blind readers, let down with white
REGIONS = {
    "PASS": ("#CDE9DF", "", "passes"),
    "WATCH": ("#CFE6F5", "..", "passes, with care"),
    "FIX": ("#F3CE8B", "//", "fix before use"),
    "STOP": ("#E08C55", "xx", "do not commission"),
    "IMPOSSIBLE": ("#BFBFBF", "--", "cannot work at all"),
}


LEGEND_ROOM = 1.2
"""Inches below a map for its axis and the legend of its regions."""


@dataclass(frozen=True)
class Contours:
    """A quantity drawn as lines over a map; ``values`` in the unit of ``label``, rows up and columns across."""

    values: Array
    label: str


def verdict_figure(
    x: Array,
    y: Array,
    verdict: NDArray[Any],
    x_label: str,
    y_label: str,
    title: str = "",
    contours: Contours | None = None,
    present: tuple[float, float] | None = None,
) -> Any:
    """Regions of ``verdict`` (words, rows along ``y``, columns along ``x``) with contours and the present design marked.

    ``x`` and ``y`` rise, in the units of their labels; every value stands in the middle of its cell.
    """
    figure = blank((7.5, 5.5), laid_out=False)
    figure.subplots_adjust(bottom=LEGEND_ROOM / 5.5, top=1 - 0.5 / 5.5)
    axes = figure.subplots()
    x_edges, y_edges = edges(x), edges(y)
    for i in range(y.size):
        for word, start, end in _runs(verdict[i]):
            colour, hatch, _ = REGIONS[word]
            span, band = (x_edges[start], x_edges[end] - x_edges[start]), (y_edges[i], y_edges[i + 1] - y_edges[i])
            axes.broken_barh([span], band, facecolor=colour, hatch=hatch, edgecolor="#777777", linewidth=0)
    if contours is not None and min(contours.values.shape) > 1 and np.isfinite(contours.values).sum() > 3:
        lines = axes.contour(x, y, np.ma.masked_invalid(contours.values), 8, colors="black", linewidths=0.9)
        axes.clabel(lines, fmt="%g", fontsize=8)
    handles = _legend(verdict)
    if present is not None and x_edges[0] <= present[0] <= x_edges[-1] and y_edges[0] <= present[1] <= y_edges[-1]:
        handles += axes.plot(
            *present,
            marker="*",
            markersize=15,
            color="white",
            markeredgecolor="black",
            linestyle="none",
            label="this design",
            zorder=5,
            clip_on=False,
        )
    axes.set_xlim(x_edges[0], x_edges[-1])
    axes.set_ylim(y_edges[0], y_edges[-1])
    axes.set_xlabel(x_label)
    axes.set_ylabel(y_label)
    if y.size <= 8:
        axes.set_yticks(y)
    axes.set_title(title + (f"\nlines: {contours.label}" if contours is not None else ""), fontsize=10)
    figure.legend(handles=handles, loc="lower center", ncols=3, frameon=False, fontsize=9)
    return figure


@dataclass(frozen=True)
class Curve:
    """One quantity along the figure varied."""

    values: Array
    label: str


def curve_figure(
    x: Array, curves: Sequence[Curve], verdict: NDArray[Any], x_label: str, title: str = "", present: float | None = None
) -> Any:
    """A panel for each quantity over bands of verdicts, with a line at the present design."""
    figure = blank((7.5, 1.2 + 2.1 * len(curves)))
    panels = np.atleast_1d(figure.subplots(len(curves), 1, sharex=True))
    x_edges = edges(x)
    handles = _legend(verdict)
    for axes, curve in zip(panels, curves, strict=True):
        for word, start, end in _runs(verdict):
            colour, hatch, _ = REGIONS[word]
            axes.axvspan(x_edges[start], x_edges[end], facecolor=colour, hatch=hatch, edgecolor="#AAAAAA", linewidth=0)
        axes.plot(x, curve.values, color=STROKES[3][0], marker="o", markersize=3)
        axes.set_ylabel(curve.label, fontsize=8)
        if present is not None and x_edges[0] <= present <= x_edges[-1]:
            line = axes.axvline(present, color=STROKES[0][0], linestyle="--", label="this design")
            handles += [line] if axes is panels[0] else []
    panels[-1].set_xlim(x_edges[0], x_edges[-1])
    panels[-1].set_xlabel(x_label)
    panels[0].set_title(title, fontsize=10)
    figure.legend(handles=handles, loc="outside lower center", ncols=3, frameon=False, fontsize=9)
    return figure


def edges(values: Array) -> Array:
    """Borders of the cells about rising values: half way between them."""
    if values.size == 1:
        half = 0.5 * abs(values[0]) or 0.5
        return np.array([values[0] - half, values[0] + half])
    middle = 0.5 * (values[1:] + values[:-1])
    return np.concatenate([[2 * values[0] - middle[0]], middle, [2 * values[-1] - middle[-1]]])


def _runs(words: NDArray[Any]) -> Iterator[tuple[str, int, int]]:
    """Stretches of one word: the word, where it begins and where the next begins."""
    ends = [*(np.flatnonzero(words[1:] != words[:-1]) + 1).tolist(), len(words)]
    start = 0
    for end in ends:
        yield str(words[start]), start, end
        start = end


def _legend(verdict: NDArray[Any]) -> list[Any]:
    from matplotlib.patches import Patch

    return [
        Patch(facecolor=colour, hatch=hatch, edgecolor="#777777", linewidth=0, label=f"{word}: {said}")
        for word, (colour, hatch, said) in REGIONS.items()
        if np.any(verdict == word)
    ]
