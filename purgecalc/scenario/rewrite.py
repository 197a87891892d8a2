"""Change values in the text of a scenario and leave everything else, comments included, as its author wrote it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

import tomlkit
from tomlkit.items import AoT

from purgecalc.inputs import SHARED_TABLES
from purgecalc.scenario.positions import number_of_line
from purgecalc.scenario.replaced import literal, parts_of, replaced, superseded


def rewritten(text: str, changes: Mapping[str, Any], line: str, because: Iterable[str] = ()) -> str:
    """Text with the values of ``changes`` (by input id, as they are written in TOML) put in.

    Values of a purge line go into the line called ``line``. ``because`` are sentences for a comment at the top.
    """
    document = tomlkit.parse(text)
    for id, value in changes.items():
        table, key = _table(document, id, line), id.rsplit(".", 1)[-1]
        for old in replaced(table, id, value):
            del table[old]
        table[key] = value
    head = "".join(f"# {sentence}\n" for sentence in because)
    return head + tomlkit.dumps(document)


def _table(document: Any, id: str, line: str) -> Any:
    """The table that holds the value, made where it is not there yet."""
    part = id.split(".")[0]
    if part in SHARED_TABLES:
        return document.setdefault(part, tomlkit.table())
    lines = document["line"]
    if isinstance(lines, AoT | list):
        lines = next(one for one in lines if one.get("name") == line)
    return lines.setdefault(part, tomlkit.inline_table())


def with_settings(text: str, settings: Sequence[str]) -> str:
    """Text with ``key=value`` settings put in as ``--set`` applies them: ``line.x`` to every line, ``line.2.x`` to the second."""
    document = tomlkit.parse(text)
    for setting in settings:
        for table in _tables(document, setting):
            for old in superseded(table, setting, settings):
                del table[old]
    for setting in settings:
        key, _, value = setting.partition("=")
        for table in _tables(document, setting):
            table[parts_of(key)[-1]] = literal(value.strip())
    return tomlkit.dumps(document)


def _tables(document: Any, setting: str) -> Iterator[Any]:
    """The tables a setting belongs to, made where they are not there yet."""
    parts = parts_of(setting.partition("=")[0])
    for table in _targets(document, parts):
        for part in parts[2 if parts[0] == "line" and number_of_line(parts[1]) is not None else 1 : -1]:
            table = table.setdefault(part, tomlkit.inline_table())
        yield table


def _targets(document: Any, parts: list[str]) -> list[Any]:
    if len(parts) == 1:
        return [document]
    if parts[0] != "line":
        return [document.setdefault(parts[0], tomlkit.table())]
    lines = document["line"] if isinstance(document["line"], AoT | list) else [document["line"]]
    number = number_of_line(parts[1])
    return list(lines) if number is None else [lines[number]]
