"""How a rule is written.

A rule is one function with a record. Its docstring is the reason in one sentence, then, after a blank line, what to
change; ``{hose.longest}`` in it is replaced by that quantity. It returns a ``Margin`` (or a ``Fact``, where the
answer is yes or no), ``Missing`` where nobody has stated what it needs, or None where it does not apply.
"""

from __future__ import annotations

import inspect
import re
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from typing import Any

from purgecalc.design import Design
from purgecalc.references import Citation
from purgecalc.registry import Registry
from purgecalc.renamed import now_called
from purgecalc.rules._limits import parse_limit
from purgecalc.rules._outcomes import Level, Outcome
from purgecalc.shown import text_of
from purgecalc.units import UnitProblem
from purgecalc.wording import nearest

Judge = Callable[[Design, Any], Outcome | None]


@dataclass(frozen=True, repr=False)
class Rule:
    """A rule's record. ``limit`` is its default as text, ``kind`` what sort of quantity the limit is,
    ``noun`` what an installer calls its subject."""

    id: str
    title: str
    noun: str
    level: Level
    cite: Citation
    limit: str
    kind: str
    scope: str
    group: str
    function: Judge
    also: tuple[Level, ...] = ()
    """Levels besides its own that circumstances may give it."""

    @property
    def levels(self) -> str:
        """The range of levels it can take: "WATCH", or "NOTE to STOP"."""
        low, high = min((self.level, *self.also)), max((self.level, *self.also))
        return low.name if low == high else f"{low.name} to {high.name}"

    def __repr__(self) -> str:
        return f"<Rule {self.id}: {self.title}>"

    @property
    def reason(self) -> str:
        return _paragraphs(self.function)[0]

    @property
    def remedy(self) -> str:
        parts = _paragraphs(self.function)
        return parts[1] if len(parts) > 1 else ""

    def default_limit(self) -> Any:
        """Default limit in SI; a pair for a range; None where the scenario itself states the limit."""
        return _default_limit(self.limit, self.kind) if self.limit else None


@cache
def _default_limit(text: str, kind: str) -> Any:
    """Parsed once, not for every array of designs."""
    return parse_limit(text, kind)


RULES: Registry[Rule] = Registry("rule")


def rule(
    id: str,
    title: str,
    *,
    noun: str,
    level: Level,
    cite: Citation,
    limit: str = "",
    kind: str = "ratio",
    scope: str = "line",
    also: tuple[Level, ...] = (),
) -> Callable[[Judge], Judge]:
    """Declare a rule. ``scope="source"`` is judged once for the whole source, not once a line; ``also`` are other levels."""

    def attach(function: Judge) -> Judge:
        group = function.__module__.rsplit(".", 1)[-1]
        RULES.add(id, Rule(id, title, noun, level, cite, limit, kind, scope, group, function, also))
        return function

    return attach


def _paragraphs(function: Judge) -> list[str]:
    return [" ".join(p.split()) for p in inspect.cleandoc(function.__doc__ or "").split("\n\n")]


def parse_override(id: str, value: object) -> Any:
    """A limit set for one rule, in SI; raises ``UnitProblem`` saying what would work."""
    known = RULES.get(id)
    if known is None:
        raise UnitProblem(unknown_rule(id))
    if not known.limit:
        raise UnitProblem("this rule compares two figures of the scenario and has no limit of its own to set")
    parsed = parse_limit(value, known.kind)
    if isinstance(parsed, tuple) != isinstance(known.default_limit(), tuple):
        raise UnitProblem(f'write the limit like its default, "{known.limit}"')
    return parsed


def unknown_rule(id: str) -> str:
    """Message for a rule nobody has written."""
    if now := now_called("rules", id):
        return f"{id!r} {now}"
    near = nearest(id, RULES)
    return f"no rule is called {id!r}" + (f"; did you mean {near[0]}?" if near else "; see: purgecalc rules")


def fill(text: str, design: Design, system: str = "si") -> str:
    """Put quantities into ``{their.id}`` places of a reason or remedy."""

    def put(match: re.Match[str]) -> str:
        node = design.get(match[1])
        if node is None:
            return "(not computed)"
        return text_of(node, system)

    return re.sub(r"\{([a-z0-9_.]+)\}", put, text)
