"""Figures on the first screen: ten of a line with limit and share used, or a row for each of several lines."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from purgecalc.reports.fitting import BARS_FROM, LIMITS_FROM, Block, rows_of
from purgecalc.reports.page import Text, cut
from purgecalc.reports.palette import LEVEL_STYLES
from purgecalc.reports.rows import NO_MEANING, Row
from purgecalc.reports.summary import LineSummary, Summary
from purgecalc.rules import Level

LINES_SHOWN = 8
"""Lines with a row of their own; of more the worst."""
SHOWN_OF_EACH = {
    "Hose pressure drop": "drop",
    "Delivery time": "delivery",
    "Air per blast": "air",
    "Hold-off": "hold-off",
    "Jet thrust ratio": "jet",
}
"""Figures of each of several lines, with the heads they stand under."""
GOES_FIRST = ("Excursion", "Recovery", "Live share", "Source pressure", "Jet thrust ratio", "Hose length")
"""Figures that make room for findings, in this order."""


def in_words(limit: str) -> str:
    """ "0.7 or more" for "at least 0.7", so that numbers stand under each other."""
    return re.sub(r"^at most (.*)$", r"\1 or less", re.sub(r"^at least (.*)$", r"\1 or more", limit))


def figures_told(rows: Sequence[Row], width: int) -> Iterator[Block]:
    """Each of the ten figures with its limit; those asked for most never go."""
    told = [(r, NO_MEANING, "") if r.state == NO_MEANING else (r, r.value, in_words(r.limit)) for r in rows]
    columns = [max(len(r.label) for r in rows), max(len(v) for _, v, _ in told), max(14, *(len(w) for _, _, w in told))]
    if width >= BARS_FROM:
        heads = (f"  {'':<{columns[0]}}", f"{'result':<{columns[1]}}", f"{'limit':<{columns[2]}}", "limit used")
        yield Block((Text(cut("  ".join(heads), width)),), 80)
    for row, value, words in told:
        rank = 5 if row.label == "Hose length" else 70 - GOES_FIRST.index(row.label) if row.label in GOES_FIRST else 0
        yield Block(tuple(_figure(row, value, words, columns, width)), rank)


def _figure(row: Row, value: str, words: str, columns: Sequence[int], width: int) -> Iterator[Text]:
    """A figure with its limit and how much of that is used, as far as the width allows."""
    label, wide, limit = columns
    used = _used(row.used) if row.used is not None and words else ""
    out = Text(f"{'F' if row.state == 'fails' else ' '} {row.label:<{label}}  ")
    out.append(f"{value:<{wide}}", "bold" if row.state == "fails" else "")
    beside = words or ("" if row.state == NO_MEANING else _short(row))
    room = width - out.cell_len
    if width < LIMITS_FROM:
        out.rstrip()
        yield out
        if beside:
            yield from rows_of(", ".join(filter(None, (beside, used))), width, "    ")
        return
    if used:
        forms = (f"  {words:<{limit}}  {_bar(row.used)} {used:>6}", f"  {words:<{limit}} {used:>6}", f"  {words} {used:>6}")
        out.append(next((form for form in forms if len(form) <= room), f"  {cut(words, room - 2)}"))
    else:
        out.append(f"  {_cut_at_a_part(beside, room - 2)}" if beside else "")
    out.rstrip()
    yield out


def _short(r: Row) -> str:
    """A remark that needs no limit beside it: its first part."""
    return r.remark.split("; ")[0].removesuffix(" pressure") if r.label != "Air per blast" else r.remark


def _cut_at_a_part(text: str, room: int) -> str:
    """Whole parts of a remark, as many as there is room for."""
    while len(text) > room and (at := max(text.rfind(", "), text.rfind("; "))) > 0:
        text = text[:at]
    return cut(text, room)


def _used(share: float) -> str:
    return ">200 %" if share > 2 else f"{share * 100:.0f} %"


def _bar(share: float | None) -> str:
    filled = min(10, max(1 if share else 0, round(10 * (share or 0.0))))
    return "#" * filled + "." * (10 - filled)


def table_of_lines(summary: Summary, width: int) -> Iterator[Block]:
    """A row for each line, the worst first where there are more than eight; narrow screens fold the figures under the name."""
    lines = summary.lines
    if len(lines) > LINES_SHOWN:
        lines = tuple(sorted(lines, key=lambda line: -summary.worst_of(line.name)))[:LINES_SHOWN]
    cells = [tuple(_cell(line, label) for label in SHOWN_OF_EACH) for line in lines]
    widths = [max(len(h), *(len(c[i]) for c in cells)) for i, h in enumerate(SHOWN_OF_EACH.values())]
    room = width - sum(widths) - 2 * len(widths) - 7
    name = max(8, *(Text(line.name).cell_len for line in lines))
    beside = width >= BARS_FROM or room >= min(16, name)
    if beside:
        name = min(name, room)
        heads = "".join(f"  {h:<{w}}" for h, w in zip(SHOWN_OF_EACH.values(), widths, strict=True))
        yield Block((Text(f"       {'line':<{name}}{heads}".rstrip()),))
    for line, row in zip(lines, cells, strict=True):
        level = Level(summary.worst_of(line.name)).name if summary.worst_of(line.name) > 1 else "PASS"
        called = Text(f"{level:<5}  {cut(line.name, name if beside else width - 7)}")
        called.stylize(LEVEL_STYLES[level], 0, len(level))
        if beside:
            called.append(" " * (name + 7 - called.cell_len) + "".join(f"  {c:<{w}}" for c, w in zip(row, widths, strict=True)))
            called.rstrip()
            yield Block((called,))
        else:
            said = ", ".join(f"{head} {c}" for head, c in zip(SHOWN_OF_EACH.values(), row, strict=True))
            yield Block((called, *rows_of(said, width, "       ")))
    if len(summary.lines) > len(lines):
        yield Block((Text(f"       and {len(summary.lines) - len(lines)} lines more (--detail)"),))
    for r in summary.shared:
        said = ", ".join(filter(None, (f"{r.label} of the source: {r.value}", in_words(r.limit) or r.remark)))
        yield Block(
            rows_of(said, width, f"{'F' if r.state == 'fails' else ' '}      ", "       "), 0 if r.label == "Duty" else 30
        )


def _cell(line: LineSummary, label: str) -> str:
    row = next((r for r in line.ten if r.label == label), None)
    if row is None:
        return "-"
    return NO_MEANING if row.state == NO_MEANING else f"{row.value}{' F' if row.state == 'fails' else ''}"
