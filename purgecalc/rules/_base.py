"""How a rule is written, and what comes of judging a design by it.

A rule is one function with a record. Its docstring is the reason in one sentence, then, after a blank line, what to
change; ``{hose.longest}`` in it is replaced by that quantity. It returns a ``Margin`` (or a ``Fact``, where the
answer is yes or no), or None where it does not apply. Margins work on arrays of designs as on one.
"""

from __future__ import annotations

import enum
import inspect
import re
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from purgecalc.design import Design
from purgecalc.references import Citation
from purgecalc.registry import Registry
from purgecalc.renamed import now_called
from purgecalc.rules._limits import parse_limit
from purgecalc.shown import compared, text_of
from purgecalc.si import Num
from purgecalc.units import UnitProblem
from purgecalc.wording import nearest
from purgecalc.working import Given, Node, Step


class Level(enum.IntEnum):
    """How much a failing rule matters."""

    NOTE = 1
    WATCH = 2
    FIX = 3
    STOP = 4


@dataclass(frozen=True)
class Margin:
    """A quantity against its limit.

    Give ``at_least`` or ``at_most``, or both for a range (SI, or a node to compare with). ``worse`` is a second limit
    and the level that breaking it raises the finding to. ``base`` stands in place of the rule's own level where
    the circumstances decide it. ``applies`` is False for designs the rule has nothing to say of.
    """

    quantity: Node
    at_least: Num | Node | None = None
    at_most: Num | Node | None = None
    worse: tuple[Num, Level] | None = None
    base: Level | NDArray[np.int_] | None = None
    applies: bool | NDArray[np.bool_] = True

    def slack(self) -> NDArray[np.float64]:
        """Distance to the limit, in the quantity's unit; negative fails."""
        v = np.asarray(self.quantity.value, float)
        parts = []
        if self.at_least is not None:
            parts.append(v - _number(self.at_least))
        if self.at_most is not None:
            parts.append(_number(self.at_most) - v)
        return np.asarray(np.minimum(*parts) if len(parts) > 1 else parts[0])

    def fails(self) -> NDArray[np.bool_]:
        """True where broken; a figure that could not be computed counts as broken."""
        limits = [_number(b) for b in (self.at_least, self.at_most) if b is not None]
        scale = np.maximum(np.abs(np.asarray(self.quantity.value, float)), np.abs(limits[0]))
        return np.asarray(~(self.slack() >= -1e-9 * scale))

    def level(self, base: Level) -> NDArray[np.int_]:
        """Level of the finding where it fails."""
        out = np.asarray(base if self.base is None else self.base, int)
        if self.worse is not None:
            bound, level = self.worse
            v = np.asarray(self.quantity.value, float)
            held = v >= bound if self.at_least is not None else v <= bound
            out = np.where(held, out, int(level))
        return out

    def nearest_limit(self) -> float:
        """The limit that decides, for a single design."""
        limits = [float(_number(b)) for b in (self.at_least, self.at_most) if b is not None]
        v = float(self.quantity.value)
        return min(limits, key=lambda b: abs(v - b)) if len(limits) > 1 and not self.fails() else self._broken(limits, v)

    def _broken(self, limits: list[float], v: float) -> float:
        if len(limits) == 1:
            return limits[0]
        return limits[0] if v < limits[0] else limits[1]

    def limit_text(self, system: str = "si") -> str:
        """ "at most 10 %", "at least 0.7", or "15 min to 2 h"."""
        return self.texts(system)[1]

    def texts(self, system: str = "si") -> tuple[str, str]:
        """The figure and its limit, with as many figures as tell them apart."""
        least_node, most_node = (_node(bound, self.quantity) for bound in (self.at_least, self.at_most))
        value, least, most = compared(self.quantity, least_node, most_node, system)
        if least and most:
            return value, f"{least} to {most}"
        if self.quantity.kind == "flag":
            return value, f"should be {least or most}"
        return value, f"at least {least}" if least else f"at most {most}"


@dataclass(frozen=True)
class Fact:
    """A yes-or-no finding: what was found, what is wanted, and whether it holds. ``level`` raises or lowers the rule's own.

    For an array of designs ``holds`` is an array, and ``found`` speaks of none of them in particular.
    """

    found: str
    wanted: str
    holds: bool | NDArray[np.bool_]
    level: Level | None = None

    def fails(self) -> NDArray[np.bool_]:
        """True where it does not hold."""
        return ~np.asarray(self.holds, bool)


Outcome = Margin | Fact

PASSES, ABSENT = 0, -1
"""Grades beside the levels: the rule passes, or does not apply."""


def grade(outcome: Outcome | None, base: Level) -> NDArray[np.int_]:
    """Level of the finding where the rule fails, ``PASSES`` or ``ABSENT`` elsewhere; element by element."""
    if outcome is None:
        return np.asarray(ABSENT)
    if isinstance(outcome, Fact):
        return np.where(outcome.fails(), int(outcome.level or base), PASSES)
    return np.where(outcome.applies, np.where(outcome.fails(), outcome.level(base), PASSES), ABSENT)


def _number(bound: Num | Node) -> Any:
    return bound.value if isinstance(bound, Node) else bound


def _node(bound: Num | Node | None, like: Node) -> Node | None:
    """A limit as a quantity of the kind of what it limits; the text its author wrote stays where the kinds agree."""
    if bound is None:
        return None
    if isinstance(bound, Given | Step) and bound.kind == like.kind:
        return bound
    return Step("limit", "limit", like.kind, float(_number(bound)), None, {})


Judge = Callable[[Design, Any], Outcome | None]


@dataclass(frozen=True)
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
    id: str, title: str, *, noun: str, level: Level, cite: Citation, limit: str = "", kind: str = "ratio", scope: str = "line"
) -> Callable[[Judge], Judge]:
    """Declare a rule. ``scope="source"`` is judged once for the whole source, not once a line."""

    def attach(function: Judge) -> Judge:
        group = function.__module__.rsplit(".", 1)[-1]
        RULES.add(id, Rule(id, title, noun, level, cite, limit, kind, scope, group, function))
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
