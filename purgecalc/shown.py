"""A figure of the sheet as people read it: one rounding for each, the same on every screen and paper.

Three figures, to the nearest, unless the figure answers "how much at least" or "how much at most": those are rounded to the safe
side, so that the figure typed in as printed keeps the rule. Whole seconds are enough for a hold-off.
"""

from __future__ import annotations

import math
import re

import numpy as np

from purgecalc.units import UnitProblem, parse, show
from purgecalc.working import Given, Node

UP, DOWN = 1, -1
SAFE_SIDE = {
    "fouling.critical_interval": DOWN,
    "fouling.wipe_interval": DOWN,
    "hose.longest": DOWN,
    "hose.way": UP,
    "interval.longest": DOWN,
    "interval.shortest": UP,
    "interval.shortest_duty": UP,
    "moisture.dew_point_needed": DOWN,
    "noise.ear_distance": UP,
    "reading.hold_off_needed": UP,
    "reading.lead_needed": UP,
    "source.rating_left": DOWN,
    "supply.conductor_needed": UP,
    "supply.longest_cable": DOWN,
}
"""Figures that are needed at least (up) or allowed at most (down)."""
WHOLE_SECONDS = ("reading.hold_off_needed",)
IN_SECONDS = 1000.0
"""Seconds from which on minutes are told, to three figures."""
_US = re.compile(r"(ft|in|inch|psi.*|gal|ft3|cfm|scfm|degF|°F|lb|lbf|hp|mmHg)$")


_UNITLESS = ("count", "ratio", "fraction")


def text_of(node: Node, system: str = "si") -> str:
    """A value for people; an input as its author wrote it, unless it is to be shown in the other system.

    An array of designs has no one figure to tell.
    """
    if isinstance(node, Given) and _is_written(node, system):
        return node.text
    return "(varied)" if np.ndim(node.value) else _figure(node, system, 3)


def _is_written(node: Node, system: str) -> bool:
    if not isinstance(node, Given) or not node.text:
        return False
    return system == "si" or bool(_US.search(node.text)) or node.kind in _UNITLESS


def _figure(node: Node, system: str, figures: int, toward: int = 0) -> str:
    value = float(node.value)
    if node.id in WHOLE_SECONDS and figures == 3 and value < IN_SECONDS:
        return f"{math.ceil(value - 1e-6)} s"
    kind = "gauge pressure" if isinstance(node, Given) and node.state == "gauge" else node.kind
    return show(value, kind, system, figures, SAFE_SIDE.get(node.id, toward))


def compared(node: Node, at_least: Node | None, at_most: Node | None, system: str = "si") -> tuple[str, str, str]:
    """A value and its limits in text, with as many figures as it takes to see on which side of them it is.

    Limits are rounded to their safe side: up where they are the least, down where they are the most.
    """
    value = float(node.value)
    limits = [(limit, toward) for limit, toward in ((at_least, UP), (at_most, DOWN)) if limit is not None]
    for figures in range(3, 9):
        text = text_of(node, system) if _is_written(node, system) else _figure(node, system, figures)
        bounds = {t: text_of(n, system) if _is_written(n, system) else _figure(n, system, figures, t) for n, t in limits}
        if all(_seen(text, value, bounds[t], float(n.value), node, system) for n, t in limits):
            break
    return text, bounds.get(UP, ""), bounds.get(DOWN, "")


def _seen(text: str, value: float, bound: str, limit: float, node: Node, system: str) -> bool:
    """Whether value and limit, as printed, are on the sides of each other that they are."""
    if math.isclose(value, limit, rel_tol=1e-9):
        return True
    if not math.isfinite(value) or not math.isfinite(limit) or node.kind == "flag":
        return True
    try:
        a, b = (parse(t, _parsed_as(node)).value for t in (text, bound))
    except UnitProblem:
        return text != bound
    return (a < b) == (value < limit) and a != b


def _parsed_as(node: Node) -> str:
    return "pressure" if node.kind == "gauge pressure" or (isinstance(node, Given) and node.state == "gauge") else node.kind
