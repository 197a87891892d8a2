"""What may be written of what stands around the line: contact, supply, air quality, pressure safety, upkeep, lifting.

Every table here may be left out; what depends on it is then not worked out and not judged. Within a table, silence is
taken as the cautious answer.
"""

from __future__ import annotations

from datetime import date
from typing import Annotated, Any, Literal, Self, TypeAlias

from pydantic import BeforeValidator, model_validator

from purgecalc.scenario.fields import COMMON, FIRST_YEAR, JUDGEMENT, LAST_YEAR, Part, Quantity, dim, note, read_day, wrong
from purgecalc.scenario.relations import refuse_broken
from purgecalc.scenario.use import YesNo
from purgecalc.wording import quoted

Terminal: TypeAlias = Literal["NO", "NC"]
Coil: TypeAlias = Literal["off", "on"]
Regime: TypeAlias = Literal["EU", "UK", "US", "other"]


class Wiring(Part):
    """How the command reaches motor or valve."""

    terminal: Terminal = note("terminal of the relay that is used: NO normally open, NC normally closed")
    coil_at_rest: Coil = note("state of the relay's coil between blasts")
    load: Literal["motor", "normally-closed valve", "normally-open valve"] = note("what the contact switches")
    interposing_relay: YesNo | None = note("a contactor or interposing relay carries the motor", default=None)
    contact_rating: Quantity | None = dim(
        "current", "motor rating of the contact, as a making current", default=None, above=0, most=1000, example="12 A"
    )
    suppression: YesNo | None = note("RC element, diode or varistor across the coil switched", default=None)
    run_timer: YesNo | None = note("a timer or second means that stops the air when a contact welds", default=None)
    alarm_terminal: Terminal | None = note("terminal of the failure-alarm contact", default=None)
    alarm_coil_healthy: Coil | None = note("coil of the failure-alarm relay while all is well", default=None)

    @model_validator(mode="after")
    def _alarm(self) -> Self:
        if (self.alarm_terminal is None) != (self.alarm_coil_healthy is None):
            given = "alarm_terminal" if self.alarm_terminal is not None else "alarm_coil_healthy"
            raise wrong("alarm_terminal and alarm_coil_healthy go together", given)
        return self


class Electrics(Part):
    """The single-phase supply of the source, and the name plate it has to fit."""

    voltage: Quantity = dim("voltage", "voltage of the supply", above=0, most=1000, example="230 V")
    frequency: Quantity = dim("frequency", "frequency of the supply", above=0, most=500, example="50 Hz")
    plate_voltage: Quantity = dim("voltage", "lowest rated voltage on the name plate", above=0, most=1000, example="220 V")
    plate_voltage_to: Quantity | None = dim(
        "voltage", "highest rated voltage on the name plate, where it gives a range", default=None, above=0, most=1000,
        example="240 V",
    )  # fmt: skip
    plate_frequency: Quantity = dim("frequency", "frequency on the name plate", above=0, most=500, example="50 Hz")
    plate_frequency_or: Quantity | None = dim(
        "frequency", "second frequency on the name plate", default=None, above=0, most=500, example="60 Hz"
    )
    current: Quantity | None = dim("current", "current of the source while running", default=None, above=0, most=200)
    inrush_factor: Quantity = dim(
        "ratio", "starting over running current", default="6", origin=f"{COMMON}: 5 to 7", least=1, most=20
    )
    power_factor: Quantity = dim("ratio", "power factor", default="0.8", origin="IEC 60364-5-52, if unknown", above=0, most=1)
    cable_length: Quantity | None = dim("length", "length of the supply cable, one way", default=None, above=0, most=5000)
    core_area: Quantity | None = dim(
        "area", "area of one core of the supply cable", default=None, above=1e-7, most=1e-3, example="2.5 mm2"
    )
    network: Literal["public", "private"] = note(
        "public supply, or a private one with its own transformer", default="public", origin=f"{JUDGEMENT}; the stricter"
    )
    separate: YesNo | None = note("the source has its own protected, labelled way", default=None)

    @model_validator(mode="after")
    def _fits(self) -> Self:
        refuse_broken("supply", self)
        if (self.cable_length is None) != (self.core_area is None):
            raise wrong("cable_length and core_area go together", "cable_length" if self.cable_length else "core_area")
        if self.cable_length is not None and self.current is None:
            raise wrong('a cable is worked out from the current; write e.g. current = "1.6 A"', "cable_length")
        return self


class AirQuality(Part):
    """The air the source breathes, and what is taken out of it."""

    intake_temperature: Quantity = dim(
        "temperature", "temperature where the source takes its air in", least=223.15, most=333.15, example="18 degC"
    )
    intake_humidity: Quantity = dim(
        "fraction", "relative humidity where the source takes its air in", above=0, most=1, example="55 %"
    )
    dryer_dew_point: Quantity | None = dim(
        "temperature", "pressure dew point behind a dryer", default=None, least=193.15, most=313.15, example="-20 degC"
    )
    dryer_class: int | None = note("humidity class of a dryer (ISO 8573-1), 1 to 6", default=None)
    drain: YesNo | None = note("automatic drain at the reservoir, or at the source", default=None)
    oil: Literal["oil-free", "class 1", "class 2", "class 3", "class 4", "not known"] = note(
        "oil in the air: oil-free source, or class of ISO 8573-1", default="not known", origin=f"{JUDGEMENT}; the cautious choice"
    )

    @model_validator(mode="after")
    def _dryer(self) -> Self:
        if self.dryer_class is not None and self.dryer_dew_point is not None:
            raise wrong("give dryer_dew_point or dryer_class, not both", "dryer_class")
        if self.dryer_class is not None and not 1 <= self.dryer_class <= 6:
            text = f"dryer_class = {self.dryer_class} is not a humidity class with a dew point; allowed: 1 to 6"
            raise wrong(text, "dryer_class")
        return self


class Route(Part):
    """Where the hose runs, as far as weather and water in it are concerned."""

    coldest: Quantity = dim(
        "temperature", "lowest temperature along the exposed run", least=203.15, most=323.15, example="-10 degC"
    )
    exposed_length: Quantity = dim("length", "length of hose in the open", above=0, most=1000, example="5 m")
    sag: Quantity | None = dim("length", "deepest low point of the hose", default=None, least=0, most=50, example="0.3 m")
    low_drain: YesNo | None = note("low points and the foot of the exposed run can drain", default=None)


class PressureSafety(Part):
    """What limits the pressure, and whose rules apply."""

    regime: Regime = note(
        "whose rules apply: EU, UK, US or other; says where to look and whose noise values count, never a conclusion"
    )
    relief: Quantity | None = dim("pressure", "set pressure of the relief valve", default=None, least=1e3, most=16e5)
    vessel_pressure: Quantity | None = dim(
        "pressure", "greatest pressure on the plate of the reservoir (PS)", default=None, least=1e3, most=50e5
    )

    @model_validator(mode="after")
    def _gauge(self) -> Self:
        for key in ("relief", "vessel_pressure"):
            given: Any = getattr(self, key)
            if given is not None and given.state == "absolute":
                raise wrong(f'{key} = "{given}": a plate or a relief valve says gauge pressure, e.g. "3 bar(g)"', key)
        return self


class Noise(Part):
    """Who hears it."""

    ear_distance: Quantity = dim("length", "distance from head or compressor to the ear", default="1 m", origin=COMMON, least=0.1)
    presence: Quantity = dim("time", "time somebody works near it in a day", default="1 h", origin=JUDGEMENT, above=0, most=86400)
    compressor_level: Quantity | None = dim(
        "ratio", "level of the compressor at 1 m, dB(A)", default=None, least=20, most=130, example="65"
    )


class Lifting(Part):
    """What comes up when the probe is lifted."""

    probe_mass: Quantity = dim("mass", "mass of probe and head", above=0, most=200, example="1.5 kg")
    pole_mass: Quantity = dim("mass", "mass of the pole or chain", least=0, most=200, example="4 kg")
    pole_bore: Quantity | None = dim(
        "length",
        "inside diameter of a pole that fills with water and brings it up",
        default=None,
        above=0,
        most=0.5,
        example="40 mm",
    )
    hose_mass: Quantity = dim("mass", "mass of the hose and cable lifted", least=0, most=200, example="1 kg")
    rag_mass: Quantity = dim("mass", "rag and growth that come up with it", default="1 kg", origin=JUDGEMENT, least=0, most=200)
    height: Literal["head height", "shoulder height", "elbow height", "knuckle height", "lower leg"] = note(
        "height at which the load is held", default="shoulder height", origin=f"{JUDGEMENT}; over a guard rail"
    )
    arms_length: YesNo = note("held at arm's length", default="yes", origin=f"{JUDGEMENT}; the cautious choice")
    reach: Quantity | None = dim("length", "horizontal reach from the shoulder", default=None, above=0, most=3)


def _day(value: Any) -> Any:
    day = read_day(value)
    if day is None:
        raise wrong(f'{quoted(value)} is not a date from {FIRST_YEAR} to {LAST_YEAR}; write start = "2026-03-01"')
    return day


class Upkeep(Part):
    """From when, and how long the parts last."""

    start: Annotated[date, BeforeValidator(_day)] = note("date from which upkeep is counted, e.g. 2026-03-01, in quotes")
    seal_life: Quantity | None = dim(
        "time", "running time the compressor's seal lasts", default=None, above=0, most=1e9, example="3000 h"
    )
    valve_life: int | None = note("operations the blast valve lasts", default=None)
    element_life: Quantity | None = dim(
        "time", "time the sensing element lasts", default=None, above=86400, most=1e9, example="730 d"
    )

    @model_validator(mode="after")
    def _life(self) -> Self:
        refuse_broken("upkeep", self)
        return self
