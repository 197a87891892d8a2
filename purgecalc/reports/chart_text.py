"""A line chart in characters: braille dots where the terminal can show them, plain ASCII where it cannot."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
_DOTS = ((0x01, 0x08), (0x02, 0x10), (0x04, 0x20), (0x40, 0x80))


def _cells(t: Array, y: Array, t_end: float, y_top: float, width: int, height: int, fine: tuple[int, int]) -> NDArray[np.bool_]:
    """Which dots a curve passes through; ``fine`` dots a cell across and down."""
    columns, rows = width * fine[0], height * fine[1]
    grid = np.zeros((rows, columns), bool)
    at = np.linspace(0.0, t_end, columns)
    level = np.clip(np.interp(at, t, y) / y_top, 0.0, 1.0) * (rows - 1)
    known = np.isfinite(level)
    row = np.rint(rows - 1 - np.where(known, level, 0)).astype(int)
    for column in np.flatnonzero(known):  # where there is no figure there is a gap
        before = row[column - 1] if column and known[column - 1] else row[column]
        low, high = sorted((before, row[column]))
        grid[low : high + 1, column] = True
    return grid


def chart(
    t: Array,
    y: Array,
    t_end: float,
    top: str,
    end: str,
    width: int,
    height: int = 6,
    bottom: str = "0",
    start: str = "0",
    *,
    plain: bool = False,
) -> list[str]:
    """Lines of text: the curve from 0 to ``t_end``, its greatest value labelled ``top``, the end of time labelled ``end``.

    ``bottom`` and ``start`` label the two zeros where the curve was shifted there.
    """
    inside = y[(t <= t_end) & np.isfinite(y)]
    y_top = float(inside.max()) if inside.size and inside.max() > 0 else 1.0
    margin = max(len(top), len(bottom)) + 1
    room = max(10, width - margin - 1)
    grid = _cells(t, y, t_end, y_top, room, height, (1, 1) if plain else (2, 4))
    rows = _plain(grid) if plain else _braille(grid, room, height)
    labels = [top] + [""] * (height - 2) + [bottom]
    out = [f"{label:>{margin - 1}} |{row}".rstrip() for label, row in zip(labels, rows, strict=True)]
    axis = f"{'':>{margin - 1}} +{'-' * room}"
    return [*out, axis, f"{'':>{margin}}{start}{end:>{room + 1 - len(start)}}"]


def _plain(grid: NDArray[np.bool_]) -> list[str]:
    return ["".join("*" if dot else " " for dot in row) for row in grid]


def _braille(grid: NDArray[np.bool_], width: int, height: int) -> list[str]:
    out = []
    for r in range(height):
        line = ""
        for c in range(width):
            code = sum(_DOTS[i][j] for i in range(4) for j in range(2) if grid[4 * r + i, 2 * c + j])
            line += chr(0x2800 + code) if code else " "
        out.append(line)
    return out


def marker(at: float, t_end: float, text: str, width: int, margin: int) -> str:
    """A line under a chart that points at a time."""
    room = max(10, width - margin - 1)
    column = margin + 1 + round(min(max(at / t_end, 0.0), 1.0) * (room - 1))
    return f"{' ' * column}^ {text}" if column + len(text) + 2 <= width else f"{text:>{column - 1}} ^"
