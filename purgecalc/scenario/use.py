"""What may be written of the use a reading is put to: sensor, outputs, control loop, fouling, effort.

Every table here may be left out; what depends on it is then not worked out and not judged.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal, Self, TypeAlias

from pydantic import BeforeValidator, model_validator

from purgecalc.scenario.fields import COMMON, JUDGEMENT, Part, Quantity, dim, note, wrong
from purgecalc.units import Measure

CONSUMERS = ("analogue", "bus", "relay", "local_alarm", "historian")
"""Everyone who may be reading the probe."""


def _word(value: Any) -> Any:
    """``true`` and ``false`` are taken for yes and no."""
    return ("no", "yes")[value] if isinstance(value, bool) else value


YesNo: TypeAlias = Annotated[Literal["yes", "no"], BeforeValidator(_word)]
Treatment: TypeAlias = Literal["freeze-last", "park-at-value", "live", "unused"]


class Sensing(Part):
    """How the sensor follows its input, and how its value is sampled and held: fields of the probe."""

    sensor: Literal["one-lag", "two-lags", "dead-time-lag"] = note(
        "how the sensor follows a step", default="one-lag", origin=f"{JUDGEMENT}; what a bare t90 says"
    )
    t90_of: Literal["rising", "falling"] | None = note(
        "step that the response time was found with; after a blast the reading falls", default=None
    )
    settling_factor: Quantity | None = dim(
        "ratio", "times the end of the fall takes what one lag of the t90 takes", default=None, least=1, most=5, example="1.15"
    )
    slow_share: Quantity = dim(
        "ratio", "share of the sensor that follows slowly, where t95, t98 or t99 stands beside t90", default="0.2",
        origin=JUDGEMENT, least=0.02, most=0.5,
    )  # fmt: skip
    dead_time: Quantity | None = dim("time", "dead time, within t90", default=None, above=0, most=3600, example="10 s")
    plume_length: Quantity | None = dim(
        "length", "height the last bubbles rise to be clear of the face", default=None, least=0, most=50, example="0.5 m"
    )
    scan: Quantity | None = dim("time", "time between two samples of the reading", default=None, least=0, most=600, example="1 s")
    filter: Quantity | None = dim(
        "time", "filter time of the transmitter, counted within t90", default=None, least=0, most=3600, example="5 s"
    )
    average: Quantity | None = dim(
        "time", "averaging time further down (controller input, historian)", default=None, least=0, most=86400, example="1 min"
    )
    latch: Literal["median", "last"] | None = note(
        "value that is frozen: median of the last good samples, or the last sample", default=None
    )
    longest_freeze: Quantity | None = dim(
        "time", "time after which a freeze is ended, whatever the sequence says", default=None, above=0, most=86400,
        example="4 min",
    )  # fmt: skip


def check_sensing(probe: Sensing, times: list[str], usual: Measure) -> None:
    """Sensor model and response time must fit each other; ``times`` are those given, ``usual`` the catalogue's t90."""
    if (probe.sensor == "dead-time-lag") != (probe.dead_time is not None):
        raise wrong(
            'dead_time and sensor = "dead-time-lag" go together', "dead_time" if probe.dead_time is not None else "sensor"
        )
    if probe.dead_time is not None and not times and probe.dead_time.value >= usual.value:
        raise wrong(
            f'dead_time "{probe.dead_time}" is not shorter than the t90 of {usual} that the catalogue has; give t90 as well',
            "dead_time",
        )
    if probe.sensor != "one-lag" and times and times != ["t90"]:
        odd = next(t for t in times if t != "t90")
        raise wrong(f'{odd} can be used for sensor = "one-lag" only; give t90 alone', odd)
    known = [t for t in times if t in ("t99", "timed_fall")] or times[1:]
    if probe.settling_factor is not None and known:
        raise wrong(f"give settling_factor or {known[0]}, not both: each tells how the fall ends", "settling_factor")
    if probe.t90_of is not None and (not times or "timed_fall" in times):
        raise wrong("t90_of tells of a stated response time, e.g. t90; none is stated", "t90_of")


class Outputs(Part):
    """Who reads the probe, and what each of them gets while it is blind."""

    analogue: Treatment | None = note("analogue output", default=None)
    bus: Treatment | None = note("value on the bus", default=None)
    relay: Treatment | None = note("relay contacts of the transmitter", default=None)
    local_alarm: Treatment | None = note("alarm on the transmitter", default=None)
    historian: Treatment | None = note("recorder or historian", default=None)
    park_value: Quantity | None = dim("concentration", "value an output is parked at", default=None, least=0, most=0.05)
    status: Literal["function check", "good"] = note(
        "status sent with a held value (function check in the sense of NAMUR NE 107)",
        default="good", origin=f"{JUDGEMENT}; the cautious choice",
    )  # fmt: skip

    @model_validator(mode="after")
    def _park(self) -> Self:
        parked = [c for c in CONSUMERS if getattr(self, c) == "park-at-value"]
        if bool(parked) != (self.park_value is not None):
            raise wrong("park_value and the treatment park-at-value go together", parked[0] if parked else "park_value")
        return self


class Loop(Part):
    """The aeration control that acts on the reading; leave it out where the probe only monitors."""

    uptake: Quantity = dim("concentration rate", "oxygen uptake rate of the tank", above=0, most=5e-4, example="40 mg/L/h")
    load_step: Quantity = dim(
        "fraction", "rise of the uptake that may come while blind", default="20 %", origin=JUDGEMENT, least=0, most=2
    )
    gain: Quantity = dim(
        "controller gain", "controller gain, airflow over oxygen", default="10 %/(mg/L)", origin=COMMON, above=0, most=1e4
    )
    integral_time: Quantity = dim("time", "integral time", default="5 min", origin=COMMON, least=1, most=86400)
    tracking: YesNo = note(
        "controller output stands still while blind and takes over without a step",
        default="no", origin=f"{JUDGEMENT}; the cautious choice",
    )  # fmt: skip
    reads: Literal["analogue", "bus"] = note("the output the controller reads", default="analogue", origin=COMMON)
    actuator_t90: Quantity = dim(
        "time", "response time of the airflow to 90 %", default="4 min", origin="Benchmark Simulation Model no. 1",
        above=0, most=7200,
    )  # fmt: skip
    saturation_factor: Quantity = dim(
        "ratio", "oxygen saturation effective in the tank over that of clean water at its surface",
        default="1", origin=f"{JUDGEMENT}; salts lower it, deep diffusers raise it", least=0.3, most=3,
    )  # fmt: skip
    blower_power: Quantity | None = dim(
        "power", "power of the blowers at mean airflow", default=None, above=0, most=1e7, example="55 kW"
    )


class Fouling(Part):
    """What grows on the probe, what a blast takes off it, and what it does to the reading."""

    growth: Quantity = dim("growth rate", "growth rate of the film", above=0, most=1e-3, example="1.5 per day")
    removal: Quantity = dim(
        "fraction", "share of the film a blast takes off", default="10 %", origin=f"{JUDGEMENT}: 5 to 30 %, no published figure",
        above=0, below=1,
    )  # fmt: skip
    bias_rate: Quantity | None = dim(
        "concentration rate", "bias gained without cleaning (from two wipes), without sign", default=None, above=0, most=1e-6,
        example="0.06 mg/L/d",
    )  # fmt: skip
    bias_at_full: Quantity | None = dim(
        "concentration", "bias under a full film, without sign", default=None, above=0, most=0.05, example="1 mg/L"
    )
    sign: Literal["low", "high"] | None = note("whether film makes the probe read low or high", default=None)
    wipe_interval: Quantity = dim(
        "time", "time between wipes by hand", default="30 d", origin=COMMON, least=3600, most=3 * 366 * 86400.0, example="30 d"
    )
    hard: YesNo | None = note("growth that air cannot shift (scale, shell, grease)", default=None)


class Effort(Part):
    """What wiping and purging cost, so that they can be compared; in energy, because that needs no currency."""

    visit: Quantity = dim("time", "labour of one wipe, with travel", default="30 min", origin=COMMON, least=60, most=172800)
    service: Quantity = dim("time", "labour a purge needs in a year", default="4 h", origin=COMMON, least=0, most=3.6e6)
    hour_buys: Quantity = dim(
        "electrical energy", "electrical energy an hour of labour would buy", default="200 kWh", origin=JUDGEMENT,
        above=0, most=3.6e10, example="200 kWh",
    )  # fmt: skip
    standing: Quantity = dim(
        "electrical energy", "a year's share of the purchase, as the energy it would buy", default="0 kWh",
        origin="already bought", least=0, most=3.6e12, example="500 kWh",
    )  # fmt: skip


def check_use(kind: str, set_point: Any, loop: Loop | None, fouling: Fouling | None, effort: Effort | None) -> None:
    """The tables of use must fit the probe and each other."""
    from purgecalc.catalogue.probes import probe_kind

    oxygen = probe_kind(kind).parameter == "oxygen"
    if loop is not None and not oxygen:
        raise wrong(f"a loop is worked out for oxygen probes only; this probe is {kind}", "loop")
    if loop is not None and set_point is None:
        raise wrong('a loop needs set_point of the probe, e.g. set_point = "2.0 mg/L"', "probe")
    if fouling is not None and not oxygen and (fouling.bias_rate is not None or fouling.bias_at_full is not None):
        raise wrong(
            "bias_rate and bias_at_full are concentrations; leave them out for a probe that reads something else", "fouling"
        )
    if effort is not None and (loop is None or loop.blower_power is None or fouling is None or fouling.bias_rate is None):
        raise wrong(
            "effort is weighed against bias and air: it needs loop with blower_power, and fouling with bias_rate", "effort"
        )
