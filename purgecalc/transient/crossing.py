"""Maxima, crossings and time above a level, from the end pressure kept at every step.

Between steps the pressure is a cubic with the rates at both ends, held near the neighbouring secants: the rate at the end
node is noisy, and an unchecked cubic would invent peaks.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from purgecalc.transient.laws import Array
from purgecalc.transient.march import History

_SAMPLES = np.linspace(0.0, 1.0, 9)[:, None]


def tidy(history: History) -> History:
    """The same with rates clipped to the range of the two neighbouring secants, widened by a quarter of their difference."""
    t, p, rate = history.t, history.p, history.rate
    step = np.diff(t, axis=0)
    secant = np.where(step > 1e-12, np.diff(p, axis=0) / np.where(step > 1e-12, step, 1.0), 0.0)
    before, after = np.vstack([secant[:1], secant]), np.vstack([secant, secant[-1:]])
    low, high = np.minimum(before, after), np.maximum(before, after)
    margin = 0.25 * (high - low)
    return replace(history, rate=np.clip(rate, low - margin, high + margin))


def cubic(h: History, row: NDArray[np.intp], column: NDArray[np.intp]) -> tuple[Array, Array, Array, Array]:
    """Coefficients of the pressure against the fraction of the step that starts at ``row``."""
    step = h.t[row + 1, column] - h.t[row, column]
    p_0, p_1 = h.p[row, column], h.p[row + 1, column]
    d_0, d_1 = h.rate[row, column] * step, h.rate[row + 1, column] * step
    rise = p_1 - p_0
    return p_0, d_0, 3 * rise - 2 * d_0 - d_1, d_0 + d_1 - 2 * rise


def _at(c: tuple[Array, Array, Array, Array], s: Array) -> Array:
    return c[0] + s * (c[1] + s * (c[2] + s * c[3]))


def maximum(h: History, inside: NDArray[np.bool_]) -> Array:
    """Highest pressure of each column over the rows marked, with the cubics on both sides of the highest row looked at."""
    columns = np.arange(h.t.shape[1])
    marked = np.where(inside, h.p, -np.inf)
    top = marked.argmax(axis=0)
    best: Array = marked[top, columns]
    for start in (top - 1, top):
        row = np.clip(start, 0, h.t.shape[0] - 2)
        both = inside[row, columns] & inside[row + 1, columns]
        peak = _at(cubic(h, row, columns), _SAMPLES).max(axis=0)
        best = np.where(both, np.maximum(best, peak), best)
    return best


def _root(h: History, row: NDArray[np.intp], column: NDArray[np.intp], level: Array) -> Array:
    """Time inside a step at which the pressure passes ``level``, by bisection of the cubic."""
    low, high = np.zeros(row.size), np.ones(row.size)
    rising = h.p[row + 1, column] > h.p[row, column]
    curve = cubic(h, row, column)
    for _ in range(16):
        mid = 0.5 * (low + high)
        short = (_at(curve, mid) < level) == rising
        low, high = np.where(short, mid, low), np.where(short, high, mid)
    t_0 = h.t[row, column]
    out: Array = t_0 + 0.5 * (low + high) * (h.t[row + 1, column] - t_0)
    return out


def first_above(h: History, inside: NDArray[np.bool_], levels: Array) -> Array:
    """First times at which the pressure reaches ``levels`` (one row each) in the rows marked.

    A level between the highest row and the highest point of the cubics beside it counts as reached at that row.
    """
    levels = np.minimum(levels, np.where(inside, h.p, -np.inf).max(axis=0))
    reached = inside & (h.p >= levels[:, None])
    row = reached.argmax(axis=1)
    columns = np.broadcast_to(np.arange(h.t.shape[1]), row.shape)
    out: Array = h.t[row, columns]
    start = np.maximum(row - 1, 0)
    inner = (row > 0) & inside[start, columns]
    out[inner] = _root(h, start[inner], columns[inner], levels[inner])
    return out


def time_above(h: History, inside: NDArray[np.bool_], level: Array) -> Array:
    """Time for which the pressure is above ``level`` within the rows marked."""
    above = h.p > level
    both = inside[:-1] & inside[1:]
    step = np.where(both, np.diff(h.t, axis=0), 0.0)
    total: Array = np.where(above[:-1] & above[1:], step, 0.0).sum(axis=0)
    row, column = np.nonzero((above[:-1] != above[1:]) & both)
    cut = _root(h, row, column, level[column])
    part = np.where(above[row, column], cut - h.t[row, column], h.t[row + 1, column] - cut)
    np.add.at(total, column, part)
    return total
