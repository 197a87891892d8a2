"""The map of the note tells of the hose, not of what no hose clears."""

from functools import cache

import numpy as np

from purgecalc.design import design_all
from purgecalc.rules import Missing, judge, rule_settings, verdict
from purgecalc.scenario import load
from purgecalc.studies.checked import Checked
from purgecalc.studies.grades import varied
from purgecalc.studies.hose_map import HoseMap, hose_map
from tests.campaign import few_or_many
from tests.lines import SCENARIOS


@cache
def mapped(name: str, *settings: str) -> HoseMap:
    scenario = load(str(SCENARIOS / name), list(settings))
    return hose_map(Checked.of(scenario), scenario.lines[0].line)


@few_or_many(3, 60)
def test_a_place_of_the_map_has_the_verdict_of_a_check(count: int) -> None:
    found, rng = mapped("trivet-mill.toml"), np.random.default_rng(count)
    base = load(str(SCENARIOS / "trivet-mill.toml"))
    left_out = dict.fromkeys(("hose-length", *found.apart), "left out of the map")
    for _ in range(count):
        i, j = (int(rng.integers(n)) for n in found.verdict.shape)
        there = varied(base.lines, {"hose.bore": found.bores[i], "hose.length": found.lengths[j]})
        findings = judge(design_all(there), rule_settings(base), {**base.waive, **left_out})
        assert found.verdict[i, j] == verdict([f for f in findings if f.state != "fails" or not isinstance(f.outcome, Missing)])


def test_a_thin_hose_is_mended_by_bore_on_the_map() -> None:
    found = mapped("long-tansy.toml")
    assert found.apart == ()
    row = int(np.flatnonzero(np.isclose(found.bores, 0.004))[0])
    assert found.verdict[row, -1] == "FIX"
    assert (found.verdict == "PASS").any()


def test_a_hold_off_that_is_too_short_does_not_paint_the_map() -> None:
    found = mapped("long-tansy.toml", "line.probe.t90=120 s")
    assert "hold-off" in found.apart
    assert np.array_equal(found.verdict, mapped("long-tansy.toml").verdict)


def test_a_source_too_weak_for_every_hose_does() -> None:
    assert not (mapped("cloudrest.toml").verdict == "PASS").any()
