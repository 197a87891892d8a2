"""The readings file as the page in a browser has to write it: what its script is held against."""

from __future__ import annotations

import re
from collections.abc import Iterable

_ESCAPED = re.compile(r'[\x00-\x1f"\\\x7f]')


def readings_toml(head: str, values: Iterable[tuple[str, str, str]]) -> str:
    """``head``, then two lines for each (id, unit, value as typed) that has a value."""
    out = [head if not head or head.endswith("\n") else head + "\n"]
    for id_, unit, typed in values:
        if typed.strip():
            out.append(f"[reading.{_quoted(id_)}]\nvalue = {_quoted(f'{typed.strip()} {unit}'.strip())}\n")
    return "".join(out)


def _quoted(text: str) -> str:
    """A basic string of TOML."""
    return '"' + _ESCAPED.sub(lambda m: "\\" + m[0] if m[0] in '"\\' else f"\\u{ord(m[0]):04X}", text) + '"'
