"""Findings on the first screen: what is wrong with its two numbers, then what to do."""

from __future__ import annotations

from collections.abc import Iterator

from purgecalc.reports.fitting import Block, rows_of, tagged
from purgecalc.reports.screen_figures import in_words
from purgecalc.reports.summary import Summary
from purgecalc.rules import Finding, Level
from purgecalc.wording import sentence

NAMED = 8
"""Findings to stop or fix told one by one; more are named in one row."""


def findings_told(summary: Summary, width: int) -> Iterator[Block]:
    """What is to stop or fix first, each by name; what is to watch by name where there is room."""
    failing = [f for f in summary.findings if f.state == "fails"]
    hard = [f for f in failing if f.level >= Level.FIX]
    many = len(summary.lines) > 1
    shown = hard if len(hard) <= NAMED else hard[: NAMED - 1]
    for i, f in enumerate(shown):
        yield Block(tagged(f.level.name, said_of(f, summary.system, many=many), width, 2 if len(shown) <= 3 else 1))
        if act := _act(f):
            rows = rows_of(act, width, "      -> ", "         ", 2 if i == 0 else 1)
            if i == 0:
                yield Block(rows[:1])
                yield Block(rows[1:], 61)
            elif f.level == Level.STOP:
                yield Block(rows, 60)
    if len(hard) > len(shown):
        names = ", ".join(dict.fromkeys(f.rule.noun for f in hard[len(shown) :]))
        yield Block(rows_of(names, width, "Also  ", "      "))
    for level in (Level.WATCH, Level.NOTE):
        soft = [f for f in failing if f.level == level]
        if not hard and len(soft) <= 3:
            for i, f in enumerate(soft):
                yield Block(tagged(level.name, said_of(f, summary.system, many=many), width, 2), 40)
                if i == 0 and level == Level.WATCH and (act := _act(f)):
                    yield Block(rows_of(act, width, "      -> ", "         ", 2), 62)
        elif soft:
            names = ", ".join(dict.fromkeys(f.rule.noun for f in soft))
            yield Block(tagged(level.name, names, width), 10 if level == Level.WATCH else 50)


def _act(f: Finding) -> str:
    """What to do first."""
    return f.remedy.split(". ")[0].rstrip(".") + "." if f.remedy else ""


def said_of(f: Finding, system: str, *, many: bool) -> str:
    """What is wrong, with its two numbers."""
    where = f" [{f.line}]" if many and f.line else ""
    if f.margin is not None:
        value, limit = f.margin.texts(system)
        wanted = "needs" if limit.startswith("at least") else "allowed" if limit.startswith("at most") else "wanted"
        found = f"{value}, {limit if limit.startswith('should') else f'{wanted} {in_words(limit)}'}"
    elif f.fact is not None:
        found = f.fact.found
    else:
        found = f.outcome.words if f.outcome is not None else ""  # type: ignore[union-attr]
    return f"{sentence(f.rule.noun)}{where}: {found}{f' ({f.where})' if f.where else ''}"
