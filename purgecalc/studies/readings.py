"""Readings taken at commissioning: the blank form, what was filled in, and how each is judged."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from purgecalc.errors import Problem, ScenarioError
from purgecalc.scenario import ScenarioInputs
from purgecalc.scenario.fields import FIRST_YEAR, LAST_YEAR, LONGEST_WORDS, read_day
from purgecalc.scenario.positions import KeyLines
from purgecalc.scenario.toml_text import TomlProblem, parse_toml
from purgecalc.studies.expected import Expected
from purgecalc.units import UnitProblem, parse, show, span
from purgecalc.wording import nearest, quoted

POSSIBLE = {
    "gauge pressure": (-1e5, 1e7),
    "pressure difference": (-1e5, 1e7),
    "volume flow": (0.0, 1.0),
    "time": (0.0, 31 * 86400.0),
    "rate": (0.0, 1.0),
    "concentration": (-0.1, 0.1),
    "voltage": (0.0, 1000.0),
    "fraction": (-1.0, 1.0),
    "ratio": (0.0, 200.0),
}
"""What can be read on an instrument at all, by kind of figure (SI)."""
MANY = 2
"""More readings than so many times the things to measure are no form of ours."""
TOP = ("scenario", "input_hash", "date", "by", "reading")
"""What may stand at the top of a readings file."""


@dataclass(frozen=True)
class FormLine:
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


def form_lines(tables: Sequence[tuple[str, Sequence[Expected]]]) -> list[FormLine]:
    """Everything to measure, with ids: that of the quantity, behind the number of the line where there are several.

    What is of the source that lines share stands once, with the first that has it, and by the line where it is greatest: the
    level at the ear is that of whoever is nearest.
    """
    every = [(i, name, e) for i, (name, expected) in enumerate(tables, 1) for e in expected]
    lines: dict[str, FormLine] = {}
    for i, name, e in every:
        id = f"{i}.{e.test.id}" if len(tables) > 1 and not e.test.once else e.test.id
        if id not in lines:
            same = [(n, x) for _, n, x in every if x.test.id == id] or [(name, e)]
            lines[id] = FormLine(id, *max(same, key=lambda of: of[1].value))
    return list(lines.values())


def head(scenario: ScenarioInputs) -> str:
    """What a readings file begins with."""
    return (
        f"# Readings for the commissioning note. Write what was measured with its unit; leave out what was not.\n"
        f'scenario = {_quoted(scenario.title)}\ninput_hash = "{scenario.hash}"\ndate = ""\nby = ""\n\n'
    )


def blank_form(scenario: ScenarioInputs, lines: Sequence[FormLine]) -> str:
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


def read_form(text: str, file: str, scenario: ScenarioInputs, lines: Sequence[FormLine]) -> Readings:
    """Read a filled-in form; raises ``ScenarioError`` with every problem found."""
    try:
        data = parse_toml(text)
    except TomlProblem as problem:
        raise ScenarioError([Problem("", str(problem), file, problem.line)]) from None
    known, spots = {line.id: line for line in lines}, KeyLines(text)
    values: dict[str, Reading] = {}
    problems = [_problem(file, spots, (key,), why) for key, why in _faults_of_top(data, len(known))]
    for id, entry in _entries(data, len(known)).items():
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
    return Readings(values, str(data.get("date", "")), data.get("by", ""), other)


def _faults_of_top(data: Mapping[str, Any], lines: int) -> Iterator[tuple[str, str]]:
    """What is wrong with what stands at the top of the form, by key, and with its ``reading`` tables taken together."""
    for key in sorted(set(data) - {*TOP}):
        yield key, f"unknown key; known here: {', '.join(TOP)}"
    table = data.get("reading", {})
    if not isinstance(table, dict):
        yield "reading", 'is not a table; write [reading."..."] and value = "..." under it'
    elif len(table) > MANY * lines:
        yield "reading", f"{len(table)} readings are too many; there are {lines} things to measure"
    if data.get("date", "") != "" and read_day(data["date"]) is None:
        yield "date", f'{quoted(data["date"])} is not a date from {FIRST_YEAR} to {LAST_YEAR}; write date = "2026-03-01"'
    by = data.get("by", "")
    if not isinstance(by, str) or len(by) > LONGEST_WORDS or not by.isprintable():
        yield "by", f"{quoted(by)} is not a name; write plain text of at most {LONGEST_WORDS} characters on one line"


def _entries(data: Mapping[str, Any], lines: int) -> Mapping[str, Any]:
    """The readings; none where ``_faults_of_top`` refuses them taken together."""
    table = data.get("reading", {})
    return table if isinstance(table, dict) and len(table) <= MANY * lines else {}


def _problem(file: str, spots: KeyLines, path: tuple[str, ...], message: str) -> Problem:
    spot = spots.find(path)
    name = path[0] if len(path) == 1 else f'{path[0]}."{path[1]}"'
    return Problem(name, message, file, spot.line if spot else 0)


def _reading(id: str, entry: Any, known: Mapping[str, FormLine]) -> Reading | None:
    if id not in known:
        near = nearest(id, known)
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
    low, high = POSSIBLE[e.kind]
    if not low <= value <= high:
        raise UnitProblem(f"{quoted(text)} is out of range; allowed: {span(low, high, e.kind)}")
    said = str(entry.get("instrument", "")).strip()
    return Reading(value, text, _off(said, value, high, e) if said else None, said)


def _off(said: str, value: float, most: float, e: Expected) -> float:
    """How far the instrument may be off."""
    if said.endswith("%"):
        share = parse(said, "fraction").value
        if not 0 <= share <= 1:
            raise UnitProblem(f"instrument = {quoted(said)} is out of range; allowed: 0 % to 100 % of the value")
        return share * abs(value)
    kind = "pressure difference" if e.kind == "gauge pressure" else e.kind
    off = parse(said, kind).value
    if not 0 <= off <= most:
        raise UnitProblem(f"instrument = {quoted(said)} is out of range; allowed: {span(0.0, most, kind)}")
    return off


def _figure(text: str, e: Expected) -> float:
    if e.kind == "gauge pressure":
        measure = parse(text, "pressure", "0.32 bar(g)")
        if measure.state != "gauge":
            raise UnitProblem(f'"{text}" is absolute; this line wants what a gauge reads, e.g. "0.32 bar(g)"')
        return measure.value
    if e.kind == "rate":
        return parse(text, "rate", "2 per hour").value
    return parse(text, e.kind).value


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
