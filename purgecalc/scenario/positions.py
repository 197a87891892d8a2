"""Where each key of a TOML text stands, so that a message can point at it (tomllib gives no positions)."""

from __future__ import annotations

import re
from dataclasses import dataclass

Path = tuple[str | int, ...]
_INDEX = re.compile("[0-9]{1,4}")
_HEADER = re.compile(r"\s*+(\[\[?)([^\]]++)\]\]?\s*+(#.*)?$")
_PART_OF_KEY = r"""(?:[A-Za-z0-9_-]++|"[^"]*+"|'[^']*+')\s*+"""
_KEY = re.compile(rf"\s*+({_PART_OF_KEY}(?:\.\s*+{_PART_OF_KEY})*+)=")


@dataclass(frozen=True)
class Spot:
    """Line number (from 1), the line's text, and the column and width of the key or value meant."""

    line: int
    text: str
    column: int
    width: int


class KeyLines:
    """Line numbers of tables and keys of a TOML text."""

    def __init__(self, text: str) -> None:
        self._lines = rows_of(text)
        self._spots: dict[Path, int] = {}
        self._scan()

    def _scan(self) -> None:
        table: Path = ()
        counts: dict[Path, int] = {}
        inside = ""
        for number, line in enumerate(self._lines, 1):
            if inside:  # within a multi-line string nothing is a key
                inside = "" if inside in line else inside
                continue
            header = _HEADER.match(line)
            if header:
                table = tuple(_parts(header[2]))
                if header[1] == "[[":
                    counts[table] = counts.get(table, -1) + 1
                    table = (*table, counts[table])
                else:
                    table = self._within_arrays(table, counts)
                self._spots.setdefault(table, number)
                continue
            key = _KEY.match(line)
            if key:
                self._spots.setdefault((*table, *_parts(key[1])), number)
                for quote in ('"""', "'''"):
                    if line.count(quote) == 1:
                        inside = quote

    @staticmethod
    def _within_arrays(table: Path, counts: dict[Path, int]) -> Path:
        """[line.hose] after [[line]] belongs to the last element of that array."""
        out: Path = ()
        for part in table:
            out = (*out, part)
            if out in counts:
                out = (*out, counts[out])
        return out

    def line(self, path: Path) -> int | None:
        """Number of the line on which the longest known beginning of ``path`` stands."""
        for size in range(len(path), 0, -1):
            number = self._spots.get(path[:size])
            if number is None and 0 in path[:size]:  # a single [line] table is read as the first of a list
                number = self._spots.get(tuple(p for p in path[:size] if p != 0))
            if number is not None:
                return number
        return None

    def find(self, path: Path) -> Spot | None:
        """The spot of the longest known beginning of ``path``; the column points at its last part where it is on that line."""
        number = self.line(path)
        if number is None:
            return None
        text = self._lines[number - 1]
        return Spot(number, text, *_column(text, path))


def rows_of(text: str) -> list[str]:
    """The lines of a text as TOML counts them: nothing but a line feed ends one."""
    return [row.removesuffix("\r") for row in text.split("\n")]


def number_of_line(part: str) -> int | None:
    """The second part of a key such as ``line.2.hose`` as an index from 0; None where it is no number."""
    return int(part) - 1 if _INDEX.fullmatch(part) else None


def _parts(dotted: str) -> list[str]:
    return [a or b or c for a, b, c in re.findall(r""""([^"]*)"|'([^']*)'|([A-Za-z0-9_-]+)""", dotted)]


def _column(text: str, path: Path) -> tuple[int, int]:
    """Column and width of the last named part of ``path`` on the line, with its value where it has one."""
    names = [p for p in path if isinstance(p, str)]
    for name in reversed(names):
        hit = re.search(rf"""(?<![\w-])["']?{re.escape(name)}["']?\s*=\s*("[^"]*"|'[^']*'|[^,}}\s#{{\[]+)?""", text)
        if hit:
            if hit[1] and name == names[-1]:
                return hit.start(1), len(hit[1])
            return hit.start(), len(name)
    stripped = len(text) - len(text.lstrip())
    return stripped, max(1, len(text.strip()))
