"""What may be written of how a sensor follows, how its value is sampled and held, and what each user of the reading gets.

What a table of use (``outputs``, ``loop``, ``fouling``, ``worth``) would need is neither worked out nor judged without
it. Within a table, silence is the cautious answer: a reader not named is not held, a controller is left live, a held
value looks good.
"""

from __future__ import annotations

from typing import Any, Literal, Self, TypeAlias

from pydantic import model_validator

from purgecalc.scenario.fields import JUDGEMENT, Part, Quantity, dim, note, wrong
from purgecalc.scenario.fouling import Fouling
from purgecalc.scenario.loop import Loop
from purgecalc.scenario.worth import Worth
from purgecalc.units import Measure

USERS = ("analogue", "bus", "relay", "local_alarm", "historian")
"""Everyone who may be reading the probe."""
Treatment: TypeAlias = Literal["hold-last", "substitute", "live", "unused"]


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
        "ratio",
        "share of the sensor that follows slowly, where t95, t98 or t99 stands beside t90",
        default="0.2",
        origin=JUDGEMENT,
        least=0.02,
        most=0.5,
    )
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
    held_value: Literal["median", "last"] | None = note(
        "value that is held: median of the last good samples, or the last sample", default=None
    )
    longest_hold: Quantity | None = dim(
        "time", "time after which a hold is ended, whatever the sequence says", default=None, above=0, most=86400, example="4 min"
    )


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
    """Users of the reading, and what each of them gets while it is held."""

    analogue: Treatment | None = note("analogue output", default=None)
    bus: Treatment | None = note("value on the bus", default=None)
    relay: Treatment | None = note("relay contacts of the transmitter", default=None)
    local_alarm: Treatment | None = note("alarm on the transmitter", default=None)
    historian: Treatment | None = note("recorder or historian", default=None)
    substitute_value: Quantity | None = dim("concentration", "value an output is set to", default=None, least=0, most=0.05)
    status: Literal["function check", "good"] = note(
        "status sent with a held value (function check in the sense of NAMUR NE 107)",
        default="good",
        origin=f"{JUDGEMENT}; the cautious choice",
    )

    @model_validator(mode="after")
    def _substitute(self) -> Self:
        substituted = [c for c in USERS if getattr(self, c) == "substitute"]
        if bool(substituted) != (self.substitute_value is not None):
            raise wrong(
                "substitute_value and the treatment substitute go together", substituted[0] if substituted else "substitute_value"
            )
        return self


def check_use(kind: str, set_point: Any, loop: Loop | None, fouling: Fouling | None, worth: Worth | None) -> None:
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
    if worth is not None and (loop is None or loop.blower_power is None or fouling is None or fouling.bias_rate is None):
        raise wrong("worth is weighed against bias and air: it needs loop with blower_power, and fouling with bias_rate", "worth")
