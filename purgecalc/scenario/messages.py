"""Our words for what the scenario model refuses."""

from __future__ import annotations

import re
from typing import Any

from purgecalc.renamed import now_called
from purgecalc.scenario.descriptions import model_at
from purgecalc.scenario.fields import meta_of
from purgecalc.scenario.line import Line
from purgecalc.scenario.positions import Path
from purgecalc.wording import nearest, quoted

_TYPES = {
    "int": "a whole number",
    "float": "a number",
    "string": "text in quotes",
    "model": "a table",
    "dict": "a table",
    "tuple": "a list of tables",
}


def message_of(error: Any, path: Path) -> str:
    """Our words for what pydantic found at a place of the scenario."""
    kind, given = error["type"], error.get("input")
    if kind in ("quantity", "range", "combination"):
        return str(error["msg"])
    if kind == "value_error":
        return str(error["ctx"]["error"])
    if kind == "extra_forbidden":
        return _unknown_key(path)
    if kind == "missing":
        return _missing(path)
    if kind == "string_too_long":
        return f"the text has {len(given)} characters; allowed: at most {error['ctx']['max_length']}"
    if kind == "too_long":
        return f"has too many entries; allowed: at most {error['ctx']['max_length']}"
    if kind == "finite_number":
        return f"{quoted(given)} is not a finite number"
    if kind == "literal_error":
        allowed = error["ctx"]["expected"].replace("'", '"')
        if now := now_called("words", str(given)):
            return f"{quoted(given)} {now}"
        near = nearest(str(given), re.findall(r'"([^"]+)"', allowed))
        return f"{quoted(given)} is not one of {allowed}" + (f'; did you mean "{near[0]}"?' if near else "")
    wanted = next((words for start, words in _TYPES.items() if kind.startswith(start)), "")
    shown = quoted(given)
    return f"{shown} is not {wanted}" if wanted else f"{shown}: {error['msg']}"


def _unknown_key(path: Path) -> str:
    if now := now_called("keys", ".".join(part for part in path if isinstance(part, str))):
        return now
    if len(path) == 1 and path[0] in Line.model_fields:
        return f'unknown key; did you mean "line.{path[0]}"? what belongs to a purge line stands under line'
    model = model_at(path[:-1])
    known = list(model.model_fields) if model else []
    near = nearest(str(path[-1]), known)
    hint = f'did you mean "{near[0]}"? ' if near else ""
    return f"unknown key; {hint}known here: {', '.join(known)}"


def _missing(path: Path) -> str:
    model = model_at(path[:-1])
    info = model.model_fields.get(str(path[-1])) if model else None
    example = meta_of(info.json_schema_extra).get("example", "") if info else ""
    title = f" ({info.description})" if info and info.description else ""
    return f"is missing{title}" + (f'; write e.g. {path[-1]} = "{example}"' if example else "")
