"""Keys and columns read numbers as the scenario reads text, and refuse what it refuses."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from purgecalc.errors import ScenarioError
from purgecalc.kinds import AIR_FLOW_FORMS, KINDS, PRESSURE_UNITS
from purgecalc.scenario.fields import read_quantity
from purgecalc.scenario.keys import KeyProblem, _known, column, column_of, find_key
from purgecalc.scenario.relations import RELATIONS
from purgecalc.units import UnitProblem, conversion, parse, shown_in
from tests.lines import RECEIVER, read

QUANTITIES = sorted(k for k in _known() if find_key(k).sort == "quantity")


def units_of(kind: str) -> list[str]:
    if kind == "pressure":
        return [f"{u}({state})" for u in PRESSURE_UNITS for state in "ga"]
    return list(AIR_FLOW_FORMS) if kind == "air flow" else list(KINDS[kind].accepts)


@given(st.sampled_from(QUANTITIES), st.data(), st.floats(-1e6, 1e6).map(lambda v: float(f"{v:.9g}")))
def test_a_column_reads_a_number_as_text_is_read(key: str, data: st.DataObject, number: float) -> None:
    kind = find_key(key).kind
    unit = data.draw(st.sampled_from(units_of(kind)))
    measure = parse(f"{number!r} {unit}".rstrip(), kind)
    c = column_of(key, unit)
    assert c.si(np.array([number]))[0] == measure.value
    assert c.reads.state == measure.state


@given(st.sampled_from(QUANTITIES), st.data(), st.floats(-1e7, 1e7).map(lambda v: float(f"{v:.6g}")))
def test_a_column_refuses_what_the_scenario_refuses_in_the_same_words(key: str, data: st.DataObject, number: float) -> None:
    unit = data.draw(st.sampled_from(units_of(find_key(key).kind)))
    c = column_of(key, unit)
    told = ""
    try:
        read_quantity(c.text(number), c.key.meta)
    except Exception as error:
        told = str(error)
    found = [text for _, text in c.faults(np.array([number]))]
    assert found == ([f"{key}: {told}"] if told else [])


@pytest.mark.parametrize(
    ("head", "words"),
    [
        ("hose.length [m]", "did you mean line.hose.length"),
        ("line.hose.boar [mm]", "did you mean line.hose.bore"),
        ("line.hose.bore", "needs a unit, e.g. line.hose.bore [mm]"),
        ("line.hose.bore [bar]", "is a pressure; a length is wanted"),
        ("source.dead_head [bar]", "does not say gauge or absolute"),
        ("source.flow [slpm]", "no one state"),
        ("line.head.holes [m]", "has no unit"),
        ("line.hose.fittings", "is not a key"),
        ("title", "is not a key"),
        ("line.0.hose.bore [mm]", "is not a key"),
        ("[mm]", "is not a key with a unit"),
    ],
)
def test_a_head_that_cannot_be_used_says_what_would_do(head: str, words: str) -> None:
    with pytest.raises(KeyProblem, match=words.replace("[", r"\[")):
        column(head)


def test_keys_know_their_line_and_sort() -> None:
    found = {
        k: (find_key(k).id, find_key(k).line, find_key(k).sort) for k in ("line.2.hose.bore", "line.hose.bore", "source.kind")
    }
    assert found == {
        "line.2.hose.bore": ("hose.bore", 1, "quantity"),
        "line.hose.bore": ("hose.bore", None, "quantity"),
        "source.kind": ("source.kind", None, "word"),
    }
    assert [find_key(k).sort for k in ("line.head.holes", "line.valve.kv", "moisture.dryer_class")] == ["whole", "number", "word"]


BREAKS = {  # a value of the first field that breaks each relation on the reference line, with what else must be set
    "valve.kv": ("1000", ()),
    "valve.cv": ("1000", ()),
    "hose.outside_diameter": ("6 mm", ("line.hose={ length = '7 m', outside_diameter = '10 mm', wall = '3 mm' }",)),
    "head.holes": ("0", ()),
    "head.deepest": ("0.5 m", ()),
    "head.shallowest": ("2 m", ()),
    "head.wetted_length": ("0.5 m", ()),
    "probe.t95": ("29 s", ()),
    "probe.t98": ("120 s", ()),
    "probe.t99": ("25 s", ()),
    "probe.dead_time": ("40 s", ("line.probe.sensor=dead-time-lag", "line.probe.dead_time=10 s")),
    "probe.jet_floor": ("20", ("line.probe.jet_floor=0.8", "line.probe.jet_ceiling=15")),
    "schedule.blast": ("2000 s", ()),
    "source.cut_in": ("6 bar(g)", RECEIVER),
    "source.cut_out": ("8 bar(g)", RECEIVER),
    "source.starts_per_hour": ("0", ()),
    "supply.plate_voltage_to": (
        "200 V",
        ("supply={ voltage = '230 V', frequency = '50 Hz', plate_voltage = '220 V', plate_frequency = '50 Hz' }",),
    ),
    "upkeep.valve_life": ("0", ("upkeep.start=2026-03-01",)),
}


@pytest.mark.parametrize("relation", RELATIONS, ids=lambda r: r.ids()[0])
def test_every_relation_is_refused_in_a_table_as_in_a_scenario(relation: object) -> None:
    from purgecalc.studies.batch import run

    id = relation.ids()[0]  # type: ignore[attr-defined]
    value, settings = BREAKS[id]
    shared = id.split(".")[0] in ("source", "supply", "upkeep")
    key = id if shared else f"line.{id}"
    with pytest.raises(ScenarioError) as refused:
        read(*settings, f"{key}={value}")
    number, _, unit = value.partition(" ")
    head = f"{key} [{unit}]" if unit else key
    problem = run({head: np.array([float(number)])}, read(*settings))["problem"][0]
    assert refused.value.problems[0].message in problem


def test_units_of_results_are_those_shown_and_those_read() -> None:
    assert shown_in("mbar", "pressure difference").factor == 100
    assert shown_in("bar(g)", "gauge pressure").factor == 1e5
    assert shown_in("degF", "temperature").factor == pytest.approx(5 / 9)
    with pytest.raises(UnitProblem, match="is absolute"):
        shown_in("bar(g)", "pressure")
    with pytest.raises(UnitProblem):
        conversion("furlong", "length")
