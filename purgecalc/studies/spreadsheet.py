"""Cells that a spreadsheet would take for a formula and run, made to stand still by an apostrophe in front."""

from __future__ import annotations

import csv
import re
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

_NUMBER = r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?"
_PLAIN_NUMBER = re.compile(rf"\s*{_NUMBER}\s*")
# a semicolon or a tab begins a cell where the spreadsheet's own separator is one of them; some take wide signs too
_BEGINS = re.compile(r"(^|[;\t])(\s*)([=+\-@\uff1d\uff0b\uff0d\uff20])")
_SIGN = re.compile(r"[=+\-@\uff1d\uff0b\uff0d\uff20]")
_MAY_RUN = re.compile(rf"(?:^|[,;\t])[\s\"]*(?!{_NUMBER}\s*\"?\s*(?:,|$))[=+\-@\uff1d\uff0b\uff0d\uff20]")


def inert_cell(cell: str) -> str:
    """The text of a cell, harmless to a spreadsheet; a number stays as it is."""
    return cell if _PLAIN_NUMBER.fullmatch(cell) else _BEGINS.sub(r"\1\2'\3", cell)


def inert_rows(rows: Sequence[str]) -> list[str]:
    """Rows of a table, those changed that hold a cell a spreadsheet would run."""
    if not _SIGN.search("\n".join(rows)):  # as in most tables: then no row need be looked at by itself
        return list(rows)
    return [quoted_row([inert_cell(cell) for cell in next(csv.reader([row]))]) if _MAY_RUN.search(row) else row for row in rows]


def inert_words(words: NDArray[np.object_]) -> NDArray[np.object_]:
    """The same for a column of answers in words."""
    out = words.copy()
    for i in np.flatnonzero(words != ""):
        out[i] = inert_cell(words[i])
    return out


def quoted_row(cells: Sequence[str]) -> str:
    """A row of a CSV table, quotation marks only where they are needed."""
    return ",".join('"' + c.replace('"', '""') + '"' if set(c) & {",", '"', "\n"} else c for c in cells)
