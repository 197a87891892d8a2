"""One to three figures of a scenario varied over a grid, every design of the grid worked out and judged in one call."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from purgecalc.errors import Problem, ScenarioError, UsageError
from purgecalc.scenario import ScenarioInputs
from purgecalc.scenario.keys import Column, KeyProblem, column_of, name_and_unit
from purgecalc.studies.batch import IMPOSSIBLE, Batch, Columns, Progress
from purgecalc.studies.quantities import Asked
from purgecalc.wording import shortened

Array = NDArray[np.float64]
AFFORDABLE = {"direct": 2000, "receiver": 300}
"""Designs whose blasts are followed in time unless told otherwise: a second or so. A receiver takes six blasts a design."""
MOST_DESIGNS = 1_000_000
"""Designs of one sweep; more is a table for ``batch``."""
_NUMBERS = re.compile(r"[-+0-9.eE:,\s]*[0-9.]")
_USAGE = "write KEY=FROM:TO:COUNT[UNIT] or KEY=VALUE,VALUE,...[UNIT], e.g. line.hose.length=3:60:40[m]"


@dataclass(frozen=True)
class Axis:
    """One figure varied, its values as written, and the value the scenario itself has (None where it has none)."""

    column: Column
    values: Array
    present: float | None = None

    @property
    def name(self) -> str:
        """What is varied, in words, without remarks."""
        return self.column.key.title.split(" (")[0]

    def text(self, value: float) -> str:
        """A value with its unit, short enough for the side of a map."""
        return f"{value:.4g} {self.column.unit}".rstrip()


@dataclass(frozen=True)
class Sweep:
    """A grid of designs, worked out; arrays have one axis for each figure varied, in the order given."""

    title: str
    line: str
    axes: tuple[Axis, ...]
    asked: tuple[Asked, ...]
    values: dict[str, Array]
    """By id, in SI."""
    verdict: NDArray[Any]
    worst_rule: NDArray[Any]
    integrated: bool
    table: Columns
    """The same as columns, one design a row."""

    @property
    def how(self) -> str:
        """How delivery was come by."""
        return "every blast followed in time" if self.integrated else "delivery by the hand estimate, blasts not followed in time"


def axis(text: str) -> Axis:
    """Read ``line.hose.length=3:60:40[m]`` (both ends and how many) or ``line.hose.bore=4,6,8[mm]``.

    Values are put in rising order. Raises ``UsageError``.
    """
    call = f"--vary {shortened(text, 100)}"
    key, _, values = text.partition("=")
    numbers = _NUMBERS.match(values)
    unit = name_and_unit(values[numbers.end() :]) if numbers else None
    if not numbers or unit is None or (unit[0] and unit[1] is not None):
        raise UsageError(f"{call}: {_USAGE}")
    try:
        column = column_of(key.strip(), unit[1] or unit[0])
    except KeyProblem as problem:
        raise UsageError(f"{call}: {problem}") from None
    if column.key.is_word:
        raise UsageError(f"{call}: {column.key.text} is no figure; sweep once for each with --set {column.key.text}=...")
    try:
        return Axis(column, np.unique(_numbers(numbers[0])))
    except ValueError:
        raise UsageError(f"{call}: {_USAGE}") from None


def _numbers(text: str) -> Array:
    if ":" not in text:
        return np.array([_number(v) for v in text.split(",")])
    start, stop, count = text.split(":")
    if not 2 <= int(count) <= MOST_DESIGNS:
        raise ValueError("a range has two values or more")
    return np.linspace(_number(start), _number(stop), int(count))


def _number(text: str) -> float:
    number = float(text)
    if abs(number) > 1e300:
        raise ValueError("far too large")
    return number


def first_settings(axes: Sequence[Axis]) -> list[str]:
    """Settings of the first design, for a scenario that is whole only with them."""
    return [a.column.setting(a.values[0]) for a in axes]


def with_present(axes: Sequence[Axis], scenario: ScenarioInputs) -> list[Axis]:
    """The axes with the scenario's own values marked."""
    return [Axis(a.column, a.values, _present(a.column, scenario)) for a in axes]


def _present(column: Column, scenario: ScenarioInputs) -> float | None:
    given = scenario.lines[column.key.line or 0].get(column.key.id)
    if given is None or given.state != column.reads.state:
        return None
    return column.written(float(given.value))


def size(axes: Sequence[Axis]) -> int:
    """Number of designs of the grid."""
    return int(np.prod([a.values.size for a in axes]))


def sample(axes: Sequence[Axis], most: int) -> list[Axis]:
    """Every so many values of each axis: a grid of about ``most`` designs that spans the same ground."""
    each = max(1, round((size(axes) / most) ** (1 / len(axes))))
    return [replace(a, values=a.values[::each]) for a in axes]


def is_affordable(axes: Sequence[Axis], scenario: ScenarioInputs) -> bool:
    """Whether the blasts of the whole grid can be followed in time in about a second."""
    return size(axes) <= AFFORDABLE.get(scenario.lines[0].choice("source.kind"), 0)


def sweep(
    scenario: ScenarioInputs,
    axes: Sequence[Axis],
    of: Sequence[str] = (),
    integrate: bool = True,
    line: str = "",
    progress: Progress | None = None,
) -> Sweep:
    """Work out and judge the grid. Raises ``ScenarioError`` where a design of it is none that the scenario would take."""
    heads = [a.column.head for a in axes]
    if len(set(heads)) < len(heads):
        raise UsageError("the same figure is varied twice")
    if size(axes) > MOST_DESIGNS:
        raise UsageError(f"{size(axes)} designs are too many for a sweep (at most {MOST_DESIGNS}); write a table and use batch")
    batch = Batch(heads, scenario, of, integrate, line)
    shape = tuple(a.values.size for a in axes)
    grid = {h: g.ravel() for h, g in zip(heads, np.meshgrid(*(a.values for a in axes), indexing="ij"), strict=True)}
    found = batch.run(grid, progress)
    _refuse_bad(found)
    values = {a.id: (found[a.head] * a.writes.factor + a.writes.offset).reshape(shape) for a in batch.asked}
    verdict, worst = found["verdict"].reshape(shape), found["worst_rule"].reshape(shape)
    name = scenario.lines[batch.place].line
    return Sweep(scenario.title, name, tuple(axes), batch.asked, values, verdict, worst, integrate, {**grid, **found})


def _refuse_bad(found: Columns) -> None:
    bad = [text for text, verdict in zip(found["problem"], found["verdict"], strict=True) if text and verdict != IMPOSSIBLE]
    different = list(dict.fromkeys(bad))
    problems = [Problem("", text, "--vary") for text in different[:5]]
    if len(different) > 5:
        problems.append(Problem("", f"and {len(different) - 5} more", "--vary"))
    if problems:
        raise ScenarioError(problems)
