"""Tables of designs as CSV: read in parts at array speed, with every bad cell named by line and column."""

from __future__ import annotations

import csv
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from typing import IO, Any

import numpy as np
from numpy.typing import NDArray

from purgecalc.errors import MOST_TOLD, Problem, ScenarioError
from purgecalc.files import input_name, refused, standard_input, unreadable
from purgecalc.scenario.keys import Column, KeyProblem, column
from purgecalc.studies.spreadsheet import quoted_row

CARRIED = ("name", "id", "note")
"""Columns that are no scenario key and are carried along."""
ROWS_AT_ONCE = 32768
"""Rows read at a time."""
LONGEST_ROW, AT_ONCE = 100_000, 16_000_000
"""Characters of a row, and of the rows read at a time."""
MOST_COLUMNS = 500


@dataclass
class RowsRead:
    """Some rows: their text, their line numbers in the file, their columns, and what is wrong with some of them."""

    text: list[str]
    at: Sequence[int]
    columns: dict[str, NDArray[Any]]
    faults: dict[int, str] = field(default_factory=dict)


@contextmanager
def opened(name: str) -> Iterator[CsvTable]:
    """A table file, or standard input for ``-``."""
    if name == "-":
        stream: Any = standard_input()
        stream.reconfigure(encoding="utf-8-sig", errors="strict", newline="")
        yield CsvTable(stream, input_name(name))
        return
    try:
        stream = Path(name).open(encoding="utf-8-sig", newline="")  # noqa: SIM115 - closed below
    except OSError as error:
        raise unreadable(name, error) from None
    with stream:
        yield CsvTable(stream, name)


class CsvTable:
    """A CSV file whose columns are scenario keys with the unit in the head. Raises ``ScenarioError`` for a head it cannot use."""

    def __init__(self, stream: IO[str], name: str) -> None:
        self.name, self._stream = name, stream
        self.head = self._line(1).rstrip("\r\n")
        self.heads = [h.strip() for h in next(csv.reader([self.head]), [])]
        self.columns = self._columns()
        self.places = {c.head: self.heads.index(h) for h, c in self.columns.items()}
        self.columns = {c.head: c for c in self.columns.values()}

    def _line(self, number: int) -> str:
        """The next line, empty at the end."""
        line = self._text(partial(self._stream.readline, LONGEST_ROW + 1))
        self._hold([line], number)
        return line

    def _text(self, read: Callable[[], str]) -> str:
        try:
            return read()
        except UnicodeDecodeError:
            raise refused("is not UTF-8 text", self.name) from None
        except OSError as error:
            raise unreadable(self.name, error) from None

    def _hold(self, lines: Sequence[str], start: int) -> None:
        """Refuse a line that is longer than any row."""
        longest = max(map(len, lines))
        if longest > LONGEST_ROW:
            told = f"the line has more than {LONGEST_ROW} characters; a table has a design a row, its cells parted by commas"
            raise ScenarioError([Problem("", told, self.name, start + [*map(len, lines)].index(longest))])

    def _columns(self) -> dict[str, Column]:
        if len(self.heads) == 1 and ";" in self.head:
            raise refused("columns are separated by semicolons; separate them by commas, and write decimal points", self.name)
        if len(self.heads) > MOST_COLUMNS:
            raise refused(f"the first line has {len(self.heads)} columns; allowed: at most {MOST_COLUMNS}", self.name)
        columns, problems = {}, []
        for head in self.heads:
            if head.lower() in CARRIED:
                continue
            try:
                columns[head] = column(head)
            except KeyProblem as problem:
                problems.append(f"column {problem}" if head else "a column has no name")
        keys = [c.key.text for c in columns.values()]
        problems += [f"column {k} stands there twice" for k in sorted({k for k in keys if keys.count(k) > 1})]
        if not problems and not columns:
            problems = ["the first line names no scenario key; write heads such as line.hose.bore [mm]"]
        if problems:
            told = problems[: MOST_TOLD - 1]
            carried = f"a column that is no scenario key is carried along if it is called one of {', '.join(CARRIED)}"
            more = len(problems) - len(told)
            raise ScenarioError([Problem("", message, self.name) for message in (*told, carried)], more)
        return columns

    def parts(self, rows: int = ROWS_AT_ONCE) -> Iterator[RowsRead]:
        """The rows, some at a time (as many letters as ``rows`` like the next one have); blank lines are passed over."""
        start = 2
        while first := self._line(start):
            whole = first + self._text(partial(self._stream.read, min(len(first) * (rows - 1), AT_ONCE)))
            whole += self._text(partial(self._stream.readline, LONGEST_ROW + 1)) if len(whole) > len(first) else ""
            whole = whole.replace("\r\n", "\n").replace("\r", "\n").removesuffix("\n")
            lines = whole.split("\n")
            self._hold(lines, start)
            if whole.strip():
                yield self._plain(whole, lines, start) or self._with_faults(lines, start)
            start += len(lines)

    def _plain(self, whole: str, text: list[str], start: int) -> RowsRead | None:
        """Rows that hold numbers where numbers are due and are written plainly; None where one is not."""
        places = [self.places[h] for h, c in self.columns.items() if not c.key.is_word]
        if '"' in whole or not self._even(whole, text, places):
            return None
        try:
            numbers = iter(np.loadtxt(text, delimiter=",", usecols=places, ndmin=2, comments=None).T if places else ())
        except ValueError:
            return None
        columns: dict[str, NDArray[Any]] = {}
        for head, c in self.columns.items():
            if c.key.is_word:
                place = self.places[head]
                columns[head] = np.array([line.split(",")[place].strip() for line in text], object)
            else:
                columns[head] = next(numbers)
        if not all(_whole(v, len(text)) for v in columns.values()):
            return None
        return RowsRead(text, range(start, start + len(text)), columns)

    def _even(self, whole: str, text: list[str], read: Sequence[int]) -> bool:
        """Whether every row has as many cells as the head."""
        most = len(self.heads) - 1
        if most in read:  # then a row with fewer is refused when it is read, and a longer one makes the count too large
            return whole.count(",") == most * len(text)
        return {line.count(",") for line in text} == {most}

    def _with_faults(self, lines: list[str], start: int) -> RowsRead:
        """The same cell by cell: slower, but it can say which cell is at fault. Blank lines are passed over."""
        at = [start + i for i, line in enumerate(lines) if line.strip()]
        text = [line for line in lines if line.strip()]
        columns = {h: np.full(len(text), "" if c.key.is_word else np.nan, object) for h, c in self.columns.items()}
        faults: dict[int, str] = {}
        for i, line in enumerate(text):
            cells = next(csv.reader([line]))
            found = []
            if len(cells) != len(self.heads) or line.count('"') % 2:
                found.append(_shape(line, len(cells), len(self.heads)))
                text[i] = quoted_row((cells + [""] * len(self.heads))[: len(self.heads)])
                cells = []
            for head, c in self.columns.items():
                cell = cells[self.places[head]].strip() if cells else ""
                fault = _fault(cell, c) if cells else ""
                if fault:
                    found.append(f"{c.key.text}: {fault}")
                elif cells:
                    columns[head][i] = cell if c.key.is_word else float(cell)
            if found:
                faults[i] = "; ".join(found)
        ready = {h: v if self.columns[h].key.is_word else v.astype(float) for h, v in columns.items()}
        return RowsRead(text, at, ready, faults)


def _whole(values: NDArray[Any], size: int) -> bool:
    """Whether a column has something in every row; a blank line would have been passed over."""
    return values.shape == (size,) and bool("" not in values if values.dtype == object else np.isfinite(values).all())


def _shape(line: str, cells: int, wanted: int) -> str:
    if line.count('"') % 2:
        return "a quotation mark is not closed on this line"
    return f"{cells} cells where the first line has {wanted}" + ("; write decimal points, not commas" if cells > wanted else "")


def _fault(cell: str, c: Column) -> str:
    """What is wrong with a cell; empty if nothing is."""
    if not cell:
        return "the cell is empty"
    if c.key.is_word:
        return ""
    try:
        number = float(cell.replace("_", "?"))
    except ValueError:
        hint = "; write a decimal point" if "," in cell else f"; the unit [{c.unit}] stands in the first line" if c.unit else ""
        return f'"{cell[:60]}" is not a number{hint}'
    return "" if np.isfinite(number) else f'"{cell}" is not a finite number'


def rows_of(columns: Mapping[str, NDArray[Any]], before: Sequence[str] = ()) -> list[str]:
    """Lines of a table, with what stands ``before`` the columns: numbers to nine figures, empty where there is none."""
    plain = [v.tolist() for v in columns.values()]
    numbers = [v.dtype != object for v in columns.values()]
    forms, varied = ["%s"] * bool(before), [before] * bool(before)
    for k, values in enumerate(plain):
        words = () if numbers[k] else set(values)
        if any("," in word or '"' in word for word in words):
            plain[k] = [quoted_row([word]) for word in values]
        if len(words) == 1 and before:  # the same in every row
            forms.append(plain[k][0].replace("%", "%%"))
        else:
            forms.append("%.9g" if numbers[k] else "%s")
            varied.append(plain[k])
    form = ",".join(forms) + "\n"
    lines = [form % row for row in zip(*varied, strict=True)]
    missing = [~np.isfinite(v) for v, number in zip(columns.values(), numbers, strict=True) if number]
    for i in np.flatnonzero(np.logical_or.reduce(missing)).tolist() if missing else ():
        cells = [_number(v[i]) if number else v[i] for v, number in zip(plain, numbers, strict=True)]
        lines[i] = ",".join([*([before[i]] if before else []), *cells]) + "\n"
    return lines


def _number(value: float) -> str:
    return f"{value:.9g}" if np.isfinite(value) else "" if value != value else str(value)
