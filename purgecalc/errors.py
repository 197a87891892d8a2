"""What can go wrong, and the exit code each kind ends the command with.

    PurgecalcError            (1)   base; alone it means a fault in purgecalc itself
    +-- UsageError            (2)   the command was called wrongly
    +-- ScenarioError         (3)   the scenario cannot be accepted; carries every Problem found
    +-- NoPhysicalAnswer      (4)   the inputs are valid but no such flow exists
    +-- FindingsAtOrAbove     (5)   findings reached the level given with --fail-on

Ctrl-C ends with 130. One class, one code; a test holds that.
"""

from __future__ import annotations

from dataclasses import dataclass


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

    def __str__(self) -> str:
        place = f"{self.file}:{self.line}: " if self.line else (f"{self.file}: " if self.file else "")
        key = f"{self.key}: " if self.key else ""
        text = f"{place}{key}{self.message}"
        if self.hint:
            text += f" ({self.hint})"
        if self.source_line:
            shown, start = _window(self.source_line, self.column, self.width)
            text += f"\n    {shown}\n    {' ' * start}{'^' * max(1, self.width)}"
        return text


def _window(line: str, column: int, width: int, room: int = 74) -> tuple[str, int]:
    """The part of a long source line that shows the fault, and where the fault starts in it."""
    if len(line) <= room:
        return line, column
    start = max(0, min(column - 20, len(line) - room))
    return line[start : start + max(room, width)], column - start


class PurgecalcError(Exception):
    """Base class. Raised alone only for faults of the program itself."""

    exit_code = 1


class UsageError(PurgecalcError):
    """The command was called with words it cannot use."""

    exit_code = 2


class ScenarioError(PurgecalcError):
    """The scenario was refused. ``problems`` holds every reason, not only the first."""

    exit_code = 3

    def __init__(self, problems: list[Problem]) -> None:
        self.problems = problems
        super().__init__("\n".join(str(p) for p in problems))


class NoPhysicalAnswer(PurgecalcError):
    """The inputs are well formed but describe a flow that cannot exist."""

    exit_code = 4


class FindingsAtOrAbove(PurgecalcError):
    """The calculation succeeded and its findings reached the level the caller asked to fail on."""

    exit_code = 5
