"""The map of the note tells of the hose, not of what no hose clears."""

import numpy as np

from purgecalc.scenario import load
from purgecalc.studies.checked import Checked
from purgecalc.studies.hose_map import HoseMap, hose_map
from tests.lines import SCENARIOS


def mapped(name: str, *settings: str) -> HoseMap:
    scenario = load(str(SCENARIOS / name), list(settings))
    return hose_map(Checked.of(scenario), scenario.lines[0].line)


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
