"""Rows of a screen that is short of room: blocks that stand together, and which of them go first."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from purgecalc.reports.page import Text, cut, folded
from purgecalc.reports.palette import LEVEL_STYLES

BARS_FROM, LIMITS_FROM = 72, 54
"""Columns from which bars are drawn, and from which a limit stands beside its figure."""


@dataclass(frozen=True)
class Block:
    """Rows that stand together; those of a higher ``rank`` go first where rows run short, and 0 never goes."""

    rows: tuple[Text, ...]
    rank: int = 0


def rows_of(text: str, width: int, first: str = "", rest: str | None = None, most: int = 1) -> tuple[Text, ...]:
    """Text in ``most`` rows, cut at a word; narrow screens fold it instead of cutting."""
    lines = folded(text, width, first, first if rest is None else rest)
    if width < BARS_FROM or len(lines) <= most:
        return tuple(Text(cut(line, width)) for line in lines)
    kept = lines[:most]
    kept[-1] = cut(f"{kept[-1]} {lines[most].strip()}", width)
    return tuple(Text(cut(line, width)) for line in kept)


def row_of(forms: Sequence[str], width: int) -> tuple[Text, ...]:
    """The longest form that fits in one row; the shortest is folded on narrow screens."""
    return next(((Text(form),) for form in forms if Text(form).cell_len <= width), rows_of(forms[-1], width, "", "  "))


def fitted(blocks: tuple[Block, ...], most: int) -> list[Text]:
    """The rows that fit, blocks of the highest rank left out first."""
    kept = list(blocks)
    while sum(len(b.rows) for b in kept) > most and any(b.rank for b in kept):
        kept.remove(max(reversed(kept), key=lambda b: b.rank))
    return [row for b in kept for row in b.rows]


def tagged(level: str, words: str, width: int, most: int = 1) -> tuple[Text, ...]:
    """A finding with its level in column 1, painted."""
    rows = rows_of(words, width, f"{level:<5} ", "      ", most)
    rows[0].stylize(LEVEL_STYLES[level], 0, len(level))
    return rows
