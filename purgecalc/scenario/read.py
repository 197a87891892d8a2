"""Read a scenario: TOML in, validated inputs out, or every problem at once with file, line and a way out."""

from __future__ import annotations

import hashlib
import itertools
import json
from collections.abc import Sequence
from pathlib import Path as FilePath
from typing import Any

from pydantic import ValidationError

from purgecalc.errors import MOST_TOLD, Problem, ScenarioError, UsageError
from purgecalc.files import input_name
from purgecalc.files import read_text as read_file
from purgecalc.scenario.inputs import ScenarioInputs, flatten
from purgecalc.scenario.messages import message_of
from purgecalc.scenario.model import Scenario
from purgecalc.scenario.positions import KeyLines, Path, number_of_line, rows_of
from purgecalc.scenario.reference import REFERENCE, TITLE, reference_text
from purgecalc.scenario.replaced import literal, parts_of, superseded
from purgecalc.scenario.toml_text import TomlProblem, parse_toml
from purgecalc.working import Origin


def load(file: str, settings: Sequence[str] = ()) -> ScenarioInputs:
    """Read a scenario file (``-`` is standard input) and apply ``key=value`` settings over it.

    Without a file the settings go over the built-in reference installation. Raises ``ScenarioError`` with every problem found.
    """
    if not file and not settings:
        raise UsageError(
            "no scenario is given; name a file, or use --set to change the built-in reference installation, "
            'e.g. --set line.hose.length="12 m". "purgecalc new --ask" writes a scenario by plain questions.'
        )
    return _loaded(*read_text(file), settings)


def _loaded(text: str, name: str, settings: Sequence[str]) -> ScenarioInputs:
    return loads(text, name, [f'title="{TITLE}"', *settings] if name == REFERENCE else settings)


def read_text(file: str) -> tuple[str, str]:
    """Text of a scenario file (the built-in reference without one), and the name it has in messages."""
    if not file:
        return reference_text(), REFERENCE
    return read_file(file, '"purgecalc new FILE" writes a starter'), input_name(file)


def again(scenario: ScenarioInputs, settings: Sequence[str]) -> ScenarioInputs:
    """The same scenario with more settings over it."""
    return loads(scenario.text, scenario.file, [*scenario.settings, *settings])


def named_shortly(scenario: ScenarioInputs) -> ScenarioInputs:
    """The same scenario with its places named by file name alone: a note is read elsewhere than it is made."""
    name = FilePath(scenario.file).name
    return scenario if name == scenario.file else loads(scenario.text, name, scenario.settings)


def load_below(file: str, settings: Sequence[str], above: Sequence[str]) -> tuple[ScenarioInputs, bool]:
    """A scenario that is to be varied, and whether it stands by itself or only with ``above``, the first of the variants."""
    text, name = read_text(file)
    try:
        return _loaded(text, name, settings), True
    except ScenarioError:
        return _loaded(text, name, [*settings, *above]), False


def loads(text: str, file: str = "<text>", settings: Sequence[str] = ()) -> ScenarioInputs:
    """Read a scenario from text. ``file`` is the name shown in messages."""
    data = _parse(text, file)
    reader = _Reader(data, file, text)
    reader.apply(settings)
    scenario = reader.validate()
    lines = tuple(flatten(scenario, line, i, reader.locate) for i, line in enumerate(scenario.line))
    digest = hashlib.sha256(json.dumps(reader.data, sort_keys=True, default=str).encode()).hexdigest()[:16]
    paper = {k: v for k, v in scenario.note.model_dump().items() if v is not None}
    return ScenarioInputs(
        scenario.title, file, lines, scenario.limits, scenario.waive, digest, reader.problem, paper, text, tuple(settings)
    )


def _parse(text: str, file: str) -> dict[str, Any]:
    try:
        return parse_toml(text)
    except TomlProblem as problem:
        rows = rows_of(text.removesuffix("\n"))
        line = problem.line or len(rows)
        source = rows[min(line, len(rows)) - 1]
        column = min(max(problem.column - 1, 0), len(source))
        hint = 'a value with a unit is written in quotes, e.g. length = "6 m"' if problem.is_syntax else ""
        raise ScenarioError([Problem("", str(problem), file, line, source, column, 1, hint)]) from None


class _Reader:
    """Holds what is needed to say where a value came from."""

    def __init__(self, data: dict[str, Any], file: str, text: str) -> None:
        self.data = data
        self.file = file
        self.lines = KeyLines(text)
        self.settings: dict[Path, str] = {}
        if isinstance(self.data.get("line"), dict):
            self.data["line"] = [self.data["line"]]

    def apply(self, settings: Sequence[str]) -> None:
        for setting in settings:
            for path in self._targets(parts_of(setting.partition("=")[0])):
                table = _at(self.data, path[:-1])
                for old in superseded(table, setting, settings):
                    del table[old]
        problems = [p for p in map(self._set, settings) if p is not None]
        if problems:
            raise ScenarioError(problems)

    def _set(self, setting: str) -> Problem | None:
        """Put one ``key=value`` into the data; ``line.x`` means every line, ``line.2.x`` the second."""
        key, equals, value = setting.partition("=")
        parts = parts_of(key)
        if not equals or not all(parts):
            return Problem(key, 'a setting is written key=value, e.g. line.hose.length="12 m"', f"--set {setting}")
        for path in self._targets(parts):
            if not _put(self.data, path, literal(value.strip())):
                return Problem(".".join(parts), "does not name a value of this scenario", f"--set {setting}")
            self.settings[path] = f"--set {setting}"
        return None

    def _targets(self, parts: list[str]) -> list[Path]:
        if parts[0] != "line" or len(parts) < 2:
            return [tuple(parts)]
        count = len(self.data["line"]) if isinstance(self.data.get("line"), list) else 1
        if (number := number_of_line(parts[1])) is not None:
            return [("line", number, *parts[2:])]
        return [("line", i, *parts[1:]) for i in range(count)]

    def locate(self, path: Path, default: str) -> Origin:
        """Origin of the value at ``path``; ``default`` is the field's own account of its default."""
        for size in range(len(path), 0, -1):
            if path[:size] in self.settings:
                return Origin("override", self.settings[path[:size]])
        if _at(self.data, path) is not _NOTHING:
            line = self.lines.line(path)
            return Origin("given", f"{self.file}:{line}" if line else self.file)
        return Origin("default", default)

    def validate(self) -> Scenario:
        try:
            return Scenario.model_validate(self.data)
        except ValidationError as error:
            found = error.errors(include_url=False)
            raise ScenarioError([self._problem(e) for e in found[:MOST_TOLD]], len(found[MOST_TOLD:])) from None

    def _problem(self, error: Any) -> Problem:
        path: Path = tuple(error["loc"])
        about = error.get("ctx", {}).get("key", "")
        return self.problem((*path, about) if about else path, message_of(error, path))

    def problem(self, path: Path, message: str) -> Problem:
        """A problem with what stands at ``path``, pointing at the line or at the setting that put it there."""
        key = ".".join(str(p + 1) if isinstance(p, int) else p for p in path if p != 0)
        for size in range(len(path), 0, -1):
            if path[:size] in self.settings:
                return Problem(key, message, self.settings[path[:size]])
        spot = self.lines.find(path)
        if spot is None:
            below = {where for p, where in self.settings.items() if p[: len(path)] == path}
            return Problem(key, message, below.pop() if len(below) == 1 else self.file)
        return Problem(key, message, self.file, spot.line, spot.text, spot.column, spot.width)


def _put(data: Any, path: Path, value: Any) -> bool:
    """Store a value, making the tables on the way; False where the path leads through something that is no table."""
    here = data
    for part, following in itertools.pairwise(path):
        if isinstance(part, int):
            if not isinstance(here, list) or not 0 <= part < len(here):
                return False
        elif not isinstance(here, dict):
            return False
        elif not isinstance(here.get(part), dict | list):
            here[part] = [{}] if isinstance(following, int) else {}
        here = here[part]
    if not isinstance(here, dict):
        return False
    here[str(path[-1])] = value
    return True


_NOTHING = object()


def _at(data: Any, path: Path) -> Any:
    """What stands at a path, or ``_NOTHING``."""
    for part in path:
        if not isinstance(data, dict | list):
            return _NOTHING
        try:
            data = data[part]  # type: ignore[index]
        except (KeyError, IndexError, TypeError):
            return _NOTHING
    return data
