"""A receiver whose compressor cannot fill it, or whose flow is a measured curve."""

import numpy as np
import pytest

from purgecalc.design import design_all
from purgecalc.errors import NoPhysicalAnswer, ScenarioError
from purgecalc.rules import judge
from purgecalc.scenario import loads
from purgecalc.studies.batch import run
from purgecalc.studies.grades import Subject, varied
from purgecalc.studies.many import IMPOSSIBLE
from purgecalc.studies.source_size import smallest_source
from tests.lines import RECEIVER, SCENARIOS, designed, read

HIGH = (*RECEIVER, "source.dead_head=7 bar(g)")
CURVE = 'curve = [["0 bar(g)", "40 L/min"], ["4 bar(g)", "30 L/min"], ["{}", "20 L/min"]]'


def measured(last: str) -> str:
    text = (SCENARIOS / "trivet-mill.toml").read_text(encoding="utf-8")
    return text.replace('flow = "25 L/min"', CURVE.format(last))


def test_a_cut_out_that_altitude_puts_out_of_reach_is_refused() -> None:
    assert designed(*HIGH).number("source.flow_at_cut_out") > 0
    with pytest.raises(NoPhysicalAnswer, match="never reaches its cut-out 6 bar"):
        designed(*HIGH, "site.altitude=2500 m")
    assert designed(*HIGH, "site.altitude=2500 m", "source.dead_head_set_by=relief").number("source.flow_at_cut_out") > 0


def test_a_table_says_the_same_of_its_rows_and_no_duty_is_negative() -> None:
    out = run({"site.altitude [m]": np.array([0.0, 2500.0])}, read(*HIGH), ["source.duty_fraction"])
    assert out["verdict"][0] != IMPOSSIBLE
    assert out["verdict"][1] == IMPOSSIBLE
    assert "never reaches its cut-out" in out["problem"][1]
    assert out["source.duty_fraction"][0] > 0


def test_a_curve_that_ends_below_the_cut_out_is_refused() -> None:
    with pytest.raises(ScenarioError, match="below cut_out"):
        loads(measured("5.8 bar(g)"))


def test_a_receiver_on_a_measured_curve_is_sized() -> None:
    scenario = loads(measured("8 bar(g)"))
    sizes = {s.given.id: s for s in smallest_source(Subject(scenario.lines, {}, {}, scenario.lines[0].line))}
    flow = next(s for id, s in sizes.items() if id.startswith("source.curve") or id == "curve" or "free" in s.given.title)
    assert 0 < flow.size < flow.given.value
    (d,) = design_all(varied(scenario.lines, {"source.volume": sizes["source.volume"].size}))
    assert "useful-time" not in {f.rule.id for f in judge([d]) if f.state == "fails"}


KNEE = '[["0 bar(g)", "80 L/min"], ["2.9 bar(g)", "60 L/min"], ["4 bar(g)", "16 L/min"], ["{}", "{}"]]'


def kneed(last: str, flow: str) -> str:
    text = (SCENARIOS / "trivet-mill.toml").read_text(encoding="utf-8").replace("with the blast", "at cut-in")
    return text.replace('flow = "25 L/min"', f"curve = {KNEE.format(last, flow)}")


def test_the_long_run_follows_a_curve_with_a_knee() -> None:
    """A mean of its two ends alone would have it filled in two thirds of the time."""
    lines = loads(kneed("6.5 bar(g)", "14 L/min")).lines
    (d,), (by_hand,) = design_all(lines), design_all(lines, unsteady=False)
    points = [d.number(f"source.point_{i}.pressure") for i in (1, 2, 3, 4)]
    flows = [d.number(f"source.point_{i}.flow") for i in (1, 2, 3, 4)]
    per_pascal = d.number("source.volume") / (287.05287 * d.number("site.air_temperature"))

    def filling(low: float) -> float:
        p = np.linspace(low, d.number("source.cut_out_absolute"), 200001)
        return float(np.trapezoid(per_pascal / np.interp(p, points, flows), p))

    assert d.number("source.band_fill") == pytest.approx(filling(d.number("source.cut_in_absolute")), rel=1e-4)
    left = filling(by_hand.number("source.refill_time.left"))
    assert by_hand.number("source.refill_time") == pytest.approx(by_hand.number("schedule.blast") + left, rel=1e-4)
    assert d.number("source.refill_time") <= by_hand.number("source.refill_time")
    duty = next(f for f in judge([d]) if f.rule.id == "duty")
    assert duty.state == "fails"


def test_a_curve_that_ends_in_nothing_before_the_cut_out_is_refused() -> None:
    with pytest.raises(NoPhysicalAnswer, match=r"delivers nothing above 4\.95 bar"):
        design_all(loads(kneed("5 bar(g)", "0 L/min").replace('"0 L/min"]]', '"0 L/min"], ["8 bar(g)", "0 L/min"]]')).lines)


def test_lines_that_each_wait_for_cut_out_leave_more_to_each_other() -> None:
    waiting = designed(*RECEIVER, "add:line")
    commanded = designed(*RECEIVER, "add:line", "source.compressor_starts=with the blast")
    # the band, less what a blast from its upper end takes more
    more = commanded.number("blast.air_mass") - waiting.number("source.refill_time.taken")
    band = 1.5e5 - more * 287.05 * 288.15 / 0.024
    assert 0 < band < 1.5e5
    apart = commanded.number("source.start_share") - waiting.number("source.start_share")
    assert apart == pytest.approx(band / waiting.number("source.cut_in_gauge"), rel=1e-3)
