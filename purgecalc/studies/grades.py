"""Many designs judged at once: the same scenario with other numbers, as arrays that broadcast against each other."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from purgecalc.design import Design, design_all
from purgecalc.inputs import SHARED_TABLES, Inputs
from purgecalc.rules import Level, grades, rule_book
from purgecalc.scenario.relations import broken_among
from purgecalc.si import Num
from purgecalc.working import Given

Levels = NDArray[np.integer[Any]]


@dataclass(frozen=True)
class Graded:
    """Designs and the level of every finding, by rule and line; ``rules.STATES`` has what is no level."""

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

    def impossible(self) -> dict[str, NDArray[np.bool_]]:
        """Why designs cannot work at all, with where."""
        return {text: np.broadcast_to(where, self.shape) for text, where in impossible(self.designs).items()}

    def worst_rule(self) -> NDArray[Any]:
        """The rule behind the worst finding, first in the rule book; empty where nothing fails."""
        names = np.array([rule for rule, _ in self.levels], object)
        worst, which = self._leading
        return np.where(worst > 0, names[which], "")

    def verdict(self) -> NDArray[Any]:
        """PASS, WATCH, FIX or STOP; notes alone still pass."""
        names = np.array(["PASS", "PASS", *(level.name for level in Level if level > Level.NOTE)], object)
        return np.asarray(names[self.worst])

    def without(self, keys: Collection[tuple[str, str]]) -> Graded:
        """The same with some rules, each of a line, left out."""
        return replace(self, levels={key: level for key, level in self.levels.items() if key not in keys})

    def fails(self, at_least: Level = Level.WATCH, but: Sequence[str] = ()) -> dict[str, NDArray[np.bool_]]:
        """Where each rule fails at a level or above on any line, rules of ``but`` left out."""
        out: dict[str, NDArray[np.bool_]] = {}
        for (rule, _), level in self.levels.items():
            if rule not in but:
                failed = np.broadcast_to(level >= int(at_least), self.shape)
                out[rule] = out[rule] | failed if rule in out else failed
        return out


def impossible(designs: Sequence[Design]) -> dict[str, NDArray[np.bool_]]:
    """Why designs of one scenario cannot work at all, with where: what stops a single one with ``NoPhysicalAnswer``."""
    found: dict[str, NDArray[np.bool_]] = {}

    def add(text: str, where: NDArray[np.bool_]) -> None:
        found[text] = found[text] | where if text in found else where

    for d in (here for normal in designs for here in (normal, *normal.corners.values())):
        add(
            "no air leaves the head: depth and check valve need more pressure than the source has",
            ~np.isfinite(d.value("head.pressure")),
        )
        if d.has_receiver:
            add(
                "the receiver never reaches its cut-out: at this site the compressor delivers nothing there",
                np.asarray(d.value("source.flow_at_cut_out")) == 0,
            )
        if "loop.effective_saturation" in d:
            add(
                "no airflow holds the set point: oxygen saturation in the tank is below it",
                np.asarray(d.value("loop.effective_saturation")) <= d.value("probe.set_point"),
            )
    return found


def refused(lines: Iterable[Inputs]) -> Iterator[NDArray[np.bool_]]:
    """Where numbers do not go together, by condition: such a scenario would be refused."""
    return (broken for inputs in lines for _, broken in broken_among(inputs.values))


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
        """Work out and judge the lines with other numbers, in one call; what no rule judges, and silence, is left out."""
        return graded(varied(self.lines, changes, self.line), self.limits, self.waive, unsteady, aside=False, silence=False)


def graded(
    lines: Sequence[Inputs],
    limits: Mapping[str, Any] | None = None,
    waive: Mapping[str, str] | None = None,
    unsteady: bool = True,
    aside: bool = True,
    silence: bool = True,
) -> Graded:
    """Work out and judge arrays of designs in one call; ``silence`` as ``rules.grades`` has it."""
    shapes = [np.shape(given.value) for inputs in lines for given in inputs.values.values()]
    shapes += [np.shape(node.value) for inputs in lines for point in inputs.curve for node in point]
    with np.errstate(all="ignore"):  # designs that cannot blow are nan from end to end
        designs = design_all(lines, unsteady=unsteady, aside=aside)
        levels = grades(designs, limits, waive, silence=silence)
    return Graded(designs, levels, np.broadcast_shapes(*shapes), limits or {}, waive or {})


def titles() -> dict[str, str]:
    """Title of every rule by id."""
    return {rule.id: rule.title for rule in rule_book().values()}
