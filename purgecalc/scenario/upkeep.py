"""What may be written of upkeep: when it began, and how long parts last."""

from __future__ import annotations

from datetime import date
from typing import Annotated, Any, Self

from pydantic import BeforeValidator, model_validator

from purgecalc.scenario.fields import FIRST_YEAR, LAST_YEAR, Part, Quantity, dim, note, read_day, wrong
from purgecalc.scenario.relations import refuse_broken
from purgecalc.wording import quoted


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
