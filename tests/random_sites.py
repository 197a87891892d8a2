"""Random scenarios: a worked site with every figure it states moved, and some of its words changed."""

import re
from collections.abc import Iterator
from typing import Any, Literal, get_args, get_origin

import numpy as np

from purgecalc.errors import ScenarioError
from purgecalc.inputs import SHARED_TABLES
from purgecalc.scenario import ScenarioInputs, load
from purgecalc.scenario.model import Scenario
from tests.lines import SCENARIOS

SITES = sorted(SCENARIOS.glob("*.toml"))
_NUMBER = re.compile(r"^\s*(-?\d+(?:\.\d+)?)(.*)$")
KEPT = ("site.air_temperature", "water.temperature", "site.altitude", "uncertainty.", "note.")
"""Inputs on scales where a factor means little, or that no figure of the sheet comes from."""


def _literals(annotation: Any) -> list[str]:
    if get_origin(annotation) is Literal:
        return [str(word) for word in get_args(annotation)]
    return [word for part in get_args(annotation) for word in _literals(part)]


def words_allowed(model: Any = Scenario, prefix: str = "") -> dict[str, list[str]]:
    """Every word a scenario may choose, by input id, with what it may be."""
    found: dict[str, list[str]] = {}
    for name, info in model.model_fields.items():
        literals = _literals(info.annotation)
        if literals:
            found[f"{prefix}{name}"] = literals
        todo = [info.annotation]
        while todo:
            part = todo.pop()
            if hasattr(part, "model_fields"):
                found |= words_allowed(part, "" if name == "line" else f"{prefix}{name}.")
            else:
                todo.extend(get_args(part))
    return found


def key_of(id: str) -> str:
    """The scenario's key of an input id."""
    return id if id.split(".")[0] in SHARED_TABLES else f"line.{id}"


def _moved(site: ScenarioInputs, rng: np.random.Generator, spread: float) -> Iterator[str]:
    for id, given in site.lines[0].values.items():
        match = _NUMBER.match(given.text)
        if given.origin.how != "given" or not match or id.startswith(KEPT):
            continue
        if given.kind == "count":
            yield f"{key_of(id)}={max(1, round(float(match[1]) * rng.uniform(0.5, 2)))}"
        else:
            yield f"{key_of(id)}={float(match[1]) * np.exp(rng.normal(0, spread)):.6g}{match[2]}"


def random_site(seed: int, spread: float = 0.2, words: int = 2) -> ScenarioInputs:
    """A scenario that is read and judged like any other; the same seed gives the same one."""
    rng = np.random.default_rng(seed)
    allowed = words_allowed()
    base = load(str(SITES[rng.integers(len(SITES))]))
    settings = list(_moved(base, rng, spread))
    told = [id for id in base.lines[0].choices if len(allowed.get(id, ())) > 1]
    picked = rng.choice(told, min(words, len(told)), replace=False)
    settings += [f"{key_of(id)}={rng.choice(allowed[id])}" for id in picked]
    while True:
        try:
            return load(base.file, settings)
        except ScenarioError as refused:
            named = {problem.key for problem in refused.problems}
            kept = [s for s in settings if s.split("=")[0] not in named]
            settings = kept if len(kept) < len(settings) else settings[: len(settings) // 2]
