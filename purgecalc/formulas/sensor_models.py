"""The three sensor models behind one face, and their exact response to an input that is constant between edges.

For curves, simulations and choices by name. The recorded forms in ``reading`` and ``sensor`` say the same; a test holds
that.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from purgecalc.formulas.sensor import dead_time_constant, dead_time_step, two_lag_step, two_lag_time_constant
from purgecalc.si import Num


@dataclass(frozen=True)
class SensorModel:
    """One way a sensor follows its input.

    ``time_constant(t_90, t_d)``, ``step(t, tau, t_d)``. ``t_d`` counts only for the model that has a dead time.
    """

    name: str
    title: str
    lags: int
    time_constant: Callable[[Num, Num], Num]
    step: Callable[[Num, Num, Num], Num]


MODELS: dict[str, SensorModel] = {
    m.name: m
    for m in (
        SensorModel(
            "one-lag",
            "one lag",
            1,
            lambda t_90, t_d: dead_time_constant(t_90, 0.0),
            lambda t, tau, t_d: dead_time_step(t, 0.0, tau),
        ),
        SensorModel(
            "two-lags",
            "two equal lags",
            2,
            lambda t_90, t_d: two_lag_time_constant(t_90),
            lambda t, tau, t_d: two_lag_step(t, tau),
        ),
        SensorModel(
            "dead-time-lag", "dead time and one lag", 1, dead_time_constant, lambda t, tau, t_d: dead_time_step(t, t_d, tau)
        ),
    )
}
