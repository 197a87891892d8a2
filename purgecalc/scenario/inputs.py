"""A validated scenario as flat, named inputs that remember where each came from."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from purgecalc.errors import Problem
from purgecalc.inputs import SHARED_TABLES, Inputs
from purgecalc.scenario.facts import FACTS
from purgecalc.scenario.fields import Part, meta_of, read_duty
from purgecalc.scenario.line import Line, Probe
from purgecalc.scenario.model import Scenario
from purgecalc.units import Measure
from purgecalc.working import Given, Origin, renamed

TABLES_AROUND = ("contact", "route", "noise", "lifting")
Locate = Callable[[tuple[str | int, ...], str], Origin]


@dataclass(frozen=True, repr=False)
class ScenarioInputs:
    """A whole scenario: one ``Inputs`` a line, and what the reader changed in the rule book."""

    title: str
    file: str
    lines: tuple[Inputs, ...]
    limits: Mapping[str, str | int | float]
    waive: Mapping[str, str]
    hash: str
    problem: Callable[[tuple[str | int, ...], str], Problem]
    """Makes a problem that points at a place of the file, for checks that are not the scenario's own."""
    paper: Mapping[str, str] = field(default_factory=dict)
    """Whose note it is, as far as stated: field of ``[note]`` to text."""
    text: str = ""
    settings: tuple[str, ...] = ()
    """What was read, so that it can be read again with more settings."""

    def __iter__(self) -> Iterator[Inputs]:
        return iter(self.lines)

    def __repr__(self) -> str:
        return f"<Scenario {self.title!r} from {self.file}: {', '.join(inputs.line for inputs in self.lines)}>"


def flatten(scenario: Scenario, line: Line, index: int, locate: Locate) -> Inputs:
    """Inputs of one line of a validated scenario."""
    values: dict[str, Given] = {}
    words: dict[str, tuple[str, Origin]] = {}
    for name in SHARED_TABLES:
        part = getattr(scenario, name)
        if part is not None:
            _walk(part, (name,), name, values, words, locate)
    choices: dict[str, str] = {}
    if scenario.site_facts is not None:
        choices |= {f"site_facts.{fact.id}": scenario.site_facts.get(fact.id, "unknown") for fact in FACTS}
    for name in ("valve", "hose", "head", "probe", "schedule", "outputs", "loop", "fouling", "worth", *TABLES_AROUND):
        part = getattr(line, name)
        if part is not None:
            _walk(part, ("line", index, name), name, values, words, locate)
    if "probe.timed_fall" in values and "probe.timed_blast" not in values:
        origin = Origin("default", "the blast of the schedule")
        title = Probe.model_fields["timed_blast"].description or ""
        values["probe.timed_blast"] = renamed(values["schedule.blast"], "probe.timed_blast", title, "time", origin)
    if scenario.source.duty is not None:
        origin = locate(("source", "duty"), "")
        share = read_duty(scenario.source.duty)
        rating = Given("source.duty_rating", "rated share of running time", "fraction", share, origin, scenario.source.duty)
        values[rating.id] = rating
    if scenario.source.starts_per_hour is not None:
        origin = locate(("source", "starts_per_hour"), "")
        n = scenario.source.starts_per_hour
        values["source.starts_allowed"] = Given(
            "source.starts_allowed", "starts the maker allows", "rate", n / 3600, origin, f"{n:g} per hour"
        )
    choices |= {id: word for id, (word, _) in words.items()}
    origins = {id: origin for id, (_, origin) in words.items()}
    fittings = dict(line.hose.fittings or {})
    return Inputs(scenario.title, line.name, values, choices, _curve(scenario, locate), fittings, origins)


def _walk(
    part: Part,
    path: tuple[str | int, ...],
    prefix: str,
    values: dict[str, Given],
    words: dict[str, tuple[str, Origin]],
    locate: Locate,
) -> None:
    for name, info in type(part).model_fields.items():
        value: Any = getattr(part, name)
        id = f"{prefix}.{name}"
        if isinstance(value, Part):
            _walk(value, (*path, name), id, values, words, locate)
            continue
        if value is None or isinstance(value, dict | tuple):
            continue
        origin = locate((*path, name), meta_of(info.json_schema_extra).get("origin", ""))
        title = info.description or name
        if isinstance(value, Measure):
            values[id] = Given(id, title, value.kind, value.value, origin, value.text, value.state)
        elif isinstance(value, int | float):
            values[id] = Given(id, title, "count" if isinstance(value, int) else "ratio", float(value), origin, str(value))
        else:
            words[id] = str(value), origin


def _curve(scenario: Scenario, locate: Locate) -> tuple[tuple[Given, Given], ...]:
    points = scenario.source.curve or ()
    origin = locate(("source", "curve"), "")
    return tuple(
        (
            Given(f"source.curve.{i}.pressure", f"pressure of point {i} of the source", p.kind, p.value, origin, p.text, p.state),
            Given(f"source.curve.{i}.flow", f"flow of point {i} of the source", q.kind, q.value, origin, q.text, q.state),
        )
        for i, (p, q) in enumerate(points, 1)
    )
