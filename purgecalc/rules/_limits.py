"""Limits as a scenario sets them: the units of inputs, and no figure that could be no limit."""

from __future__ import annotations

from typing import TypeAlias

from purgecalc.units import UnitProblem, parse, span
from purgecalc.wording import quoted

Range: TypeAlias = tuple[float, float]
"""A limit with two ends, SI."""

ALLOWED = {
    "ratio": (0.0, 200.0),
    "fraction": (0.0, 1.0),
    "length": (0.0, 1000.0),
    "time": (0.0, 100 * 366 * 86400.0),
    "concentration": (0.0, 0.1),
    "gauge pressure": (0.0, 1e7),
    "rate": (0.0, 1.0),
}
"""Between which figures (SI) a limit of each kind makes sense; a test holds that every kind of limit is there."""


def parse_limit(value: object, kind: str) -> float | Range:
    """A limit as written, in SI: one quantity, or "15 min to 120 min" for a range. Raises ``UnitProblem``."""
    if isinstance(value, str) and " to " in value:
        low, high = (_one(part, kind) for part in value.split(" to ", 1))
        if low >= high:
            raise UnitProblem(f"{quoted(value)} is not a range: the first figure must be the smaller")
        return low, high
    return _one(value, kind)


def _one(value: object, kind: str) -> float:
    measure = parse(value, kind)
    if measure.state == "absolute":
        raise UnitProblem(f'{quoted(value)} is absolute; this limit is what a gauge reads, e.g. "2 bar(g)"')
    low, high = ALLOWED[kind]
    if not low <= measure.value <= high:
        raise UnitProblem(f"{quoted(value)} is out of range; allowed: {span(low, high, kind)}")
    return measure.value
