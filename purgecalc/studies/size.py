"""Everything that may be asked of the size of one line, worked out from its scenario."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from purgecalc.errors import UsageError
from purgecalc.studies.checked import Checked
from purgecalc.studies.head_size import HeadStudy, best_head
from purgecalc.studies.hose_table import HoseTable, hose_table
from purgecalc.studies.levers import LEVERS
from purgecalc.studies.margins import closest
from purgecalc.studies.proposal import Proposal, propose
from purgecalc.studies.remedies import Remedies, first_trial, remedies
from purgecalc.studies.schedule import ScheduleStudy, schedule
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
        lambda: schedule(subject, useful) if wanted("schedule") else None,
        lambda: best_head(subject) if wanted("head") else None,
    )
    # a rule that only the hand estimate fails is not told of as failing
    broken = {(f.rule.id, f.line) for f in findings if f.state == "fails"}
    hose = hose and replace(hose, apart=tuple(key for key in hose.apart if key in broken))
    source = tuple(replace(s, apart=tuple(key for key in s.apart if key in broken)) for s in source)
    return Sized(subject.line, tuple(closest([design], subject.limits)), hose, source, settings, head, *changes)
