"""Tables of designs: columns of inputs in, columns of answers out, at array speed and in bounded memory.

``run`` takes and gives column arrays, so it is used on a whole table, on a part of one that does not fit into memory, or
by a scheduler that hands parts to several machines. A row that cannot be worked out gets a ``problem``; the others are
worked out all the same.

A key the base leaves out, or states otherwise, is read by validating the base with the values of one good row; arrays
are then put in their place. Words (and the humidity class, which picks a row of a table) group rows.

Tables are worked out in chunks that fit the cache; what no rule judges (``aside``) is left out unless asked for. An
answer does not depend on how many neighbours it has.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from types import MappingProxyType
from typing import Any

import numpy as np
from numpy.typing import NDArray

from purgecalc.errors import ScenarioError, UsageError
from purgecalc.inputs import Inputs
from purgecalc.scenario import ScenarioInputs
from purgecalc.scenario.keys import Column, KeyProblem, column
from purgecalc.scenario.read import again
from purgecalc.studies.many import Many

CHUNK = 32768
"""Designs worked out in one call, whose arrays stay in the cache."""
FOLLOWED_CHUNK = {"direct": 8192, "receiver": 2048}
"""The same where blasts are followed, by source: a receiver takes six or seven blasts a design."""
TRIES = 20
"""Rows tried as the one the scenario is validated with, before the table as a whole is thought not to fit it."""

Columns = Mapping[str, NDArray[Any]]
Rows = NDArray[np.intp]
Progress = Callable[[int, int], None]


def run(
    columns: Columns, base: ScenarioInputs, of: Sequence[str] = (), *, integrate: bool = True, line: str = ""
) -> dict[str, NDArray[Any]]:
    """Work out and judge every row of a table of designs.

    ``columns`` maps heads such as ``line.hose.bore [mm]`` to arrays of numbers in that unit (or of words); all other values
    are those of ``base``. ``of`` names the quantities wanted of ``line`` (the first unless named), with a unit if SI will not do.
    The result maps a head for each quantity to an array, and ``verdict``, ``worst_rule``, ``delivery`` and ``problem`` to
    arrays of words.
    Every blast is followed in time unless ``integrate`` is False: then delivery is the hand estimate, and rows take a
    hundredth of the time.
    """
    known = {head: _column(head) for head in columns}
    return Batch(list(known.values()), base, of, integrate, line).run({c.head: columns[head] for head, c in known.items()})


class Batch(Many):
    """What the parts of one table have in common: columns, base, quantities wanted, limits."""

    def __init__(
        self, columns: Sequence[Column], base: ScenarioInputs, of: Sequence[str] = (), integrate: bool = True, line: str = ""
    ) -> None:
        super().__init__(columns, base, of, integrate, line)
        self._templates: dict[tuple[str, ...], ScenarioInputs] = {}

    def run(
        self, columns: Columns, progress: Progress | None = None, faults: Mapping[int, str] = MappingProxyType({})
    ) -> dict[str, NDArray[Any]]:
        """Answers to one part of the table; ``progress`` is told how many rows of how many are done.

        ``faults`` says of some rows, by index, what was wrong with their text before it became numbers.
        """
        size = len(next(iter(columns.values()))) if columns else 0
        out = self.none((size,))
        for i, fault in faults.items():
            out["problem"][i] = fault
        step = FOLLOWED_CHUNK[self.base.lines[0].choice("source.kind")] if self.integrate else CHUNK
        for start in range(0, size, step):
            piece = slice(start, min(start + step, size))
            given = {h: np.asarray(columns[h][piece], object if c.key.is_word else float) for h, c in self.columns.items()}
            self._part(given, {head: v[piece] for head, v in out.items()})
            if progress is not None:
                progress(piece.stop, size)
        return out

    def _part(self, given: Columns, out: Columns) -> None:
        """Work out some rows and put the answers into ``out``, which are views of the whole."""
        numbers = {h: v for h, v in given.items() if not self.columns[h].key.is_word}
        known = out["problem"] != ""
        for head, written in numbers.items():
            for i, fault in self.columns[head].faults(written):
                if not known[i] or np.isfinite(written[i]):
                    _add(out["problem"], i, fault)
        for head, c in self.columns.items():
            if c.key.is_word:
                _refuse_words(c, given[head], out["problem"])
        for words, rows in self._groups(given, np.flatnonzero(out["problem"] == "")):
            template, rows = self._template(words, rows, numbers, out["problem"])
            if template is not None and rows.size:
                for head, found in self.answers(template, {h: v[rows] for h, v in numbers.items()}).items():
                    out[head][rows] = found

    def _groups(self, columns: Columns, rows: Rows) -> Iterator[tuple[dict[str, str], Rows]]:
        """Rows with the same words, which are worked out together."""
        words = {h: columns[h] for h in self.words}
        if not words:
            yield {}, rows
            return
        groups: dict[tuple[str, ...], list[int]] = {}
        for i in rows:
            groups.setdefault(tuple(_word(v[i]) for v in words.values()), []).append(int(i))
        for values, members in groups.items():
            yield dict(zip(words, values, strict=True)), np.asarray(members, np.intp)

    def _template(
        self, words: dict[str, str], rows: Rows, numbers: Columns, problem: NDArray[Any]
    ) -> tuple[ScenarioInputs | None, Rows]:
        """The base as it reads with these words and the numbers of a good row, and the rows that hold together on it."""
        if self.as_base:
            return self.base, self._hold(self.base.lines, rows, numbers, problem)
        key = tuple(words.values())
        if key not in self._templates:
            rows = self._hold(self.base.lines, rows, numbers, problem)
            for tried, i in enumerate(rows, 1):
                given = words | {head: v[i] for head, v in numbers.items()}
                try:
                    self._templates[key] = again(self.base, [self.columns[head].setting(v) for head, v in given.items()])
                    break
                except ScenarioError as error:
                    everyone = rows if tried == TRIES or tried == rows.size else [i]
                    for j in everyone:
                        problem[j] = problem[j] or "; ".join(f"{p.key}: {p.message}" for p in error.problems)
                    if tried == TRIES:
                        break
            rows = rows[problem[rows] == ""]
        template = self._templates.get(key)
        return template, rows if template is None else self._hold(template.lines, rows, numbers, problem)

    def _hold(self, lines: Sequence[Inputs], rows: Rows, numbers: Columns, problem: NDArray[Any]) -> Rows:
        """Report rows whose figures do not go together; the others."""
        for (j,), text in self.broken(lines, {head: v[rows] for head, v in numbers.items()}):
            _add(problem, rows[j], text)
        return np.asarray(rows[problem[rows] == ""])


def _refuse_words(column: Column, written: NDArray[Any], problem: NDArray[Any]) -> None:
    """Report words that may not stand in a column, each looked at once."""
    faults: dict[str, str] = {}
    for i in np.flatnonzero(problem == "").tolist():
        word = _word(written[i])
        if word not in faults:
            faults[word] = column.fault_of_word(word)
        if faults[word]:
            _add(problem, i, f"{column.key.text}: {faults[word]}")


def _column(head: str) -> Column:
    try:
        return column(head)
    except KeyProblem as problem:
        raise UsageError(str(problem)) from None


def _word(value: Any) -> str:
    """A word as it was written; whole numbers that stand for a row of a table come as floats from other libraries."""
    return f"{value:g}" if isinstance(value, float) else str(value).strip()


def _add(problem: NDArray[Any], i: int, text: str) -> None:
    problem[i] = f"{problem[i]}; {text}" if problem[i] else text
