"""TOML as people write it: read by the standard library once nothing in it could keep that busy, and bounded in what it says."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from typing import Any

DEEPEST = 20
"""Tables and lists within one another."""
LARGEST = 10**300
"""Size from which on a whole number is no figure of anything (and too large for a float)."""
_LONG_KEY = re.compile(r"(?<![\w\"'-])(?:(?:[\w-]++|\"[^\"]*+\"|'[^']*+')\s*+\.\s*+){20}")
"""A key of more parts than anything here has; the reader's effort grows with their square."""


class TomlProblem(ValueError):
    """Text that is not TOML (``is_syntax``), or more of it than anybody writes.

    Line and column count from 1, 0 where they are not known.
    """

    def __init__(self, message: str, line: int = 0, column: int = 0, *, is_syntax: bool = False) -> None:
        self.line, self.column, self.is_syntax = line, column, is_syntax
        super().__init__(message)


def parse_toml(text: str) -> dict[str, Any]:
    """The data of a TOML text. Raises ``TomlProblem``."""
    for number, row in enumerate(text.split("\n"), 1):
        if "." in row and (found := _LONG_KEY.search(row)):
            raise TomlProblem(f"a key has more than {DEEPEST} parts", number, found.start() + 1)
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        found = re.search(r"\(at line (\d+), column (\d+)\)", str(error))
        message = re.sub(r"\s*\(at .*\)$", "", str(error))
        line, column = (int(found[1]), int(found[2])) if found else (0, 0)
        raise TomlProblem(f"not TOML: {message}", line, column, is_syntax=True) from None
    except RecursionError:
        raise TomlProblem(f"tables or lists stand more than {DEEPEST} deep in one another", _busiest(text, "[{")) from None
    except ValueError:  # the one thing it converts without a word of its own: a whole number of thousands of digits
        raise TomlProblem("a whole number is far too large", _busiest(text, "0123456789")) from None
    for value, depth in _walk(data):
        if depth > DEEPEST:
            raise TomlProblem(f"tables or lists stand more than {DEEPEST} deep in one another", _busiest(text, "[{"))
        if isinstance(value, int) and abs(value) >= LARGEST:
            raise TomlProblem("a whole number is far too large", _busiest(text, "0123456789"))
    return data


def _walk(data: dict[str, Any]) -> Iterator[tuple[Any, int]]:
    """Every value with its depth."""
    todo: list[tuple[Any, int]] = [(data, 0)]
    while todo:
        value, depth = todo.pop()
        yield value, depth
        inside = value.values() if isinstance(value, dict) else value if isinstance(value, list) else ()
        todo += [(v, depth + 1) for v in inside]


def _busiest(text: str, marks: str) -> int:
    """Number of the line with most of these marks."""
    rows = text.split("\n")
    return max(range(len(rows)), key=lambda i: sum(map(rows[i].count, marks))) + 1
