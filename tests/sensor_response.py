"""What a sensor reads and how long it must be held, by its step response alone: what closed forms are held against."""

from __future__ import annotations

from typing import Any

import numpy as np

from purgecalc.formulas import reading, sensor
from purgecalc.formulas.sensor_models import SensorModel


def respond(model: SensorModel, t: Any, edges: list[float], values: list[float], tau: Any, t_d: Any = 0.0) -> Any:
    """Reading at ``t`` of a sensor settled on ``values[0]`` whose input becomes ``values[i + 1]`` at ``edges[i]``."""
    y = values[0] + 0.0 * np.asarray(t, dtype=float)
    for edge, before, after in zip(edges, values[:-1], values[1:], strict=True):
        y = y + (after - before) * model.step(np.asarray(t - edge), tau, t_d)
    return y


def hold_off(model: SensorModel, dC: Any, t_blast: Any, t_clear: Any, t_mix: Any, t_90: Any, tol: Any, t_d: Any = 0.0) -> Any:
    """The recorded forms of one model, one after the other, as the sheet works them."""
    tau = model.time_constant(t_90, t_d)
    if model.name == "two-lags":
        t_peak = sensor.two_lag_peak_time(t_blast, tau)
        settling = sensor.two_lag_settling(sensor.two_lag_peak(dC, t_blast, tau, t_peak), t_peak, tau, tol)
    else:
        late = t_d if model.name == "dead-time-lag" else 0.0
        settling = sensor.dead_time_settling(reading.bump(dC, t_blast, tau), late, tau, tol)
    return sensor.hold_off_needed(t_clear, t_mix, settling)


def residual(model: SensorModel, dC: Any, t_blast: Any, t_hold: Any, t_clear: Any, t_mix: Any, t_90: Any, t_d: Any = 0.0) -> Any:
    """Bias at release for any model, by superposing two steps."""
    tau = model.time_constant(t_90, t_d)
    t = np.maximum(np.asarray(t_hold - t_clear - t_mix), 0.0)
    return dC * (model.step(t + t_blast, tau, t_d) - model.step(t, tau, t_d))
