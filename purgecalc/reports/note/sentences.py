"""What several sections of the note ask: sentences line by line, and whether a rule stands against what is to be ticked."""

from __future__ import annotations

from collections.abc import Callable

from purgecalc.design import Design
from purgecalc.studies.commissioning import Commissioning


def each_line(c: Commissioning, make: Callable[[Design], str]) -> list[str]:
    """One sentence a line, told apart by name where they differ; once where all lines have the same."""
    texts = [make(d) for d in c.designs]
    if len(set(texts)) == 1:
        return texts[:1]
    return [f"{d.inputs.line}: {text}" for d, text in zip(c.designs, texts, strict=True) if text]


def judged_at(c: Commissioning, d: Design, rule: str) -> Design:
    """The line at the depth that decides by this rule."""
    found = (f.design for f in c.findings if f.rule.id == rule and f.line in ("", d.inputs.line))
    return next(found, None) or d


def broken(c: Commissioning, d: Design, *rules: str) -> list[str]:
    """Those of the rules that this line does not keep, accepted with a reason or not: what they forbid cannot be ticked."""
    return [
        f.rule.id for f in c.findings if f.rule.id in rules and f.state in ("fails", "waived") and f.line in ("", d.inputs.line)
    ]
