"""Streams: where text goes, how wide, in colour or not, and how files are written without losing any."""

from __future__ import annotations

import os
import shlex
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import IO, TYPE_CHECKING, Any

from purgecalc.errors import UsageError

if TYPE_CHECKING:
    from purgecalc.reports.page import Page


def width_of(stream: IO[str]) -> int:
    """COLUMNS if set, the terminal's width, or 80 when piped; never below 40."""
    columns = os.environ.get("COLUMNS", "")
    if columns.isdigit() and int(columns) > 0:
        return max(40, int(columns))
    try:
        return max(40, os.get_terminal_size(stream.fileno()).columns) if stream.isatty() else 80
    except (OSError, ValueError):
        return 80


def safe_streams() -> None:
    """Characters the terminal cannot show come out as escapes, not as a crash."""
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors="backslashreplace")


def show_page(page: Page) -> None:
    """Write a page to stdout: painted by rich on a terminal, as it is into a pipe."""
    if not (sys.stdout.isatty() or os.environ.get("FORCE_COLOR")):
        sys.stdout.write(page.plain())
        return
    from rich.console import Console
    from rich.text import Text

    class Plain(Console):
        def on_broken_pipe(self) -> None:
            raise BrokenPipeError  # the one error boundary decides, not rich

    # taken literally: no markup, no highlighting, no emoji codes
    target = Plain(file=sys.stdout, width=page.width, markup=False, highlight=False, emoji=False)
    for line in page.lines:
        text = Text(line.plain)
        for start, end, style in line.spans:
            text.stylize(style, start, end)
        target.print(text, soft_wrap=True)


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


def write_file(name: str, text: str, force: bool) -> None:
    """Write text to a file, never over another unless forced, and never half of one."""
    write_bytes(name, text.encode(), force)


def write_bytes(name: str, data: bytes, force: bool) -> None:
    """The same for bytes: into a temporary file beside it, then renamed."""
    with _replacing(name, force, "wb") as out:
        out.write(data)


@contextmanager
def replacing(name: str, force: bool) -> Iterator[IO[str]]:
    """A file to write text into; it takes its name when all is written, and is gone if that fails."""
    with _replacing(name, force, "w") as out:
        yield out


@contextmanager
def _replacing(name: str, force: bool, mode: str) -> Iterator[IO[Any]]:
    path = Path(name)
    if path.exists() and not force:
        raise UsageError(f"{name} exists; add --force to replace it, or choose another name")
    try:
        handle, temporary = tempfile.mkstemp(dir=path.parent or Path("."), prefix=".purgecalc-")
        try:
            with os.fdopen(handle, mode, encoding=None if "b" in mode else "utf-8", newline=None if "b" in mode else "") as out:
                yield out
            rights = path.stat().st_mode & 0o777 if path.exists() else 0o666 & ~_umask()
            Path(temporary).chmod(rights)
            Path(temporary).replace(path)
        except BaseException:
            Path(temporary).unlink(missing_ok=True)
            raise
    except OSError as error:
        raise UsageError(f"{name} cannot be written: {error.strerror}") from None
    tell(f"wrote {name}")


class Progress:
    """How far a long piece of work is, on stderr; only on a terminal, and only once it has taken a second."""

    def __init__(self, what: str) -> None:
        self._what, self._start, self._shown = what, time.monotonic(), False

    def at(self, done: int, whole: int = 0) -> None:
        """Say that ``done`` of ``whole`` are done."""
        if time.monotonic() - self._start > 1 and sys.stderr.isatty():
            sys.stderr.write(f"\r{done}{f' of {whole}' if whole else ''} {self._what} ")
            sys.stderr.flush()
            self._shown = True

    def done(self) -> None:
        """Take the line away."""
        if self._shown:
            sys.stderr.write("\r" + 40 * " " + "\r")


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask
