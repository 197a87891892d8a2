"""Where along one number a design stops passing: brackets closed on arrays of designs, many rows at a time.

``size`` seeks edges with the hand estimate of the blast and settles them with the integrated one; brackets are closed
to half a per cent. A longest length is printed rounded down. Its parts run side by side (``transient/shared.py``, one
computing at a time), so that the blasts all of them ask for are integrated in one call and none twice. Rules whose
outcome does not depend on what is varied are found by shape (a scalar among arrays) and told apart.

Rules of the integrated blast keep a thousandth and a half of reserve at an edge (``search.NOISE``): their figures
scatter by about that much.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from purgecalc.rules import Level, Margin, Missing, grade, outcomes, rule_book
from purgecalc.studies.grades import Graded

Array = NDArray[np.float64]
Key = tuple[str, str]
"""A rule and the line it judges (empty for the source)."""


class Grade(Protocol):
    """Levels of designs: ``values`` of the number, one line of them for each of ``rows``."""

    def __call__(self, values: Array, rows: NDArray[np.int_], /, *, unsteady: bool) -> Graded: ...


"""Grades designs at an array (rows, points) of the number, for the rows named; with the integrated blast or by hand."""

FIRST = 64
CLOSE = 5e-3
"""Brackets are closed to this share of the value: a hundredth further is then surely seen failing."""
STEPS_AROUND = np.log([0.6, 0.7, 0.8, 0.9, 0.997, 1.0015, 1.12, 1.3])
"""Where the integrated blast is looked at first, about the edge found with the hand estimate: mostly it is there, and where
delivery time ends the run it is up to a third below."""
CLOSER = np.log([0.985, 0.998, 1.002, 1.015])
"""Where it is looked at next, about the edge that the margins on either side point to."""
CLEAR = 0.5
"""How far (logarithm) a value of its own is from the edge; nearer, the looks about the edge see it."""
ROUNDS = 8
OF_THE_BLAST = ("delivery-time", "useful-time", "recovery")
NOISE = 1.5e-3
"""Reserve (share of the limit) kept by rules of the integrated blast, whose figures scatter so much from value to value."""


@dataclass(frozen=True)
class Edge:
    """Run of values that pass, by row (nan where there is none): first (by the hand estimate, unless the integrated blast was
    seen to fail beyond it), last, what follows it, and the rule that ends it."""

    first: Array
    last: Array
    beyond: Array
    limit: tuple[str, ...]
    apart: tuple[Key, ...]
    """Rules that fail whatever the value, each with its line: they are not this number's doing."""


def find_edge(
    grade_at: Grade, favourable: Array, far: Array, own: Sequence[str], but: Sequence[str] = (), also: Sequence[float] = ()
) -> Edge:
    """Edge of the run of passing designs nearest ``favourable`` on the way to ``far`` (arrays of one value a row, SI).

    Rules of ``but`` are left out, and so are those whose outcome does not depend on the number, or that fail wherever
    it is looked and are not of a group of the rule book named in ``own``. The edge is sought with the hand estimate of the
    blast, then settled with the integrated one, which is also looked at where the run begins and at the values ``also``.
    """
    rows = [_Row(float(a), float(b)) for a, b in zip(favourable, far, strict=True)]
    by_hand = [_Row(row.favourable, row.far) for row in rows]
    everyone, s = np.arange(len(rows)), np.linspace(0.0, 1.0, FIRST)
    places = np.tile(s, (len(rows), 1))
    graded = grade_at(np.stack([row.at(s) for row in rows]), everyone, unsteady=False)
    aside = apart(graded, own, but)
    out = {*aside, *(key for key in graded.levels if key[0] in but)}
    _keep(by_hand, everyone, places, graded, out, 0.0)
    _close(grade_at, by_hand, out, unsteady=False)
    for row, hand in zip(rows, by_hand, strict=True):
        row.guess = hand.guess_edge()
        begin = float(hand.s[max(hand.run()[0], 0)])
        row.also = np.array([s for s in (begin, *map(row.place, also)) if begin <= s < row.guess - CLEAR / row.span])
    _close(grade_at, rows, out, unsteady=True)
    last, beyond = (np.array([row.value(row.run()[k]) for row in rows]) for k in (1, 2))
    begins = np.array(
        [float(row.at(np.array(max(hand.begins(), row.begins())))) for row, hand in zip(rows, by_hand, strict=True)]
    )
    return Edge(np.where(np.isfinite(last), begins, np.nan), last, beyond, tuple(r.limit() for r in rows), aside)


def _close(grade_at: Grade, rows: Sequence[_Row], out: Collection[Key], *, unsteady: bool) -> None:
    """Look where each row asks until all are settled."""
    for _ in range(ROUNDS):
        asked = {i: places for i, row in enumerate(rows) if len(places := row.ask())}
        if not asked:
            return
        most = max(len(places) for places in asked.values())
        points = np.array([np.resize(places, most) for places in asked.values()])
        which = np.array(list(asked))
        x = np.stack([rows[i].at(places) for i, places in zip(which, points, strict=True)])
        _keep(rows, which, points, grade_at(x, which, unsteady=unsteady), out, NOISE if unsteady else 0.0)


class _Row:
    """What is known along one row: places ``s`` from 0 (favourable) to 1 (far), whether they pass, and by how much."""

    def __init__(self, favourable: float, far: float) -> None:
        self.favourable, self.far = favourable, far
        self.span = abs(np.log(far / favourable))
        self.guess, self.also = 1.0, np.zeros(0)
        self.s, self.gap = np.zeros(0), np.zeros(0)
        self.passes, self.rule = np.zeros(0, bool), np.zeros(0, "U1")

    def at(self, s: Array) -> Array:
        """Values at places."""
        return np.asarray(self.favourable * (self.far / self.favourable) ** s)

    def place(self, x: float) -> float:
        """Place of a value."""
        return float(np.log(x / self.favourable) / np.log(self.far / self.favourable))

    def begins(self) -> float:
        """Place at which the run begins, if something before it was seen to fail; else the favourable end."""
        first = self.run()[0]
        return float(self.s[first]) if first > 0 else 0.0

    def value(self, i: int) -> float:
        """Value at a known place; nan for none."""
        return float(self.at(self.s)[i]) if i >= 0 else float("nan")

    def add(self, s: Array, passes: NDArray[np.bool_], rule: NDArray[np.str_], gap: Array) -> None:
        """Keep what was seen, in order of place."""
        both, kept = np.unique(np.concatenate([self.s, s]), return_index=True)
        self.s = both
        self.passes, self.rule, self.gap = (
            np.concatenate(pair)[kept] for pair in ((self.passes, passes), (self.rule, rule), (self.gap, gap))
        )

    def run(self) -> tuple[int, int, int]:
        """Known places: first that passes, last of that run, first after it; -1 where there is none."""
        good = np.flatnonzero(self.passes)
        if not len(good):
            return -1, -1, -1
        after = np.flatnonzero(~self.passes & (np.arange(len(self.s)) > good[0]))
        return (int(good[0]), int(after[0]) - 1, int(after[0])) if len(after) else (int(good[0]), len(self.s) - 1, -1)

    def limit(self) -> str:
        """The rule that ends the run, or that fails at the favourable end where nothing passes."""
        first, _, after = self.run()
        return str(self.rule[after]) if after >= 0 else ("" if first >= 0 else str(self.rule[0]))

    def guess_edge(self) -> float:
        """Place of the edge by the margins on either side of it."""
        _, last, after = self.run()
        if after < 0:
            return 1.0 if last >= 0 else 0.0
        (a, b), (g, h) = self.s[[last, after]], self.gap[[last, after]]
        share = g / (g - h) if np.isfinite(g - h) and g > 0 > h else 0.5
        return float(a + (b - a) * np.clip(share, 0.02, 0.98))

    def ask(self) -> Array:
        """Places to look at next; none where the edge is known closely enough."""
        if not len(self.s):
            return np.concatenate([self.also, self._inside(self.guess + STEPS_AROUND / self.span, 0.0, 1.0)])
        first, last, after = self.run()
        if first < 0:
            return np.zeros(0) if self.s[0] == 0 else np.linspace(0.0, self.s[0], 6)[:-1]
        if after < 0:
            return np.zeros(0) if self.s[last] == 1 else np.linspace(self.s[last], 1.0, 7)[1:]
        if (self.s[after] - self.s[last]) * self.span <= CLOSE:
            return np.zeros(0)
        return self._inside(self.guess_edge() + CLOSER / self.span, self.s[last], self.s[after])

    def _inside(self, places: Array, low: float, high: float) -> Array:
        """Places within bounds; the middle where none is."""
        inside = np.unique(np.clip(places, low, high))
        inside = inside[~np.isin(inside, self.s)]
        return inside if len(inside) else np.array([0.5 * (low + high)])


def _keep(rows: Sequence[_Row], which: NDArray[np.int_], s: Array, graded: Graded, out: Collection[Key], reserve: float) -> None:
    """Let each row keep what was seen at its places ``s`` (rows, points), rules of ``out`` left out.

    What comes nearer to the limit of a rule ``OF_THE_BLAST`` than ``reserve`` does not pass.
    """
    worst, gap, rule = np.zeros(s.shape, int), np.full(s.shape, np.inf), np.full(s.shape, "", "U40")
    for r, d, outcome in outcomes(graded.designs, graded.limits):
        level = grade(outcome, r.level)
        key = r.id, "" if r.scope == "source" else d.inputs.line
        if key in out or r.id in graded.waive or np.ndim(level) == 0 or isinstance(outcome, Missing):
            continue
        level = np.broadcast_to(np.where(level >= Level.WATCH, level, 0), s.shape)
        rule, worst = np.where(level > worst, r.id, rule), np.maximum(level, worst)
        if isinstance(outcome, Margin) and r.level >= Level.WATCH:
            here = np.broadcast_to(np.where(outcome.applies, _relative(outcome), np.inf), s.shape)
            gap = np.minimum(gap, here)
            near = (here < reserve) & (r.id in OF_THE_BLAST)
            rule, worst = np.where(near & (worst == 0), r.id, rule), np.where(near & (worst == 0), int(r.level), worst)
    for k, i in enumerate(which):
        rows[i].add(s[k], worst[k] == 0, rule[k], gap[k])


def _relative(margin: Margin) -> Array:
    """Distance to the limit: logarithm of the figure judged over its limit, or the other way about, positive where it passes.

    Figures go by powers of sizes, so that along the logarithm of a size it is nearly straight.
    """
    size = np.abs(np.asarray(margin.quantity.value, float))
    sign = -1 if margin.at_most is None else 1
    with np.errstate(divide="ignore", invalid="ignore"):
        share = np.asarray(margin.slack() / np.where(size > 0, size, 1.0))
        return np.asarray(np.where(sign * share > -1, sign * np.log1p(np.maximum(sign * share, -1.0)), share))


def apart(graded: Graded, own: Sequence[str], but: Sequence[str]) -> tuple[Key, ...]:
    """Rules that fail and are not the number's doing, by line."""
    found = []
    for (rule, line), level in graded.levels.items():
        always = bool(np.all(level >= Level.WATCH))
        if always and rule not in but and (np.ndim(level) == 0 or rule_book()[rule].group not in own):
            found.append((rule, line))
    return tuple(found)
