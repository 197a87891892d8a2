"""What may be written of the control loop that acts on the reading. Left out, nothing of it is calculated or judged."""

from __future__ import annotations

from typing import Literal

from purgecalc.scenario.fields import COMMON, JUDGEMENT, Part, Quantity, YesNo, dim, note


class Loop(Part):
    """The aeration control that acts on the reading; leave it out where the probe only monitors."""

    uptake: Quantity = dim("concentration rate", "oxygen uptake rate of the tank", above=0, most=5e-4, example="40 mg/L/h")
    load_step: Quantity = dim(
        "fraction", "rise of the uptake that may come while held", default="20 %", origin=JUDGEMENT, least=0, most=2
    )
    gain: Quantity = dim(
        "controller gain", "controller gain, airflow over oxygen", default="10 %/(mg/L)", origin=COMMON, above=0, most=1e4
    )
    integral_time: Quantity = dim("time", "integral time", default="5 min", origin=COMMON, least=1, most=86400)
    tracking: YesNo = note(
        "controller output stands still while held and takes over without a step",
        default="no",
        origin=f"{JUDGEMENT}; the cautious choice",
    )
    reads: Literal["analogue", "bus"] = note("the output the controller reads", default="analogue", origin=COMMON)
    actuator_t90: Quantity = dim(
        "time",
        "response time of the airflow to 90 %",
        default="4 min",
        origin="Benchmark Simulation Model no. 1",
        above=0,
        most=7200,
    )
    saturation_factor: Quantity = dim(
        "ratio",
        "oxygen saturation effective in the tank over that of clean water at its surface",
        default="1",
        origin=f"{JUDGEMENT}; salts lower it, deep diffusers raise it",
        least=0.3,
        most=3,
    )
    blower_power: Quantity | None = dim(
        "power", "power of the blowers at mean airflow", default=None, above=0, most=1e7, example="55 kW"
    )
