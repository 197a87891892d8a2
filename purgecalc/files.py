"""Text that comes in: from a file, a pipe or standard input, and never more of it than a person writes."""

from __future__ import annotations

import sys
from contextlib import nullcontext
from pathlib import Path
from typing import TextIO

from purgecalc.errors import Problem, ScenarioError
from purgecalc.wording import nearest

LONGEST_TEXT = 500_000
"""Bytes of a scenario or a form: some hundred pages."""
LONGEST_LINE = 4000
"""Characters of one line of it."""


def read_text(file: str, instead: str = "") -> str:
    """Text of a file, or of standard input for ``-``. Raises ``ScenarioError`` for what is not some pages of UTF-8 text.

    ``instead`` is proposed where the file does not exist and none is called like it.
    """
    name = input_name(file)
    try:
        with nullcontext(standard_input().buffer) if file == "-" else Path(file).open("rb") as stream:
            raw = stream.read(LONGEST_TEXT + 1)
    except OSError as error:
        raise unreadable(file, error, instead) from None
    if len(raw) > LONGEST_TEXT:
        raise refused(f"holds more than {LONGEST_TEXT} bytes; allowed: some hundred pages of text, no more", name)
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise refused("is not UTF-8 text; save it as a plain UTF-8 text file", name) from None
    for number, line in enumerate(text.split("\n"), 1):
        if len(line) > LONGEST_LINE:
            told = f"the line has {len(line)} characters; allowed: at most {LONGEST_LINE}"
            raise ScenarioError([Problem("", told, name, number, line)])
    return text


def input_name(file: str) -> str:
    """What a file is called in messages."""
    return "<stdin>" if file == "-" else file


def standard_input() -> TextIO:
    """Standard input. Raises ``ScenarioError`` where it is closed."""
    if sys.stdin is None or sys.stdin.closed:
        raise refused("is closed; nothing can be read from it", input_name("-"))
    return sys.stdin


def refused(message: str, name: str) -> ScenarioError:
    """What is said of a file that cannot be used at all."""
    return ScenarioError([Problem("", message, name)])


def unreadable(file: str, error: OSError, instead: str = "") -> ScenarioError:
    """What is said of a file that cannot be opened."""
    if isinstance(error, IsADirectoryError):
        return refused("is a folder, not a file", file)
    if not isinstance(error, FileNotFoundError):
        return refused(f"cannot be read ({error.strerror})", input_name(file))
    path = Path(file)
    alike = [p.name for p in path.parent.glob(f"*{path.suffix}")] if path.parent.is_dir() else []
    near = nearest(path.name, alike)
    hint = f"; did you mean {path.parent / near[0]}?" if near else f"; {instead}" if instead else ""
    return refused(f"does not exist{hint}", file)
