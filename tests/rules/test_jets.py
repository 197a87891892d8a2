"""How weak and how hard a jet may be goes by the kind of probe, in every figure and rule that asks."""

import numpy as np
import pytest

from purgecalc.catalogue.probes import probes
from purgecalc.design import design_all
from purgecalc.errors import ScenarioError
from purgecalc.rules import Level, grades
from purgecalc.scenario import loads
from tests.lines import BARE, BASE, RECEIVER, designed, finding, read

HARD = (*RECEIVER, *BARE)


@pytest.mark.parametrize("kind", sorted(probes()))
def test_floor_and_ceiling_are_those_of_the_kind_unless_stated(kind: str) -> None:
    jet, of_kind = probes()[kind].jet, f"line.probe.kind={kind}"
    d = designed(*BARE, of_kind)
    assert (d.number("probe.jet_floor"), d.number("probe.jet_ceiling")) == (jet.floor.value, jet.ceiling.value)
    assert d.number("limit.thrust") == pytest.approx(0.150 * jet.floor.value)
    assert d.number("blast.useful_thrust") == pytest.approx(0.98 * 0.150 * jet.floor.value)
    ratio = designed(*HARD, of_kind).number("head.jet_thrust_ratio")
    assert (finding("jet-gentle", *HARD, of_kind).state == "fails") == (ratio > jet.ceiling.value)
    borne = (*HARD, of_kind, "line.probe.jet_ceiling=80")
    assert finding("jet-gentle", *borne).state == "passes"


def test_a_gentle_probe_is_content_with_less_and_may_have_the_longer_hose() -> None:
    weak = (*BARE, "line.hose.bore=4 mm", "line.hose.length=7.6 m")
    plain, gentle = finding("jet-strength", *weak), finding("jet-strength", *weak, "line.probe.kind=membrane-oxygen")
    assert (plain.state, gentle.state) == ("fails", "passes")
    longest = [designed(*weak, f"line.probe.kind={k}").number("hose.longest") for k in ("optical-oxygen", "membrane-oxygen")]
    assert longest[1] > longest[0]


def test_levels_follow_a_floor_that_is_varied() -> None:
    line = read("line.probe.jet_floor=0.7").lines[0]
    ratio = designed().number("head.jet_thrust_ratio")
    floors = np.array([0.9, 1.1, 1.6]) * ratio
    found = grades(design_all([line.changed({"probe.jet_floor": floors})], unsteady=False))
    assert found["jet-strength", line.line].tolist() == [0, Level.WATCH, Level.FIX]


@pytest.mark.parametrize(
    "stated",
    [("line.probe.jet_floor=16",), ("line.probe.jet_ceiling=0.6",), ("line.probe.jet_floor=3", "line.probe.jet_ceiling=2")],
)
def test_a_floor_that_is_no_lower_than_the_ceiling_is_refused(stated: tuple[str, ...]) -> None:
    with pytest.raises(ScenarioError, match="is not below jet_ceiling"):
        read(*stated)


def test_another_kind_of_probe_has_a_range_of_its_own() -> None:
    stated = BASE.replace('t90 = "30 s", ', 't90 = "30 s", jet_floor = "1.2", ')
    assert loads(stated, "site.toml").lines[0]["probe.jet_floor"].value == 1.2
    assert "probe.jet_floor" not in loads(stated, "site.toml", ["line.probe.kind=membrane-oxygen"]).lines[0]
