"""A sweep as a picture, as words for who cannot see it, and as a page that holds both and the figures."""

from __future__ import annotations

import base64
from collections import Counter
from collections.abc import Iterable
from html import escape
from typing import Any

import numpy as np

from purgecalc.reports.charts_map import Contours, Curve, curve_figure, verdict_figure
from purgecalc.reports.plain_text import fit
from purgecalc.reports.sweep import LETTERS, told
from purgecalc.si import Num
from purgecalc.studies.quantities import Asked
from purgecalc.studies.sweep import Axis, Sweep
from purgecalc.units import Conversion, shown_in, unit_for

PICTURE_CELLS = 600
"""Designs told one by one on a page; of more, the picture and the table file tell."""


def figure(s: Sweep) -> Any:
    """Map of two figures varied, or curves along one. Raises ValueError for three."""
    if len(s.axes) == 1:
        curves = [Curve(*_scaled(a, s.values[a.id])) for a in s.asked]
        axis = s.axes[0]
        return curve_figure(axis.values, curves, s.verdict, _label(axis), f"{s.title}: {s.line}", axis.present)
    across, up = s.axes
    present = (across.present, up.present) if across.present is not None and up.present is not None else None
    contours = Contours(*_scaled(s.asked[0], s.values[s.asked[0].id].T))
    return verdict_figure(
        across.values, up.values, s.verdict.T, _label(across), _label(up), f"{s.title}: {s.line}", contours, present
    )


def _label(axis: Axis) -> str:
    return f"{axis.name}, {axis.column.unit}" if axis.column.unit else axis.name


def _scaled(a: Asked, si: Num) -> tuple[Any, str]:
    """Figures in the unit asked for, or in the one they are usually told in, and the words for an axis."""
    if a.writes != Conversion(1.0, 0.0):
        return a.written(si), f"{a.title}, {a.unit}"
    size = float(np.nanmax(np.abs(si))) if np.any(np.isfinite(si)) else 1.0
    unit = unit_for(size, a.kind)[1]
    to = shown_in(unit, a.kind)
    return (si - to.offset) / to.factor, f"{a.title}, {unit}" if unit else a.title


def alt_text(s: Sweep) -> str:
    """What the picture shows, in words."""
    axes = " and ".join(f"{a.name} from {a.text(a.values[0])} to {a.text(a.values[-1])}" for a in s.axes)
    count = Counter(s.verdict.ravel().tolist())
    verdicts = ", ".join(f"{count[word]} {word}" for word in LETTERS if count[word])
    what = "Map of verdicts" if len(s.axes) > 1 else "Curves over bands of verdicts"
    ranges = "; ".join(_range(a, s) for a in s.asked)
    return f"{what} for {s.title}, {s.line}: {axes}. Of {s.verdict.size} designs: {verdicts}. {ranges}."


def _range(a: Asked, s: Sweep) -> str:
    v = s.values[a.id]
    if not np.isfinite(v).any():
        return f"{a.title}: none"
    return f"{a.title}: {told(a, float(np.nanmin(v)))} to {told(a, float(np.nanmax(v)))}"


_POLICY = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; form-action 'none'"
"""What the page may do: nothing but show its own style and its own picture."""
_PAGE = """<!DOCTYPE html>
<html lang="en"><head><meta charset="utf-8"><title>{title}</title>
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta http-equiv="Content-Security-Policy" content="{policy}">
<link rel="icon" href="data:,">
<style>
body {{ font: 16px/1.45 system-ui, sans-serif; margin: 2rem auto; max-width: 60rem; padding: 0 1rem; color: #111; }}
img {{ max-width: 100%; height: auto; }}
div.wide {{ overflow-x: auto; }}
table {{ border-collapse: collapse; font-size: 0.85rem; }}
th, td {{ border: 1px solid #999; padding: 0.2rem 0.5rem; text-align: right; }}
</style></head><body>
<h1>{title}</h1>
<p>{how}</p>
<img src="data:image/svg+xml;base64,{picture}" alt="{alt}">
<h2>Figures</h2>
<div class="wide">{figures}</div>
<p>Local codes and licensed practice come before anything printed here.</p>
</body></html>
"""


def html(s: Sweep, svg: bytes) -> str:
    """A page of its own: picture with words for it, and the figures behind it."""
    title = f"{s.title}: sweep of {' and '.join(a.name for a in s.axes)}"
    how = f"{s.verdict.size} designs, {s.how}. {s.line}."
    picture = base64.b64encode(svg).decode()
    words = {"title": _text(title), "how": _text(how), "alt": _text(alt_text(s))}
    return _PAGE.format(policy=_POLICY, picture=picture, figures=_figures(s), **words)


def _text(text: str) -> str:
    return escape(fit(text), quote=True)


def _figures(s: Sweep) -> str:
    if s.verdict.size > PICTURE_CELLS:
        return f"<p>{s.verdict.size} designs are too many to list here; write a .csv for the figures.</p>"
    heads = [*(_label(a) for a in s.axes), *(a.title for a in s.asked), "verdict", "worst rule"]
    rows = [_row(s, index) for index in np.ndindex(s.verdict.shape)]
    return f"<table><thead>{_cells(heads, 'th scope=col')}</thead><tbody>{''.join(_cells(r, 'td') for r in rows)}</tbody></table>"


def _row(s: Sweep, index: tuple[int, ...]) -> list[str]:
    varied = [f"{a.values[i]:.6g}" for a, i in zip(s.axes, index, strict=True)]
    return [*varied, *(told(a, float(s.values[a.id][index])) for a in s.asked), s.verdict[index], s.worst_rule[index]]


def _cells(texts: Iterable[str], tag: str) -> str:
    return "<tr>" + "".join(f"<{tag}>{_text(str(t))}</{tag.split()[0]}>" for t in texts) + "</tr>"
