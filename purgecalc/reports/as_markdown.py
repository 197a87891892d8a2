"""A document as plain Markdown: tables of GitHub's form, nothing that a reader's own text could turn into markup."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from purgecalc.reports.blocks import (
    Block,
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

BLANK = r"\_" * 12
_MARKUP = re.compile(r"([\\`*_{}\[\]<>#|~$^!&])")
_STARTS = re.compile(r"^(\s*)([-+=]+|\d+[.)])(?=\s|$)", re.MULTILINE)
_TURNS = re.compile("[\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069]")


def markdown(document: Document) -> str:
    """The document as text; the same document gives the same text."""
    parts = [f"# {_text(document.title)}", _text(document.subtitle), f"**Status: {_text(document.status)}**"]
    for block in document.blocks:
        parts += _block(block)
    parts.append(f"---\n\n{_text(document.foot)}")
    return "\n\n".join(parts) + "\n"


def _text(text: str) -> str:
    """Text that stays text. Marks that turn the direction of writing are taken out: they would turn the rest of the line."""
    safe = _MARKUP.sub(r"\\\1", _TURNS.sub("", text))
    return _STARTS.sub(lambda m: f"{m[1]}{m[2][:-1]}\\{m[2][-1]}", safe)


def _cell(text: str) -> str:
    return _text(text).replace("\n", "<br>") or " "


def _table(caption: str, heads: Sequence[str], rows: Sequence[Sequence[str]], numbers: Sequence[int] = ()) -> Iterator[str]:
    yield f"*{_text(caption)}*"
    lines = [_row(heads), "|" + "|".join(" ---: " if i in numbers else " --- " for i in range(len(heads))) + "|"]
    yield "\n".join([*lines, *(_row(row) for row in rows)])


def _row(cells: Sequence[str]) -> str:
    return "| " + " | ".join(_cell(c) for c in cells) + " |"


def _block(block: Block) -> Iterator[str]:
    match block:
        case Heading(text=text, level=level):
            yield f"{'#' * (level + 1)} {_text(text)}"
        case Paragraph(text=text, strong=strong):
            yield f"**{_text(text)}**" if strong else _text(text)
        case Facts(rows=rows):
            yield "\n".join(f"- {_cell(label)}: {_cell(value) if value else BLANK}" for label, value in rows)
        case Table(caption=caption, heads=heads, rows=rows, numbers=numbers):
            yield from _table(caption, heads, rows, numbers)
        case Chart(caption=caption, alt=alt):
            yield f"*{_text(caption)}.* {_text(alt)}"
        case Checklist(items=items):
            yield "\n".join(f"- [ ] {_cell(item)}" for item in items)
        case Cautions(items=items):
            yield "\n".join(f"> - {_cell(item)}" for item in items)
        case Equation():
            yield from _equation(block)
        case Measurements():
            yield from _measurements(block)
        case Signatures(roles=roles):
            yield from _table("Signatures", ("Role", "Name", "Date", "Signature"), [(r, "", "", "") for r in roles])


def _equation(e: Equation) -> Iterator[str]:
    yield f"**{_text(e.title)}** ({_text(e.id)}) = {_text(e.result)}"
    lines = [_text(line) for line in (e.equation, *e.numbers, e.source) if line]
    yield "\n".join(f"- {line}" for line in lines)


def _measurements(block: Measurements) -> Iterator[str]:
    heads = ("Quantity", "How", "Expected", "Band", "Passes", "Measured", "Judged")
    rows = [
        (m.quantity, f"{m.how}; {m.hint}" if m.hint else m.how, m.expected, m.band, m.passes, m.measured, m.judged)
        for m in block.rows
    ]  # fmt: skip
    yield from _table(block.caption, heads, rows)
