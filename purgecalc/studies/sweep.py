"""One to three figures of a scenario varied over a grid, and every design of the grid judged.

Each figure varies along an axis of its own, so that only what depends on several is worked out for every combination of
them: a grid of a million designs may be a thousand blasts. What a sweep costs is counted in blasts.
"""

from __future__ import annotations

import itertools
import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from purgecalc.errors import NoPhysicalAnswer, Problem, ScenarioError, UsageError
from purgecalc.scenario import ScenarioInputs
from purgecalc.scenario.keys import Column, KeyProblem, column_of, name_and_unit
from purgecalc.scenario.positions import number_of_line
from purgecalc.scenario.read import again
from purgecalc.studies.batch import CHUNK, FOLLOWED_CHUNK, Columns, Progress
from purgecalc.studies.many import WORDS, Many
from purgecalc.studies.quantities import Asked
from purgecalc.studies.resolved import FOLLOWED, RESOLVED, asked_for
from purgecalc.wording import shortened

Array = NDArray[np.float64]
MOST_DESIGNS, MOST_BLASTS = 4_000_000, 200_000
"""Designs one sweep can show, and blasts followed for them; more is a table for ``batch``."""
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
    delivery: NDArray[Any]
    problem: NDArray[Any]

    @property
    def how(self) -> str:
        """How delivery was come by."""
        if not np.isin(self.delivery, (FOLLOWED, RESOLVED)).any():
            return "delivery by the hand estimate, blasts not followed in time"
        return f"every blast followed in time, hose in {FOLLOWED}, near a limit in {RESOLVED}"

    @property
    def heads(self) -> list[str]:
        """Heads of the sweep as a table, one design a row."""
        return [*(a.column.head for a in self.axes), *(a.head for a in self.asked), *WORDS]

    def rows(self, start: int = 0, stop: int | None = None) -> Columns:
        """Rows of that table, the last figure varying fastest: all of them, or some."""
        part = slice(start, stop)
        places = np.unravel_index(np.arange(*part.indices(self.verdict.size)), self.verdict.shape)
        varied = [a.values[place] for a, place in zip(self.axes, places, strict=True)]
        answers = [a.written(self.values[a.id].ravel()[part]) for a in self.asked]
        words = [getattr(self, head).ravel()[part] for head in WORDS]
        return dict(zip(self.heads, [*varied, *answers, *words], strict=True))


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


def of_line(text: str, line: str, scenario: ScenarioInputs) -> str:
    """A figure of any line made one of the line called for: ``line.hose.length`` becomes ``line.2.hose.length``."""
    names = [inputs.line for inputs in scenario.lines]
    parts = text.split(".")
    if line not in names or parts[0] != "line" or number_of_line(parts[1]) is not None:
        return text
    return ".".join(["line", str(names.index(line) + 1), *parts[1:]])


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


def sweep(
    scenario: ScenarioInputs,
    axes: Sequence[Axis],
    of: Sequence[str] = (),
    integrate: bool = True,
    line: str = "",
    progress: Progress | None = None,
) -> Sweep:
    """Work out and judge the grid. Raises ``ScenarioError`` where a design of it is none that the scenario would take."""
    if len({a.column.head for a in axes}) < len(axes):
        raise UsageError("the same figure is varied twice")
    if size(axes) > MOST_DESIGNS:
        raise UsageError(f"{size(axes)} designs are too many for a sweep (at most {MOST_DESIGNS}); write a table and use batch")
    many = Many([a.column for a in axes], scenario, of, integrate, line)
    template = _template(many, axes)
    blasts, along = _followed(many, template, axes) if integrate else (0, [False] * len(axes))
    if blasts > MOST_BLASTS:
        raise UsageError(
            f"{blasts} blasts are too many for a sweep to follow (at most {MOST_BLASTS}); take fewer values, "
            "--blast estimate, or a table and batch"
        )
    found = many.none(tuple(a.values.size for a in axes))
    chunk = FOLLOWED_CHUNK[scenario.lines[0].choice("source.kind")] if integrate else CHUNK
    done = 0
    for block in _blocks(axes, along, chunk):
        part = [replace(a, values=a.values[p]) for a, p in zip(axes, block, strict=True)]
        for head, answers in many.answers(template, _grid(part)).items():
            found[head][block] = answers
        done += size(part)
        if progress is not None:
            progress(done, size(axes))
    values = {a.id: found[a.head] * a.writes.factor + a.writes.offset for a in many.asked}
    words = {head: found[head] for head in WORDS}
    return Sweep(scenario.title, scenario.lines[many.place].line, tuple(axes), many.asked, values, **words)


def _grid(axes: Sequence[Axis]) -> dict[str, Array]:
    """The values varied, each along an axis of its own."""
    values = np.meshgrid(*(a.values for a in axes), indexing="ij", sparse=True)
    return {a.column.head: v for a, v in zip(axes, values, strict=True)}


def _template(many: Many, axes: Sequence[Axis]) -> ScenarioInputs:
    """The scenario as it reads with the first design of the grid; refused where one design of it would be."""
    bad = [text for a in axes for _, text in a.column.faults(a.values)]
    bad = bad or [text for _, text in many.broken(many.base.lines, _grid(axes))]
    template = many.base if bad or many.as_base else again(many.base, first_settings(axes))
    bad = bad or [text for _, text in many.broken(template.lines, _grid(axes)) if template is not many.base]
    if not bad:
        return template
    different = list(dict.fromkeys(bad))
    problems = [Problem("", text, "--vary") for text in different[:5]]
    raise ScenarioError([*problems, *([Problem("", f"and {len(different) - 5} more", "--vary")] if len(different) > 5 else [])])


def _followed(many: Many, template: ScenarioInputs, axes: Sequence[Axis]) -> tuple[int, list[bool]]:
    """How many blasts the grid asks for, and which of its axes they depend on, seen on its corners."""
    try:
        asked = asked_for(many.lines(template, _grid([replace(a, values=a.values[[0, -1]]) for a in axes])))
    except NoPhysicalAnswer:  # nothing that varies bears on it
        asked = []
    own = [(cases, [n > 1 for n in shape] or [False] * len(axes)) for cases, shape in asked]
    count = sum(cases * math.prod(a.values.size for a, on in zip(axes, along, strict=True) if on) for cases, along in own)
    return count, [any(along[k] for _, along in own) for k in range(len(axes))]


def _blocks(axes: Sequence[Axis], along: Sequence[bool], chunk: int) -> Iterator[tuple[slice, ...]]:
    """Parts of the grid that are worked out in one call, those that ask for the same blasts one after another."""
    lengths, places = [a.values.size for a in axes], range(len(axes))
    blasts, others = [k for k in places if along[k]], [k for k in places if not along[k]]
    _cut(lengths, blasts, chunk)
    _cut(lengths, others, max(1, CHUNK // math.prod(lengths[k] for k in blasts)))
    order = [*blasts, *others]
    cuts = ([slice(i, i + lengths[k]) for i in range(0, axes[k].values.size, lengths[k])] for k in order)
    for parts in itertools.product(*cuts):
        yield tuple(parts[order.index(k)] for k in places)


def _cut(lengths: list[int], which: Sequence[int], most: int) -> None:
    """Halve the longest of some lengths until together they are few enough."""
    while math.prod(lengths[k] for k in which) > most:
        k = max(which, key=lambda k: lengths[k])
        lengths[k] = -(-lengths[k] // 2)
