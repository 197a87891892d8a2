"""``purgecalc batch``."""

from __future__ import annotations

import sys
from collections import Counter
from contextlib import nullcontext
from pathlib import Path

from purgecalc.cli.console import Progress, replacing, tell
from purgecalc.errors import FindingsAtOrAbove, NoPhysicalAnswer, Problem, ScenarioError, UsageError
from purgecalc.rules import Level
from purgecalc.scenario.read import load_below
from purgecalc.studies.batch import IMPOSSIBLE, Batch
from purgecalc.studies.table import Part, Table, opened, rows_of

SHOWN = 20
"""Bad rows told on the screen; the rest stand in the output."""


def run_batch(
    table_name: str, output: str, base: str, of: list[str], line: str, settings: list[str], integrate: bool, fail_on: str,
    force: bool,
) -> None:  # fmt: skip
    """Work out a table of designs row by row and write it out again with the answers beside."""
    if table_name == base == "-":
        raise UsageError("standard input can be read once; name a file for the table or for --base")
    to_file = output != "-"
    if to_file and Path(output).resolve() == Path(table_name).resolve():
        raise UsageError(f"-o {output} is the table itself; name another file for the answers")
    with opened(table_name) as table, replacing(output, force) if to_file else nullcontext(sys.stdout) as out:
        parts = table.parts(2048 if integrate else 32768)
        first = next(parts, None)
        scenario, _ = load_below(base, settings, _first_row(table, first))
        batch = Batch(list(table.columns), scenario, of, integrate, line)
        out.write(",".join([table.head, *batch.heads]) + "\n")
        tally, progress = _Tally(table), Progress("rows")
        part = first
        while part is not None:
            result = batch.run(part.columns, None, part.faults)
            out.write("".join(rows_of(result, part.text)))
            tally.add(part, result)
            progress.at(tally.rows)
            part = next(parts, None)
        progress.done()
    tell(tally.told(batch.integrate))
    tally.end(fail_on)


def _first_row(table: Table, part: Part | None) -> list[str]:
    """Settings of the first row, for a base that is whole only with them."""
    if part is None or 0 in part.faults:
        return []
    return [c.setting(part.columns[head][0]) for head, c in table.columns.items()]


class _Tally:
    """What is told at the end: verdicts counted, the first bad rows with line and reason."""

    def __init__(self, table: Table) -> None:
        self.table, self.rows, self.bad = table, 0, 0
        self.verdicts: Counter[str] = Counter()
        self.first: list[Problem] = []

    def add(self, part: Part, result: dict) -> None:  # type: ignore[type-arg]
        self.rows += len(part.text)
        counts = Counter(result["verdict"].tolist())
        self.bad += counts.pop("", 0)
        self.verdicts.update(counts)
        if len(self.first) < SHOWN:
            for i in (result["problem"] != "").nonzero()[0][: SHOWN - len(self.first)]:
                self.first.append(Problem("", result["problem"][i], self.table.name, part.at[i]))

    def told(self, integrated: bool) -> str:
        """One line for the screen."""
        order = ["PASS", *(level.name for level in Level), IMPOSSIBLE]
        counts = [f"{self.verdicts[name]} {name}" for name in order if self.verdicts[name]]
        counts += [f"{self.bad} not worked out"] if self.bad else []
        how = (
            "every blast followed in time"
            if integrated
            else "delivery by the hand estimate; --blast integrated follows every blast"
        )
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
