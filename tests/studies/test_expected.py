"""Bands and pass bands of what is measured at commissioning."""

import math

import numpy as np
import pytest

from purgecalc.design import Design, design_all
from purgecalc.scenario import load
from purgecalc.studies.expected import GAUGES, NOT_A_TEST, Expected, expected
from purgecalc.studies.readings import Reading, judged, passes_text
from purgecalc.studies.spread import SPREAD_SAMPLE, Spread, hypercube, spread
from tests.lines import SCENARIOS

ALL = sorted(p.name for p in SCENARIOS.glob("*.toml"))
KNOWN = [
    f"uncertainty.{k}=0 %"
    for k in (
        "bore",
        "source_flow",
        "dead_head",
        "hole",
        "discharge",
        "loss",
        "check_valve",
        "conductance",
        "volume",
        "wall",
        "response",
        "clearing",
    )
] + ["uncertainty.depth=0 m", "uncertainty.temperature=0"]


def designs_of(name: str, *settings: str) -> list[Design]:
    return design_all(load(str(SCENARIOS / name), list(settings)).lines)


def sampled(name: str, *settings: str) -> list[Spread]:
    scenario = load(str(SCENARIOS / name), list(settings))
    return spread(scenario.lines, design_all(scenario.lines))


def table(name: str, *settings: str) -> dict[str, Expected]:
    return {e.test.id: e for e in expected(sampled(name, *settings)[0])}


def test_each_column_of_the_sample_has_one_value_in_every_part_and_the_same_each_time() -> None:
    columns = hypercube(SPREAD_SAMPLE, 5, 3)
    for column in columns:
        assert sorted(np.floor((column + 1) / 2 * SPREAD_SAMPLE).astype(int)) == list(range(SPREAD_SAMPLE))
    assert np.max(np.abs(np.corrcoef(columns) - np.eye(5))) < 0.35
    assert all(np.array_equal(a, b) for a, b in zip(columns, hypercube(SPREAD_SAMPLE, 5, 3), strict=True))


@pytest.mark.parametrize("name", ["fernwhistle.toml", "trivet-mill.toml"])
def test_inputs_known_exactly_leave_no_band(name: str) -> None:
    one = sampled(name, *KNOWN)[0]
    for e in expected(one):
        if e.test.side == "both":  # a blast is integrated to half a per cent
            assert one.band(e.test.id).share == pytest.approx(0, abs=5e-3), e.test.id


def test_one_uncertain_input_alone_moves_what_it_should_by_as_much_as_it_should() -> None:
    settings = [k for k in KNOWN if "response" not in k]
    one = sampled("fernwhistle.toml", *settings, "uncertainty.response=10 %")[0]
    band = one.band("probe.t90")
    # evenly within 10 %, the middle nine tenths reach 9 % either way
    assert (band.low, band.high) == pytest.approx((27.3, 32.7), rel=0.01)
    assert one.band("source.gauge_pressure").share == pytest.approx(0, abs=1e-9)


def test_less_known_inputs_make_wider_bands() -> None:
    narrow = table("fernwhistle.toml", "uncertainty.source_flow=5 %")
    wide = table("fernwhistle.toml", "uncertainty.source_flow=25 %")
    for id in ("source.gauge_pressure", "line.flow_inlet", "head.gauge_pressure"):
        (a, b), (low, high) = narrow[id].band or (0, 0), wide[id].band or (0, 0)
        assert high - low > 1.3 * (b - a) > 0


def test_a_band_too_wide_is_no_test_and_says_what_to_do() -> None:
    loose = table("fernwhistle.toml", "uncertainty.source_flow=60 %", "uncertainty.bore=20 %")["source.gauge_pressure"]
    assert loose.passes is None
    assert passes_text(loose) == "not a test: improve the inputs"
    assert judged(loose, Reading(loose.value, "")) == "not a test: improve the inputs"


@pytest.mark.parametrize("name", ALL)
def test_every_line_of_every_site_holds_together(name: str) -> None:
    for one in sampled(name):
        lines = expected(one)
        assert len(lines) >= 7
        for e in lines:
            if e.test.side == "both":
                assert one.band(e.test.id).low <= e.value <= one.band(e.test.id).high
            if e.passes is None:
                assert e.why_none.startswith("not a test")
                continue
            low, high = e.passes
            if e.test.ceiling:
                assert high == e.value > 0
                assert low in (-high, -math.inf)
                continue
            if e.test.limit:
                assert high == -low == one.design.number(e.test.limit)
                continue
            assert low <= e.value <= high
            cap = e.test.cap if e.test.fixed else e.test.cap * e.value
            assert high - e.value <= cap * (1 + 1e-9)
            assert e.value - low <= cap * (1 + 1e-9) or e.test.side == "at most"
            assert low >= 0 or e.test.side == "both"
            if e.test.side == "both" and e.band is not None:
                assert one.band(e.test.id).share <= NOT_A_TEST


def test_a_gauge_fits_what_it_reads_and_no_finer_one_does() -> None:
    for name in ALL:
        one = sampled(name)[0]
        for e in expected(one):
            if e.gauge is None:
                continue
            reach = one.design.number(e.test.reaches or e.test.id)
            assert reach <= 0.75 * e.gauge
            finer = [g for g in GAUGES if g < e.gauge]
            assert not finer or reach > 0.75 * finer[-1]
            assert e.gauge_error == pytest.approx(0.016 * e.gauge)


def test_the_fall_of_a_receiver_is_cut_out_less_its_end_and_is_known_better_than_either() -> None:
    one = sampled("trivet-mill.toml")[0]
    d = one.design
    assert d.number("source.fall") == pytest.approx(6e5 - d.number("source.end_pressure_gauge"), abs=1)
    assert d.number("source.settled_fall") < d.number("source.fall")
    fall, end = one.band("source.fall"), one.band("source.end_pressure_gauge")
    assert fall.high - fall.low < end.high - end.low  # the switch's own error goes out of a difference


def test_the_bias_after_release_is_held_to_the_tolerance_whatever_its_sign() -> None:
    e = table("slowmere.toml")["reading.residual"]
    assert e.value == pytest.approx(1.85e-3, rel=0.01)
    assert e.passes == pytest.approx((-2e-4, 2e-4))
    assert passes_text(e) == "at most 0.2 mg/L either way"
    assert judged(e, Reading(1e-4, "")) == judged(e, Reading(-1e-4, "")) == "passes"
    assert judged(e, Reading(-3e-4, "")).startswith("outside, low")
    assert judged(e, Reading(3e-4, "")) == "outside, high: hold-off too short"


def test_readings_are_judged_by_band_side_and_instrument() -> None:
    e = table("fernwhistle.toml")["source.gauge_pressure"]
    assert e.passes is not None
    low, high = e.passes
    assert judged(e, Reading(e.value, "")) == "passes"
    assert judged(e, Reading(low - 1, "")).startswith("outside, low: ")
    assert judged(e, Reading(high + 1, "")).startswith("outside, high: ")
    assert judged(e, Reading(e.value, "", instrument=high - low)).startswith("cannot tell")
    arrives = table("fernwhistle.toml")["blast.delivery_time"]
    assert judged(arrives, Reading(0.1, "")) == "passes"  # sooner is no fault
    assert judged(arrives, Reading(arrives.value + 2.1, "")).startswith("outside, high")


def test_what_should_not_be_there_has_a_ceiling_and_no_expected_figure() -> None:
    tank = table("trivet-mill.toml")["acceptance.idle_fall"]
    assert (tank.figure, tank.band, tank.passes) == ("none", None, (-math.inf, pytest.approx(2.5e4)))
    assert passes_text(tank) == "at most 250 mbar"
    assert judged(tank, Reading(2e4, "")) == "passes"
    assert judged(tank, Reading(6e4, "")) == "outside, high: leak on the source side"
    often = table("trivet-mill.toml", "line.schedule.interval=12 min")["acceptance.idle_fall"]
    assert often.passes == (-math.inf, pytest.approx(5e4))  # common practice, where half the band in an interval is more
    assert "acceptance.idle_fall" not in table("fernwhistle.toml")  # a compressor alone holds nothing


@pytest.mark.parametrize(("set_point", "most"), [("2 mg/L", 3e-4), ("7 mg/L", 7e-4)])
def test_reference_may_differ_by_a_tenth_or_by_a_third_of_a_milligram(set_point: str, most: float) -> None:
    line = table("long-tansy.toml", f"line.probe.set_point={set_point}")["acceptance.reference"]
    assert line.passes == (pytest.approx(-most), pytest.approx(most))
    assert judged(line, Reading(-1.1 * most, "")).startswith("outside, low: fouling")
    assert judged(line, Reading(0.9 * most, "")) == "passes"


def test_controller_output_is_measured_only_where_a_loop_acts() -> None:
    line = table("fernwhistle.toml")["acceptance.output_move"]
    assert passes_text(line) == "at most 5 % either way"
    assert judged(line, Reading(-0.06, "")) == "outside, low: tracking, hold of the reading"
    assert "acceptance.output_move" not in table("long-tansy.toml")


def test_an_alarm_stays_quiet_over_the_whole_tide() -> None:
    e = table("pellwick.toml")["source.gauge_pressure"]
    assert e.quiet is not None
    assert e.passes is not None
    low, high = (
        designs_of("pellwick.toml", *(f"line.head.{end}={h}" for end in ("depth", "deepest", "shallowest")))[0]
        for h in ("2 m", "8 m")
    )
    at_low, at_high = (d.number("source.gauge_pressure") for d in (low, high))
    assert at_low < e.passes[0] < e.passes[1] < at_high  # measured at mid tide only
    for p in (at_low, e.value, at_high):
        assert e.quiet[0] < p < e.quiet[1]


@pytest.mark.parametrize("start", ["with the blast", "at cut-in"])
def test_alarms_of_a_receiver_stay_quiet_from_low_water_to_high(start: str) -> None:
    tank = (f"source.compressor_starts={start}", "source.regulator=2 bar(g)", "line.head.depth=5 m", "line.hose.length=8 m")
    found = table("trivet-mill.toml", *tank, "line.head.shallowest=1 m", "line.head.deepest=9 m")
    tide = (designs_of("trivet-mill.toml", *tank, f"line.head.depth={h} m")[0] for h in (1, 9))
    recovery = "source.recovery_from_cut_out" if start == "with the blast" else "source.recovery_from_cut_in"
    longest = recovery if start == "with the blast" else "source.recovery_time"
    for d in tide:
        for id, met in (("source.fall", "source.fall"), (recovery, longest)):
            quiet = found[id].quiet
            assert quiet is not None
            assert quiet[0] < d.number(met) < quiet[1], (id, met)


def test_recovery_is_expected_as_it_is_likely_and_alarmed_at_its_longest() -> None:
    switched = ("source.compressor_starts=at cut-in",)
    e, (d,) = table("trivet-mill.toml", *switched)["source.recovery_from_cut_in"], designs_of("trivet-mill.toml", *switched)
    assert e.passes is not None
    assert e.quiet is not None
    likely, longest = e.value, d.number("source.recovery_time")
    assert likely < longest
    assert judged(e, Reading(likely, "")) == judged(e, Reading(0.85 * likely, "")) == "passes"
    assert e.quiet[1] == pytest.approx(e.passes[1] * longest / likely)


def test_a_receiver_on_its_switch_starts_anywhere_and_its_alarm_allows_for_it() -> None:
    commanded = table("trivet-mill.toml")
    assert commanded["source.fall"].quiet == commanded["source.fall"].passes
    assert "source.recovery_from_cut_in" not in commanded
    switched = table("trivet-mill.toml", "source.compressor_starts=at cut-in")
    (d,) = designs_of("trivet-mill.toml", "source.compressor_starts=at cut-in")
    assert switched["source.fall"].quiet is not None
    assert switched["source.fall"].quiet[0] < d.number("source.fall_from_cut_in") < switched["source.fall"].value
    assert "source.recovery_from_cut_out" not in switched


@pytest.mark.parametrize(("interval", "most"), [("25 min", 3), ("30 min", 2), ("45 min", 2), ("90 min", 1)])
def test_starts_are_counted_in_whole_numbers(interval: str, most: int) -> None:
    e = table("fernwhistle.toml", f"line.schedule.interval={interval}")["source.starts_per_hour"]
    assert judged(e, Reading(most / 3600, "")) == "passes"
    assert judged(e, Reading((most + 1) / 3600, "")).startswith("outside, high")
    dead = judged(e, Reading(0.0, ""))
    assert dead == "passes" if interval == "90 min" else dead.startswith("outside, low: timer")


def test_a_meter_at_the_inlet_reads_the_air_of_the_site() -> None:
    (d,) = designs_of("cloudrest.toml")
    assert table("cloudrest.toml")["line.flow_inlet"].value == pytest.approx(d.number("line.mass_flow") / d.number("air.density"))
    assert d.number("line.flow_inlet") > 1.4 * d.number("line.flow_anr")


def test_an_assumed_exposure_is_an_upper_end_and_a_known_one_a_figure() -> None:
    e = table("fernwhistle.toml")["reading.bump"]
    assert e.test.side == "at most"
    assert judged(e, Reading(e.value / 2, "")) == "passes"
    assert judged(e, Reading(0.0, "")).startswith("outside, low: no air at the face")
    assert table("fernwhistle.toml", "line.probe.exposure=0.6")["reading.bump"].test.side == "both"


@pytest.mark.parametrize("set_point", ["2 mg/L", "16 mg/L"])
def test_a_bump_whose_bubbles_leave_as_the_air_stops_is_sound(set_point: str) -> None:
    slow = (
        "line.probe.t90=120 s",
        "line.probe.mix_time=20 s",
        f"line.probe.set_point={set_point}",
        "line.loop.saturation_factor=3",
    )
    known = (*slow, "line.probe.exposure=0.9")
    for settings in (slow, known):
        e, (d,) = table("fernwhistle.toml", *settings)["reading.bump"], designs_of("fernwhistle.toml", *settings)
        lower = d.number("reading.bump_lower")
        assert abs(lower) < 0.8 * abs(e.value)
        assert judged(e, Reading(lower, "")) == judged(e, Reading(e.value, "")) == "passes"
        assert judged(e, Reading(0.2 * lower, "")).startswith("outside")


def test_a_sample_some_of_which_cannot_reach_the_rating_is_worked_out_without_a_word() -> None:
    (one,) = sampled("fernwhistle.toml", "site.altitude=3000 m")  # a warning would be an error here
    assert np.isfinite(one.band("source.gauge_pressure").high)


def test_a_gauge_bears_the_peak_while_water_is_pushed_out() -> None:
    flooded = ("line.head.check_valve=none", "line.head.depth=3 m", "line.hose.bore=6 mm", "source.flow=40 L/min")
    (d,) = designs_of("fernwhistle.toml", *flooded)
    e = table("fernwhistle.toml", *flooded)["source.gauge_pressure"]
    assert d.number("source.peak_gauge") > 1.1 * e.value
    assert e.gauge is not None
    assert e.gauge * 0.75 >= d.number("source.peak_gauge")


def test_a_fall_that_no_gauge_resolves_is_no_test() -> None:
    e = table("trivet-mill.toml", "line.schedule.interval=24 h")["acceptance.idle_fall"]
    assert e.passes is None
    assert judged(e, Reading(0.0, "")) == "not a test: no ordinary gauge resolves it"
