"""What stands around the line: worked out only where it is stated, the same for one design as for many, and as worked by hand."""

import numpy as np
import pytest

from purgecalc.design import design, design_all
from purgecalc.design.contact import CONDITIONS
from purgecalc.formulas.contact import every_wiring, judge
from purgecalc.rules import judge as judge_designs
from purgecalc.rules import verdict
from purgecalc.scenario import load, loads
from purgecalc.scenario.facts import FACTS
from purgecalc.studies.contact_table import truth_table
from purgecalc.studies.upkeep import upkeep_plan
from tests.lines import RECEIVER, SCENARIOS, designed, read

FULL = (SCENARIOS / "tarnbeck.toml").read_text(encoding="utf-8")
NEW = ("contact.", "supply.", "moisture.", "pressure.", "blocked.", "in_air.", "noise.", "lifting.", "upkeep.")
TANK = (*RECEIVER, "moisture.intake_temperature=20 degC", "moisture.intake_humidity=60 %")


def test_nothing_is_worked_out_that_nobody_stated() -> None:
    assert [n.id for n in designed().sheet if n.id.startswith(NEW)] == []


def test_every_step_can_be_worked_again_and_goes_back_to_givens() -> None:
    d = design(loads(FULL).lines[0])
    steps = [s for s in d.sheet.steps() if s.id.startswith(NEW)]
    assert {s.id.split(".")[0] + "." for s in steps} == set(NEW)
    for step in steps:
        if step.formula is None:
            assert step.note
            continue
        again = step.formula.function(**{n: node.value for n, node in step.inputs.items()})
        assert float(again) == pytest.approx(float(step.value), rel=1e-12, abs=1e-300), step.id


def test_a_table_of_designs_is_each_of_its_designs() -> None:
    inputs = loads(FULL).lines[0]
    varied = {
        "supply.cable_length": np.array([10.0, 60.0, 200.0]),
        "moisture.intake_humidity": np.array([0.2, 0.5, 0.95]),
        "route.coldest": np.array([255.0, 265.0, 270.0]),
        "head.stand_off": np.array([0.006, 0.012, 0.02]),
        "noise.ear_distance": np.array([0.5, 1.0, 3.0]),
        "lifting.pole_mass": np.array([1.0, 2.0, 5.0]),
        "schedule.interval": np.array([900.0, 1800.0, 3600.0]),
        "upkeep.seal_life": np.array([1e5, 1e6, 1e7]),
    }
    many = design(inputs.changed(varied), unsteady=False)
    for i in range(3):
        one = design(inputs.changed({id: float(v[i]) for id, v in varied.items()}), unsteady=False)
        for step in one.sheet.steps():
            if step.id.startswith(NEW):
                value = np.broadcast_to(many[step.id].value, (3,))[i]
                assert float(value) == pytest.approx(float(step.value), rel=1e-9, abs=1e-12), step.id


@pytest.mark.parametrize("wiring", every_wiring(), ids=str)
def test_the_sheet_says_of_every_wiring_what_the_truth_model_says(wiring: object) -> None:
    terminal, on, load = wiring.terminal.value, wiring.coil_on_at_rest, wiring.load.value  # type: ignore[attr-defined]
    d = designed(
        f"line.contact.terminal={terminal}", f"line.contact.coil_at_rest={'on' if on else 'off'}", f"line.contact.load={load}"
    )
    facts = judge(wiring)  # type: ignore[arg-type]
    assert {id: bool(d.number(id)) for id in CONDITIONS} == {id: facts.flows[c] for id, c in CONDITIONS.items()}
    table = truth_table(d)
    assert table is not None
    assert {name: row[table.chosen] for name, row in table.rows} == {c.value: flow for c, flow in facts.flows.items()}


def test_a_receiver_at_six_bar_condenses_and_a_drain_dries_it_to_its_own_temperature() -> None:
    wet = designed(*TANK)
    assert wet.number("moisture.source_dew_point") - 273.15 == pytest.approx(45.0, abs=1.0)
    drained = designed(*TANK, "moisture.drain=yes")
    assert drained.number("moisture.source_dew_point") - 273.15 == pytest.approx(20.0, abs=0.01)


def test_behind_the_valve_the_share_of_vapour_is_what_was_breathed_in_and_the_dew_point_lower() -> None:
    d = designed(*TANK, "line.route.coldest=5 degC", "line.route.exposed_length=3 m")
    breathed = 0.6 * 2339 / d.number("site.pressure")  # 20 degC, steam tables
    highest = d.number("moisture.inlet_from_cut_out")  # undried, the worse moment is the one of the higher pressure
    assert d.number("moisture.run_vapour") / highest == pytest.approx(breathed, rel=0.005)
    early = d.number("moisture.run_vapour_from_cut_in") / d.number("hose.inlet_pressure")
    assert early == pytest.approx(breathed, rel=0.005)
    assert d.number("moisture.run_dew_point") < d.number("moisture.source_dew_point") - 1


FROST = (
    "moisture.intake_temperature=15 degC",
    "moisture.intake_humidity=60 %",
    "moisture.dryer_dew_point=-20 degC",
    "line.route.coldest=-14 degC",
    "line.route.exposed_length=5 m",
)


@pytest.mark.parametrize("cut_in", ["4.5 bar(g)", "5.9 bar(g)"])
def test_dried_air_freezes_in_the_run_whatever_the_cut_in(cut_in: str) -> None:
    scenario = load(str(SCENARIOS / "trivet-mill.toml"), [*FROST, "line.hose.length=7.6 m", f"source.cut_in={cut_in}"])
    (d,) = design_all(scenario.lines)
    assert verdict(judge_designs([d])) == "STOP"
    assert d.number("moisture.run_dew_point") - 273.15 == pytest.approx(-22.65, abs=0.1)
    # the dryer's vapour over water at -20 degC, 125.4 Pa, thinned as the pressure falls at one moment from source to run
    ratio = d.number("moisture.run_vapour") / 125.4
    moments = [
        d.number("hose.inlet_pressure") / d.number("source.cut_in_absolute"),
        d.number("moisture.inlet_from_cut_out") / d.number("source.cut_out_absolute"),
    ]
    assert ratio == pytest.approx(max(moments), rel=0.005)


def test_air_out_of_a_drained_receiver_is_wettest_as_a_blast_from_cut_in_begins() -> None:
    drained = [s for s in FROST if "dryer" not in s]
    (d,) = design_all(load(str(SCENARIOS / "trivet-mill.toml"), [*drained, "moisture.drain=yes"]).lines)
    saturated = 1704.0 * d.number("hose.inlet_pressure") / d.number("source.cut_in_absolute")  # 15 degC, steam tables
    assert d.number("moisture.run_vapour") >= 0.998 * saturated
    assert d.number("moisture.run_dew_point") - 273.15 == pytest.approx(11.5, abs=0.3)


def test_a_dryer_class_is_its_dew_point() -> None:
    by_class = designed(*TANK, "moisture.dryer_class=3")
    assert by_class.number("moisture.source_dew_point") - 273.15 == pytest.approx(-20.0, abs=0.01)
    assert by_class.number("moisture.source_frost_point") > by_class.number("moisture.source_dew_point")


def test_the_energy_and_the_bar_litres_of_a_small_receiver() -> None:
    valve = ("pressure.regime=UK", "pressure.receiver_pressure=8 bar(g)", "pressure.relief=7 bar(g)")
    d = designed(*RECEIVER, *valve)
    assert d.number("pressure.pressure_volume") == pytest.approx(192)
    # 24 L at 7.7 bar(g), the relief valve blowing, and not at the 6 bar(g) of a switch that may stick
    assert d.number("pressure.stored_energy_upper") == pytest.approx(45.1e3, rel=0.002)
    assert d.number("receiver.stored_energy") == pytest.approx(45.1e3 - 7.7e5 * 0.024, rel=0.003)


def test_three_holes_of_four_blocked_is_the_pressure_worked_out_independently() -> None:
    d = designed("line.probe.face_limit=2 bar")
    over = d.number("blocked.head_pressure") - d.number("water.back_pressure")
    assert over == pytest.approx(1060e2, rel=0.025)
    assert d.number("blocked.thrust") == pytest.approx(0.232, rel=0.025)
    assert d.number("pressure.face_pressure_worst") <= over


def test_a_blocked_head_is_judged_at_the_highest_of_a_receiver_and_behind_its_regulator() -> None:
    bare = designed(*RECEIVER, "line.probe.face_limit=2 bar")
    held = designed(*RECEIVER, "line.probe.face_limit=2 bar", "source.regulator=2 bar(g)")
    p_atm = bare.number("site.pressure")
    assert bare.number("blocked.head_pressure") - p_atm > 6e5  # its switch may stick, and nothing but its dead-head stops it
    valve = ("pressure.regime=UK", "pressure.relief=6.5 bar(g)")
    relieved = designed(*RECEIVER, "line.probe.face_limit=2 bar", *valve)
    assert 6e5 < relieved.number("blocked.head_pressure") - p_atm < 1.1 * 6.5e5
    assert held.number("blocked.head_pressure") - p_atm < 2e5


def test_the_relief_valve_and_its_rise_set_the_dead_end() -> None:
    d = designed("line.head.within_reach=yes", "pressure.regime=UK", "pressure.relief=1.8 bar(g)")
    assert d.number("pressure.dead_end_pressure") == pytest.approx(1.98e5 - 3e3)


def test_the_water_in_a_flooded_hose_is_lifted_too() -> None:
    masses = (
        "line.lifting.probe_mass=1 kg",
        "line.lifting.pole_mass=1 kg",
        "line.lifting.hose_mass=1 kg",
        "line.lifting.reach=0.5 m",
    )
    dry = designed(*masses)
    wet = designed(*masses, "line.head.check_valve=none", "line.head.wetted_length=6 m", "line.head.depth=4 m")
    assert wet.number("lifting.total_mass") - dry.number("lifting.total_mass") == pytest.approx(0.301, rel=0.01)
    assert dry.number("lifting.reach_moment") == pytest.approx(4 * 9.80665 * 0.5)


def test_the_water_in_a_hollow_pole_is_lifted_too() -> None:
    masses = ("line.lifting.probe_mass=1 kg", "line.lifting.pole_mass=4 kg", "line.lifting.hose_mass=1 kg")
    rod, tube = designed(*masses), designed(*masses, "line.lifting.pole_bore=40 mm", "line.head.depth=2 m")
    inside = 999.1 * np.pi / 4 * 0.04**2 * 2.0
    assert tube.number("lifting.pole_water") == pytest.approx(inside, rel=1e-3)
    assert tube.number("lifting.total_mass") - rod.number("lifting.total_mass") == pytest.approx(inside, rel=1e-3)
    tide = designed(*masses, "line.lifting.pole_bore=40 mm", "line.head.depth=2 m", "line.head.deepest=3 m").corners["deepest"]
    assert tide.number("lifting.pole_water") == pytest.approx(1.5 * inside, rel=1e-3)  # it may be lifted at high water


def test_half_a_minute_each_half_hour_is_146_hours_a_year_and_all_lines_wear_one_compressor() -> None:
    d = designed("upkeep.start=2026-03-02", "upkeep.seal_life=1461 h", "line.valve.conductance=2 dm3/(s bar)")
    assert d.number("upkeep.run_time_of_share") == pytest.approx(146.1 * 3600, rel=1e-3)
    assert d.number("upkeep.operations_per_year") == pytest.approx(17532)
    assert d.number("upkeep.seal_lasts") == pytest.approx(10 * 365.25 * 86400, rel=1e-3)
    due = {x.name: x.on.isoformat() for x in upkeep_plan([d])}
    assert due["clean or change the intake filter"] == "2026-06-02"
    assert due["change the compressor's seal"].startswith("2036-03-0")
    assert "drain the receiver, look for water" not in due


def test_a_fact_left_out_of_the_table_is_unknown_and_without_a_table_nothing_is_asked() -> None:
    asked = read("site_facts.guard_rail=yes").lines[0].choices
    assert {f.id for f in FACTS if asked[f"site_facts.{f.id}"] == "unknown"} == {f.id for f in FACTS} - {"guard_rail"}
    assert not any(id.startswith("site_facts.") for id in read().lines[0].choices)
