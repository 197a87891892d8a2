"""What may be written for the commissioning note: whose it is, and how well the inputs are known."""

from __future__ import annotations

import re
from datetime import date
from typing import Annotated, Any

from pydantic import BeforeValidator, ConfigDict

from purgecalc.scenario.fields import (
    COMMON,
    FIRST_YEAR,
    JUDGEMENT,
    LAST_YEAR,
    Part,
    Quantity,
    dim,
    note,
    read_day,
    written,
    wrong,
)
from purgecalc.wording import quoted

LONGEST_NOTE = 2000
"""Characters of one field: a paragraph, not a report."""


def _words(value: Any) -> Any:
    """Text of one or more lines; a date may be written without quotes."""
    if isinstance(value, date):
        return value.isoformat()
    if not isinstance(value, str):
        raise wrong(f'{value!r} is not text; write it in quotes, e.g. "A. Author"')
    if len(value) > LONGEST_NOTE:
        raise wrong(f"the text has {len(value)} characters; allowed: at most {LONGEST_NOTE}")
    return written(value)


def _date(value: Any) -> Any:
    """Any words may say when; what is written like a date must be one."""
    said = _words(value)
    if re.fullmatch(r"\d{4}-\d\d-\d\d", said.strip()) and read_day(said) is None:
        raise wrong(f'{quoted(said)} is not a date from {FIRST_YEAR} to {LAST_YEAR}; write e.g. date = "2026-03-01"')
    return said.strip()


Words = Annotated[str | None, BeforeValidator(_words)]


class Paper(Part):
    """Whose note it is. What is left out becomes a blank line to be filled in by hand."""

    model_config = ConfigDict(str_max_length=LONGEST_NOTE)

    project: Words = note("project or contract", default=None)
    client: Words = note("who it is done for", default=None)
    location: Words = note("works, tank and place of the probe", default=None)
    document: Words = note("number of this document", default=None)
    revision: Words = note("revision of this document", default=None)
    date: Annotated[str | None, BeforeValidator(_date)] = note(
        "date of this document; none is printed unless given", default=None
    )
    author: Words = note("who wrote it", default=None)
    checker: Words = note("who checked it", default=None)
    drawings: Words = note("drawings and records referred to", default=None)
    phase: Words = note("phase or milestone it belongs to", default=None)
    scope: Words = note("what it covers and what not", default=None)
    remarks: Words = note("anything else a reader must know", default=None)


def _share(help: str, default: str, origin: str) -> Any:
    return dim("fraction", help, default=default, origin=origin, least=0, below=1)


class Uncertainty(Part):
    """How far each input may be off, either way: what the bands of the note are worked out from."""

    bore: Quantity = _share("bore of the hose", "5 %", f"{COMMON}: extruded hose")
    source_flow: Quantity = _share("flow of the source", "15 %", f"{COMMON}: a plate figure")
    dead_head: Quantity = _share("highest pressure of the source, cut-in and cut-out", "5 %", JUDGEMENT)
    hole: Quantity = _share("diameter of the holes", "3 %", f"{COMMON}: drilled holes")
    discharge: Quantity = _share("discharge coefficient of the holes", "8 %", JUDGEMENT)
    loss: Quantity = _share("loss coefficient of the fittings", "30 %", f"{COMMON}: published figures scatter so")
    friction: Quantity = _share("friction of the hose, between laminar and turbulent flow", "15 %", "scatter of measured pipes")
    depth: Quantity = dim(
        "length", "depth of the head", default="0.1 m", origin=f"{COMMON}: level of the water", least=0, most=20
    )
    check_valve: Quantity = _share("pressure the check valve keeps", "20 %", JUDGEMENT)
    conductance: Quantity = _share("conductance of the valve", "10 %", JUDGEMENT)
    volume: Quantity = _share("volume of the receiver", "3 %", JUDGEMENT)
    response: Quantity = _share(
        "response time of the probe", "20 %", f"{JUDGEMENT}: temperature 1 to 2 % a kelvin, flow past the face to the power -0.5"
    )
    clearing: Quantity = _share("time for bubbles to clear and water to mix", "40 %", JUDGEMENT)
    wall: Quantity = _share("heat passed by the receiver's wall", "50 %", "measured on a vessel of 16 L: film 5 to 15 W/m2K")
    temperature: Quantity = dim(
        "ratio",
        "temperature of water and air, in kelvin either way",
        default="2",
        origin=JUDGEMENT,
        least=0,
        most=20,
        example="2",
    )
    gauge: Quantity = _share("error of a pressure gauge, as a share of its full scale", "1.6 %", f"{COMMON}: class 1.6")
