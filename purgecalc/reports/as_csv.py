"""Results as tables for a spreadsheet: figures in SI, one a row, with unit and limit."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Sequence
from typing import Any

from purgecalc.reports.as_json import result
from purgecalc.studies.checked import Checked
from purgecalc.studies.size import Sized

CHECK_HEADS = ("kind", "line", "id", "title", "value", "unit", "reference", "air_state", "level", "state", "limit")
SIZE_HEADS = ("kind", "what", "size [SI]", "as printed", "ended by")

Cells = Sequence[Any]


def csv_text(rows: Iterator[Cells]) -> str:
    """Rows as CSV; a number as exactly as it is known, an empty cell where there is none."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    for row in rows:
        writer.writerow(
            ["" if cell is None or cell != cell else repr(cell) if isinstance(cell, float) else _inert(str(cell)) for cell in row]
        )
    return out.getvalue()


def _inert(text: str) -> str:
    """A text that a spreadsheet would run gets an apostrophe in front."""
    return f"'{text}" if text[:1] in ("=", "+", "-", "@") and len(text) > 1 else text


def check_rows(checked: Checked) -> Iterator[Cells]:
    """The verdict, every finding, and every figure of every line, as ``check --json`` has them."""
    data = result(checked)
    yield CHECK_HEADS
    yield ("verdict", None, data["verdict"], *[None] * (len(CHECK_HEADS) - 3))
    for f in data["findings"]:
        figures = (f["value"], f["unit"], None, None)
        yield ("finding", f["line"], f["rule"], f["quantity"], *figures, f["level"], f["state"], f["limit"])
    for line in data["lines"]:
        for id, q in line["quantities"].items():
            unit = (q["unit"], q["reference"], q["air_state"])
            yield ("figure", line["name"], id, q["title"], q["value"], *unit, None, None, None)


def size_rows(sized: Sized) -> Iterator[Cells]:
    """What is proposed, the longest hose of each bore, and the smallest sources."""
    yield SIZE_HEADS
    yield ("answer", sized.proposal.headline, None, None, None)
    for c in sized.proposal.changes:
        yield ("change", c.lever.id, float(c.given.value), c.text, None)
    for f in sized.proposal.left:
        yield ("left to fix", f.rule.id, None, None, None)
    for f in sized.proposal.watch:
        yield ("watch stays", f.rule.id, None, None, None)
    for row in sized.hose.rows if sized.hose else ():
        yield ("longest hose", f"bore {row.bore:.6g} m", row.longest, None, row.limit)
    for s in sized.source:
        yield ("smallest source", s.given.id, s.size, None, s.limit)
