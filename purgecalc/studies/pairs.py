"""Pairs of changes worth trying where no single one is enough.

A pair is tried where both of it bring the finding nearer. No set of changes counts that the scenario would refuse:
``relations`` are asked element by element in trials and schedules as in tables.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Iterator, Sequence

import numpy as np

from purgecalc.rules import Finding
from purgecalc.studies.levers import HOSE, KEY_IN, LARGE_PART, Candidate
from purgecalc.studies.trial import Set, Trial

MOST_PAIRS = 600
NEAREST = 4


def hopeful(trial: Trial, finding: Finding, below: int | None = None) -> Iterator[Set]:
    """Pairs that may clear a finding, from a trial of single changes.

    A change that makes the rule pass but harms another goes with one more that may undo the harm; where none makes it pass,
    two that both bring it nearer go together. Where a single change of trouble ``below`` clears it already, only pairs of
    less trouble are worth it: of settings, or of anything where that change is a larger part.
    """
    passing = [trial.sets[i][0] for i in np.flatnonzero(trial.passes(finding))]
    for a in _nearest(passing, NEAREST):
        yield from ((a, b) for (b,) in trial.sets if b.lever is not a.lever and _worth(a, b, below))
    if not passing:
        nearer = [trial.sets[i][0] for i in np.flatnonzero(trial.nearer(finding))]
        yield from ((a, b) for a, b in itertools.combinations(nearer, 2) if b.lever is not a.lever)


def _worth(a: Candidate, b: Candidate, below: int | None) -> bool:
    if below is None:
        return b.lever.trouble <= HOSE
    together = a.lever.trouble + b.lever.trouble
    return together < below if below >= LARGE_PART else together <= 2 * KEY_IN


def among(pairs: Iterable[Set]) -> list[Set]:
    """Each pair once, least trouble first, no more than are tried in reasonable time."""
    each: dict[frozenset[tuple[str, str]], Set] = {}
    for pair in pairs:
        each.setdefault(frozenset((c.lever.id, c.text) for c in pair), pair)
    return sorted(each.values(), key=lambda pair: sum(c.lever.trouble for c in pair))[:MOST_PAIRS]


def _nearest(these: Sequence[Candidate], each: int) -> list[Candidate]:
    """The first few of every lever."""
    count: dict[str, int] = {}
    out = []
    for c in these:
        count[c.lever.id] = count.get(c.lever.id, 0) + 1
        if count[c.lever.id] <= each:
            out.append(c)
    return out
