"""Write a scenario as commented TOML that a person can go on editing."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import dataclass

TABLES = ("", "site", "water", "source", "line", "line.valve", "line.hose", "line.head", "line.probe", "line.schedule")
"""Order of the tables; "" is what stands ahead of the first."""

Value = str | int | float


@dataclass(frozen=True)
class SettingRow:
    """One setting with its comment. Without a value only the comment is written; ``off`` writes the setting as a comment."""

    key: str
    value: Value | None
    comment: str = ""
    off: bool = False

    @property
    def table(self) -> str:
        return self.key.rpartition(".")[0]


def as_toml(rows: Iterable[SettingRow], head: str = "") -> str:
    """The text of a scenario file, table by table, its comments lined up."""
    rows = list(rows)
    settings = {row.key: _setting(row) for row in rows}
    column = max(len(s) for s in settings.values()) + 2
    parts = [f"# {line}".rstrip() + "\n" for line in head.splitlines()]
    for table in TABLES:
        own = [row for row in rows if row.table == table]
        if own and table:
            parts.append(f"\n[{table}]\n")
        for row in own:
            setting = settings[row.key]
            comment = f"# {row.comment}" if row.comment else ""
            parts.append(f"{setting:<{column}}{comment}".rstrip() + "\n" if setting else f"{comment}\n")
    return "".join(parts)


def _setting(row: SettingRow) -> str:
    if row.value is None:
        return ""
    # a JSON string is a TOML string once no control character is in it, and names are refused with one
    text = json.dumps(row.value, ensure_ascii=False)
    return f"{'# ' if row.off else ''}{row.key.rpartition('.')[2]} = {text}"
