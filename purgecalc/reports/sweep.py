"""A sweep on the screen: a table for one figure varied, maps of letters for two or three."""

from __future__ import annotations

import textwrap
from collections import Counter
from typing import Any

import numpy as np
from numpy.typing import NDArray

from purgecalc.reports.chart_text import chart
from purgecalc.reports.page import Page, Text
from purgecalc.reports.palette import LEVEL_STYLES
from purgecalc.studies.grades import titles
from purgecalc.studies.many import IMPOSSIBLE
from purgecalc.studies.quantities import Asked
from purgecalc.studies.sweep import Axis, Sweep
from purgecalc.units import digits, show

LETTERS = {"PASS": "P", "WATCH": "W", "FIX": "F", "STOP": "S", IMPOSSIBLE: "x"}
LEVEL_WORDS = {
    "PASS": "passes",
    "WATCH": "passes, with care",
    "FIX": "fix before use",
    "STOP": "do not commission",
    IMPOSSIBLE: "cannot work at all",
}
PAINT = {**LEVEL_STYLES, IMPOSSIBLE: "dim"}


def print_sweep(page: Page, s: Sweep, *, plain: bool = False) -> None:
    """The whole screen; ``plain`` keeps charts to ASCII."""
    _fold(page, _answer(s))
    _fold(page, f"{s.title}: {s.verdict.size} designs ({s.how})")
    if len(s.axes) == 1:
        _table(page, s)
        if len(s.asked) == 1:
            _chart(page, s, plain=plain)
    else:
        _maps(page, s)
        _ranges(page, s)
    _behind(page, s)
    page.print()
    _fold(page, _answer(s))


def _answer(s: Sweep) -> str:
    """How many designs pass, and how many pass with care."""
    words, counts = np.unique(s.verdict.astype(str), return_counts=True)
    of = dict(zip(words.tolist(), counts.tolist(), strict=True))
    care = f", {of['WATCH']} more with care" if of.get("WATCH") else ""
    return f"{of.get('PASS', 0)} OF {s.verdict.size} DESIGNS PASS{care}"


def told(a: Asked, si: float) -> str:
    """A figure in the unit asked for, or in the usual one."""
    if not np.isfinite(si) or a.head == a.id or a.writes.factor == 1.0:
        return show(si, a.kind)
    return f"{digits(float(a.written(si)))} {a.unit}"


def _fold(page: Page, text: str, first: str = "", rest: str = "") -> None:
    for line in textwrap.wrap(text, page.width, initial_indent=first, subsequent_indent=rest, break_long_words=False):
        page.print(Text(line))


def _table(page: Page, s: Sweep) -> None:
    """One row a value. Columns of figures go under letters, so that the table fits a narrow screen."""
    axis = s.axes[0]
    marks = [chr(ord("a") + i) for i in range(len(s.asked))]
    page.print()
    _fold(page, f"{axis.column.key.text}: {axis.name}")
    for mark, a in zip(marks, s.asked, strict=True):
        _fold(page, f"{a.title} ({a.id})", f"  {mark}  ", "     ")
    left = [axis.text(v) for v in axis.values]
    cells = [[told(a, float(v)) for v in s.values[a.id]] for a in s.asked]
    columns = [("", left), *zip(marks, cells, strict=True)]
    words = [("verdict", list(s.verdict)), ("worst rule", list(s.worst_rule))]
    here = _nearest(axis)
    for i, block in enumerate(_blocks(columns, words, page.width)):
        page.print()
        for row in range(-1, axis.values.size):
            parts = [_cell(head, texts, row, right=head not in ("verdict", "worst rule")) for head, texts in block]
            line = Text("  ".join(parts).rstrip())
            if i == 0 and row == here:
                line.append("  <")
            if i == 0 and row >= 0:
                at = line.plain.find(s.verdict[row])
                line.stylize(PAINT[s.verdict[row]], at, at + len(s.verdict[row]))
            page.print(line)
    _say_present(page, s, "the row at <")


def _cell(head: str, texts: list[str], row: int, *, right: bool) -> str:
    width = max(len(head), *map(len, texts))
    text = head if row < 0 else texts[row]
    return f"{text:>{width}}" if right else f"{text:<{width}}"


Cells = list[tuple[str, list[str]]]


def _blocks(columns: Cells, words: Cells, width: int) -> list[Cells]:
    """Columns side by side as far as the screen goes, the rest in further blocks below; verdicts in the first."""

    def wide(block: Cells) -> int:
        return sum(max(len(h), *map(len, t)) + 2 for h, t in block) + 1

    first, blocks = [columns[0], *words], []
    rest = columns[1:]
    while rest and wide([*first, rest[0]]) <= width:
        first.insert(len(first) - len(words), rest.pop(0))
    blocks.append(first)
    while rest:
        block = [columns[0], rest.pop(0)]
        while rest and wide([*block, rest[0]]) <= width:
            block.append(rest.pop(0))
        blocks.append(block)
    return blocks


def _chart(page: Page, s: Sweep, *, plain: bool) -> None:
    axis, a = s.axes[0], s.asked[0]
    y = s.values[a.id]
    good = np.isfinite(y)
    if axis.values.size < 3 or good.sum() < 2:
        return
    low, high = float(y[good].min()), float(y[good].max())
    floor = low if low < 0 or low > 0.5 * high else 0.0  # a curve far above zero is drawn from its least value up
    x = axis.values - axis.values[0]
    page.print()
    page.print(Text(f"{a.title} against {axis.name}"))
    ends = axis.text(axis.values[0]), axis.text(axis.values[-1])
    labels = told(a, floor) if floor else "0", told(a, high)
    for line in chart(
        x, y - floor, float(x[-1]), labels[1], ends[1], min(page.width, 100), plain=plain, bottom=labels[0], start=ends[0]
    ):
        page.print(Text(line))


def _maps(page: Page, s: Sweep) -> None:
    """A map for every value of the third figure."""
    page.print()
    for verdict in LETTERS:
        if np.any(s.verdict == verdict):
            page.print(Text(f"  {LETTERS[verdict]}  {verdict}: {LEVEL_WORDS[verdict]}"))
    across, down = s.axes[0], s.axes[1]
    for k in range(s.axes[2].values.size) if len(s.axes) == 3 else (None,):
        grid = s.verdict if k is None else s.verdict[:, :, k]
        page.print()
        if k is not None:
            page.print(Text(f"{s.axes[2].column.key.text} = {s.axes[2].text(s.axes[2].values[k])}"))
        marked = k is None or _nearest(s.axes[2]) == k
        room = page.width - max(len(down.text(v)) for v in down.values) - 7
        if across.values.size > room and down.values.size <= room:
            _map(page, down, across, grid, marked=marked)
        else:
            _map(page, across, down, grid.T, marked=marked)
    _say_present(page, s, "^ and <")


def _map(page: Page, across: Axis, down: Axis, grid: NDArray[Any], *, marked: bool) -> None:
    """Greatest value of ``down`` on top, as on a chart; one character a design."""
    labels = [down.text(v) for v in down.values]
    margin = max(map(len, labels))
    x, y = _nearest(across), _nearest(down)
    marked = marked and x is not None and y is not None
    room = page.width - margin - 7
    columns = _thinned(across, room, x)
    thin = columns.size < across.values.size
    rows = _thinned(down, room if thin else down.values.size, y)
    _fold(page, f"across: {across.column.key.text} ({across.name}); up: {down.column.key.text} ({down.name})")
    if thin:
        up = f", {_one_in(down, rows)} up" if rows.size < down.values.size else ""
        _fold(page, f"{_one_in(across, columns)} across is shown{up}; a wider screen or -o shows all")
    for i in reversed(rows):
        line = Text(f"  {labels[i]:>{margin}} |")
        for j in columns:
            line.append(LETTERS[grid[i, j]], PAINT[grid[i, j]])
        line.append("|" + (" <" if marked and i == y else ""))
        page.print(line)
    if marked:
        page.print(Text(" " * (margin + 4 + int(np.flatnonzero(columns == x)[0])) + "^"))
    ends = across.text(across.values[0]), across.text(across.values[columns[-1]])
    page.print(Text(" " * (margin + 4) + f"{ends[0]} {ends[1]:>{max(0, len(columns) - len(ends[0]) - 1)}}"))


def _thinned(axis: Axis, room: int, here: int | None) -> NDArray[Any]:
    """Places of the values shown: every one, or one in so many that they fit; the present design is never left out."""
    shown = np.arange(0, axis.values.size, -(-axis.values.size // room))
    if here is not None:
        shown[np.argmin(np.abs(shown - here))] = here
    return shown


def _one_in(axis: Axis, shown: NDArray[Any]) -> str:
    return f"one in {-(-axis.values.size // shown.size)} of {axis.values.size} values"


def _nearest(axis: Axis) -> int | None:
    """Index of the value nearest to the scenario's own; None where that lies beyond the axis."""
    v, p = axis.values, axis.present
    if p is None or not v[0] * (1 - 1e-9) - 1e-12 <= p <= v[-1] * (1 + 1e-9) + 1e-12:
        return None
    return int(np.argmin(np.abs(v - p)))


def _say_present(page: Page, s: Sweep, where: str) -> None:
    if any(a.present is None for a in s.axes):
        return
    own = ", ".join(a.text(a.present) for a in s.axes if a.present is not None)
    beyond = any(_nearest(a) is None for a in s.axes)
    page.print()
    _fold(page, f"The scenario as it stands ({own}) " + ("lies beyond this sweep" if beyond else f"is nearest to {where}"))


def _ranges(page: Page, s: Sweep) -> None:
    page.print()
    for a in s.asked:
        v = s.values[a.id]
        if np.isfinite(v).any():
            low, high = (np.unravel_index(int(f(v)), v.shape) for f in (np.nanargmin, np.nanargmax))
            text = " to ".join(f"{told(a, float(v[i]))} ({_at(s, i)})" for i in (low, high))
            _fold(page, f"{a.title}: {text}", "", "  ")


def _at(s: Sweep, index: tuple[Any, ...]) -> str:
    return ", ".join(axis.text(axis.values[i]) for axis, i in zip(s.axes, index, strict=True))


def _behind(page: Page, s: Sweep) -> None:
    """The rules behind the worst finding of each design, most frequent first."""
    count = Counter(rule for rule in s.worst_rule.ravel() if rule)
    if not count:
        return
    page.print()
    page.print(Text("What stands behind it, and how often"))
    names = titles()
    for rule, n in count.most_common(6):
        _fold(page, f"{rule}: {names[rule]}", f"  {n:>5}  ", " " * 9)
