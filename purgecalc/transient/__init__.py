"""Unsteady flow of one blast, or of many, from the opening of the valve to the last bubble.

Modules are imported when something of theirs is first used: tables that take the hand estimate of delivery need none of them.

Resolutions of the unsteady solver: a check takes 16 branches and a tolerance of 3e-4 (delivery within 0.3 % of the
reference cases; of 2,000 random receivers on short hoses, against 32 branches and 1e-4, 95 of 100 within 0.15 % and all
within 0.8 %), a picture 24 and 2e-4. 6 branches and 1e-3 keep the median error of random designs below 0.3 % and 95 of
100 below 1 %.

Waves: inner nodes of the hose resist a jump of flow with half the bore's acoustic impedance, along limited slopes; the
first node sees the valve's own flow; the inlet is sonic when the pressure there has risen e-fold.
``tests/transient/riemann.py`` solves the same equations with no code in common. Delivery within 3.5 passages of sound
is called not sharply defined: twice the branches may move it by 4 %.

Useful time behind a slug of water, where the jet stands near its floor, hangs on the tolerance of a step and not on the
branches: at Pellwick 2.5 % (0.04 s) low at 16 branches and 3e-4 against 64 branches and 3e-5; 1e-4 leaves 0.35 %. The
time to push the water out and the pressure after it are within 0.01 %.
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
    "Blast",
    "Control",
    "Head",
    "Hose",
    "Outcome",
    "Result",
    "Source",
    "Trace",
    "Valve",
    "blended",
    "churchill",
    "frictionless",
    "simulate",
]
_HOMES = {
    "blast": ("Blast", "Control", "Head", "Hose", "Source", "Valve"),
    "ending": ("Outcome",),
    "laws": ("blended", "churchill", "frictionless"),
    "outcome": ("Result", "Trace"),
    "solver": ("simulate",),
}


def __getattr__(name: str) -> object:
    for place, names in _HOMES.items():
        if name in names:
            return getattr(import_module(f"{__name__}.{place}"), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
