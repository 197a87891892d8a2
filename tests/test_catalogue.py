"""The catalogue of probes: complete, in range, with an origin for each figure, and faults refused."""

from pathlib import Path

import pytest

import purgecalc
from purgecalc.catalogue.probes import FIELDS, PROBE_TIMES, probe_kind, probes, read_kind
from purgecalc.errors import PurgecalcError
from purgecalc.units import UnitProblem

FOLDER = Path(purgecalc.__file__).parent / "catalogue" / "probes"


def test_the_kinds_are_those_agreed() -> None:
    assert set(probes()) == {"optical-oxygen", "membrane-oxygen", "pH", "redox", "turbidity", "ammonium"}


@pytest.mark.parametrize("name", sorted(probes()))
def test_each_kind_is_complete(name: str) -> None:
    kind = probe_kind(name)
    for field in FIELDS:
        assert getattr(kind, field).origin
        assert getattr(kind, field).value.value > 0
    for field in PROBE_TIMES:
        figure = getattr(kind, field)
        assert figure.low.value <= figure.value.value <= figure.high.value
    assert kind.advice.endswith(".")
    assert kind.bump.origin
    assert kind.fouling.text in ("high", "low", "either")


def test_values_are_in_si() -> None:
    optical = probe_kind("optical-oxygen")
    assert (optical.t90.value.value, optical.tolerance.value.value) == (40.0, pytest.approx(2e-4))
    assert probe_kind("redox").tolerance.value.value == pytest.approx(0.015)
    assert probe_kind("turbidity").tolerance.of == "reading"
    assert probe_kind("pH").tolerance.label == "pH"


def test_how_a_sensor_falls_is_known_of_oxygen_probes_alone() -> None:
    optical, membrane = probe_kind("optical-oxygen"), probe_kind("membrane-oxygen")
    assert optical.settling is not None
    assert optical.falling is not None
    assert membrane.settling is not None
    assert [f.value for f in (optical.settling.low, optical.settling.value, optical.settling.high)] == [1.09, 1.15, 1.33]
    assert optical.falling.high.value == pytest.approx(90 / 63, abs=0.005)
    assert membrane.settling.value.value == 1
    assert optical.t90.high.value == 160
    assert probe_kind("pH").settling is None
    text = (FOLDER / "pH.toml").read_text(encoding="utf-8")
    factor = '\n[settling]\nvalue = "1"\nlow = "1"\nhigh = "1"\nkind = "ratio"\norigin = "none"\n'
    with pytest.raises(PurgecalcError, match="settling"):
        read_kind("pH", text + factor)


def test_oxygen_probes_measure_oxygen_and_no_other_does() -> None:
    assert {n for n, p in probes().items() if p.parameter == "oxygen"} == {"optical-oxygen", "membrane-oxygen"}


def test_faces_that_want_a_gentle_jet_have_a_lower_range() -> None:
    ranges = {n: (p.jet.floor.value, p.jet.ceiling.value) for n, p in probes().items()}
    gentle = {n for n in ranges if ranges[n] == (0.4, 2.5)}
    assert gentle == {"pH", "ammonium", "membrane-oxygen"}
    assert gentle >= {n for n, p in probes().items() if "membrane" in p.advice or "gentle" in p.advice or "mild" in p.advice}
    for n in ranges.keys() - gentle:
        assert ranges[n][0] == 0.7
        assert ranges[n][1] >= 5
    assert all("our judgement" in p.jet.origin for p in probes().values())


def test_unknown_kind_offers_a_near_one() -> None:
    with pytest.raises(UnitProblem, match='did you mean "optical-oxygen"'):
        probe_kind("optic-oxygen")


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ('value = "40 s"', 'value = "400 s"', "outside its own range"),
        ('value = "40 s"', 'value = "40"', "no unit"),
        ('sign = "either"', 'sign = "up"', "fouling sign"),
        ("[bump]", "[bmp]", "bmp"),
        ('floor = "0.7"', 'floor = "20"', "jet from 20 to 15"),
        ('ceiling = "15"', 'ceiling = "15 mN"', "15 mN"),
        ('of = "absolute"', 'of = "range"', "tolerance"),
        ('origin = "derived', 'orign = "derived', "origin"),
        ('advice = "', "advice = ", "Invalid|invalid"),
    ],
)
def test_faulty_files_are_refused(old: str, new: str, says: str) -> None:
    text = (FOLDER / "optical-oxygen.toml").read_text(encoding="utf-8")
    assert old in text
    with pytest.raises(PurgecalcError, match=says):
        read_kind("optical-oxygen", text.replace(old, new, 1))
