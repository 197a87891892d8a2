"""Every worked site, with the verdict and the figures a competent engineer expects.

The figures were computed independently of this code; the tolerance is what that other computation is good for.
"""

from typing import Any

import pytest

from purgecalc.design import design_all
from purgecalc.scenario import load
from purgecalc.scenario.facts import site_questions
from purgecalc.studies.checked import Checked
from tests.lines import SCENARIOS

USUAL = ("fernwhistle.toml", "quillstone.toml", "slowmere.toml", "tarnbeck.toml", "cloudrest.toml", "trivet-mill.toml")
"""Sites whose figures were computed with the usual 7.6 m of hose; their own are shorter, verdict and findings the same."""
EXPECTED: dict[str, dict[str, Any]] = {
    "fernwhistle.toml": {
        "verdict": "PASS",
        "fails": set(),
        "source.gauge_pressure": (0.319e5, 0.01),
        "line.flow_anr": (55.0 / 60e3, 0.01),
        "head.overpressure": (140e2, 0.01),
        "head.thrust": (0.151, 0.01),
        "reading.hold_off_needed": (66.3, 0.01),
        "reading.live_share": (0.933, 0.002),
        "loop.excursion": (0.25e-3, 0.02),
        "fouling.critical_interval": (101 * 60, 0.005),
        "interval.longest": (71 * 60, 0.005),
        "source.duty_fraction": (0.0167, 0.01),
        "source.energy_per_year": (26 * 3.6e6, 0.02),
        "hose.longest": (144, 0.02),
    },
    "long-tansy.toml": {
        "verdict": "FIX",
        "fails": {"jet-strength", "source-rating", "hose-length"},
        "source.gauge_pressure": (1.49e5, 0.01),
        "line.flow_anr": (31.0 / 60e3, 0.01),
        "head.overpressure": (44e2, 0.01),
        "head.thrust": (0.049, 0.01),
        "head.jet_thrust_ratio": (0.32, 0.02),
        "hose.longest": (4.60, 0.02),
    },
    "cloudrest.toml": {
        "verdict": "WATCH",
        "fails": {"jet-strength", "motor-derated"},
        "source.rating_left": (0.74, 0.001),
        "site.pressure": (64.9e3, 0.001),
        "line.flow_anr": (34 / 60e3, 0.02),
        "head.thrust": (0.080, 0.02),
        "head.jet_thrust_ratio": (0.534, 0.02),
        "oxygen.saturation": (6.85e-3, 0.005),
        "reading.driving_difference": (6.9e-3, 0.02),
        "reading.bump": (6.24e-3, 0.01),
        "reading.hold_off_needed": (78.7, 0.01),
        "reading.hold_off_lower": (77, 0.01),
        "loop.effective_saturation": (6.85e-3, 0.005),
    },
    "pellwick.toml": {
        "verdict": "FIX",
        "fails": {"jet-strength", "slug", "delivery-sharp", "hose-length", "hard-fouling", "downstream-averaging"},
        "head.thrust": (0.056, 0.01),
        "oxygen.bubble_saturation": (14e-3, 0.03),
        "reading.live_share": (0.958, 0.001),
        "interval.longest": (71 * 60, 0.005),
    },
    "icklefrost.toml": {
        "verdict": "STOP",
        "fails": {"dew-point", "ice", "sag", "jet-strength", "hold-off", "hose-length"},
        "source.gauge_pressure": (1.31e5, 0.012),
        "head.thrust": (0.024, 0.03),
        "head.jet_thrust_ratio": (0.16, 0.04),
        "moisture.run_dew_point": (273.15 + 22, 0.001),
        "moisture.dew_point_needed": (273.15 - 28, 1e-6),
        "moisture.water_per_day": (4.5e-3, 0.12),
        "hose.bore_area": (12.6e-6, 0.003),
        "moisture.time_to_block": (3 * 86400, 0.12),
    },
    "quillstone.toml": {
        "verdict": "STOP",
        "fails": {
            "contact-at-rest",
            "contact-on-loss",
            "contact-welded",
            "contact-rating",
            "suppression",
            "supply-voltage",
            "separate-supply",
            "duty",
        },
        "contact.run_share": (0.90, 0.001),
        "contact.control_power_lost": (1, 0),
        "reading.live_share": (0.833, 0.001),
        "source.duty_fraction": (0.90, 0.001),  # as wired
    },
    "tarnbeck.toml": {
        "verdict": "PASS",
        "fails": set(),
        "pressure.highest_pressure": (1.98e5, 1e-6),
        "pressure.hose_rating": (7.5e5, 1e-6),
        "head.coverage": (0.75, 1e-9),
        "lifting.total_mass": (3.0, 1e-9),
        "upkeep.run_time_of_share": (146.1 * 3600, 0.001),
    },
    "slowmere.toml": {
        "verdict": "FIX",
        "fails": {"hold-off", "integrator-tracking"},
        "reading.hold_off_needed": (176, 0.01),
        "reading.residual": (1.85e-3, 0.02),
        "loop.kick": (-0.185, 0.02),
    },
    "thimblemere.toml": {
        "verdict": "WATCH",
        "fails": {"jet-strength", "transition"},
        "line.flow_anr": (15 / 60e3, 0.02),
        "hose.reynolds": (2673, 0.002),
        "hose.friction_factor": (0.0383, 0.002),
        "hose.pressure_drop": (237, 0.005),
        "source.gauge_pressure": (1.046e5, 0.001),
        "head.thrust": (0.0913, 0.001),
    },
    "trivet-mill.toml": {
        "verdict": "WATCH",
        "fails": {"valve-share", "face-pressure"},
        "source.end_pressure_isothermal_gauge": (4.40e5, 0.01),
        "source.end_pressure_adiabatic_gauge": (3.95e5, 0.01),
        "source.settled_pressure_gauge": (4.46e5, 0.01),
        "source.run_time": (102, 0.05),
    },
}


def test_every_scenario_states_what_is_expected_of_it() -> None:
    assert {p.name for p in SCENARIOS.glob("*.toml")} == set(EXPECTED)


@pytest.mark.parametrize("name", EXPECTED)
def test_scenario_comes_out_as_an_engineer_expects(name: str) -> None:
    checked = Checked.of(load(str(SCENARIOS / name)))
    usual = ["line.hose.length=7.6 m"] if name in USUAL else []
    told = design_all(load(str(SCENARIOS / name), usual).lines)[0]
    expected = EXPECTED[name]
    assert checked.verdict == expected["verdict"]
    assert {f.rule.id for f in checked.findings if f.state == "fails"} == expected["fails"]
    d = told.corners.get("deepest", told)
    for id, wanted in expected.items():
        if id not in ("verdict", "fails"):
            value, tolerance = wanted
            assert d.number(id) == pytest.approx(value, rel=tolerance), id


def test_a_longer_blast_does_not_mend_a_weak_jet_and_a_larger_bore_does() -> None:
    long_blast = load(str(SCENARIOS / "long-tansy.toml"), ["line.schedule.blast=60 s"])
    wide = load(str(SCENARIOS / "long-tansy.toml"), ["line.hose.bore=8 mm"])
    near = load(str(SCENARIOS / "long-tansy.toml"), ["line.hose.length=7.6 m"])
    thrust = [float(design_all(s.lines)[0]["head.thrust"].value) for s in (long_blast, wide, near)]
    assert thrust == pytest.approx([0.049, 0.140, 0.091], rel=0.01)


def test_altitude_alone_costs_two_fifths_of_the_jet() -> None:
    low = load(str(SCENARIOS / "cloudrest.toml"), ["site.altitude=0 m", "line.hose.length=7.6 m"])
    assert float(design_all(low.lines)[0]["head.thrust"].value) == pytest.approx(0.142, rel=0.02)


def test_slowmere_is_mended_by_an_hour_and_three_minutes() -> None:
    mended = ["line.schedule.interval=60 min", "line.schedule.hold_off=180 s", "line.loop.tracking=yes"]
    checked = Checked.of(load(str(SCENARIOS / "slowmere.toml"), mended))
    assert checked.verdict == "PASS"
    (d,) = checked.designs
    assert d.number("loop.excursion") == pytest.approx(0.49e-3, rel=0.01)  # just inside 0.5 mg/L
    assert d.number("reading.live_share") == pytest.approx(0.942, abs=5e-4)


def test_tracking_alone_does_not_mend_slowmere_and_the_naive_hold_off_leaves_too_little_live() -> None:
    assert _fails("slowmere.toml", "line.loop.tracking=yes") == {"hold-off"}
    assert _fails("slowmere.toml", "line.loop.tracking=yes", "line.schedule.hold_off=180 s") == {"live-share"}


def test_the_tide_decides_the_jet_at_pellwick() -> None:
    tide = design_all(load(str(SCENARIOS / "pellwick.toml"), ["line.head.depth=6 m"]).lines)[0]
    assert tide.corners["shallowest"].number("head.thrust") == pytest.approx(0.125, rel=0.01)
    assert tide.number("head.thrust") == pytest.approx(0.073, rel=0.01)
    assert tide.corners["deepest"].number("head.thrust") == pytest.approx(0.056, rel=0.01)


def _fails(name: str, *settings: str) -> set[str]:
    checked = Checked.of(load(str(SCENARIOS / name), list(settings)))
    return {f.rule.id for f in checked.findings if f.state == "fails"}


def test_quillstone_on_110_volts_runs_and_cannot_start() -> None:
    on_110 = ("supply.voltage=110 V",)
    d = design_all(load(str(SCENARIOS / "quillstone.toml"), list(on_110)).lines)[0]
    assert d.number("supply.run_share") == pytest.approx(0.026, rel=0.01)
    assert d.number("supply.start_share") == pytest.approx(0.1357, rel=0.01)
    fails = _fails("quillstone.toml", *on_110)
    assert "supply-start-dip" in fails
    assert not {"supply-voltage", "supply-run-drop"} & fails
    thicker = ("supply.conductor_area=2.5 mm2",)
    d = design_all(load(str(SCENARIOS / "quillstone.toml"), [*on_110, *thicker]).lines)[0]
    assert d.number("supply.start_share") == pytest.approx(0.086, rel=0.01)
    assert "supply-start-dip" not in _fails("quillstone.toml", *on_110, *thicker)


def test_quillstone_rewired_on_its_own_voltage_is_sound() -> None:
    mended = (
        "supply.voltage=110 V",
        "supply.conductor_area=4 mm2",
        "supply.separate=yes",
        "line.contact.terminal=NO",
        "line.contact.interposing_relay=yes",
        "line.contact.suppression=yes",
        "line.contact.run_timer=yes",
        "line.schedule.blast=30 s",
        "line.schedule.interval=30 min",
        "line.schedule.hold_off=70 s",
    )
    assert _fails("quillstone.toml", *mended) == set()


def test_the_inverted_contact_of_the_usual_schedule_runs_98_percent_of_the_time() -> None:
    usual = ["line.schedule.blast=30 s", "line.schedule.interval=30 min"]
    d = design_all(load(str(SCENARIOS / "quillstone.toml"), usual).lines)[0]
    assert d.number("contact.run_share") == pytest.approx(0.983, abs=0.001)


def test_icklefrost_is_mended_by_a_warm_kiosk_near_the_water() -> None:
    near = (
        "line.hose.length=7.6 m",
        "line.hose.bore=8 mm",
        "line.route.exposed_length=2 m",
        "line.route.sag=0 m",
        "line.route.low_drain=yes",
        "moisture.dryer_class=2",
        "line.schedule.hold_off=150 s",
    )
    assert _fails("icklefrost.toml", *near) == set()  # half the usual jet is enough for a membrane
    d = design_all(load(str(SCENARIOS / "icklefrost.toml"), list(near)).lines)[0]
    assert d.number("head.thrust") == pytest.approx(0.081, rel=0.02)
    assert d.number("head.jet_thrust_ratio") == pytest.approx(0.54, rel=0.02)


def test_tarnbeck_passes_and_asks_two_questions() -> None:
    scenario = load(str(SCENARIOS / "tarnbeck.toml"))
    assert site_questions(scenario.lines[0].choices).ids == ("relief_proved", "guard_rail")
    assert _fails("tarnbeck.toml", "site_facts.guard_rail=no") == {"site-guard-rail"}
