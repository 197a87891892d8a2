"""The changes that clear a line: least trouble first, one after another, until nothing is left to fix or stop."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from purgecalc.design import design_all
from purgecalc.rules import Finding, Level, judge
from purgecalc.studies.grades import Subject, varied
from purgecalc.studies.levers import Candidate, candidates
from purgecalc.studies.trial import Set, Trial

MOST_CHANGES = 6
ABOUT_THE_READING = ("hold-off", "live-share", "excursion")


@dataclass(frozen=True)
class Proposal:
    """Changes in the order they were chosen, and what is still to fix or stop after them (empty where all is cleared)."""

    changes: tuple[Candidate, ...]
    left: tuple[Finding, ...]


def propose(subject: Subject, findings: Sequence[Finding], first: Trial | None, free: Sequence[str] = ()) -> Proposal:
    """Find changes of the ``free`` input ids (all levers where empty) under which nothing is left to fix or stop.

    Every step takes the set of least trouble that clears all, or else the one that clears most for its trouble and breaks
    nothing. What is proposed has been worked out and judged whole. ``findings`` are those of the line as it is, and
    ``first`` the trial of all its single changes, if it was made already.
    """
    chosen: dict[str, Candidate] = {}
    here = subject
    left = _to_mend(findings)
    while left and len(chosen) < MOST_CHANGES:
        single = [c for c in candidates(here.inputs, free) if c.lever.id not in chosen]
        options = _options(single, left)
        again = first is not None and not chosen and len(options) == len(first.sets)
        step = _next(first if again and first else Trial(here, options), len(left)) if options else None
        if step is None:
            break
        for c in step:
            chosen[c.lever.id] = c
        here = replace(here, lines=varied(here.lines, {c.lever.id: c.given for c in step}, here.line))
        left = _to_mend(judge(design_all(here.lines), here.limits, here.waive))
    return Proposal(tuple(chosen.values()), tuple(left))


def _options(single: list[Candidate], left: Sequence[Finding]) -> list[Set]:
    """Single changes, and hold-off with interval where the reading is what is wrong: they are set together."""
    options: list[Set] = [(c,) for c in single]
    if any(f.rule.id in ABOUT_THE_READING for f in left):
        hold, interval = ([c for c in single if c.lever.id == f"schedule.{k}"] for k in ("hold_off", "interval"))
        options += itertools.product(hold, interval)
    return options


def _to_mend(findings: Sequence[Finding]) -> list[Finding]:
    return [f for f in findings if f.state == "fails" and f.level >= Level.FIX]


def _next(trial: Trial, before: int) -> Set | None:
    """The next change, or None where none helps."""
    gain = before - trial.to_mend()
    trouble = np.array([sum(c.lever.trouble for c in s) for s in trial.sets])
    good = trial.harmless() & (gain > 0)
    if not good.any():
        return None
    worth = np.where(good, np.where(gain == before, 1000.0, 0.0) + gain / trouble, -np.inf)
    return trial.sets[int(worth.argmax())]
