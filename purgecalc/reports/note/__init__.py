"""The commissioning note: what it says, in which order. Blocks are made here from sheet and findings; renderers show them.

The note prints what is on the sheet, and a test walks every number of it to the JSON of ``check --json --detail``. Only
the card's longest hose is worked out for it (as ``size`` does). Places of inputs are named by file name alone, because
the note is read elsewhere than it is made.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from purgecalc import __version__
from purgecalc.reports.blocks import Block, Chart, Document
from purgecalc.reports.note.appendix import appendix
from purgecalc.reports.note.closing import cautions, limitations, sign_off, upkeep
from purgecalc.reports.note.front import as_designed, identity, judgement, scope
from purgecalc.reports.note.leak import leak_test
from purgecalc.reports.note.measured import alarms, baseline, measured
from purgecalc.reports.note.procedure import before_energising, dry_test, safety, wet_test
from purgecalc.reports.note.signal import loop, schedule, signal
from purgecalc.reports.note.terms import glossary
from purgecalc.studies.commissioning import Commissioning, outside_lines

Section = Callable[[Commissioning], Iterator[Block]]

SECTIONS: tuple[Section, ...] = (
    identity,
    scope,
    as_designed,
    judgement,
    before_energising,
    safety,
    leak_test,
    dry_test,
    wet_test,
    signal,
    loop,
    schedule,
    alarms,
    measured,
    baseline,
    limitations,
    upkeep,
    cautions,
    sign_off,
    appendix,
    glossary,
)


def commissioning_note(c: Commissioning, charts: Sequence[Chart] = ()) -> Document:
    """The whole note. ``charts`` follow the verdict."""
    blocks: list[Block] = []
    for section in SECTIONS:
        blocks += section(c)
        if section is judgement:
            blocks += charts
    words, grade = status(c)
    return Document(
        title=f"Commissioning note: {c.scenario.title}",
        subtitle="Compressed-air purge cleaning of submerged probes",
        status=words,
        grade=grade,
        foot=f"{c.scenario.title} | inputs {c.scenario.hash} | purgecalc {__version__}",
        date=c.scenario.paper.get("date", ""),
        author=c.scenario.paper.get("author", ""),
        blocks=tuple(blocks),
    )


def status(c: Commissioning) -> tuple[str, str]:
    """The line under the title, and how it is painted: the worst that stands against signing comes first."""
    found, outside = c.checked.verdict, len(outside_lines(c))
    asked = c.checked.site_questions
    draft = f"DRAFT: {asked.words}" if asked.facts else ""
    off = f"MEASURED OUTSIDE what passes: {outside} of {len(c.readings.values)} readings" if outside and c.readings else ""
    if found == "STOP":
        return "; ".join(filter(None, ("DO NOT COMMISSION: a finding at level STOP stands", off))), "stop"
    if found == "FIX" or off:
        words = "NOT READY: findings are to be fixed first" if found == "FIX" else ""
        return "; ".join(filter(None, (words, off, draft))), "fix"
    if draft:
        return draft, "draft"
    return ("PASS, with findings to watch", "care") if found == "WATCH" else ("PASS", "pass")
