"""The built-in reference installation: the usual line, invented, and the same text that ``purgecalc new`` writes."""

from __future__ import annotations

import tomllib
from functools import lru_cache
from importlib.resources import files
from typing import Any

REFERENCE = "built-in reference"
"""Stands where the name of a scenario file would stand."""

TITLE = "Built-in reference installation, with your settings"


@lru_cache(maxsize=1)
def reference_text() -> str:
    """The commented text of it."""
    return files("purgecalc.scenario").joinpath("starter.toml").read_text(encoding="utf-8")


def reference_value(key: str) -> Any:
    """What it says under a dotted key such as ``line.hose.length``; None where it says nothing."""
    here: Any = tomllib.loads(reference_text())
    for part in key.split("."):
        here = here.get(part) if isinstance(here, dict) else None
    return here
