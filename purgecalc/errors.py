"""What can go wrong, and the exit code each kind ends the command with.

    PurgecalcError            (1)   base; alone it means a fault in purgecalc itself
    +-- UsageError            (2)   the command was called wrongly, or its output cannot be written
    +-- ScenarioError         (3)   the scenario cannot be accepted; carries every Problem found
    +-- NoPhysicalAnswer      (4)   the inputs are valid but no such flow exists
    +-- FindingsAtOrAbove     (5)   findings reached the level given with --fail-on, or verify found something to differ

Ctrl-C ends with 130. One class, one code; a test holds that.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from purgecalc.visible import visible
from purgecalc.wording import shortened

MOST_TOLD = 20
"""Problems that are told one by one; the others are counted."""
LONGEST_MESSAGE, LONGEST_NAME = 1200, 300
"""Characters of one message, and of a key or file name in it, whatever was given."""


@dataclass(frozen=True)
class Problem:
    """One thing wrong with the input: where it stands, what was given, what is allowed, what would work."""

    key: str
    message: str
    file: str = ""
    line: int = 0
    source_line: str = ""
    column: int = 0
    width: int = 1
    hint: str = ""

    def __post_init__(self) -> None:
        for name, most in (("key", LONGEST_NAME), ("file", LONGEST_NAME), ("message", LONGEST_MESSAGE)):
            object.__setattr__(self, name, shortened(getattr(self, name), most))

    def __str__(self) -> str:
        place = f"{self.file}:{self.line}: " if self.line else (f"{self.file}: " if self.file else "")
        key = f"{self.key}: " if self.key else ""
        text = f"{place}{key}{self.message}"
        if self.hint:
            text += f" ({self.hint})"
        text = visible(text, "")  # one line, whatever it quotes
        if self.source_line:
            shown, start = _window(self.source_line.replace("\t", " "), self.column)
            end = start + self.width
            before, fault, after = (visible(part, "") for part in (shown[:start], shown[start:end], shown[end:]))
            text += f"\n    {before}{fault}{after}\n    {' ' * len(before)}{'^' * max(1, len(fault))}"
        return text


def _window(line: str, column: int, room: int = 74) -> tuple[str, int]:
    """The part of a long source line that shows the fault, and where the fault starts in it."""
    if len(line) <= room:
        return line, column
    start = max(0, min(column - 20, len(line) - room))
    return line[start : start + room], column - start


class PurgecalcError(Exception):
    """Base class. Raised alone only for faults of the program itself."""

    exit_code = 1

    def __init__(self, message: str = "") -> None:
        super().__init__("\n".join(shortened(line, LONGEST_MESSAGE) for line in message.split("\n")))


class UsageError(PurgecalcError):
    """The command was called with words it cannot use, or what it has to say cannot be written."""

    exit_code = 2


class ScenarioError(PurgecalcError):
    """The scenario was refused. ``problems`` holds every reason up to ``MOST_TOLD``, and how many ``more`` there are."""

    exit_code = 3

    def __init__(self, problems: Sequence[Problem], more: int = 0) -> None:
        told = [*problems] if len(problems) + more <= MOST_TOLD + 1 else [*problems[:MOST_TOLD]]  # "and 1 more" takes a line too
        more += len(problems) - len(told)
        self.problems = [*told, *([Problem("", f"and {more} more problems")] if more else [])]
        Exception.__init__(self, "\n".join(map(str, self.problems)))


class NoPhysicalAnswer(PurgecalcError):
    """The inputs are well formed but describe a flow that cannot exist."""

    exit_code = 4


class FindingsAtOrAbove(PurgecalcError):
    """The calculation succeeded, and what it found is what the caller asked to fail on."""

    exit_code = 5
