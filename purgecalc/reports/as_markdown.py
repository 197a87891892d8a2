"""A document as Markdown (CommonMark with the tables and task lists of GFM). A chart is told in words."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from typing import Any

from purgecalc.reports.blocks import (
    Cautions,
    Chart,
    Checklist,
    Document,
    Equation,
    Facts,
    Heading,
    Measurements,
    Paragraph,
    Signatures,
    Table,
)
from purgecalc.reports.plain_text import fit_document

BLANK = r"\_\_\_\_\_\_\_\_"
_ANYWHERE = re.compile(r"[\\`*_\[\]<>|$#~]|&(?=#?\w+;)")
_LINE_START = re.compile(r"^(?:([-+=])(?=[\s=-]|$)|(\d{1,9})([.)])(?=\s|$))")


def markdown(document: Document) -> str:
    """The whole document; ends in a new line."""
    document = fit_document(document)
    top = [f"# {_line(document.title)}", _line(document.subtitle), _strong(document.status)]
    known = [(label, text) for label, text in (("Author", document.author), ("Date", document.date)) if text.strip()]
    parts = [*top, _facts(Facts(tuple(known))), *(_WRITERS[type(block)](block) for block in document.blocks)]
    parts += ["---", _line(document.foot)] if document.foot.strip() else []
    return "\n\n".join(p for p in parts if p) + "\n"


def _inline(text: str, new_line: str) -> str:
    """Text that stays text: nothing in it is markup. ``new_line`` stands between its lines."""
    lines = (_ANYWHERE.sub(r"\\\g<0>", " ".join(line.split())) for line in text.splitlines())
    return new_line.join(_LINE_START.sub(_unlisted, line) for line in lines if line)


def _unlisted(found: re.Match[str]) -> str:
    return f"\\{found[1]}" if found[1] else f"{found[2]}\\{found[3]}"


def _line(text: str) -> str:
    return _inline(text, " ")


def _cell(text: str) -> str:
    return _inline(text, "<br>")


def _strong(text: str) -> str:
    line = _line(text)
    return f"**{line}**" if line else ""


def _items(items: Iterable[str], mark: str, indent: str = "  ") -> str:
    return "\n".join(f"{mark} {_inline(item, chr(92) + chr(10) + indent)}" for item in items)


def _table(caption: str, heads: Sequence[str], rows: Iterable[Sequence[str]], numbers: Sequence[int] = ()) -> str:
    rule = ["---:" if i in numbers else "---" for i in range(len(heads))]
    body = [[_cell(c) for c in heads], rule, *([_cell(c) for c in row] for row in rows)]
    return f"{_strong(caption)}\n\n" + "\n".join(f"| {' | '.join(cells)} |" for cells in body)


def _heading(block: Heading) -> str:
    return f"{'#' * (block.level + 1)} {_line(block.text)}"


def _paragraph(block: Paragraph) -> str:
    return _strong(block.text) if block.strong else _inline(block.text, "\\\n")


def _facts(block: Facts) -> str:
    return "\n".join(f"- {_strong(label + ':')} {_inline(value, '; ') or BLANK}" for label, value in block.rows)


def _plain_table(block: Table) -> str:
    return _table(block.caption, block.heads, block.rows, block.numbers)


def _equation(block: Equation) -> str:
    verbatim = "\n".join((block.equation, *block.numbers, block.result))
    fence = "`" * max(3, 1 + max((len(run) for run in re.findall("`+", verbatim)), default=0))
    source = f"\n\nSource: {_line(block.source)}" if block.source.strip() else ""
    return f"{_strong(block.title)} ({_line(block.id)})\n\n{fence}text\n{verbatim}\n{fence}{source}"


def _chart(block: Chart) -> str:
    return f"{_strong(block.caption)}\n\nThe chart in words: {_inline(block.alt, ' ')}"


def _checklist(block: Checklist) -> str:
    return _items(block.items, "* [ ]")  # the other mark keeps it apart from facts above it


def _cautions(block: Cautions) -> str:
    said = "**Cautions**\n\n" + _items(block.items, "-")
    return "\n".join(f"> {line}".rstrip() for line in said.splitlines())


def _measurements(block: Measurements) -> str:
    heads = ("Quantity", "How", "Expected", "Likely range", "Passes", "Measured", "Result")
    rows = [(m.quantity, "\n".join((m.how, m.hint)), m.expected, m.band, m.passes, m.measured, m.judged) for m in block.rows]
    return _table(block.caption, heads, rows, (2, 3, 4, 5))


def _signatures(block: Signatures) -> str:
    return _table("Signed by", ("Role", "Name", "Date", "Signature"), [(role, "", "", "") for role in block.roles])


_WRITERS: dict[type[Any], Callable[[Any], str]] = {
    Heading: _heading,
    Paragraph: _paragraph,
    Facts: _facts,
    Table: _plain_table,
    Equation: _equation,
    Chart: _chart,
    Checklist: _checklist,
    Cautions: _cautions,
    Measurements: _measurements,
    Signatures: _signatures,
}
