"""Unsteady flow of one blast, or of many, from the opening of the valve to the last bubble."""

from __future__ import annotations

from purgecalc.transient.blast import Blast, Control, Head, Hose, Source, Valve
from purgecalc.transient.laws import blended, churchill, frictionless
from purgecalc.transient.outcome import Outcome, Result, Trace
from purgecalc.transient.solver import simulate

__all__ = [
    "Blast", "Control", "Head", "Hose", "Outcome", "Result", "Source", "Trace", "Valve",
    "blended", "churchill", "frictionless", "simulate",
]  # fmt: skip
