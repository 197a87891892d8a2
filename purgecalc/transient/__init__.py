"""Unsteady flow of one blast, or of many, from the opening of the valve to the last bubble.

Modules are imported when something of theirs is first used: tables that take the hand estimate of delivery need none of them.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from purgecalc.transient.blast import Blast, Control, Head, Hose, Source, Valve
    from purgecalc.transient.ending import Outcome
    from purgecalc.transient.laws import blended, churchill, frictionless
    from purgecalc.transient.outcome import Result, Trace
    from purgecalc.transient.solver import simulate

__all__ = [
    "Blast", "Control", "Head", "Hose", "Outcome", "Result", "Source", "Trace", "Valve",
    "blended", "churchill", "frictionless", "simulate",
]  # fmt: skip
_PLACES = {
    "blast": ("Blast", "Control", "Head", "Hose", "Source", "Valve"),
    "ending": ("Outcome",),
    "laws": ("blended", "churchill", "frictionless"),
    "outcome": ("Result", "Trace"),
    "solver": ("simulate",),
}


def __getattr__(name: str) -> object:
    for place, names in _PLACES.items():
        if name in names:
            return getattr(import_module(f"{__name__}.{place}"), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
