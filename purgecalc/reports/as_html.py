"""A document as one HTML file that needs nothing from elsewhere. The only module that imports jinja2."""

from __future__ import annotations

import base64
import hashlib
import re
from pathlib import Path
from typing import Any

from purgecalc.reports.blocks import Chart, Document, Heading, Measurement
from purgecalc.reports.plain_text import breakable, fit_document
from purgecalc.reports.svg import inline_svg

TEMPLATES = Path(__file__).parent / "templates"


def html(document: Document) -> str:
    """The whole page."""
    import jinja2

    environment = jinja2.Environment(
        loader=jinja2.FileSystemLoader(TEMPLATES),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    environment.filters["soft"] = _soft
    environment.filters["css_string"] = _css_string
    environment.globals.update(kind=lambda block: type(block).__name__, typed=_typed)
    script = (TEMPLATES / "note.js").read_text(encoding="utf-8")
    document = fit_document(document)
    return environment.get_template("note.html.j2").render(
        document=document,
        headings=[b for b in document.blocks if isinstance(b, Heading)],
        drawings=_drawings(document),
        script=_safe(script),
        script_hash=base64.b64encode(hashlib.sha256(script.encode()).digest()).decode(),
        style=_safe((TEMPLATES / "note.css").read_text(encoding="utf-8")),
    )


def _safe(text: str) -> Any:
    """Text that is markup of our own making."""
    from markupsafe import Markup

    return Markup(text)


def _drawings(document: Document) -> dict[int, Any]:
    """The charts as markup, by their place in the document."""
    charts = [(i, b) for i, b in enumerate(document.blocks) if isinstance(b, Chart)]
    return {i: _safe(inline_svg(b.svg, f"chart-{n}", b.caption, b.alt)) for n, (i, b) in enumerate(charts, 1)}


def _soft(text: str) -> Any:
    """Text whose longest words may break, and whose lines stay lines."""
    from markupsafe import escape

    marked = str(escape(breakable(text, "\0")))
    return _safe(marked.replace("\0", "<wbr>").replace("\n", "<br>"))


def _css_string(text: str) -> Any:
    """Text as a string of a style sheet: every sign but plain letters and digits by its number."""
    return _safe('"' + re.sub(r"[^A-Za-z0-9]", lambda m: f"\\{ord(m[0]):06x}", text) + '"')


def _typed(row: Measurement) -> str:
    """The number to stand in the field of a row already measured; empty where the reading is not a number in its unit."""
    number = row.measured.strip().removesuffix(row.unit).strip()
    return number if re.fullmatch(r"[-+]?\d+(\.\d+)?", number) else ""
