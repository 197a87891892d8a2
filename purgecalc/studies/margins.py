"""How close a design is to its limits: the share of each that it uses up."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from purgecalc.design import Design
from purgecalc.rules import Level, Margin, outcomes
from purgecalc.working import Node


def closest(designs: Sequence[Design], limits: Mapping[str, Any], most: int = 5) -> list[tuple[str, float]]:
    """Rules of single designs that pass and use most of their limit, with the share used (1 is on the limit)."""
    found: dict[str, float] = {}
    for rule, _, outcome in outcomes(designs, limits):
        if isinstance(outcome, Margin) and rule.level >= Level.WATCH and outcome.applies and not outcome.fails():
            found[rule.id] = max(float(used_share(outcome)), found.get(rule.id, 0.0))
    return sorted(found.items(), key=lambda pair: -pair[1])[:most]


def used_share(margin: Margin) -> Any:
    """Share of the limit that is used; 1 is on it. A fraction that must stay high uses up what may be missing from 1."""
    v = np.asarray(margin.quantity.value, float)
    parts = [0.0 * v]
    with np.errstate(divide="ignore", invalid="ignore"):
        if margin.at_most is not None:
            bound = np.asarray(_number(margin.at_most))
            parts.append(np.where(bound > 0, v / bound, 0.0))
        if margin.at_least is not None:
            bound = np.asarray(_number(margin.at_least))
            missing = margin.quantity.kind == "fraction"
            parts.append((1 - v) / (1 - bound) if missing else np.where((v > 0) & (bound > 0), bound / v, 0.0))
    return np.maximum.reduce(np.broadcast_arrays(*parts))


def _number(bound: Any) -> Any:
    return bound.value if isinstance(bound, Node) else bound
