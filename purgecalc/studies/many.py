"""What is asked of many designs of one scenario, and the answers: for rows of a table and for grids alike.

Figures that vary are arrays that broadcast against each other, as columns of one length or each along an axis of its
own; every quantity and every rule then has the axes it depends on, and only the answers have all of them.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from purgecalc.errors import NoPhysicalAnswer, UsageError
from purgecalc.inputs import SHARED_TABLES, Inputs
from purgecalc.rules import rule_settings
from purgecalc.scenario import ScenarioInputs
from purgecalc.scenario.keys import Column
from purgecalc.scenario.relations import Relation, broken_among
from purgecalc.studies.grades import graded
from purgecalc.studies.quantities import asked
from purgecalc.studies.resolved import ESTIMATED, Blasts, Judged, judged
from purgecalc.working import Given, Origin

IMPOSSIBLE = "IMPOSSIBLE"
"""Verdict of a design that is well described and cannot work at all."""
WORDS = ("verdict", "worst_rule", "delivery", "problem")
"""Heads of the answers in words."""

Array = NDArray[np.float64]
Numbers = Mapping[str, Array]
"""Numbers as written, by head of their column."""
Answers = dict[str, NDArray[Any]]


class Many:
    """Columns that vary, the scenario that gives everything else, the quantities wanted of one line of it."""

    def __init__(
        self, columns: Sequence[Column], base: ScenarioInputs, of: Sequence[str] = (), integrate: bool = True, line: str = ""
    ) -> None:
        self.columns = {c.head: c for c in columns}
        self.base, self.integrate = base, integrate
        names = [inputs.line for inputs in base.lines]
        if line and line not in names:
            raise UsageError(f"no line is called {line!r}; lines: {', '.join(map(repr, names))}")
        self.place = names.index(line) if line else 0
        self.asked, self.aside = asked(of, base.lines, names[self.place])
        self.limits = rule_settings(base)
        self.words = [head for head, c in self.columns.items() if c.key.is_word]
        self._blasts = Blasts()

    @property
    def heads(self) -> list[str]:
        """Heads of the answers, in order."""
        return [*(a.head for a in self.asked), *WORDS]

    def none(self, shape: tuple[int, ...]) -> Answers:
        """Places for the answers to so many designs: no numbers, and no words."""
        numbers = {a.head: np.full(shape, np.nan) for a in self.asked}
        return numbers | {head: np.full(shape, "", object) for head in WORDS}

    def broken(self, lines: Sequence[Inputs], numbers: Numbers) -> Iterator[tuple[tuple[int, ...], str]]:
        """Place and account of every figure that does not go together with others, of those that vary at all."""
        for i, inputs in enumerate(lines):
            here = {c.key.id: (c, numbers[h]) for h, c in self._on(i)}
            given = {id: _given(c, written) for id, (c, written) in here.items()}
            for relation, where in broken_among({**inputs.values, **given}):
                if not any(id in here for id in relation.ids()):
                    continue
                name = _place(relation, i if len(lines) > 1 else None)
                for place in zip(*np.nonzero(where), strict=True):
                    texts = [
                        here[id][0].text(np.broadcast_to(here[id][1], where.shape)[place]) if id in here else inputs[id].text
                        for id in relation.ids()
                    ]
                    yield tuple(map(int, place)), f"{name}: {relation.text.format(*texts)}"

    @cached_property
    def as_base(self) -> bool:
        """Whether the base states every figure that varies, in the same way: then it reads as it does with any of them in it."""
        told = [(c, inputs.get(c.key.id)) for i, inputs in enumerate(self.base.lines) for _, c in self._on(i)]
        return all(given is not None and given.state == c.reads.state for c, given in told) and not self.words

    def lines(self, template: ScenarioInputs, numbers: Numbers) -> list[Inputs]:
        """The lines of a scenario with these numbers in them."""
        out = []
        for i, inputs in enumerate(template.lines):
            changes = {c.key.id: c.si(numbers[h]) for h, c in self._on(i)}
            if "source.starts_per_hour" in changes:
                changes["source.starts_allowed"] = changes["source.starts_per_hour"] / 3600
            out.append(inputs.changed(changes, "table"))
        return out

    def answers(self, template: ScenarioInputs, numbers: Numbers) -> Answers:
        """Work out and judge; the answers have all axes of the numbers."""
        shape = np.broadcast_shapes(*(np.shape(v) for v in numbers.values()))
        out = self.none(shape)
        try:
            found = self._judged(self.lines(template, numbers), template)
        except NoPhysicalAnswer as error:  # nothing that varies bears on it: it holds for all of them
            out["verdict"][...], out["problem"][...] = IMPOSSIBLE, str(error)
            return out
        fine = np.full(shape, True)
        for text, where in found.first.impossible().items():
            out["problem"][np.broadcast_to(where, shape)] = text
            fine &= ~where
        for a in self.asked:
            values = found.each(lambda graded, a=a: a.written(a.of(graded.designs[self.place])))  # type: ignore[misc]
            out[a.head][...] = np.where(fine, values, np.nan)
        # words are shared objects, so that a million rows hold a million pointers and not a million texts
        out["verdict"][...] = np.where(fine, found.each(lambda graded: graded.verdict()), IMPOSSIBLE)
        out["worst_rule"][...] = np.where(fine, found.each(lambda graded: graded.worst_rule()), "")
        out["delivery"][...] = found.delivery if self.integrate else ESTIMATED
        return out

    def _judged(self, lines: Sequence[Inputs], template: ScenarioInputs) -> Judged:
        if self.integrate:
            return judged(lines, self.limits, template.waive, self._blasts, aside=self.aside)
        return Judged(graded(lines, self.limits, template.waive, False, self.aside))

    def _on(self, line: int) -> Iterator[tuple[str, Column]]:
        """Columns of numbers that bear on a line, counted from 0."""
        return ((h, c) for h, c in self.columns.items() if not c.key.is_word and c.key.line in (None, line))


def _given(column: Column, written: Array) -> Given:
    where = Origin("override", "table")
    return Given(column.key.id, column.key.title, column.key.kind, column.si(written), where, "", column.reads.state)


def _place(relation: Relation, line: int | None) -> str:
    prefix = "" if relation.table in SHARED_TABLES else "line." if line is None else f"line.{line + 1}."
    return f"{prefix}{relation.table}" + (f".{relation.about}" if relation.about else "")
