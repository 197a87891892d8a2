"""A number of a result, in the units people ask for."""

import math

import pytest

from purgecalc import UsageError, check
from purgecalc.kinds import KINDS
from tests.door.site import site
from tests.lines import SCENARIOS
from tests.random_sites import SITES


@pytest.mark.parametrize(
    ("id", "unit", "value"),
    [
        ("hose.length", "m", 6),
        ("hose.length", "ft", 6 / 0.3048),
        ("hose.bore", " mm ", 8),
        ("source.dead_head", "bar(g)", 3),
        ("source.dead_head", "psig", 3e5 / 6894.757293168),
        ("source.flow", "m3/h", 3.6),
        ("schedule.interval", "min", 30),
        ("schedule.interval", "s", 1800),
        ("head.holes", "", 4),
    ],
)
def test_an_input_comes_back_in_any_unit(id: str, unit: str, value: float) -> None:
    number = site("fernwhistle")[id].to(unit)
    assert type(number) is float
    assert number == pytest.approx(value, rel=1e-12)


def test_temperatures_have_their_zero() -> None:
    t = site("cloudrest")["water.temperature"]
    assert t.to("degC") == pytest.approx(t.value - 273.15)
    assert t.to("degF") == pytest.approx(1.8 * (t.value - 273.15) + 32)
    assert t.to("K") == t.value


@pytest.mark.parametrize("path", SITES, ids=lambda p: p.stem)
def test_every_unit_told_is_taken_and_the_own_one_changes_nothing(path) -> None:
    for id, q in dict(next(iter(site(path.stem).lines.values()))).items():
        for unit in q.units:
            assert math.isnan(q.value) or not math.isnan(q.to(unit)), (id, unit)
        if q.reference is None:
            assert q.to(q.unit) == q.value or math.isnan(q.value)
        else:
            assert q.to(f"Pa({q.reference[0]})") == q.value or math.isnan(q.value)
        assert (q.unit, q.kind) == (KINDS[q.node.kind].si, q.node.kind)


@pytest.mark.parametrize(
    ("id", "unit", "words"),
    [
        ("hose.pressure_drop", "bananas", r"a pressure difference: 'bananas' is no unit of it; units: mbar, bar"),
        ("hose.pressure_drop", "bar(g)", r"units: mbar, bar"),
        ("head.pressure", "bar(g)", r"an absolute pressure: .* units: bar\(a\)"),
        ("source.dead_head", "bar(a)", r"a gauge pressure: .* units: bar\(g\)"),
        ("source.dead_head", "bar", r"a gauge pressure: .* did you mean bar\(g\)"),
        ("source.flow", "NL/min", r"an air flow: .* units: L/min"),
        ("hose.length", "mbar", r"a length: .* units: um, mm, m"),
        ("hose.length", "Mm", r"did you mean mm"),
        ("hose.reynolds", "m", r"units: none, it is a plain number"),
    ],
)
def test_a_unit_that_does_not_fit_is_refused_with_those_that_do(id: str, unit: str, words: str) -> None:
    with pytest.raises(UsageError, match=words):
        site("fernwhistle")[id].to(unit)


def test_a_flow_of_air_keeps_its_state() -> None:
    q = check(SCENARIOS / "fernwhistle.toml", set={"source.flow": "50 NL/min"})["source.flow"]
    assert (q.air_state, q.to("NL/min")) == ("normal", pytest.approx(50))
    with pytest.raises(UsageError, match=r"units: NL/min"):
        q.to("L/min")


def test_a_flow_worked_out_is_asked_for_plainly_or_in_its_own_state() -> None:
    q = site("fernwhistle")["line.flow_anr"]
    assert q.to("L/min") == q.to("L/min(ANR)") == pytest.approx(60e3 * q.value)
    with pytest.raises(UsageError, match=r"units: L/min, .*L/min\(ANR\)"):
        q.to("NL/min")


def test_it_tells_what_the_data_tells() -> None:
    r = site("trivet-mill")
    told = r.to_dict()["lines"][0]["quantities"]
    for id in r:
        q, data = r[id], told[id]
        assert (q.title, q.unit, q.reference, q.air_state) == tuple(data[k] for k in ("title", "unit", "reference", "air_state"))
        assert float(q) == q.value
        assert q.value == data["value"] or data["value"] is None
    assert str(r["source.cut_in"]) == f"{r['source.cut_in']}" == "4.5 bar(g)"
