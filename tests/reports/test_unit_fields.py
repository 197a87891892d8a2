"""Every number of the result says its unit to programs, gauge or absolute, and at which state its air is counted."""

import re
from typing import Any

import pytest

from purgecalc.design import Design
from purgecalc.formulas.air import RHO_ANR, RHO_NORMAL
from purgecalc.kinds import FLOW_STATES, KINDS
from purgecalc.reports.as_json import expectation, result
from purgecalc.reports.unit_fields import AIR_STATES, PLAIN_NUMBERS, of_node, unit_fields
from purgecalc.scenario import load
from purgecalc.studies.checked import Checked
from purgecalc.studies.expected import TESTS, Expected
from purgecalc.units import registry
from purgecalc.working import FORMULAS, Step
from tests.campaign import few_or_many
from tests.random_sites import SITES, random_site

NOT_AIR = {"hose.volume", "blast.slug_volume", "source.dead_volume", "source.volume", "blast.water_flow"}
"""Volumes that are room or water, and flows of water."""

METRIC = {
    "m": "m",
    "s": "s",
    "g": "g",
    "K": "K",
    "A": "A",
    "V": "V",
    "Pa": "Pa",
    "N": "N",
    "J": "J",
    "W": "W",
    "Hz": "Hz",
    "L": "L",
}
METRIC |= {"bar": "bar", "B": "", "B[SPL]": ""}
OTHER = {"min": "min", "h": "h", "d": "d", "[gal_us]": "gal"}
PREFIXES = {"": 1.0, "k": 1e3, "d": 1e-1, "c": 1e-2, "m": 1e-3, "u": 1e-6}


def read_ucum(code: str) -> Any:
    """A UCUM code (case-sensitive form, those atoms of it that stand above) as a pint quantity; refuses what is no code.

    Terms are read from left to right and may begin with a slash; an exponent stands right behind its atom.
    """
    tokens = re.findall(r"[()./]|[^()./]+", code)

    def term() -> Any:
        value: Any = registry().Quantity(1.0, "")
        divide = tokens[0] == "/"
        if divide:
            tokens.pop(0)
        while True:
            part = component()
            value = value / part if divide else value * part
            if not tokens or tokens[0] == ")":
                return value
            divide = {"/": True, ".": False}[tokens.pop(0)]

    def component() -> Any:
        token = tokens.pop(0)
        if token == "(":
            inner = term()
            assert tokens.pop(0) == ")"
            return inner
        if token == "1":
            return registry().Quantity(1.0, "")
        match = re.fullmatch(r"(\D+?)(-?\d+)?", token)
        assert match, token
        return atom(match[1]) ** int(match[2] or 1)

    def atom(name: str) -> Any:
        if name in OTHER:
            return registry().Quantity(1.0, OTHER[name])
        prefix = next(p for p in PREFIXES if name.startswith(p) and name[len(p) :] in METRIC)
        return PREFIXES[prefix] * registry().Quantity(1.0, METRIC[name[len(prefix) :]])

    found = term()
    assert not tokens, code
    return found


@pytest.mark.parametrize("kind", sorted(set(KINDS) - {"flag"}))
def test_the_code_of_a_kind_means_its_unit(kind: str) -> None:
    """To the factor: a code in grams or litres would be another unit."""
    fields = unit_fields(kind, "any")
    ratio = (read_ucum(fields["ucum"]) / registry().Quantity(1.0, KINDS[kind].si)).to("")
    assert ratio.magnitude == pytest.approx(1.0, rel=1e-12)


def test_the_code_of_a_plain_number_is_one() -> None:
    one = {id: read_ucum(code) for id, code in PLAIN_NUMBERS.items()}
    assert one["pressure.pressure_volume"].to("J").magnitude == pytest.approx(100)
    assert one["source.starts_per_hour"].to("1/s").magnitude == pytest.approx(1 / 3600)
    assert one["valve.cv"].to("m**3/h").magnitude == pytest.approx(0.2271, rel=1e-3)


@pytest.mark.parametrize("code", ["kg/m**3", "Pa*s", "", "kg/", "m^2", "l/(s", "PA"])
def test_the_grammar_refuses_what_is_no_code(code: str) -> None:
    with pytest.raises((AssertionError, IndexError, KeyError, StopIteration)):
        read_ucum(code)


def _untold(d: Design) -> list[str]:
    """What a line leaves a program to guess."""
    found = []
    for node in (*d.sheet, *d.inputs.values.values()):
        told = of_node(node)
        if (told["ucum"] is None) != (node.kind == "flag"):
            found.append(f"{node.id}: no UCUM code")
        if (told["reference"] in ("gauge", "absolute")) != (node.kind in ("pressure", "gauge pressure")):
            found.append(f"{node.id}: gauge or absolute?")
        is_air = told["unit"] in ("m**3", "m**3/s") and node.id not in NOT_AIR
        if (told["air_state"] in FLOW_STATES) != is_air:
            found.append(f"{node.id}: which state of air?")
        if node.kind in ("ratio", "count") and "dB" in node.title and "dB" not in str(told["ucum"]):
            found.append(f"{node.id}: decibels")
    return found


def _misstated(d: Design) -> list[str]:
    """Where gauge, absolute or the state of air is told and the sheet's own arithmetic says otherwise."""
    found = []
    for step in d.sheet.steps():
        told, into = of_node(step), {name: of_node(node) for name, node in step.inputs.items()}
        formula = step.formula.id if step.formula else ""
        if formula == "pressure.gauge" and (into["p"]["reference"], into["p_atm"]["reference"]) != ("absolute",) * 2:
            found.append(f"{step.id} is made of a gauge pressure")
        if formula == "pressure.absolute" and (told["reference"], into["p_gauge"]["reference"]) != ("absolute", "gauge"):
            found.append(f"{step.id} is made of an absolute pressure")
        of_air = {v["air_state"] for v in into.values() if v["air_state"]}
        if told["air_state"] and of_air - {told["air_state"]}:
            found.append(f"{step.id} is made of air at another state")
        if told["air_state"] and "m" in step.inputs and step.formula:
            density = {"ANR": RHO_ANR.value, "normal": RHO_NORMAL.value, "inlet": d.number("air.density")}[told["air_state"]]
            if float(step.value) * density != pytest.approx(float(step.inputs["m"].value), rel=1e-12):
                found.append(f"{step.id} is not {told['air_state']}")
    return found


@pytest.mark.parametrize("site", SITES, ids=lambda p: p.stem)
def test_every_number_says_what_it_is_in(site) -> None:
    checked = Checked.of(load(str(site)))
    for d in checked.designs:
        assert _untold(d) == []
        assert _misstated(d) == []
    data = result(checked)
    fields = ("unit", "ucum", "reference", "air_state")
    for f in data["findings"]:
        there = [
            line["corners"].get(f["corner"], line["quantities"]) for line in data["lines"] if f["line"] in ("", line["name"])
        ]
        wanted = [[q[f["quantity"]][name] for name in fields] for q in there if f["quantity"] in q] or [[None] * 4]
        assert [f[name] for name in fields] in wanted, f["rule"]
        assert (f["quantity"] is None) == (f["unit"] is None)


@few_or_many(4, 100)
def test_every_number_of_random_sites_says_what_it_is_in(count: int) -> None:
    for seed in range(count):
        for d in Checked.of(random_site(seed)).designs:
            assert _untold(d) + _misstated(d) == [], seed


@pytest.mark.parametrize(
    ("written", "state"), [("60 L/min", "inlet"), ("60 L/min(ANR)", "ANR"), ("60 NL/min", "normal"), ("2.2 scfm", "US")]
)
def test_a_flow_stated_tells_its_own_state(written: str, state: str) -> None:
    given = _site(f"source.flow={written}").lines[0].values["source.flow"]
    assert of_node(given)["air_state"] == state


@pytest.mark.parametrize(("written", "reference"), [("2 bar(g)", "gauge"), ("3 bar(a)", "absolute")])
def test_a_pressure_stated_tells_how_it_was_written(written: str, reference: str) -> None:
    designs = Checked.of(_site(f"source.dead_head={written}", f"line.hose.rated_pressure={written}")).designs
    assert of_node(designs[0]["source.dead_head"])["reference"] == reference
    assert _untold(designs[0]) + _misstated(designs[0]) == []


def _site(*settings: str) -> Any:
    return load(str(next(p for p in SITES if p.stem == "cloudrest")), list(settings))


def test_every_row_names_a_quantity_there_is() -> None:
    """A row left behind by a renamed id would say nothing, silently."""
    inputs = {id for site in SITES for id in load(str(site)).lines[0].values} | {"source.displacement", "valve.kv", "valve.cv"}
    steps = {n.id for site in SITES for d in Checked.of(load(str(site))).designs for n in d.sheet if isinstance(n, Step)}
    known = inputs | steps | set(FORMULAS) | {"noise.action_value", "source.starts_per_hour"}
    assert set(AIR_STATES) | set(PLAIN_NUMBERS) <= known


def test_what_is_expected_at_commissioning_says_it_too() -> None:
    test = next(t for t in TESTS if t.id == "line.flow_inlet")
    told = expectation(Expected(test, "volume flow", 1e-3, None, None, None))
    assert (told["ucum"], told["reference"], told["air_state"]) == ("m3/s", None, "inlet")
    test = next(t for t in TESTS if t.id == "source.gauge_pressure")
    told = expectation(Expected(test, "gauge pressure", 1e5, None, None, None))
    assert (told["ucum"], told["reference"], told["air_state"]) == ("Pa", "gauge", None)
