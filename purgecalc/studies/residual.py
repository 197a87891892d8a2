"""Bias left in the reading against hold-off: the curve behind the one figure of the check screen."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from purgecalc.design import Design
from purgecalc.design import design as worked_out

SHARES = np.array([0.0, 0.25, 0.5, 0.75, 1.0, 1.25, 1.5, 2.0])
"""Hold-offs of the curve, as shares of the one needed."""


def residual_curve(design: Design) -> tuple[NDArray[np.float64], NDArray[np.float64]] | None:
    """Hold-offs (s) and the bias left after each (kg/m3), for a single design; None where no bump can be worked out."""
    if "reading.driving_difference" not in design:
        return None
    t_hold = SHARES * design.number("reading.hold_off_needed")
    held = worked_out(design.inputs.changed({"schedule.hold_off": t_hold}), unsteady=False, aside=False)
    return t_hold, np.asarray(held.value("reading.residual"))
