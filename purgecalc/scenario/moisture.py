"""What may be written of water in the air, and of the cold on its way."""

from __future__ import annotations

from typing import Literal, Self

from pydantic import model_validator

from purgecalc.scenario.fields import JUDGEMENT, Part, Quantity, YesNo, dim, note, wrong


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
    drain: YesNo | None = note("automatic drain at the receiver, or at the source", default=None)
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
