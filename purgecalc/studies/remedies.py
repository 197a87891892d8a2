"""What clears a finding: every size of every lever tried on arrays, and what works told in order of trouble."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from purgecalc.rules import Finding, Level
from purgecalc.studies.grades import Subject
from purgecalc.studies.levers import KEY_IN, candidates
from purgecalc.studies.pairs import among, hopeful
from purgecalc.studies.trial import Set, Trial

PAIR_OF_SETTINGS = 2 * KEY_IN


@dataclass(frozen=True)
class Remedy:
    """Changes that make a rule pass, the figure the rule judges before and after, and what the next size would give."""

    changes: Set
    effect: str
    clears_all: bool
    next_size: str = ""

    @property
    def trouble(self) -> int:
        """Rank: the trouble of all changes together."""
        return sum(c.lever.trouble for c in self.changes)


@dataclass(frozen=True)
class Remedies:
    """One finding and what clears it, least trouble first.

    ``too_little`` names what moves the judged figure and clears it in no size, ``no_effect`` what does not move it.
    """

    finding: Finding
    found: tuple[Remedy, ...]
    too_little: tuple[str, ...] = ()
    no_effect: tuple[str, ...] = ()


def first_trial(subject: Subject, findings: Sequence[Finding], free: Sequence[str] = ()) -> Trial | None:
    """Every size of every lever tried alone; None where there is nothing to clear or nothing to change."""
    single = [(c,) for c in candidates(subject.inputs, free)]
    return Trial(subject, single) if single and _to_clear(subject, findings) else None


def _to_clear(subject: Subject, findings: Sequence[Finding]) -> list[Finding]:
    return [f for f in findings if f.state == "fails" and f.level >= Level.FIX and f.line in ("", subject.line)]


def remedies(subject: Subject, findings: Sequence[Finding], trial: Trial | None) -> list[Remedies]:
    """Remedies of every finding of level FIX or STOP of the line, each seen passing before it is named.

    A remedy makes its rule pass and no other rule worse. Single changes are tried first; pairs where no single one clears it,
    and pairs of settings that are keyed in where a single remedy is more trouble than those. ``trial`` is the
    ``first_trial`` of the line.
    """
    ours = _to_clear(subject, findings)
    if trial is None:
        return [Remedies(f, ()) for f in ours]
    found = [_remedy(trial, f) for f in ours]
    dear = [r for r in found if all(c.trouble > PAIR_OF_SETTINGS for c in r.found)]
    pairs = among(p for r in dear for p in hopeful(trial, r.finding, min((c.trouble for c in r.found), default=None)))
    if not pairs:
        return found
    again = Trial(subject, pairs)
    return [_with(r, _remedy(again, r.finding).found) if r in dear else r for r in found]


def _remedy(trial: Trial, finding: Finding) -> Remedies:
    """The nearest size of every lever, or pair of levers, that clears the finding."""
    good, cleared, moved = trial.passes(finding) & trial.harmless(), trial.to_clear()[1] == 0, trial.moved(finding)
    best: dict[tuple[str, ...], int] = {}
    for i in np.flatnonzero(good):
        levers = _levers(trial.sets[i])
        if levers not in best or (cleared[i] and not cleared[best[levers]]):
            best[levers] = int(i)
    found = [
        Remedy(trial.sets[i], trial.told(finding, i), bool(cleared[i]), _next_size(trial, finding, i, good))
        for i in best.values()
    ]
    moving = {s[0].lever.name for s, m in zip(trial.sets, moved, strict=True) if m}
    left = dict.fromkeys(s[0].lever.name for s in trial.sets if _levers(s) not in best)
    too_little, no_effect = (tuple(n for n in left if (n in moving) == moves) for moves in (True, False))
    return Remedies(finding, tuple(sorted(found, key=_rank)), too_little, no_effect)


def _levers(changes: Set) -> tuple[str, ...]:
    return tuple(sorted(c.lever.id for c in changes))


def _next_size(trial: Trial, finding: Finding, i: int, good: np.ndarray) -> str:
    """What the next size in the same direction gives, for a single change that comes in sizes."""
    if len(trial.sets[i]) > 1:
        return ""
    ((c,), after) = trial.sets[i], trial.after(finding, i)
    for j in np.flatnonzero(good):
        d = trial.sets[j][0]
        further = (d.given.value - c.given.value) * (c.given.value - trial.present(c.lever.id)) > 0
        if j > i and d.lever is c.lever and further and trial.after(finding, int(j)) != after:
            return f"{d.text}: {trial.after(finding, int(j))}"
    return ""


def _with(remedy: Remedies, more: tuple[Remedy, ...]) -> Remedies:
    """Pairs beside single remedies, where they are less trouble."""
    least = min((c.trouble for c in remedy.found), default=None)
    fewer = tuple(c for c in more if least is None or c.trouble < least)
    return replace(remedy, found=tuple(sorted((*fewer, *remedy.found), key=_rank)))


def _rank(remedy: Remedy) -> tuple[bool, int]:
    return not remedy.clears_all, remedy.trouble
