"""Tables of designs: columns of inputs in, columns of answers out, at array speed and in bounded memory.

``run`` takes and gives column arrays, so it is used on a whole table, on a part of one that does not fit into memory, or
by a scheduler that hands parts to several machines. A row that cannot be worked out gets a ``problem``; the others are
worked out all the same.

A sweep is a table of its grid: both go through here, which reads a key the base leaves out by
validating the base with the values of one good row, and then puts arrays in their place. Words (and the humidity class,
which picks a row of a table) group rows.

Tables are worked out in chunks that fit the cache; what no rule judges (``aside``) is left out unless asked for. A
table takes the hand estimate of delivery unless told otherwise, whatever its size: an answer must not depend on how
many neighbours it has. A sweep, which is looked at as a whole, chooses by its size and says so.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from types import MappingProxyType
from typing import Any

import numpy as np
from numpy.typing import NDArray

from purgecalc.errors import NoPhysicalAnswer, ScenarioError, UsageError
from purgecalc.inputs import SHARED_TABLES, Inputs
from purgecalc.rules import rule_settings
from purgecalc.scenario import ScenarioInputs
from purgecalc.scenario.keys import Column, KeyProblem, column
from purgecalc.scenario.read import again
from purgecalc.scenario.relations import Relation, broken_among
from purgecalc.studies.grades import Graded, graded
from purgecalc.studies.quantities import asked
from purgecalc.working import Given, Origin

CHUNK, INTEGRATED_CHUNK = 32768, 2048
"""Designs worked out in one call: the arrays of steady designs stay in the cache, the blasts of integrated ones too."""
TRIES = 20
"""Rows tried as the one the scenario is validated with, before the table as a whole is thought not to fit it."""
IMPOSSIBLE = "IMPOSSIBLE"
"""Verdict of a design that is well described and cannot work at all."""
DELIVERY = ("estimated", "integrated")
"""How the delivery of the blast was come by, without and with following it in time."""

Columns = Mapping[str, NDArray[Any]]
Rows = NDArray[np.intp]
Progress = Callable[[int, int], None]


def run(
    columns: Columns, base: ScenarioInputs, of: Sequence[str] = (), *, integrate: bool = False, line: str = ""
) -> dict[str, NDArray[Any]]:
    """Work out and judge every row of a table of designs.

    ``columns`` maps heads such as ``line.hose.bore [mm]`` to arrays of numbers in that unit (or of words); all other values
    are those of ``base``. ``of`` names the quantities wanted of ``line`` (the first unless named), with a unit if SI will not do.
    The result maps a head for each quantity to an array, and ``verdict``, ``worst_rule``, ``delivery`` and ``problem`` to
    arrays of words.
    ``integrate`` follows every blast in time, as ``check`` does; otherwise delivery is the hand estimate.
    """
    return Batch(list(columns), base, of, integrate, line).run(columns)


class Batch:
    """What the parts of one table have in common: columns, base, quantities wanted, limits."""

    def __init__(
        self, heads: Sequence[str], base: ScenarioInputs, of: Sequence[str] = (), integrate: bool = False, line: str = ""
    ) -> None:
        self.columns = {head: _column(head) for head in heads}
        self.base, self.integrate = base, integrate
        names = [inputs.line for inputs in base.lines]
        if line and line not in names:
            raise UsageError(f"no line is called {line!r}; lines: {', '.join(map(repr, names))}")
        self.place = names.index(line) if line else 0
        self.asked, self.aside = asked(of, base.lines, names[self.place])
        self.limits = rule_settings(base)
        self._templates: dict[tuple[str, ...], ScenarioInputs] = {}

    @property
    def heads(self) -> list[str]:
        """Heads of the answers, in order."""
        return [*(a.head for a in self.asked), "verdict", "worst_rule", "delivery", "problem"]

    def run(
        self, columns: Columns, progress: Progress | None = None, faults: Mapping[int, str] = MappingProxyType({})
    ) -> dict[str, NDArray[Any]]:
        """Answers to one part of the table; ``progress`` is told how many rows of how many are done.

        ``faults`` says of some rows, by index, what was wrong with their text before it became numbers.
        """
        size = len(next(iter(columns.values()))) if columns else 0
        out: dict[str, NDArray[Any]] = {a.head: np.full(size, np.nan) for a in self.asked}
        out |= {name: np.full(size, "", object) for name in self.heads[len(self.asked) :]}
        for i, fault in faults.items():
            out["problem"][i] = fault
        step = INTEGRATED_CHUNK if self.integrate else CHUNK
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
                whole = rows.size == known.size  # then nothing need be picked out
                self._work(template, numbers if whole else {h: v[rows] for h, v in numbers.items()}, rows, out)

    def _groups(self, columns: Columns, rows: Rows) -> Iterator[tuple[dict[str, str], Rows]]:
        """Rows with the same words, which are worked out together."""
        words = {h: columns[h] for h, c in self.columns.items() if c.key.is_word}
        if not words:
            yield {}, rows
            return
        groups: dict[tuple[str, ...], list[int]] = {}
        for i in rows:
            groups.setdefault(tuple(_word(v[i]) for v in words.values()), []).append(int(i))
        for values, members in groups.items():
            yield dict(zip(words, values, strict=True)), np.asarray(members, np.intp)

    def _template(
        self, words: dict[str, str], rows: Rows, numbers: dict[str, NDArray[np.float64]], problem: NDArray[Any]
    ) -> tuple[ScenarioInputs | None, Rows]:
        """The base as it reads with these words and the numbers of a good row, and the rows that hold together on it."""
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
        if key not in self._templates:
            return None, rows
        rows = rows[problem[rows] == ""]
        return self._templates[key], self._hold(self._templates[key].lines, rows, numbers, problem)

    def _hold(self, lines: Sequence[Inputs], rows: Rows, numbers: dict[str, NDArray[np.float64]], problem: NDArray[Any]) -> Rows:
        """Report rows whose figures do not go together; the others."""
        part = {head: v[rows] for head, v in numbers.items()}
        for i, inputs in enumerate(lines):
            here = {c.key.id: (c, part[h]) for h, c in self.columns.items() if not c.key.is_word and c.key.line in (None, i)}
            given = {id: _given(c, written) for id, (c, written) in here.items()}
            for relation, broken in broken_among({**inputs.values, **given}):
                if not any(id in here for id in relation.ids()):
                    continue
                for j in np.flatnonzero(broken):
                    texts = [here[id][0].text(here[id][1][j]) if id in here else inputs[id].text for id in relation.ids()]
                    place = _place(relation, i if len(lines) > 1 else None)
                    _add(problem, rows[j], f"{place}: {relation.text.format(*texts)}")
        return np.asarray(rows[problem[rows] == ""])

    def _work(self, template: ScenarioInputs, numbers: dict[str, NDArray[np.float64]], rows: Rows, out: Columns) -> None:
        """Work out and judge some rows, and put the answers where they belong."""
        si = [(self.columns[head].key, self.columns[head].si(written)) for head, written in numbers.items()]
        lines = []
        for i, inputs in enumerate(template.lines):
            changes = {key.id: v for key, v in si if key.line in (None, i)}
            if "source.starts_per_hour" in changes:
                changes["source.starts_allowed"] = changes["source.starts_per_hour"] / 3600
            lines.append(inputs.changed(changes, "table"))
        try:
            together = graded(lines, self.limits, template.waive, self.integrate, self.aside)
        except NoPhysicalAnswer as error:  # nothing that varies bears on it: it holds for all of them
            out["verdict"][rows], out["problem"][rows] = IMPOSSIBLE, str(error)
            return
        wrong = {text: np.broadcast_to(mask, rows.size) for text, mask in together.impossible().items()}
        fine = ~np.logical_or.reduce([*wrong.values(), np.zeros(rows.size, bool)])
        for a in self.asked:
            values = np.broadcast_to(a.written(a.of(together.designs[self.place])), rows.size)
            out[a.head][rows] = np.where(fine, values, np.nan)
        _judged(together, rows, fine, out)
        out["delivery"][rows] = DELIVERY[self.integrate]
        for text, mask in wrong.items():
            out["problem"][rows[mask]] = text


def _judged(together: Graded, rows: Rows, fine: NDArray[np.bool_], out: Columns) -> None:
    """Words are shared objects, so that a million rows hold a million pointers and not a million texts."""
    for name, words, otherwise in (("verdict", together.verdict(), IMPOSSIBLE), ("worst_rule", together.worst_rule(), "")):
        out[name][rows] = words if fine.all() else np.where(fine, np.broadcast_to(words, rows.size), otherwise)


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


def _given(column: Column, written: NDArray[np.float64]) -> Given:
    where = Origin("override", "table")
    return Given(column.key.id, column.key.title, column.key.kind, column.si(written), where, "", column.reads.state)


def _add(problem: NDArray[Any], i: int, text: str) -> None:
    problem[i] = f"{problem[i]}; {text}" if problem[i] else text


def _place(relation: Relation, line: int | None) -> str:
    prefix = "" if relation.table in SHARED_TABLES else "line." if line is None else f"line.{line + 1}."
    return f"{prefix}{relation.table}" + (f".{relation.about}" if relation.about else "")
