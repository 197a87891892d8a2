"""Many designs judged at once: the same scenario with other numbers, as arrays that broadcast against each other."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from purgecalc.design import Design, design_all
from purgecalc.inputs import SHARED_TABLES, Inputs
from purgecalc.rules import Level, grades, rule_book
from purgecalc.working import Given, Num

Levels = NDArray[np.integer[Any]]


@dataclass(frozen=True)
class Graded:
    """Designs and the level of every finding, by rule and line: 0 passes, -1 does not apply."""

    designs: Sequence[Design]
    levels: Mapping[tuple[str, str], Levels]
    shape: tuple[int, ...]
    limits: Mapping[str, Any]
    waive: Mapping[str, str]

    @cached_property
    def _leading(self) -> tuple[Levels, Levels]:
        """Highest level of each design, 0 where nothing fails, and the first rule in the book that reaches it."""
        worst, which = np.zeros(self.shape, np.int8), np.zeros(self.shape, np.int16)
        for i, level in enumerate(self.levels.values()):
            if np.ndim(level) or level > 0:  # most rules say the same of every design: it passes
                higher = level > worst
                worst, which = np.where(higher, level, worst), np.where(higher, i, which)
        return worst, which

    @property
    def worst(self) -> Levels:
        """Highest level of each design, 0 where nothing fails."""
        return self._leading[0]

    @property
    def flows(self) -> NDArray[np.bool_]:
        """False for designs whose source cannot lift the water off the head."""
        found = [np.isfinite(d.value("head.pressure")) for d in self.designs]
        return np.broadcast_to(np.logical_and.reduce(np.broadcast_arrays(*found)), self.shape)

    def impossible(self) -> dict[str, NDArray[np.bool_]]:
        """Why designs cannot work at all, with where: what stops a single design with ``NoPhysicalAnswer``."""
        found = {"no air leaves the head: depth and check valve need more pressure than the source has": ~self.flows}
        for d in self.designs:
            if "loop.effective_saturation" in d:
                short = d.value("loop.effective_saturation") <= d.value("probe.set_point")
                text = "no airflow holds the set point: oxygen saturation in the tank is below it"
                found[text] = found.get(text, np.zeros(self.shape, bool)) | np.asarray(short)
        return found

    def worst_rule(self) -> NDArray[Any]:
        """The rule behind the worst finding, first in the rule book; empty where nothing fails."""
        names = np.array([rule for rule, _ in self.levels], object)
        worst, which = self._leading
        return np.where(worst > 0, names[which], "")

    def verdict(self) -> NDArray[Any]:
        """PASS, WATCH, FIX or STOP; notes alone still pass."""
        names = np.array(["PASS", "PASS", *(level.name for level in Level if level > Level.NOTE)], object)
        return np.asarray(names[self.worst])

    def fails(self, at_least: Level = Level.WATCH, but: Sequence[str] = ()) -> dict[str, NDArray[np.bool_]]:
        """Where each rule fails at a level or above on any line, rules of ``but`` left out."""
        out: dict[str, NDArray[np.bool_]] = {}
        for (rule, _), level in self.levels.items():
            if rule not in but:
                failed = np.broadcast_to(level >= int(at_least), self.shape)
                out[rule] = out[rule] | failed if rule in out else failed
        return out


Change = Num | Given
"""A new number (SI, arrays allowed), or a whole input where the scenario has none of that name."""


def varied(lines: Sequence[Inputs], changes: Mapping[str, Change], line: str = "") -> list[Inputs]:
    """The lines with other numbers: those of the shared tables on every line, others on ``line`` or on all."""
    out = []
    for inputs in lines:
        ours = not line or inputs.line == line
        here = {id: value for id, value in changes.items() if ours or id.split(".")[0] in SHARED_TABLES}
        new = inputs.changed({id: v for id, v in here.items() if not isinstance(v, Given)})
        for given in here.values():
            new = new.with_given(given) if isinstance(given, Given) else new
        out.append(new)
    return out


@dataclass(frozen=True)
class Subject:
    """A scenario's lines with its limits and waivers, and the line whose numbers are to be varied."""

    lines: Sequence[Inputs]
    limits: Mapping[str, Any]
    waive: Mapping[str, str]
    line: str

    @property
    def inputs(self) -> Inputs:
        """The line in question."""
        return next(inputs for inputs in self.lines if inputs.line == self.line)

    def grade(self, changes: Mapping[str, Change], unsteady: bool = True) -> Graded:
        """Work out and judge the lines with other numbers, all arrays in one call; what no rule judges is left out."""
        return graded(varied(self.lines, changes, self.line), self.limits, self.waive, unsteady, aside=False)


def graded(
    lines: Sequence[Inputs],
    limits: Mapping[str, Any] | None = None,
    waive: Mapping[str, str] | None = None,
    unsteady: bool = True,
    aside: bool = True,
) -> Graded:
    """Work out and judge arrays of designs in one call."""
    shapes = [np.shape(given.value) for inputs in lines for given in inputs.values.values()]
    shapes += [np.shape(node.value) for inputs in lines for point in inputs.curve for node in point]
    designs = design_all(lines, unsteady, aside)
    return Graded(designs, grades(designs, limits, waive), np.broadcast_shapes(*shapes), limits or {}, waive or {})


def titles() -> dict[str, str]:
    """Title of every rule by id."""
    return {rule.id: rule.title for rule in rule_book().values()}
