"""Names of schema 1 and what they have been called since schema 2."""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path

TABLE = Path(__file__).with_name("renamed.toml")
"""Old name = new name: keys of a scenario, words in it, quantities (an entry that ends in a dot is a beginning), rules."""


@cache
def _table() -> dict[str, dict[str, str]]:
    return tomllib.loads(TABLE.read_text(encoding="utf-8"))


def renamed(sort: str, old: str) -> str:
    """What ``old`` is called now, or nothing. ``sort`` is keys, words, quantities or rules."""
    names = _table()[sort]
    if old in names:
        return names[old]
    start = next((start for start in names if start.endswith(".") and old.startswith(start)), "")
    return names[start] + old.removeprefix(start) if start else ""


def now_called(sort: str, old: str) -> str:
    """A sentence for a message that refuses ``old``; empty where it never had another name."""
    new = renamed(sort, old)
    return f'is called "{new}" since schema 2' if new else ""
