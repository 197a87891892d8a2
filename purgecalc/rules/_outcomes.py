"""What comes of judging a design by a rule: figures against a limit, a yes or no, or what nobody has stated.

Outcomes work on arrays of designs as on one.
"""

from __future__ import annotations

import enum
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from purgecalc.design import Design
from purgecalc.shown import compared
from purgecalc.si import Num
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
    the circumstances decide it. ``applies`` is False for designs the rule has nothing to say of; ``missing`` names the
    inputs that would let it judge those.
    """

    quantity: Node
    at_least: Num | Node | None = None
    at_most: Num | Node | None = None
    worse: tuple[Num, Level] | None = None
    base: Level | NDArray[np.int_] | None = None
    applies: bool | NDArray[np.bool_] = True
    missing: tuple[str, ...] = ()

    def slack(self) -> NDArray[np.float64]:
        """Distance to the limit, in the quantity's unit; negative fails."""
        v = np.asarray(self.quantity.value, float)
        parts = []
        if self.at_least is not None:
            parts.append(v - number_of(self.at_least))
        if self.at_most is not None:
            parts.append(number_of(self.at_most) - v)
        return np.asarray(np.minimum(*parts) if len(parts) > 1 else parts[0])

    def fails(self) -> NDArray[np.bool_]:
        """True where broken; a figure that could not be computed counts as broken."""
        limits = [number_of(b) for b in (self.at_least, self.at_most) if b is not None]
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
        limits = [float(number_of(b)) for b in (self.at_least, self.at_most) if b is not None]
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
    level: Level | NDArray[np.int_] | None = None

    def fails(self) -> NDArray[np.bool_]:
        """True where it does not hold."""
        return ~np.asarray(self.holds, bool)


@dataclass(frozen=True)
class Missing:
    """Inputs without which the rule cannot judge, because nobody has stated them.

    ``hazard`` is true where what the rule guards against is in sight: there silence is a finding, at ``level``, and
    ``found`` says what is in sight.
    """

    keys: tuple[str, ...]
    hazard: bool | NDArray[np.bool_] = False
    found: str = ""
    level: Level = Level.WATCH

    @property
    def words(self) -> str:
        """What is in sight, if anything, and what nobody has stated."""
        return f"{self.found + '; ' if self.found else ''}nobody has stated {' and '.join(self.keys)}"


Outcome = Margin | Fact | Missing

PASSES, ABSENT, NOT_JUDGED, VOID = 0, -1, -2, -3
"""Grades beside the levels: the rule passes, does not apply, cannot judge, or judges a figure without a meaning."""


def grade(outcome: Outcome | None, base: Level) -> NDArray[np.int_]:
    """Level of the finding where the rule fails, ``PASSES``, ``ABSENT`` or ``NOT_JUDGED`` elsewhere; element by element."""
    if outcome is None:
        return np.asarray(ABSENT)
    if isinstance(outcome, Missing):
        return np.where(outcome.hazard, int(outcome.level), NOT_JUDGED)
    if isinstance(outcome, Fact):
        return np.where(outcome.fails(), base if outcome.level is None else np.asarray(outcome.level, int), PASSES)
    silent = NOT_JUDGED if outcome.missing else ABSENT
    return np.where(outcome.applies, np.where(outcome.fails(), outcome.level(base), PASSES), silent)


def number_of(bound: Num | Node) -> Any:
    """The figure of a limit, whether it is a quantity or a plain number."""
    return bound.value if isinstance(bound, Node) else bound


def _node(bound: Num | Node | None, like: Node) -> Node | None:
    """A limit as a quantity of the kind of what it limits; the text its author wrote stays where the kinds agree."""
    if bound is None:
        return None
    if isinstance(bound, Given | Step) and bound.kind == like.kind:
        return bound
    return Step("limit", "limit", like.kind, float(number_of(bound)), None, {})


def unsaid(d: Design, *keys: str) -> tuple[str, ...]:
    """Those of the inputs that nobody has stated."""
    return tuple(key for key in keys if key not in d.inputs and key not in d.inputs.choices)
