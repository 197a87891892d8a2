"""What the door takes for a scenario: a path, TOML text or plain data, and settings over it."""

from __future__ import annotations

import json
import os
from collections.abc import Mapping
from typing import Any, TypeAlias

from purgecalc.errors import Problem, ScenarioError, UsageError
from purgecalc.scenario import ScenarioInputs
from purgecalc.scenario.read import again, load, loads
from purgecalc.scenario.replaced import literal
from purgecalc.visible import visible
from purgecalc.wording import quoted

Source: TypeAlias = str | os.PathLike[str] | Mapping[str, Any] | ScenarioInputs | None
"""A path, the text of a scenario (TOML), its data, a scenario read before; None is the built-in reference installation."""
Set: TypeAlias = Mapping[str, Any] | None
"""Values over those of the scenario, by key: ``{"line.hose.length": "18 m"}``; ``line.2.hose.length`` is of the second line."""


def read(source: Source, over: Set) -> ScenarioInputs:
    """Read a scenario and put the values of ``over`` in. Raises ``ScenarioError`` and ``UsageError``."""
    settings = [_setting(key, value) for key, value in (over or {}).items()]
    if isinstance(source, ScenarioInputs):
        return again(source, settings) if settings else source
    if isinstance(source, Mapping):
        return loads(_as_text(source), "<dict>", settings)
    if source is None:
        if not settings:
            raise UsageError(
                'no scenario is given; name a file, or change the built-in reference: set={"line.hose.length": "12 m"}'
            )
        return load("", settings)
    if isinstance(source, str) and _is_text(source):
        return loads(source, "<text>", settings)
    try:
        file = os.fspath(source)
    except TypeError:
        raise UsageError(f"{quoted(source)} is no scenario; give a path, TOML text, a dict or what load() gave") from None
    if not isinstance(file, str) or file in ("", "-"):
        raise UsageError("a scenario is read from a file that has a name; text of a stream is given as text")
    return load(file, settings)


def _is_text(source: str) -> bool:
    """Text of a scenario has several lines, or says at least something of a table; a path does neither."""
    return "\n" in source or ("=" in source and not source.endswith(".toml"))


def _setting(key: object, value: object) -> str:
    """One value over the scenario's own, as ``--set`` takes it: text stays text whatever it looks like."""
    if not isinstance(key, str) or "=" in key or not key.strip():
        raise UsageError(f'{quoted(key)} is no key of a scenario; write e.g. "line.hose.length"')
    if isinstance(value, str) and literal(value.strip()) == value:
        return f"{key}={value}"
    return f"{key}={_toml(_plain(value, key))}"


def _as_text(data: Mapping[str, Any]) -> str:
    import tomlkit

    return tomlkit.dumps(_plain(data, ""))


def _plain(value: Any, key: str) -> Any:
    """The value in what TOML has. Raises ``ScenarioError`` for what it has not."""
    if isinstance(value, Mapping):
        return {_name(k, key): _plain(v, ".".join(filter(None, (key, str(k))))) for k, v in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(v, key) for v in value]
    if isinstance(value, str | bool):
        return value
    if hasattr(value, "item") and not getattr(value, "shape", ()):
        value = value.item()  # one of numpy's
    if isinstance(value, bool | int | float):
        return value
    hint = "leave the key out" if value is None else 'write text with a unit, e.g. "6 m", or a plain number'
    raise ScenarioError([Problem(visible(key, ""), f"{quoted(value)} is no value of a scenario; {hint}", "<dict>")])


def _name(name: object, key: str) -> str:
    if not isinstance(name, str):
        raise ScenarioError([Problem(key, f"{quoted(name)} is no key of a scenario; keys are text", "<dict>")])
    return name


def _toml(value: Any) -> str:
    """A value as TOML has it on one line."""
    if isinstance(value, dict):
        return "{" + ", ".join(f"{json.dumps(k, ensure_ascii=False)} = {_toml(v)}" for k, v in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(map(_toml, value)) + "]"
    if isinstance(value, float):
        return repr(value)
    return json.dumps(value, ensure_ascii=False)
