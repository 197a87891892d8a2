"""Findings on the first screen: what is wrong with its two numbers, then what to do."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from purgecalc.reports.fitting import Block, rows_of, tagged
from purgecalc.reports.page import cut
from purgecalc.reports.screen_figures import in_words
from purgecalc.reports.summary import Summary
from purgecalc.rules import Finding, Level
from purgecalc.wording import sentence

Found = tuple[Finding, ...]
"""Findings of one rule on one line or on several."""
NAMED = 8
"""Findings to stop or fix told one by one; more are named in one row."""


def findings_told(summary: Summary, width: int) -> Iterator[Block]:
    """What is to stop or fix first, each by name; what is to watch by name where there is room."""
    failing = _by_rule(f for f in summary.findings if f.state == "fails")
    hard = [found for found in failing if found[0].level >= Level.FIX]
    shown = hard if len(hard) <= NAMED else hard[: NAMED - 1]
    for i, found in enumerate(shown):
        level, said = found[0].level, said_of(found, summary)
        yield Block(tagged(level.name, said, width, 2 if len(shown) <= 3 else 1))
        if act := _act(found[0]):
            rows = rows_of(act, width, "      -> ", "         ", 2 if i == 0 else 1)
            if i == 0:
                yield Block(rows)
            elif level == Level.STOP:
                yield Block(rows, 9)
    if len(hard) > len(shown):
        names = ", ".join(found[0].rule.noun for found in hard[len(shown) :])
        yield Block(rows_of(names, width, "Also  ", "      "))
    for level in (Level.WATCH, Level.NOTE):
        yield from _soft([found for found in failing if found[0].level == level], summary, width, alone=not hard)


def _soft(soft: Sequence[Found], summary: Summary, width: int, *, alone: bool) -> Iterator[Block]:
    """What is to watch or to note: told where nothing is worse and there is room, else by name."""
    if not soft:
        return
    level = soft[0][0].level
    if not alone or len(soft) > 3:
        names = ", ".join(found[0].rule.noun for found in soft)
        yield Block(tagged(level.name, names, width), 10 if level == Level.WATCH else 50)
        return
    for i, found in enumerate(soft):
        yield Block(tagged(level.name, said_of(found, summary), width, 2), 40)
        if i == 0 and level == Level.WATCH and (act := _act(found[0])):
            yield Block(rows_of(act, width, "      -> ", "         ", 2), 62)


def _by_rule(failing: Iterable[Finding]) -> list[Found]:
    """Findings of one rule and level together, the worst line of each first."""
    groups: dict[tuple[str, Level], list[Finding]] = {}
    for f in failing:
        groups.setdefault((f.rule.id, f.level), []).append(f)
    return [tuple(group) for group in groups.values()]


def _act(f: Finding) -> str:
    """What to do first."""
    return f.remedy.split(". ")[0].rstrip(".") + "." if f.remedy else ""


def said_of(found_of: Found, summary: Summary) -> str:
    """What is wrong, with its two numbers; of several lines those of the first."""
    f, *others = found_of
    more = f" +{len(others)}" if others else ""
    where = f" [{cut(f.line, 24)}{more}]" if len(summary.lines) > 1 and f.line else ""
    if f.margin is not None:
        value, limit = f.margin.texts(summary.system)
        wanted = "needs" if limit.startswith("at least") else "allowed" if limit.startswith("at most") else "wanted"
        found = f"{value}, {limit if limit.startswith('should') else f'{wanted} {in_words(limit)}'}"
    elif f.fact is not None:
        found = f.fact.found
    else:
        found = f.outcome.words if f.outcome is not None else ""  # type: ignore[union-attr]
    depth = f" (at {f.where.split(', ')[-1]})" if f.where else ""
    return f"{sentence(f.rule.noun)}{where}: {found}{depth}"
