"""What may be written of the electrical supply of the source."""

from __future__ import annotations

from typing import Literal, Self

from pydantic import model_validator

from purgecalc.scenario.fields import COMMON, JUDGEMENT, Part, Quantity, YesNo, dim, note, wrong
from purgecalc.scenario.relations import refuse_broken


class Electrics(Part):
    """The single-phase supply of the source, and the name plate it has to fit."""

    voltage: Quantity = dim("voltage", "voltage of the supply", above=0, most=1000, example="230 V")
    frequency: Quantity = dim("frequency", "frequency of the supply", above=0, most=500, example="50 Hz")
    plate_voltage: Quantity = dim("voltage", "lowest rated voltage on the name plate", above=0, most=1000, example="220 V")
    plate_voltage_to: Quantity | None = dim(
        "voltage",
        "highest rated voltage on the name plate, where it gives a range",
        default=None,
        above=0,
        most=1000,
        example="240 V",
    )
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
    conductor_area: Quantity | None = dim(
        "area", "area of one conductor of the supply cable", default=None, above=1e-7, most=1e-3, example="2.5 mm2"
    )
    network: Literal["public", "private"] = note(
        "public supply, or a private one with its own transformer", default="public", origin=f"{JUDGEMENT}; the stricter"
    )
    separate: YesNo | None = note("the source has its own protected, labelled way", default=None)

    @model_validator(mode="after")
    def _fits(self) -> Self:
        refuse_broken("supply", self)
        if (self.cable_length is None) != (self.conductor_area is None):
            raise wrong("cable_length and conductor_area go together", "cable_length" if self.cable_length else "conductor_area")
        if self.cable_length is not None and self.current is None:
            raise wrong('a cable is worked out from the current; write e.g. current = "1.6 A"', "cable_length")
        return self
