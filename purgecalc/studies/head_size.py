"""Which head: number and size of holes for the strongest jets that still serve the whole face, one hole blocked or none."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from purgecalc.rules import Level
from purgecalc.studies.grades import Subject

COUNTS = (4, 5, 6, 8)
"""Four or more, so that one blocked hole leaves three quarters of the face served."""
DRILLS = tuple(d * 1e-3 for d in (1.0, 1.2, 1.5, 1.8, 2.0, 2.5, 3.0))
"""Usual drills, common practice, no source; finer holes block with scale and rag."""


@dataclass(frozen=True)
class HeadSize:
    """A head: holes, their diameter (m), thrust of one hole (N), jet thrust ratio, and jet thrust ratio with one hole blocked."""

    holes: int
    diameter: float
    thrust_each: float
    jet_thrust_ratio: float
    blocked_ratio: float


@dataclass(frozen=True)
class HeadStudy:
    """The best head, the present one for comparison, how many were looked at and how many pass."""

    best: HeadSize | None
    present: HeadSize
    passing: int
    looked_at: int


def best_head(subject: Subject) -> HeadStudy:
    """Judge all heads in one call; each is also looked at with one hole fewer."""
    inputs = subject.inputs
    own = int(float(inputs["head.holes"].value)), float(inputs["head.hole_diameter"].value)
    counts = np.array(sorted({*COUNTS, *(n - 1 for n in COUNTS), own[0], max(1, own[0] - 1)}), float)
    drills = np.unique([*DRILLS, own[1]])
    graded = subject.grade({"head.holes": counts[:, None], "head.hole_diameter": drills[None, :]})
    design = next(d for d in graded.designs if d.inputs.line == subject.line)
    ratio = np.broadcast_to(design.value("head.jet_thrust_ratio"), graded.shape)
    thrust = np.broadcast_to(design.value("head.thrust"), graded.shape) / counts[:, None]
    fails = [level >= Level.WATCH for level in graded.levels.values() if np.ndim(level)]
    passes = ~np.logical_or.reduce([np.broadcast_to(f, graded.shape) for f in fails])

    def size(n: int, j: int) -> HeadSize:
        i, fewer = int(np.searchsorted(counts, n)), int(np.searchsorted(counts, max(1, n - 1)))
        return HeadSize(n, float(drills[j]), float(thrust[i, j]), float(ratio[i, j]), float(ratio[fewer, j]))

    wanted = [size(n, j) for n in COUNTS for j in range(len(drills)) if passes[int(np.searchsorted(counts, n)), j]]
    good = [h for h in wanted if h.blocked_ratio >= design.number("probe.jet_floor")]
    best = max(good, key=lambda h: h.thrust_each, default=None)
    return HeadStudy(best, size(own[0], int(np.searchsorted(drills, own[1]))), len(good), len(COUNTS) * len(drills))
