"""Readings taken at commissioning: the blank form, what was filled in, and how each is judged."""

from __future__ import annotations

import difflib
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from purgecalc.errors import Problem, ScenarioError
from purgecalc.scenario import ScenarioInputs
from purgecalc.scenario.lines import KeyLines
from purgecalc.studies.expected import Expected
from purgecalc.units import UnitProblem, parse, show, span

TOP = ("scenario", "input_hash", "date", "by", "reading")
"""What may stand at the top of a readings file."""


@dataclass(frozen=True)
class Line:
    """One thing to measure on one purge line; ``id`` names it in the readings file."""

    id: str
    line: str
    expected: Expected


@dataclass(frozen=True)
class Reading:
    """What was measured (SI), as it was written, and how far the instrument may be off."""

    value: float
    text: str
    instrument: float | None = None
    instrument_text: str = ""


@dataclass(frozen=True)
class Readings:
    """A filled-in form."""

    values: Mapping[str, Reading]
    date: str
    by: str
    other_scenario: bool
    """True where the form was made for another state of the scenario."""


def form_lines(tables: Sequence[tuple[str, Sequence[Expected]]]) -> list[Line]:
    """Everything to measure, with ids: that of the quantity, behind the number of the line where there are several.

    What is of the source that lines share stands once, with the first.
    """
    many = len(tables) > 1
    return [
        Line(f"{i}.{e.test.id}" if many and not e.test.once else e.test.id, name, e)
        for i, (name, expected) in enumerate(tables, 1)
        for e in expected
        if i == 1 or not e.test.once
    ]


def head(scenario: ScenarioInputs) -> str:
    """What a readings file begins with."""
    return (
        f"# Readings for the commissioning note. Write what was measured with its unit; leave out what was not.\n"
        f'scenario = {_quoted(scenario.title)}\ninput_hash = "{scenario.hash}"\ndate = ""\nby = ""\n\n'
    )


def blank_form(scenario: ScenarioInputs, lines: Sequence[Line]) -> str:
    """The form to take to site."""
    parts = [head(scenario)]
    for line in lines:
        e = line.expected
        where = f"{line.line}: " if line.id != e.test.id else ""
        parts.append(f"# {where}{e.test.what}: {e.test.how}\n# expected {e.figure}; passes {passes_text(e)}\n")
        parts.append(f'[reading."{line.id}"]\nvalue = ""       # e.g. "{show(e.value, e.kind)}"\n')
        parts.append('instrument = ""  # how far it may be off, e.g. "1 %" or in the unit of the value\n\n')
    return "".join(parts)


def passes_text(e: Expected) -> str:
    """The pass band in words."""
    if e.passes is None:
        return e.why_none
    low, high = e.passes
    if low == -high:
        return f"at most {show(high, e.kind)} either way"
    if low == high:
        return show(high, e.kind)
    return f"at most {show(high, e.kind)}" if low in (float("-inf"), 0.0) else span(low, high, e.kind)


def _quoted(text: str) -> str:
    from json import dumps

    return dumps(text, ensure_ascii=False)


def read_form(text: str, file: str, scenario: ScenarioInputs, lines: Sequence[Line]) -> Readings:
    """Read a filled-in form; raises ``ScenarioError`` with every problem found."""
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise ScenarioError([Problem("", f"not TOML: {error}", file)]) from None
    known, spots = {line.id: line for line in lines}, KeyLines(text)
    values: dict[str, Reading] = {}
    stray = sorted(set(data) - {*TOP})
    problems = [_problem(file, spots, (key,), f"unknown key; known here: {', '.join(TOP)}") for key in stray]
    table = data.get("reading", {})
    if not isinstance(table, dict):
        problems.append(_problem(file, spots, ("reading",), 'is not a table; write [reading."..."] and value = "..." under it'))
        table = {}
    for id, entry in table.items():
        try:
            reading = _reading(id, entry, known)
        except UnitProblem as problem:
            problems.append(_problem(file, spots, ("reading", id), str(problem)))
            continue
        if reading is not None:
            values[id] = reading
    if problems:
        raise ScenarioError(problems)
    other = data.get("input_hash", scenario.hash) != scenario.hash
    return Readings(values, str(data.get("date", "")), str(data.get("by", "")), other)


def _problem(file: str, spots: KeyLines, path: tuple[str, ...], message: str) -> Problem:
    spot = spots.find(path)
    name = path[0] if len(path) == 1 else f'{path[0]}."{path[1]}"'
    return Problem(name, message, file, spot.line if spot else 0)


def _reading(id: str, entry: Any, known: Mapping[str, Line]) -> Reading | None:
    if id not in known:
        near = difflib.get_close_matches(id, known, n=1)
        hint = f"did you mean {near[0]}?" if near else f"known: {', '.join(known)}"
        raise UnitProblem(f"nothing to measure is called so; {hint}")
    if not isinstance(entry, dict):
        raise UnitProblem('is not a table; write [reading."..."] and value = "..." under it')
    stray = set(entry) - {"value", "instrument"}
    if stray:
        raise UnitProblem(f"unknown key {', '.join(sorted(stray))}; known here: value, instrument")
    text = str(entry.get("value", "")).strip()
    if not text:
        return None
    e = known[id].expected
    value = _figure(text, e)
    said = str(entry.get("instrument", "")).strip()
    off = None if not said else (parse(said, "fraction").value * abs(value) if said.endswith("%") else _difference(said, e))
    return Reading(value, text, off, said)


def _figure(text: str, e: Expected) -> float:
    if e.kind == "gauge pressure":
        measure = parse(text, "pressure", "0.32 bar(g)")
        if measure.state != "gauge":
            raise UnitProblem(f'"{text}" is absolute; this line wants what a gauge reads, e.g. "0.32 bar(g)"')
        return measure.value
    if e.kind == "rate":
        return parse(text, "rate", "2 per hour").value
    return parse(text, e.kind).value


def _difference(text: str, e: Expected) -> float:
    kind = "pressure difference" if e.kind == "gauge pressure" else e.kind
    return parse(text, kind).value


def judged(e: Expected, reading: Reading) -> str:
    """In words: passes, outside and what that may mean, or what cannot be told."""
    if e.passes is None:
        return e.why_none
    low, high = e.passes
    if reading.instrument is not None and low != float("-inf") and reading.instrument > (high - low) / 2:
        return "cannot tell: the instrument may be off by more than the band"
    if low <= reading.value <= high:
        return "passes"
    side = "low" if reading.value < low else "high"
    return f"outside, {side}: {e.test.fails_means}"
