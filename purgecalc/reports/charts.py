"""Charts as SVG or PNG. matplotlib is imported here and in modules beside this one, and only when a chart is asked for."""

from __future__ import annotations

import atexit
import io
import logging
import os
import shutil
import tempfile
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from purgecalc.studies.trace import BlastTrace
from purgecalc.visible import visible

# told apart by dash as well as by colour; the colours stay distinct for colour-blind readers (Okabe and Ito's set)
STROKES = (("#0072B2", "-"), ("#D55E00", "--"), ("#009E73", "-."), ("#000000", ":"))


MARGIN = 0.7
"""Inches left free for labels at the left and below, where a figure is not laid out by matplotlib, which draws it twice."""


def blank(size: tuple[float, float], *, laid_out: bool = True) -> Any:
    """An empty figure of so many inches; ``laid_out`` lets matplotlib find the margins, as legends outside the axes need."""
    with _keeping_nothing():
        import matplotlib

        with warnings.catch_warnings():
            warnings.filterwarnings("ignore", "Unable to import Axes3D")  # the command line leaves it out
            from matplotlib.figure import Figure

    matplotlib.use("Agg")
    matplotlib.rcParams["svg.hashsalt"] = "purgecalc"  # the same input gives the same bytes
    matplotlib.rcParams["svg.fonttype"] = "none"  # words stay words, which can be searched and set in the page's letters
    matplotlib.rcParams["text.parse_math"] = False  # a name with dollars in it is a name, not an equation

    if laid_out:
        return Figure(figsize=size, layout="constrained")
    figure = Figure(figsize=size)
    wide, high = size
    figure.subplots_adjust(MARGIN / wide, MARGIN / high, 1 - 0.15 / wide, 1 - 0.35 / high)
    return figure


@contextmanager
def _keeping_nothing() -> Iterator[None]:
    """matplotlib keeps a list of fonts in the user's folder, makes another where it may not, gives advice, or will not start.

    Here it goes without where it may not, and says nothing.
    """
    log, made, before = logging.getLogger("matplotlib"), tempfile.mkdtemp, os.environ.get("MPLCONFIGDIR")
    level, nowhere = log.level, os.path.join(os.devnull, "matplotlib")
    log.setLevel(logging.CRITICAL)
    tempfile.mkdtemp = lambda *_, **__: nowhere  # type: ignore[assignment]
    try:
        yield
    finally:
        log.setLevel(level)
        tempfile.mkdtemp = made
        if os.environ.get("MPLCONFIGDIR") == nowhere:  # it is going to remove at the end what was never made
            atexit.unregister(shutil.rmtree)
            os.environ.pop("MPLCONFIGDIR")
            os.environ.update({"MPLCONFIGDIR": before} if before else {})


def few_ticks(*panels: Any, axis: str = "both") -> None:
    """Half a dozen ticks an axis at most: every one of them is drawn as five things."""
    for panel in panels:
        panel.locator_params(axis=axis, nbins=6)


def blast_figure(trace: BlastTrace) -> Any:
    """Pressures above, flows below, against time; the moment of delivery marked."""
    figure = blank((7.5, 5.5), laid_out=False)
    above, below = figure.subplots(2, 1, sharex=True)
    curves = ((trace.source, "at the source"), (trace.inlet, "source end of the hose"), (trace.outlet, "head end of the hose"))
    for (y, label), (colour, dash) in zip(curves, STROKES, strict=False):
        above.plot(trace.t, y / 1e5, color=colour, linestyle=dash, label=label)
    for (y, label), (colour, dash) in zip(
        ((trace.flow_in, "into the hose"), (trace.flow_out, "out of the head")), STROKES, strict=False
    ):
        below.plot(trace.t, y * 1e3, color=colour, linestyle=dash, label=label)
    for axes in (above, below):
        if trace.delivered == trace.delivered:
            axes.axvline(trace.delivered, color="0.5", linewidth=0.8)
        axes.legend(frameon=False, loc="lower center", ncols=3, fontsize=9)  # below the plateau
        axes.set_ylim(bottom=0)
        axes.grid(alpha=0.3)
    above.set_ylabel("pressure, bar(g)")
    above.set_title(trace.what)
    below.set_ylabel("flow, g/s")
    below.set_xlabel(f"time, s (grey line: delivered at {trace.delivered:.3g} s)")
    below.set_ylim(top=1.3e3 * float(max(trace.flow_out.max(), trace.flow_in[trace.t > 0.05].max())))
    below.set_xlim(0, float(trace.t[-1]))
    few_ticks(above, below)
    return figure


def image(figure: Any, form: str, title: str) -> bytes:
    """Bytes of a figure as svg or png; ``title`` goes into the file for readers who cannot see it."""
    from matplotlib.text import Text

    for text in figure.findobj(Text):
        text.set_text(visible(text.get_text()))  # a name from outside must not break the file, nor act in it
    out = io.BytesIO()
    metadata: dict[str, str | None] = {"Title": visible(title, "")}
    if form == "svg":
        metadata["Date"] = None
    with warnings.catch_warnings():
        warnings.filterwarnings("ignore", "Glyph .* missing")  # the picture shows a box; the words beside it have the letter
        figure.savefig(out, format=form, dpi=150, metadata=metadata)
    return out.getvalue()
