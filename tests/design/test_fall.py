"""How a sensor falls back: settling factor, rising and falling t90, longer response times beside t90."""

import numpy as np
import pytest

from purgecalc import cycle as cy
from purgecalc.design import Design, design, design_all
from purgecalc.errors import ScenarioError
from purgecalc.formulas import sensor_fall as fl
from purgecalc.reports.response import about_response, still_water
from purgecalc.scenario import load
from purgecalc.studies.spread import sides, spread
from tests.lines import BARE, SCENARIOS, designed, finding, read

MG = 1e-3
PLAIN = ("line.probe.settling_factor=1",)
MEMBRANE = ("line.probe.kind=membrane-oxygen", "line.probe.t90=30 s", "line.probe.tolerance=0.2 mg/L")


def need(*settings: str) -> float:
    return designed(*settings).number("reading.hold_off_needed")


def test_an_optical_face_settles_later_than_one_lag_of_its_t90() -> None:
    assert need() == pytest.approx(66.3, abs=0.05)
    assert need(*PLAIN) == pytest.approx(59.0, abs=0.05)
    assert need(*MEMBRANE) == pytest.approx(59.0, abs=0.05)  # nobody has measured one
    assert designed().number("reading.bump") == designed(*PLAIN).number("reading.bump")  # it is the fall that is slower
    assert need("line.probe.settling_factor=1.33") == pytest.approx(10 + 1.33 * (need(*PLAIN) - 10))


@pytest.mark.parametrize(("site", "hold_off"), [("cloudrest.toml", "70 s"), ("quillstone.toml", "60 s")])
def test_a_hold_off_that_one_lag_just_allowed_is_too_short(site: str, hold_off: str) -> None:
    lines = load(str(SCENARIOS / site), [f"line.schedule.hold_off={hold_off}"]).lines
    (d,) = design_all(lines)
    assert d.number("reading.hold_off_needed") > d.number("schedule.hold_off")
    plain = design(lines[0].with_given(designed(*PLAIN).inputs["probe.settling_factor"]))
    assert plain.number("reading.hold_off_needed") < d.number("schedule.hold_off")


@pytest.mark.parametrize(
    "settings",
    [
        (),
        ("line.probe.sensor=two-lags",),
        ("line.probe.sensor=dead-time-lag", "line.probe.dead_time=8 s"),
        ("line.probe.t99=110 s",),
        ("line.probe.t95=45 s", "line.probe.t99=80 s"),
        ("line.probe.t90_of=rising",),
        ("line.probe.t99=110 s", "line.probe.t90_of=rising"),
    ],
)
def test_the_simulation_falls_as_the_closed_form_does(settings: tuple[str, ...]) -> None:
    for hold in (12, 25, 60, 200):
        d = designed(*settings, f"line.schedule.hold_off={hold} s")
        assert d.number("reading.residual_simulated") == pytest.approx(d.number("reading.residual"), rel=1e-6)
    at = designed(*settings, f"line.schedule.hold_off={need(*settings)} s")
    assert at.number("reading.residual_simulated") == pytest.approx(0.2 * MG, rel=1e-6)


def test_a_t90_of_a_rise_is_lengthened_only_where_the_reading_has_to_fall() -> None:
    falls = need("line.probe.t90_of=rising")
    assert falls == pytest.approx(10 + 1.43 * (need() - 10))
    assert need("line.probe.t90_of=falling") == need()
    high = (*BARE, "line.probe.set_point=14 mg/L")
    assert designed(*high).number("reading.bump") < 0
    assert need(*high, "line.probe.t90_of=rising") == need(*high)


def test_the_model_meets_every_response_time_stated_or_is_later() -> None:
    t_90, s = 30.0, 0.2
    for t_x, x in ((40.0, 0.95), (55.0, 0.95), (61.0, 0.99), (110.0, 0.99), (90.0, 0.98)):
        slow = float(fl.slow_constant(t_90, t_x, x, s))
        quick = float(fl.quick_constant(t_90, slow, s))
        assert 0 < quick <= slow

        def left(t: float, slow: float = slow, quick: float = quick) -> float:
            return (1 - s) * np.exp(-t / quick) + s * np.exp(-t / slow)

        assert left(t_90) == pytest.approx(0.1, rel=1e-9)
        assert left(t_x) == pytest.approx(1 - x, rel=1e-9)


def test_an_end_quicker_than_one_lag_is_taken_as_one_lag() -> None:
    assert fl.slow_constant(30.0, 50.0, 0.99, 0.2) == pytest.approx(30 / np.log(10), rel=1e-9)
    assert need("line.probe.t99=50 s") == pytest.approx(need(*PLAIN), rel=1e-9)


def test_of_several_longer_response_times_the_slowest_counts() -> None:
    both = need("line.probe.t95=45 s", "line.probe.t99=80 s")
    assert both == pytest.approx(max(need("line.probe.t95=45 s"), need("line.probe.t99=80 s")))
    three = need("line.probe.t95=45 s", "line.probe.t98=70 s", "line.probe.t99=80 s")
    assert three >= both


def test_a_slower_end_asks_for_a_longer_hold_off_and_a_table_says_the_same() -> None:
    t99 = np.array([60.0, 75.0, 90.0, 110.0, 120.0])
    many = design(read("line.probe.t99=90 s").lines[0].changed({"probe.t99": t99}), unsteady=False)
    needs = np.asarray(many.value("reading.hold_off_needed"))
    assert np.all(np.diff(needs) > 0)
    assert needs == pytest.approx([need(f"line.probe.t99={t} s") for t in t99])
    assert need("line.probe.t99=60.0001 s") == pytest.approx(need(*PLAIN), rel=1e-3)


def test_a_lone_t99_tells_of_the_end_of_the_fall() -> None:
    d = designed("drop:t90", "line.probe.t99=60 s")
    assert d.number("probe.t90") == pytest.approx(30)
    assert d.number("reading.fall_stretch") == 1
    assert designed("drop:t90", "line.probe.t95=39 s").number("reading.fall_stretch") == 1.15


REFUSED = {
    "longer than a slow share": ("line.probe.t99=131 s",),
    't95 "29 s" must be longer than t90': ("line.probe.t95=29 s",),
    't99 "44 s" must be longer than t95': ("line.probe.t95=45 s", "line.probe.t99=44 s"),
    "not t90 and t63": ("line.probe.t63=13 s", "line.probe.t90=30 s"),
    "may stand beside t90": ("drop:t90", "line.probe.t95=45 s", "line.probe.t99=80 s"),
    "each tells how the fall ends": ("line.probe.t99=80 s", "line.probe.settling_factor=1.2"),
    "tells of a stated response time": ("drop:t90", "line.probe.t90_of=rising"),
    "t95 can be used for": ("line.probe.t95=45 s", "line.probe.sensor=two-lags"),
}


@pytest.mark.parametrize("words", REFUSED)
def test_what_cannot_be_is_refused(words: str) -> None:
    with pytest.raises(ScenarioError) as caught:
        read(*REFUSED[words])
    assert words in "\n".join(str(p) for p in caught.value.problems)


def test_a_smaller_slow_share_has_a_longer_tail() -> None:
    assert fl.longest_tail(0.2, 0.99) == pytest.approx(np.log(20) / np.log(2))
    assert need("line.probe.t99=131 s", "line.probe.slow_share=0.15") > need("line.probe.t99=100 s")
    assert np.isnan(fl.slow_constant(30.0, 131.0, 0.99, 0.2))


def test_two_equal_lags_are_watched_on_an_optical_face_alone() -> None:
    assert finding("sensor-shape", "line.probe.sensor=two-lags").state == "fails"
    assert finding("sensor-shape").state == "passes"
    assert finding("sensor-shape", *MEMBRANE, "line.probe.sensor=two-lags").state == "not applicable"


def test_a_t90_of_which_nobody_says_whether_it_rises_or_falls_may_be_longer() -> None:
    assert sides(designed(), "response") == pytest.approx((0.2, 0.43))
    assert sides(designed("line.probe.t90_of=falling"), "response") == pytest.approx((0.2, 0.2))
    assert sides(designed(*MEMBRANE), "response") == pytest.approx((0.2, 0.2))
    assert sides(designed(*BARE, "line.probe.set_point=14 mg/L"), "response") == pytest.approx((0.2, 0.2))
    assert sides(designed(), "settling") == pytest.approx((1 - 1.09 / 1.15, 1.33 / 1.15 - 1))


def _band(*settings: str) -> tuple[float, float]:
    scenario = read(*settings)
    band = spread(scenario.lines, design_all(scenario.lines))[0].band("reading.hold_off_needed")
    return band.low, band.high


def test_the_band_of_the_hold_off_holds_what_is_not_known_of_the_fall() -> None:
    unsaid, said, measured = _band(), _band("line.probe.t90_of=falling"), _band("line.probe.settling_factor=1.15")
    assert unsaid[1] > said[1] + 5
    assert unsaid[1] > measured[1] + 1
    assert unsaid[0] == pytest.approx(said[0], abs=1.5)


def test_what_temperature_and_flow_do_is_told_and_still_water_remarked() -> None:
    assert "10.5 % at most here" in about_response(designed())
    assert "kelvin. It goes" in about_response(designed("water.temperature=22 degC"))
    assert still_water(designed()) == ""
    assert "two to three times" in about_response(designed("line.probe.mix_time=30 s"))
    assert about_response(designed(*MEMBRANE)) == about_response(designed("line.probe.timed_fall=70 s")) == ""


def _runs(d: Design, sensor: cy.Sensor) -> float:
    C = d.number("probe.set_point")
    blast = cy.CycleTimes(0.0, 30.0, d.number("schedule.hold_off"), 10.0, d.number("oxygen.bubble_saturation"))
    tank = cy.Tank(C, C + 1, 0.0)
    return float(cy.at_release(cy.simulate(tank, sensor, cy.Blower(0), cy.Controller(C, active=False), blast, dt=0.05)).bias)


def test_fine_steps_of_the_simulated_slow_share_change_nothing() -> None:
    d = designed("line.probe.t99=100 s")
    sensor = cy.Sensor("one-lag", 30.0, 0.0, 1.0, 0.2, d.number("reading.slow_constant"))
    assert _runs(d, sensor) == pytest.approx(d.number("reading.residual"), rel=1e-6)
