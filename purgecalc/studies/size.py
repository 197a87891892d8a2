"""Everything that may be asked of the size of one line, worked out from its scenario."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from purgecalc.design import design_all
from purgecalc.errors import UsageError
from purgecalc.studies.checked import Checked
from purgecalc.studies.grades import Subject, varied
from purgecalc.studies.head_size import HeadStudy, best_head
from purgecalc.studies.hose_table import HoseTable, hose_table
from purgecalc.studies.levers import LEVERS
from purgecalc.studies.margins import closest
from purgecalc.studies.proposal import Proposal, propose, with_schedule
from purgecalc.studies.remedies import Remedies, first_trial, remedies
from purgecalc.studies.schedule import AXES, ScheduleStudy, schedule
from purgecalc.studies.source_size import Smallest, smallest_source
from purgecalc.transient.shared import side_by_side


@dataclass(frozen=True)
class Sized:
    """The answers for one line; None where nothing of that part is free to change."""

    line: str
    closest: tuple[tuple[str, float], ...]
    hose: HoseTable | None
    source: tuple[Smallest, ...]
    schedule: ScheduleStudy | None
    head: HeadStudy | None
    remedies: tuple[Remedies, ...]
    proposal: Proposal


def free_ids(free: str) -> tuple[str, ...]:
    """Input ids of a list like ``hose.bore,line.hose.length``. Raises ``UsageError`` for what cannot be changed."""
    known = [lever.id for lever in LEVERS]
    ids = tuple(part.strip().removeprefix("line.") for part in free.split(",") if part.strip())
    unknown = [id for id in ids if id not in known]
    if unknown:
        raise UsageError(f"--free {', '.join(unknown)}: not something size can change; it can change {', '.join(known)}")
    return ids


def size(checked: Checked, line: str, free: Sequence[str] = ()) -> Sized:
    """Size the line called ``line``; ``free`` are the input ids that may change, all levers where it is empty."""
    subject, design, findings = checked.subject(line), checked.design_of(line), checked.findings

    def wanted(part: str) -> bool:
        return not free or any(id.startswith(f"{part}.") for id in free)

    def cleared() -> tuple[tuple[Remedies, ...], Proposal]:
        trial = first_trial(subject, findings, free)
        return tuple(remedies(subject, findings, trial)), propose(subject, findings, trial, free)

    useful = design.number("blast.useful_time")
    changes, hose, source, settings, head = side_by_side(
        cleared,
        lambda: hose_table(subject) if wanted("hose") else None,
        lambda: smallest_source(subject) if wanted("source") else (),
        lambda: schedule(subject, useful, free) if wanted("schedule") else None,
        lambda: best_head(subject) if wanted("head") else None,
    )
    # a rule that only the hand estimate fails is not told of as failing
    broken = {(f.rule.id, f.line) for f in findings if f.state == "fails"}
    hose = hose and replace(hose, apart=tuple(key for key in hose.apart if key in broken))
    source = tuple(replace(s, apart=tuple(key for key in s.apart if key in broken)) for s in source)
    found, proposal = changes
    if settings is not None:
        proposal, settings = _one_schedule(subject, proposal, settings, useful, free)
    return Sized(subject.line, tuple(closest([design], subject.limits)), hose, source, settings, head, found, proposal)


def _one_schedule(
    subject: Subject, proposal: Proposal, study: ScheduleStudy, useful: float, free: Sequence[str]
) -> tuple[Proposal, ScheduleStudy]:
    """One schedule for all of the screen: that of the study, worked out with the parts proposed, or else the proposal's own.

    Where the schedule alone leaves no more to fix, and is less trouble, it is proposed alone.
    """
    if study.best is not None and study.best != study.present:
        alone = with_schedule(subject, replace(proposal, changes=()), study)
        if alone is not None and alone.trouble < proposal.trouble:
            return alone, study
    parts = {c.lever.id: c.given for c in proposal.changes if c.lever.id not in AXES}
    changed = replace(subject, lines=varied(subject.lines, parts, subject.line)) if parts else subject
    if parts:
        here = next(d for d in design_all(changed.lines) if d.inputs.line == subject.line)
        useful = here.number("blast.useful_time")
        study = schedule(changed, useful, free)
    if study.best is not None and (found := with_schedule(subject, proposal, study)) is not None:
        return found, study
    keyed = {c.lever.id: float(c.given.value) for c in proposal.changes}
    if not keyed.keys() & set(AXES):
        return proposal, study
    own = tuple(keyed.get(id, float(subject.inputs[id].value)) for id in AXES)
    return proposal, schedule(changed, useful, free, (own[0], own[1], own[2]))
