"""What may be written in a scenario. Each field carries its unit, range, default, and the default's origin."""

from __future__ import annotations

from typing import Annotated, Any, Self, TypeAlias

from pydantic import BeforeValidator, Field, WithJsonSchema, model_validator

from purgecalc.scenario import fields
from purgecalc.scenario.facts import SiteFacts
from purgecalc.scenario.fields import JUDGEMENT, Name, Part, Quantity, Reason, dim, note, wrong
from purgecalc.scenario.line import Line
from purgecalc.scenario.moisture import AirQuality
from purgecalc.scenario.note import Paper, Uncertainty
from purgecalc.scenario.pressure import PressureSafety
from purgecalc.scenario.source import SourcePart
from purgecalc.scenario.supply import Electrics
from purgecalc.scenario.upkeep import Upkeep
from purgecalc.wording import quoted


class Site(Part):
    """Where the line stands."""

    altitude: Quantity = dim(
        "altitude", "altitude of the site above sea level", default="0 m", origin="sea level", least=-500, most=9000
    )
    pressure: Quantity | None = dim(
        "pressure", "atmospheric pressure, if measured", default=None, least=30e3, most=110e3, example="1.005 bar(a)"
    )
    air_temperature: Quantity = dim(
        "temperature",
        "temperature of the air",
        default="15 degC",
        origin="standard atmosphere, quoted from memory",
        least=223.15,
        most=333.15,
    )

    @model_validator(mode="after")
    def _absolute(self) -> Self:
        if self.pressure is not None and self.pressure.state == "gauge":
            raise wrong(f'pressure = "{self.pressure}": atmospheric pressure must be absolute, e.g. "1.005 bar(a)"', "pressure")
        return self


class Water(Part):
    """The water the probe hangs in."""

    temperature: Quantity = dim(
        "temperature", "temperature of the water", default="15 degC", origin=JUDGEMENT, least=273.15, most=318.15
    )
    salinity: Quantity = dim("salinity", "salinity of the water", default="0 g/kg", origin="fresh water", least=0, most=0.042)


MOST_LINES, MOST_RULES = 100, 200
"""Purge lines of one source, and rules named in one table."""


def _limit(value: Any) -> Any:
    """Text with a unit or a plain number; what it must come to is known where the rules are."""
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        raise wrong(f'{quoted(value)} is not a limit; write text with its unit, e.g. "15 m", or a plain number')
    return value


Limit: TypeAlias = Annotated[Any, BeforeValidator(_limit), WithJsonSchema({"type": ["string", "number"]})]
Limits: TypeAlias = Annotated[dict[str, Limit], Field(max_length=MOST_RULES)]
Waivers: TypeAlias = Annotated[dict[str, Reason], Field(max_length=MOST_RULES)]


class Scenario(Part):
    """One air source and the purge lines on it."""

    title: Name = note("name of the installation", default="untitled", origin="not named")
    site: Site = note("the site", default=Site())
    water: Water = note("the water", default=Water())
    source: SourcePart = note("the air source")
    supply: Electrics | None = note("the electrical supply of the source", default=None)
    moisture: AirQuality | None = note("the air the source breathes", default=None)
    pressure: PressureSafety | None = note("what limits the pressure, and whose rules apply", default=None)
    upkeep: Upkeep | None = note("from when, and how long the parts last", default=None)
    site_facts: SiteFacts | None = note("what only a person on site can know: yes, no or unknown", default=None)
    line: Annotated[tuple[Line, ...], Field(max_length=MOST_LINES)] = note("the purge lines")
    limits: Limits = note("limits of rules set differently here, by rule name", default={})
    waive: Waivers = note("findings accepted with a reason, by rule name", default={})
    uncertainty: Uncertainty = note("how far inputs may be off, for the bands of the note", default=Uncertainty())
    note: Paper = fields.note("whose commissioning note it is", default=Paper())

    @model_validator(mode="after")
    def _lines(self) -> Self:
        if not self.line:
            raise wrong("at least one [[line]] is needed")
        if self.source.kind == "receiver" and any(line.valve is None for line in self.line):
            bare = [i for i, line in enumerate(self.line, 1) if line.valve is None]
            raise wrong(f"a receiver needs a valve on every line; line {bare[0]} has none", "line")
        names = [line.name for line in self.line]
        twice = sorted({n for n in names if names.count(n) > 1})
        if twice:
            raise wrong(f"two lines are called {twice[0]!r}; give each [[line]] its own name")
        return self
