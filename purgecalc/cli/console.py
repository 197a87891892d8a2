"""What is said: where text goes, how wide, in colour or not."""

from __future__ import annotations

import os
import shlex
import sys
from collections.abc import Callable, Iterator, Sequence
from typing import IO, TYPE_CHECKING, Any

if TYPE_CHECKING:
    from rich.text import Text

    from purgecalc.reports.page import Page


NARROW, WIDE = 40, 500
"""Columns of the narrowest and the widest screen that is written for."""


def width_of(stream: IO[str]) -> int:
    """COLUMNS if set, the terminal's width, or 80 when piped; never below ``NARROW`` nor above ``WIDE``."""
    columns = os.environ.get("COLUMNS", "")
    if columns.isascii() and columns.isdigit() and columns.strip("0"):
        return max(NARROW, min(int(columns), WIDE)) if len(columns) < 10 else WIDE
    try:
        return max(NARROW, min(os.get_terminal_size(stream.fileno()).columns, WIDE)) if stream.isatty() else 80
    except (OSError, ValueError):
        return 80


def height_of(stream: IO[str]) -> int | None:
    """Rows of the terminal; None where there is none, or it does not say."""
    try:
        return os.get_terminal_size(stream.fileno()).lines or None if stream.isatty() else None
    except (OSError, ValueError):
        return None


def show_page(page: Page) -> None:
    """Write a page to stdout: painted by rich on a terminal, as it is into a pipe."""
    if not (sys.stdout.isatty() or os.environ.get("FORCE_COLOR")):
        sys.stdout.write(page.plain())
        return
    from rich.console import Console

    class Plain(Console):
        def on_broken_pipe(self) -> None:
            raise BrokenPipeError  # the one error boundary decides, not rich

    # taken literally: no markup, no highlighting, no emoji codes
    target = Plain(file=unseen(sys.stdout), width=page.width, markup=False, highlight=False, emoji=False)
    for text in painted(page):
        target.print(text, soft_wrap=True)


def painted(page: Page) -> Iterator[Text]:
    """The lines of a page in rich's own form."""
    from rich.text import Text

    for line in page.lines:
        text = Text(line.plain, no_wrap=True, overflow="ignore")
        for start, end, style in line.spans:
            text.stylize(style, start, end)
        yield text


class Painted:
    """A page for rich, laid out once its console tells the width. ``page`` makes it."""

    def __init__(self, page: Callable[[int], Page]) -> None:
        self._page = page

    def __rich_console__(self, console: object, options: Any) -> Iterator[Text]:
        return painted(self._page(max(NARROW, min(options.max_width, WIDE))))


def unseen(stream: Any) -> IO[str]:
    """The stream below a screen, for paint and for data: what is written to it is not made visible."""
    return getattr(stream, "exact", stream)  # type: ignore[no-any-return]


def say(text: str) -> None:
    """A line to stdout, whole."""
    sys.stdout.write(text + "\n")


def tell(text: str) -> None:
    """A line to stderr, whole (a file name and line number must not be folded)."""
    sys.stderr.write(text + "\n")


def call(command: str, file: str, settings: Sequence[str], *words: str) -> str:
    """The words of a call of purgecalc on this scenario, to be typed as they stand."""
    over = [w for s in settings for w in ("--set", s)] if not file else []
    return shlex.join(["purgecalc", command, *([file] if file else []), *words, *over])
