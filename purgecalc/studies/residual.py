"""Bias left in the reading against hold-off: the curve behind the one figure of the check screen."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from purgecalc.design import Design
from purgecalc.formulas.sensor_models import MODELS, residual

SHARES = np.array([0.0, 0.25, 0.5, 0.75, 1.0, 1.25, 1.5, 2.0])
"""Hold-offs of the curve, as shares of the one needed."""


def residual_curve(design: Design) -> tuple[NDArray[np.float64], NDArray[np.float64]] | None:
    """Hold-offs (s) and the bias left after each (kg/m3), for a single design; None where no bump can be worked out."""
    if "reading.driving_difference" not in design:
        return None
    model = MODELS[design.inputs.choice("probe.sensor")]
    t_hold = SHARES * design.number("reading.hold_off_needed")
    t_clear = design.number("reading.clear_time" if "reading.clear_time" in design else "probe.clear_time")
    dead = design.number("probe.dead_time") if "probe.dead_time" in design else 0.0
    bias = residual(
        model, design.number("reading.driving_difference"), design.number("reading.exposure"), t_hold, t_clear,
        design.number("probe.mix_time"), design.number("probe.t90"), dead,
    )  # fmt: skip
    return t_hold, np.asarray(bias)
