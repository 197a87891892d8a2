"""How far long work is: a bar on a terminal, and how long it will take where that is long. Nothing in a pipe or a file."""

from __future__ import annotations

import sys
import time
from contextlib import ExitStack
from typing import Any, Self

from purgecalc.cli.console import tell, unseen
from purgecalc.cli.leaving import undone

LONG, SOON = 5.0, 1.0
"""Seconds: of what takes longer it is said how long; what takes less shows no bar."""


class Progress:
    """Long work on so many ``what``. To be used in a ``with``; ``at`` is what the work calls, None where nobody looks.

    ``counted`` work says how much of it is done; of other work it is only seen that it goes on.
    """

    def __init__(self, what: str, counted: bool = True, hidden: bool = False) -> None:
        self._what, self._counted, self._told = what, counted, False
        self._bar: Any = None
        self._stack, self._start = ExitStack(), time.monotonic()
        self.at = self._at if sys.stderr.isatty() and not hidden else None

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *fault: object) -> None:
        self._stack.close()

    def expect(self, seconds: float) -> None:
        """Say beforehand how long it will take, where that is long, and that it goes on."""
        if self.at is not None:
            self._tell(f"{self._what}: very roughly", seconds)
            self._show(0, 0)

    def _at(self, done: int, whole: int = 0) -> None:
        """``done`` of ``whole`` are done; of 0 where nobody knows how many there are."""
        passed = time.monotonic() - self._start
        self._tell(f"{whole} {self._what}: about", passed * whole / max(done, 1))
        if self._bar is not None or passed > SOON or self._told:
            self._show(done, whole)

    def _tell(self, text: str, seconds: float) -> None:
        if seconds > LONG and not self._told:
            tell(f"{text} {in_words(seconds)}; Ctrl-C stops it")
            self._told = True

    def _show(self, done: int, whole: int) -> None:
        if self._bar is None:
            from rich import progress
            from rich.console import Console

            counts = (progress.MofNCompleteColumn(), progress.TimeRemainingColumn()) if self._counted else ()
            columns = progress.TextColumn(self._what), progress.BarColumn(), *counts, progress.TimeElapsedColumn()
            self._bar = progress.Progress(
                *columns, console=Console(file=unseen(sys.stderr)), transient=True, redirect_stdout=False, redirect_stderr=False
            )
            self._bar.add_task("", total=None)
            self._stack.enter_context(undone(_take_away))
            self._stack.enter_context(self._bar)
        self._bar.update(0, completed=done, total=whole or None)


def _take_away() -> None:
    """The bar, and give the cursor back, by hand: where a signal comes in the midst of its drawing rich cannot be asked."""
    unseen(sys.stderr).write("\r\x1b[2K\x1b[?25h")


def in_words(seconds: float) -> str:
    """A time nobody will measure: 7 s, 40 s, 3 min, 2 h."""
    size, unit = next((s, u) for s, u in ((3600.0, "h"), (60.0, "min"), (0.0, "s")) if seconds >= 1.5 * s)
    count = seconds / (size or 1.0)
    return f"{count:.0f} {unit}" if count < 10 else f"{round(count, -1):.0f} {unit}"
