"""``purgecalc batch``."""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Callable, Sequence
from contextlib import AbstractContextManager, nullcontext
from pathlib import Path
from typing import IO, Any

from numpy.typing import NDArray

from purgecalc.cli.console import tell, unseen
from purgecalc.cli.output import Target
from purgecalc.cli.progress import Progress
from purgecalc.errors import FindingsAtOrAbove, NoPhysicalAnswer, Problem, ScenarioError, UsageError
from purgecalc.rules import Level
from purgecalc.scenario.read import load_below
from purgecalc.studies.batch import Batch
from purgecalc.studies.many import IMPOSSIBLE
from purgecalc.studies.spreadsheet import inert_rows, inert_words
from purgecalc.studies.table import CsvTable, RowsRead, opened, rows_of

PROBLEMS_SHOWN = 20
"""Bad rows told on the screen; the rest stand in the output."""


def run_batch(
    table_name: str,
    output: str,
    base: str,
    of: list[str],
    line: str,
    settings: list[str],
    integrate: bool,
    fail_on: str,
    raw: bool,
    force: bool,
) -> None:
    """Work out a table of designs row by row and write it out again with the answers beside."""
    if table_name == base == "-":
        raise UsageError("standard input can be read once; name a file for the table or for --base")
    with _answers(output, force, [table_name, base]) as out, opened(table_name) as table, _progress(output) as progress:
        parts = table.parts(8192 if integrate else 32768)
        first = next(parts, None)
        scenario, _ = load_below(base, settings, _first_row(table, first))
        batch = Batch(list(table.columns.values()), scenario, of, integrate, line)
        out.write(",".join([table.head, *batch.heads]) + "\n")
        tally, ahead = _Tally(table), _Ahead(table_name)
        part = first
        while part is not None:
            whole = ahead.rows(part)
            result = batch.run(part.columns, _watched(progress, tally.rows, whole), part.faults)
            out.write("".join(rows_of(*((result, part.text) if raw else _inert(result, part.text)))))
            tally.add(part, result)
            part = next(parts, None)
    tell(tally.told(batch.integrate))
    tally.end(fail_on)


def _inert(result: dict[str, NDArray[Any]], text: Sequence[str]) -> tuple[dict[str, NDArray[Any]], list[str]]:
    """Answers and rows with nothing in them that a spreadsheet would run."""
    return result | {"problem": inert_words(result["problem"])}, inert_rows(text)


def _answers(output: str, force: bool, inputs: list[str]) -> AbstractContextManager[IO[str]]:
    """Where the answers go. For a person they are made visible; a pipe gets the data as they are."""
    if output != "-":
        return Target(output, force, inputs).opened()
    return nullcontext(sys.stdout if sys.stdout.isatty() else unseen(sys.stdout))


def _progress(output: str) -> Progress:
    return Progress("rows", hidden=output == "-" and sys.stdout.isatty())  # no bar among the answers


def _watched(progress: Progress, before: int, whole: int) -> Callable[[int, int], None] | None:
    """What is to be called with the rows done of a part."""
    at = progress.at
    return at and (lambda done, _: at(before + done, whole))


class _Ahead:
    """How many rows there are in all, judged by the letters of those read so far and the size of the file."""

    def __init__(self, name: str) -> None:
        file = Path(name)
        self._size = file.stat().st_size if name != "-" and file.is_file() else 0
        self._rows = self._letters = 0

    def rows(self, part: RowsRead) -> int:
        """In all, once this part has been read too; 0 where nobody knows."""
        self._rows += len(part.text)
        self._letters += sum(map(len, part.text)) + len(part.text)
        return round(self._rows * max(1.0, self._size / self._letters)) if self._size else 0


def _first_row(table: CsvTable, part: RowsRead | None) -> list[str]:
    """Settings of the first row, for a base that is whole only with them."""
    if part is None or 0 in part.faults:
        return []
    return [c.setting(part.columns[head][0]) for head, c in table.columns.items()]


class _Tally:
    """What is told at the end: verdicts counted, the first bad rows with line and reason."""

    def __init__(self, table: CsvTable) -> None:
        self.table, self.rows, self.bad = table, 0, 0
        self.verdicts: Counter[str] = Counter()
        self.first: list[Problem] = []

    def add(self, part: RowsRead, result: dict) -> None:  # type: ignore[type-arg]
        self.rows += len(part.text)
        counts = Counter(result["verdict"].tolist())
        self.bad += counts.pop("", 0)
        self.verdicts.update(counts)
        if len(self.first) < PROBLEMS_SHOWN:
            for i in (result["problem"] != "").nonzero()[0][: PROBLEMS_SHOWN - len(self.first)]:
                self.first.append(Problem("", result["problem"][i], self.table.name, part.at[i]))

    def told(self, integrated: bool) -> str:
        """One line for the screen."""
        order = ["PASS", *(level.name for level in Level), IMPOSSIBLE]
        counts = [f"{self.verdicts[name]} {name}" for name in order if self.verdicts[name]]
        counts += [f"{self.bad} not worked out"] if self.bad else []
        how = "every blast followed in time" if integrated else "delivery by the hand estimate, blasts not followed in time"
        return f"{self.rows} rows: {', '.join(counts) or 'none'} ({how})"

    def end(self, fail_on: str) -> None:
        """Raise what the exit code is to be: bad rows before impossible ones before findings."""
        impossible = self.verdicts[IMPOSSIBLE]
        more = self.bad + impossible - len(self.first)
        problems = [
            *self.first,
            *([Problem("", f"and {more} more rows; see the column problem", self.table.name)] if more else []),
        ]
        if self.bad:
            raise ScenarioError(problems)
        if impossible:
            raise NoPhysicalAnswer("\n".join(map(str, problems)))
        if fail_on != "never" and any(self.verdicts[level.name] for level in Level if level >= Level[fail_on]):
            raise FindingsAtOrAbove("")
