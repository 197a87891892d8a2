"""The changes that clear a line: least trouble first, one after another, until nothing is left to fix or stop."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from purgecalc.design import design_all
from purgecalc.rules import Finding, Level, judge
from purgecalc.studies.grades import Subject, varied
from purgecalc.studies.levers import HOLD_LIMIT, KEY_IN, LARGE_PART, LEVERS, Candidate, candidate, candidates
from purgecalc.studies.pairs import among, hopeful
from purgecalc.studies.schedule import AXES, ScheduleStudy
from purgecalc.studies.trial import Set, Trial
from purgecalc.units import parse, show

MOST_CHANGES = 6
CHANGED_IN_PAIRS = {
    ("schedule.hold_off", "schedule.interval"): ("hold-off", "live-share", "excursion"),
    ("schedule.blast", "schedule.interval"): ("slug", "delivery-time", "useful-time", "duty", "live-share"),
    ("source.cut_in", "source.cut_out"): ("jet-strength", "delivery-time", "useful-time", "blast-arrives"),
}
"""Settings made together, tried in pairs, and the findings that call for it."""


@dataclass(frozen=True)
class Proposal:
    """Changes in the order they were chosen, what is still to fix or stop on the line after them, and what on other lines."""

    changes: tuple[Candidate, ...]
    left: tuple[Finding, ...]
    elsewhere: tuple[Finding, ...] = ()
    watch: tuple[Finding, ...] = ()
    """Findings of level WATCH that the line still has with the changes."""

    @property
    def headline(self) -> str:
        """The answer in one row."""
        words = "; ".join(c.words for c in self.changes)
        if self.left:
            rest = ", ".join(dict.fromkeys(f.rule.noun for f in self.left))
            return f"NOT BY FIGURES ALONE: left to fix {rest}{f'; change {words}' if words else ''}"
        if not self.changes:
            return f"NO CHANGE NEEDED{', WATCH stays' if self.watch else ''}"
        count = "ONE THING" if len(self.changes) == 1 else f"{len(self.changes)} THINGS"
        return f"CHANGE {count}: {words}"

    @property
    def trouble(self) -> int:
        """The trouble of all changes together."""
        return sum(c.lever.trouble for c in self.changes)


def propose(subject: Subject, findings: Sequence[Finding], first: Trial | None, free: Sequence[str] = ()) -> Proposal:
    """Find changes of the ``free`` input ids (all levers where empty) under which nothing is left to fix or stop.

    Every step takes the set of least trouble that clears all, or else the one that clears most for its trouble and breaks
    nothing. What is proposed has been worked out and judged whole. ``findings`` are those of the line as it is, and
    ``first`` the trial of all its single changes, if it was made already.
    """
    chosen: dict[str, Candidate] = {}
    here = subject
    left, elsewhere, watch = _to_clear(findings, subject.line)
    for _ in range(MOST_CHANGES):
        # what is keyed in may be set again later; what is bought is bought once
        single = [c for c in candidates(here.inputs, free) if c.lever.id not in chosen or c.lever.trouble == KEY_IN]
        options = _options(single, left)
        if not left or not options:
            break
        untouched = first is not None and not chosen and len(options) == len(first.sets)
        trial = first if untouched and first else Trial(here, options)
        step = _next(trial)
        if step is None or _trouble(step) >= LARGE_PART:
            step = _next_pair(trial, left, _trouble(step) if step else None) or step
        if step is None:
            break
        for c in step:
            before = chosen[c.lever.id].before if c.lever.id in chosen else c.before
            chosen[c.lever.id] = replace(c, before=before)
        here = replace(here, lines=varied(here.lines, {c.lever.id: c.given for c in step}, here.line))
        left, elsewhere, watch = _judged(here)
    return Proposal(tuple(chosen.values()), tuple(left), tuple(elsewhere), tuple(watch))


def with_schedule(subject: Subject, proposal: Proposal, study: ScheduleStudy) -> Proposal | None:
    """The proposal with the schedule of ``study`` in place of its own settings, judged whole; None where that leaves more to fix.

    A timer that ends a hold is set anew with it where it has to be.
    """
    assert study.best is not None
    inputs = subject.inputs
    wanted = dict(zip(AXES, (study.best.interval, study.best.blast, study.best.hold_off), strict=True))
    changes = [c for c in proposal.changes if c.lever.id not in AXES]
    changes += [
        candidate(lever, inputs[lever.id], show(wanted[lever.id], "time"))
        for lever in LEVERS
        if lever.id in AXES and not np.isclose(wanted[lever.id], float(inputs[lever.id].value))
    ]
    if study.timer_follows and HOLD_LIMIT.id in inputs:
        hold = sum(wanted[id] for id in AXES[1:]) + float(inputs["schedule.hold_lead"].value)
        fit = [t for t in HOLD_LIMIT.sizes if hold <= parse(t, "time").value <= 2 * hold]
        changes += [candidate(HOLD_LIMIT, inputs[HOLD_LIMIT.id], fit[len(fit) // 2])] if fit else []
    here = replace(subject, lines=varied(subject.lines, {c.lever.id: c.given for c in changes}, subject.line))
    left, elsewhere, watch = _judged(here)
    if len(left) > len(proposal.left):
        return None
    return Proposal(tuple(changes), tuple(left), tuple(elsewhere), tuple(watch))


def _judged(subject: Subject) -> tuple[list[Finding], list[Finding], list[Finding]]:
    return _to_clear(judge(design_all(subject.lines), subject.limits, subject.waive), subject.line)


def _options(single: list[Candidate], left: Sequence[Finding]) -> list[Set]:
    """Single changes, and settings that go together where the reading or the blast is what is wrong."""
    options: list[Set] = [(c,) for c in single]
    rules = {f.rule.id for f in left}
    for ids, about in CHANGED_IN_PAIRS.items():
        if rules & set(about):
            options += itertools.product(*([c for c in single if c.lever.id == id] for id in ids))
    return options


def _to_clear(findings: Sequence[Finding], line: str) -> tuple[list[Finding], list[Finding], list[Finding]]:
    """Findings to fix or stop, of the line or its source and of other lines; and those of the line to watch."""
    failing = [f for f in findings if f.state == "fails"]
    ours, others = [f for f in failing if f.line in ("", line)], [f for f in failing if f.line not in ("", line)]
    return (
        [f for f in ours if f.level >= Level.FIX],
        [f for f in others if f.level >= Level.FIX],
        [f for f in ours if f.level == Level.WATCH],
    )


def _next(trial: Trial) -> Set | None:
    """The next change, or None where none helps."""
    before, after = trial.to_clear()
    gain = before - after
    trouble = np.array([sum(c.lever.trouble for c in s) for s in trial.sets])
    good = trial.harmless() & (gain > 0)
    if not good.any():
        return None
    better = np.where(good, np.where(after == 0, 1000.0, 0.0) + gain / trouble, -np.inf)
    return trial.sets[int(better.argmax())]


def _trouble(changes: Set) -> int:
    return sum(c.lever.trouble for c in changes)


def _next_pair(trial: Trial, left: Sequence[Finding], below: int | None) -> Set | None:
    """The next two changes, where no option by itself helps, or where they clear all for less trouble than ``below``."""
    alone = Trial(trial.subject, single) if (single := [s for s in trial.sets if len(s) == 1]) != trial.sets else trial
    pairs = among(p for f in left for p in hopeful(alone, f, below))
    if not pairs:
        return None
    both = Trial(trial.subject, pairs)
    found = _next(both)
    clears = found is not None and both.to_clear()[1][both.sets.index(found)] == 0
    return found if below is None or clears else None
