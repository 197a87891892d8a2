"""The use of the reading on the sheet: sensor models, simulation against closed form, loop, interval, wiping."""

import re

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from purgecalc import cycle as cy
from purgecalc.design import Design, design
from purgecalc.errors import NoPhysicalAnswer, ScenarioError
from purgecalc.reports import sketch
from purgecalc.reports.summary import summarise
from purgecalc.rules import Level, grades, judge, rule_settings
from purgecalc.scenario import loads
from tests.lines import BARE, ROOT, SCENARIOS, checked, designed, finding, read

MG = 1e-3
MODELS = {
    "one-lag": ("line.probe.sensor=one-lag",),
    "two-lags": ("line.probe.sensor=two-lags",),
    "dead-time-lag": ("line.probe.sensor=dead-time-lag", "line.probe.dead_time=12 s"),
}


def at(id: str, *settings: str) -> float:
    return float(designed(*settings)[id].value)


@pytest.mark.parametrize(
    ("t90", "one", "pair", "late", "lower"),
    [(30, 59, 54, 55, 58), (60, 103, 96, 98, 99), (120, 176, 172, 173, 165), (180, 236, 238, 237, 218)],
)
def test_hold_off_needed_is_as_computed_independently(t90: int, one: int, pair: int, late: int, lower: int) -> None:
    sensor = (f"line.probe.t90={t90} s", "line.probe.settling_factor=1")
    fifth = ("line.probe.sensor=dead-time-lag", f"line.probe.dead_time={t90 / 5} s")
    assert round(at("reading.hold_off_needed", *sensor)) == one
    assert round(at("reading.hold_off_needed", *sensor, "line.probe.sensor=two-lags")) == pair
    assert round(at("reading.hold_off_needed", *sensor, *fifth)) == late
    assert round(at("reading.hold_off_lower", *sensor)) == lower


def test_excursion_of_two_minutes_is_a_quarter_of_a_milligram() -> None:
    assert at("loop.excursion", "line.schedule.hold_lead=0 s") == pytest.approx(0.25 * MG, abs=0.005 * MG)
    deeper = at("loop.effective_saturation", "line.loop.saturation_factor=1.2")
    assert deeper == pytest.approx(1.2 * at("oxygen.saturation"))


def test_oxygen_moves_by_no_more_than_there_is() -> None:
    assert at("loop.excursion", "line.loop.load_step=200 %", "line.loop.uptake=200 mg/L/h") == at("probe.set_point")


@pytest.mark.parametrize("model", MODELS)
@pytest.mark.parametrize("hold", ["10 s", "45 s", "90 s", "300 s"])
@pytest.mark.parametrize("t90", ["30 s", "150 s"])
def test_simulation_and_closed_form_are_one(model: str, hold: str, t90: str) -> None:
    settings = (*MODELS[model], f"line.schedule.hold_off={hold}", f"line.probe.t90={t90}")
    d = designed(*settings)
    closed, lower, stays, gone = (
        float(d[f"reading.residual{tail}"].value) for tail in ("", "_lower", "_simulated", "_simulated_least")
    )
    assert stays == pytest.approx(closed, rel=1e-6)
    if model == "one-lag" or hold == "300 s":  # sensors that still rise after air off have no such order at first
        assert gone <= lower * (1 + 1e-9) <= closed * (1 + 1e-9)
    need = float(d["reading.hold_off_needed"].value)
    held = designed(*settings, f"line.schedule.hold_off={need} s")
    assert float(held["reading.residual_simulated"].value) == pytest.approx(0.2 * MG, rel=1e-6)


def test_the_height_judged_is_the_height_drawn() -> None:
    d = designed(*BARE, "line.probe.t90=150 s", "line.probe.mix_time=40 s")
    assert d.cycle is not None
    assert np.max(d.cycle.raw) - d.cycle.raw[0] == pytest.approx(d.number("reading.bump"), rel=2e-3)
    assert d.number("reading.bump") > 1.5 * d.number("reading.bump_lower")


@pytest.mark.parametrize("model", MODELS)
def test_what_passes_never_has_a_simulated_bias_above_the_tolerance(model: str) -> None:
    source, n = np.random.default_rng(7), 400
    inputs = read(*MODELS[model], *BARE, "line.probe.clear_time=5 s", "line.probe.mix_time=5 s").lines[0]
    t90 = np.exp(source.uniform(np.log(2), np.log(300), n))
    new = {
        "probe.t90": t90,
        "probe.clear_time": source.uniform(0, 40, n),
        "probe.mix_time": source.uniform(0, 90, n),
        "probe.tolerance": np.exp(source.uniform(np.log(0.02), np.log(2), n)) * MG,
        "probe.exposure": source.uniform(0.2, 1, n),
        "probe.set_point": source.uniform(0, 16, n) * MG,
        "schedule.blast": np.exp(source.uniform(np.log(1), np.log(300), n)),
        "schedule.interval": np.full(n, 86400.0),
    }
    if model == "dead-time-lag":
        new["probe.dead_time"] = t90 * source.uniform(0.05, 0.9, n)
    need = design(inputs.changed(new), unsteady=False)["reading.hold_off_needed"].value
    d = design(inputs.changed({**new, "schedule.hold_off": need * source.choice([1.0, 1.0, 1.02, 1.5], n)}), unsteady=False)
    assert not np.any(np.asarray(judged_levels(d)["hold-off"]) > 0)
    linger, dead = new["probe.clear_time"] + new["probe.mix_time"], new.get("probe.dead_time", np.zeros(n))
    hold, C_b = d.value("schedule.hold_off"), np.broadcast_to(d.value("oxygen.bubble_saturation"), n)
    bias = np.empty(n)
    for i, C in enumerate(new["probe.set_point"]):
        blast = cy.CycleTimes(
            d.number("schedule.hold_lead"), new["schedule.blast"][i], hold[i], linger[i], C_b[i], new["probe.exposure"][i]
        )
        still = cy.Tank(C, C + 1, 0.0), cy.Sensor(model, t90[i], dead[i], 1.15), cy.Blower(0), cy.Controller(C, active=False)
        run = cy.simulate(*still, blast, before=1.0, after=600.0, dt=5.0)
        bias[i] = np.max(np.abs(run.raw - run.oxygen)[run.t >= run.release - 1e-6])
    assert np.all(bias <= new["probe.tolerance"] * (1 + 1e-9))
    outside = np.abs(d.value("reading.bump")) > new["probe.tolerance"]
    assert np.count_nonzero(outside) > n / 2
    exact = outside & (d.value("schedule.hold_off") == need)
    assert bias[exact] == pytest.approx(new["probe.tolerance"][exact], rel=1e-6)


def judged_levels(d: Design) -> dict[str, np.ndarray]:
    return {rule: level for (rule, _), level in grades([d]).items()}


def test_a_negative_bump_is_followed_too() -> None:
    d = designed("line.probe.set_point=14 mg/L", *BARE)
    assert float(d["reading.residual"].value) < 0
    assert float(d["reading.residual_simulated"].value) == pytest.approx(float(d["reading.residual"].value), rel=1e-6)


@pytest.mark.parametrize("kind", ["pH", "ammonium", "turbidity", "redox"])
def test_a_probe_whose_bump_is_not_known_is_held_for_bubbles_mixing_and_t90_and_says_so(kind: str) -> None:
    settings = (*BARE, f"line.probe.kind={kind}", "line.probe.t90=40 s", "line.probe.clear_time=10 s", "line.probe.mix_time=6 s")
    d = designed(*settings)
    assert d.number("reading.hold_off_needed") == pytest.approx(56)
    assert "reading.bump" not in d
    assert "not known" in d["reading.hold_off_needed"].title
    (hold_off,) = [r for r in summarise(checked(*settings)).lines[0].ten if r.label == "Hold-off"]
    assert "the height of the bump is not known" in hold_off.remark


def test_a_fall_timed_by_hand_stands_for_the_sensor() -> None:
    sensor = designed("line.probe.t90=60 s", "line.probe.settling_factor=1")
    timed = designed("drop:t90", f"line.probe.timed_fall={sensor.number('reading.hold_off_needed')} s")
    for id in ("probe.t90", "reading.bump", "reading.hold_off_needed", "reading.residual", "reading.residual_simulated"):
        assert timed.number(id) == pytest.approx(sensor.number(id), rel=1e-9), id
    assert finding("hold-off", "line.probe.timed_fall=90 s").state == "passes"
    assert finding("hold-off", "line.probe.timed_fall=91 s").state == "fails"
    longer = (
        read("line.probe.timed_fall=70 s", "line.probe.timed_blast=30 s")
        .lines[0]
        .changed({"schedule.blast": np.array([30.0, 60.0, 120.0])})
    )
    needs = design(longer, unsteady=False)["reading.hold_off_needed"].value
    assert needs[0] == pytest.approx(70)
    assert np.all(np.diff(needs) > 0)  # it was timed after 30 s; a longer blast drives the reading further
    said = designed("line.probe.timed_fall=70 s", "line.probe.timed_blast=60 s")
    assert said.number("reading.hold_off_needed") < 70


def test_a_fall_timed_by_hand_is_all_there_is_of_a_probe_whose_bump_is_not_known() -> None:
    d = designed(*BARE, "drop:t90", "line.probe.kind=ammonium", "line.probe.timed_fall=150 s")
    assert d.number("reading.hold_off_needed") == 150
    assert "probe.t90" not in d


@pytest.mark.parametrize(
    ("fall", "settings", "says"),
    [
        ("9 s", (), "clear_time and mix_time as they are"),
        ("800 s", (), "10.9 min at most"),
        ("70 s", ("line.probe.tolerance=12 mg/L",), "within the tolerance"),
    ],
)
def test_a_fall_no_sensor_has_is_refused_with_what_to_do(fall: str, settings: tuple[str, ...], says: str) -> None:
    with pytest.raises(NoPhysicalAnswer, match=says):
        designed(f"line.probe.timed_fall={fall}", *settings)


def test_a_sweep_is_not_simulated_and_is_each_of_its_designs() -> None:
    inputs = read("line.loop.tracking=no", "line.fouling.bias_at_full=1 mg/L").lines[0]
    hold, rate = np.array([60.0, 90.0, 200.0]), np.array([0.005, 0.06, 2.0]) * MG / 86400
    many = design(inputs.changed({"schedule.hold_off": hold, "fouling.bias_rate": rate}), unsteady=False)
    assert many.cycle is None
    assert "reading.residual_simulated" not in many
    parts = ("reading", "loop", "interval", "fouling", "worth")
    names = [n.id for n in many.sheet if n.id.split(".")[0] in parts]
    assert len(names) > 60
    for i in range(3):
        one = design(inputs.changed({"schedule.hold_off": hold[i], "fouling.bias_rate": rate[i]}), unsteady=False)
        for id in names:
            assert np.broadcast_to(many[id].value, 3)[i] == pytest.approx(float(one[id].value), rel=1e-9), id


@pytest.mark.parametrize("model", MODELS)
def test_every_sensor_model_sweeps(model: str) -> None:
    inputs = read(*MODELS[model]).lines[0]
    t90 = np.array([30.0, 60.0, 180.0])
    many = design(inputs.changed({"probe.t90": t90}), unsteady=False)["reading.hold_off_needed"].value
    each = [float(design(inputs.changed({"probe.t90": t}), unsteady=False)["reading.hold_off_needed"].value) for t in t90]
    assert many == pytest.approx(each)


def test_bubbles_are_given_the_longer_of_the_usual_time_and_what_they_need_to_rise() -> None:
    d = designed()
    assert 4 < float(d["bubble.clearance_time"].value) < float(d["reading.clear_time"].value) == 5.0
    tall = designed("line.probe.plume_length=2 m")
    assert float(tall["reading.clear_time"].value) == float(tall["bubble.clearance_time"].value) > 10
    assert float(tall["reading.hold_off_needed"].value) > float(d["reading.hold_off_needed"].value) + 5
    said = designed("line.probe.clear_time=3 s", "line.probe.plume_length=2 m")
    assert "bubble.clearance_time" not in said
    assert float(said["reading.hold_off_lower"].value) == pytest.approx(float(d["reading.hold_off_lower"].value) - 2)


def test_a_monitored_tank_has_no_loop_on_its_sheet_and_no_new_assumptions() -> None:
    d = designed(*BARE)
    assert not [n.id for n in d.sheet if n.id.split(".")[0] in ("loop", "fouling", "worth", "worth", "outputs")]
    assert float(d["interval.shortest"].value) == pytest.approx(1220)  # the live share alone
    assert d.cycle is not None


def test_release_too_early_disturbs_the_simulated_loop_with_tracking_too() -> None:
    early = ("line.probe.t90=120 s", "line.schedule.hold_off=60 s")
    loud, tracked = designed(*early, "line.loop.tracking=no"), designed(*early)
    assert float(loud["loop.kick"].value) == pytest.approx(-0.21, abs=0.005)
    assert float(loud["loop.kick_simulated"].value) < -0.18
    assert float(loud["loop.moved_simulated"].value) < -0.1 * MG
    assert abs(float(tracked["loop.kick_simulated"].value)) > 0.05
    assert abs(float(tracked["loop.moved_simulated"].value)) > 0.1 * MG


SLOW = ("line.probe.t90=120 s", "line.schedule.hold_off=60 s", "line.schedule.hold_lead=0 s", "line.loop.uptake=50 mg/L/h")


def test_a_reading_left_live_drives_the_controller_with_the_bump_itself() -> None:
    """The whole loop as one set of equations: tank, one-lag sensor, blower of two lags, PI."""
    plain = (*SLOW, "line.probe.settling_factor=1")
    d = designed(*plain, "line.loop.tracking=no", "line.outputs.analogue=live")
    C, top, OUR = d.number("probe.set_point"), d.number("loop.effective_saturation"), d.number("loop.uptake")
    tau, C_b, tau_a = d.number("reading.time_constant"), d.number("oxygen.bubble_saturation"), 240 / 3.889720169867429

    def slope(t: float, y: np.ndarray) -> list[float]:
        oxygen, seen, a1, a2, area = y
        face = C_b if t < 40 else oxygen
        u = 1 + 100 * (C - seen) + area
        air = [(u - a1) / tau_a, (a1 - a2) / tau_a]
        return [OUR / (top - C) * a2 * (top - oxygen) - OUR, (face - seen) / tau, *air, 100 * (C - seen) / 300]

    y, rows = np.array([C, C, 1.0, 1.0, 0.0]), []
    for a, z in ((0.0, 40.0), (40.0, 90.0)):
        found = solve_ivp(slope, (a, z - 1e-9), y, rtol=1e-9, atol=1e-12, max_step=1.0)
        rows.append(100 * (C - found.y[1]) + found.y[4])
        y = found.y[:, -1]
    assert y[4] == pytest.approx(-0.088, abs=0.001)
    assert d.number("loop.integrator_ramp") == pytest.approx(y[4], rel=0.02)  # the oxygen has hardly moved yet
    worst = float(np.min(np.concatenate(rows)))
    assert worst == pytest.approx(-0.519, abs=0.003)
    assert d.number("loop.live_furthest") == pytest.approx(worst, rel=0.01)
    assert d.number("loop.kick_simulated") == pytest.approx(worst, rel=0.01)
    assert "loop.kick" not in d  # nothing is released that was never held
    assert (
        "It may move the airflow by -8.79 %"
        in finding("integrator-tracking", *plain, "line.loop.tracking=no", "line.outputs.analogue=live").remedy
    )


def test_a_controller_that_tracks_has_no_step_at_release_and_moves_as_the_bias_falls() -> None:
    tracked, loud = designed(*SLOW), designed(*SLOW, "line.loop.tracking=no")
    assert tracked.number("loop.kick") == 0
    assert tracked.number("loop.furthest") == pytest.approx(tracked.number("loop.kick_simulated"), rel=0.15)
    assert tracked.number("loop.furthest") > 0.05
    assert loud.number("loop.furthest") == loud.number("loop.kick") < -0.1
    sweep = design(read(*SLOW).lines[0].changed({"probe.t90": np.array([120.0, 60.0])}), unsteady=False)
    assert np.all(np.asarray(sweep.value("loop.kick")) == 0)
    assert np.asarray(sweep.value("loop.furthest"))[0] == tracked.number("loop.furthest")


@pytest.mark.parametrize("interval", ["20 min", "60 min"])
def test_what_the_loop_does_after_release_does_not_hang_on_how_long_is_drawn(interval: str) -> None:
    early = (*SLOW, "line.loop.tracking=no")
    one, other = designed(*early), designed(*early, f"line.schedule.interval={interval}")
    for id in ("loop.kick_simulated", "loop.moved_simulated"):
        assert other.number(id) == pytest.approx(one.number(id), rel=1e-3)


@pytest.mark.parametrize("T_i", ["10 s", "60 s"])
def test_the_scan_of_a_quick_controller_is_quick_enough(T_i: str, monkeypatch: pytest.MonkeyPatch) -> None:
    settings = (*SLOW, "line.loop.tracking=no", f"line.loop.integral_time={T_i}", "line.loop.actuator_t90=20 s")
    usual = designed(*settings)
    monkeypatch.setattr("purgecalc.design.simulated.SCANS_A_RESET", 400)
    finer = design(read(*settings).lines[0])
    for id in ("loop.kick_simulated", "loop.moved_simulated"):
        assert usual.number(id) == pytest.approx(finer.number(id), rel=0.02)


def test_a_set_point_above_saturation_is_refused_with_a_way_out() -> None:
    with pytest.raises(NoPhysicalAnswer, match="saturation_factor"):
        designed("line.probe.set_point=11 mg/L")


def test_band_of_intervals_names_its_ends() -> None:
    d = designed()
    assert float(d["interval.shortest"].value) == pytest.approx(1220)  # nine tenths live of 122 s hold
    assert float(d["interval.longest"].value) == pytest.approx(71 * 60, rel=0.005)
    assert at("interval.shortest", "source.duty=S3 1 %", "line.schedule.hold_off=60 s") == np.inf  # 30 s do not fit 6 s
    assert at("interval.shortest", "line.loop.integral_time=20 min") == pytest.approx(122 + 3 * 1200)


REFUSED = {
    "dead_time and sensor": ("line.probe.dead_time=5 s",),
    "go together": ("line.outputs.bus=substitute",),
    "must be shorter than t90": (*MODELS["dead-time-lag"], "line.probe.t90=12 s"),
    "that the catalogue has": ("drop:t90", "line.probe.sensor=dead-time-lag", "line.probe.dead_time=50 s"),
    "timed_blast goes with timed_fall": ("line.probe.timed_blast=30 s",),
    "t63 can be used for": ("drop:t90", "line.probe.t63=12 s", "line.probe.sensor=two-lags"),
    "oxygen probes only": ("line.probe.kind=pH",),
    "is not one of": ("line.outputs.relay=frozen",),
    "controller gain is wanted": ("line.loop.gain=10 %",),
    "needs loop with blower_power": ("drop:loop",),
}


@pytest.mark.parametrize("words", REFUSED)
def test_tables_that_do_not_fit_are_refused(words: str) -> None:
    with pytest.raises(ScenarioError) as caught:
        read(*REFUSED[words])
    assert words in "\n".join(str(p) for p in caught.value.problems)


def test_true_and_false_are_taken_for_yes_and_no() -> None:
    assert finding("integrator-tracking", "line.loop.tracking=false").state == "fails"
    assert finding("integrator-tracking", "line.loop.tracking=true").state == "passes"


def test_a_reader_nobody_mentions_is_named() -> None:
    text = (SCENARIOS / "fernwhistle.toml").read_text(encoding="utf-8").replace('relay = "hold-last"\n', "")
    scenario = loads(text)
    design_ = [design(i) for i in scenario.lines]
    found = next(f for f in judge(design_, rule_settings(scenario)) if f.rule.id == "users-treated")
    assert found.state == "fails"
    assert found.fact is not None
    assert found.fact.found == "relay not stated"


def test_what_is_not_said_of_latch_and_longest_hold_fails_where_outputs_are_frozen() -> None:
    assert finding("held-value", "drop:held_value").state == "fails"
    assert finding("longest-hold", "drop:longest").state == "fails"
    assert finding("longest-hold", "line.probe.longest_hold=100 s").state == "fails"  # ends before the hold-off does


def test_a_value_parked_in_the_record_is_worse_than_one_frozen_there() -> None:
    substituted = ("line.outputs.historian=substitute", "line.outputs.substitute_value=0 mg/L", "line.outputs.status=good")
    assert finding("downstream-averaging", *substituted).level == Level.FIX
    assert finding("downstream-averaging", "line.outputs.status=good").level == Level.WATCH


def test_excursion_is_held_to_a_quarter_of_a_low_set_point() -> None:
    low = ("line.probe.set_point=0.8 mg/L", "line.loop.uptake=40 mg/L/h")
    assert finding("excursion", *low).state == "fails"  # 0.25 mg/L of 0.8
    assert finding("excursion").state == "passes"


def test_sketch_shows_the_bump_and_hides_it_where_it_is_held() -> None:
    d = designed()
    cycle = sketch.DrawnCycle(2, 30, 90, 1800, "", d.cycle)
    bar, raw, out = (line[12:] for line in sketch.drawn(cycle, 80))
    assert len(bar) == len(raw) == len(out) == 68
    assert raw[bar.index("B") : bar.index("B") + 2] == "##"
    assert set(out) == {"_"}
    early = sketch.DrawnCycle(2, 30, 20, 1800, "", designed("line.schedule.hold_off=20 s").cycle)
    bar, raw, out = (line[12:] for line in sketch.drawn(early, 80))
    assert out[: bar.index(".")] == "_" * bar.index(".")
    assert out[bar.index(".")] in ".-+#"


def test_the_starter_with_its_notes_taken_away_is_judged_by_every_rule_on_the_use_of_the_reading() -> None:
    text = (ROOT / "purgecalc" / "scenario" / "starter.toml").read_text(encoding="utf-8")
    start, end = text.index("# t90_of ="), text.index("# [limits]")
    scenario = loads(text[:start] + re.sub(r"(?m)^# (?=\[|[a-z_]+ = )", "", text[start:end]) + text[end:])
    findings = judge([design(i) for i in scenario.lines], rule_settings(scenario))
    use = [f for f in findings if f.rule.group in ("reading", "loop", "interval", "fouling")]
    assert {f.rule.id: f.missing for f in use if f.state == "not judged"} == {"hard-fouling": ("fouling.hard",)}
    assert {f.rule.id for f in use if f.state == "not applicable"} == {"substitute-value"}
    assert not [f.rule.id for f in use if f.state == "fails"]


def test_sea_water_at_high_tide_has_the_higher_bubble_saturation() -> None:
    sea = ("site.altitude=5 m", "water.salinity=35 g/kg", "water.temperature=16 degC", "line.probe.set_point=7.5 mg/L", *BARE)
    high, low = ("line.head.depth=8 m", "source.flow=200 L/min"), ("line.head.depth=2 m",)
    assert at("oxygen.bubble_saturation", *sea, *high) == pytest.approx(14 * MG, rel=0.03)  # computed independently
    assert at("oxygen.bubble_saturation", *sea, *low) < 0.7 * at("oxygen.bubble_saturation", *sea, *high)
    assert at("oxygen.bubble_saturation", *sea, *low, "water.salinity=0 g/kg") > at("oxygen.bubble_saturation", *sea, *low)
    assert at("reading.hold_off_needed", *sea, *high) > at("reading.hold_off_needed", *sea, *low)


def test_a_full_film_nobody_measured_hides_the_set_point_at_most() -> None:
    assert at("worth.full_bias_assumed") == pytest.approx(2 * MG)
    assert at("worth.none.bias_at_wipe") == pytest.approx(-2 * MG)
    assert at("worth.full_bias_assumed", "line.probe.set_point=6 mg/L") == pytest.approx(2 * MG, rel=0.01)  # half of 4
    assert "worth.full_bias_assumed" not in designed("line.fouling.bias_at_full=1 mg/L")
