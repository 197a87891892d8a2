"""The integrated blast as the sheet shows it: bounds, order, and figures computed independently."""

import numpy as np
import pytest

from purgecalc import air_sources
from purgecalc.design import design, design_all
from purgecalc.studies.trace import trace
from purgecalc.working import Constant, rests_on
from tests.lines import RECEIVER, designed, read


def test_delivery_is_near_the_hand_estimate_on_a_short_hose() -> None:
    d = designed()
    assert d.number("blast.delivery_time") == pytest.approx(d.number("blast.delivery_time_estimate"), rel=0.15)


def test_air_of_the_blast_is_the_steady_flow_for_most_of_it() -> None:
    d = designed()
    assert d.number("blast.air_mass") == pytest.approx(d.number("line.mass_flow") * 30, rel=0.02)
    assert d.number("head.plateau_pressure") == pytest.approx(d.number("head.pressure"), rel=2e-4)


def test_source_settles_on_the_steady_pressure() -> None:
    d = designed()
    assert d.number("source.peak_gauge") == pytest.approx(d.number("source.gauge_pressure"), rel=5e-3)


def test_water_in_the_hose_delays_the_blast_and_drives_the_source_up() -> None:
    """50 mL from 1 m: about 0.97 s at a peak of 1.4 bar with sharp-edged holes, a fifth quicker with these."""
    wet = designed("line.head.check_valve=none", "source.run_up=0 s")
    assert wet.number("blast.slug_time") == pytest.approx(0.97 * 0.62 / 0.8, rel=0.15)
    assert wet.number("source.peak_gauge") == pytest.approx(1.3e5, rel=0.1)
    assert wet.number("source.peak_gauge") > 3 * wet.number("source.gauge_pressure")


def test_check_valve_at_the_source_leaves_the_hose_wet() -> None:
    assert "blast.slug_time" in designed("line.head.check_valve_at=source").sheet
    assert "blast.slug_time" not in designed().sheet


def test_receiver_ends_between_its_bounds_and_recovers_by_itself_afterwards() -> None:
    d = designed(*RECEIVER)
    ends = [d.number(f"source.end_pressure{k}") for k in ("_adiabatic", "", "_isothermal")]
    assert ends == sorted(ends)
    assert d.number("source.end_pressure_from_cut_in") < ends[0]
    assert d.number("source.settled_pressure") > ends[1]
    taken, run = d.number("blast.air_mass"), d.number("source.run_time")
    assert taken / d.number("source.mass_flow") < run < taken / d.number("source.flow_at_cut_out")  # made within the band


@pytest.mark.parametrize("length", ["3 m", "7.6 m", "60 m"])
def test_delivery_from_a_receiver_counts_from_the_later_end_of_its_band(length: str) -> None:
    """A blast from cut-out has further to rise, and the trace, which starts there, shows the same moment."""
    d = designed(*RECEIVER, f"line.hose.length={length}")
    at_cut_out = trace(d, air_sources.BLAST_BRANCHES, air_sources.BLAST_TOLERANCE).delivered
    assert d.number("blast.delivery_time") == pytest.approx(at_cut_out, rel=1e-4)
    low = d.inputs["source.cut_in"]
    assert low.value < d.inputs["source.cut_out"].value
    narrow = designed(*RECEIVER, f"line.hose.length={length}", f"source.cut_out={low.value / 1e5 + 0.01} bar(g)")
    assert narrow.number("blast.delivery_time") < d.number("blast.delivery_time")


def test_receiver_isothermal_balance() -> None:
    """Without a compressor to speak of, what left is what the pressure fell by."""
    d = designed(*RECEIVER, "source.flow=0.1 L/min", "source.compressor_starts=at cut-in", "source.wall_conductance=1000000 W/K")
    fall = d.number("source.cut_out_absolute") - d.number("source.end_pressure")
    mass = fall * 0.024 / (287.05287 * 288.15)
    assert d.number("blast.air_mass") == pytest.approx(mass, rel=2e-3)


def test_regulator_holds_the_start_and_saves_air() -> None:
    free, held = designed(*RECEIVER), designed(*RECEIVER, "source.regulator=3 bar(g)")
    assert held.number("source.gauge_pressure") == pytest.approx(3e5, rel=1e-6)
    assert held.number("blast.air_mass") < 0.7 * free.number("blast.air_mass")
    assert held.number("head.jet_thrust_ratio") < free.number("head.jet_thrust_ratio")


def test_a_small_receiver_runs_out_and_says_so() -> None:
    d = designed(*RECEIVER, "source.volume=0.5 L", "line.schedule.blast=30 s")
    assert d.number("blast.useful_time") < 10


def test_many_designs_integrate_as_each_of_them() -> None:
    inputs = read().lines[0]
    lengths = np.array([4.0, 12.0, 30.0])
    many = design(inputs.changed({"hose.length": lengths}))
    for i, length in enumerate(lengths):
        one = design(inputs.changed({"hose.length": float(length)}))
        for id in ("blast.delivery_time", "blast.air_mass", "blast.useful_time"):
            assert many[id].value[i] == pytest.approx(one.number(id), rel=5e-3), id


def test_receiver_designs_integrate_in_arrays_too() -> None:
    inputs = read(*RECEIVER).lines[0]
    many = design(inputs.changed({"hose.length": np.array([7.6, 20.0])}))
    one = design(inputs.changed({"hose.length": 20.0}))
    assert np.shape(many["source.end_pressure"].value) == (2,)
    assert many["source.end_pressure"].value[1] == pytest.approx(one.number("source.end_pressure"), rel=1e-3)


def test_the_account_of_an_integrated_figure_names_its_resolution() -> None:
    from purgecalc.reports.explain import work

    d = designed()
    text = "\n".join(work(d, "blast.delivery_time"))
    assert "branches" in text
    assert "mass balance closes" in text
    assert "90 %" in text


def test_cold_water_leaves_a_long_thin_hose_more_slowly() -> None:
    """Its viscosity at 1 degC is 1.73 times that at 20 degC (steam tables: 1.731 and 1.002 mPa s)."""
    thin = (
        "line.head.check_valve=none",
        "line.head.depth=2 m",
        "line.hose.bore=5 mm",
        "line.hose.length=25 m",
        "line.head.wetted_length=20 m",
        "line.head.hole_diameter=2 mm",
        "line.schedule.blast=60 s",
    )
    cold, mild = (designed(*thin, f"water.temperature={t} degC") for t in (1, 20))
    assert cold.number("water.viscosity") == pytest.approx(1.731e-3, rel=2e-3)
    assert mild.number("water.viscosity") == pytest.approx(1.002e-3, rel=2e-3)
    assert 1.05 < cold.number("blast.slug_time") / mild.number("blast.slug_time") < 1.15


def test_the_wave_of_the_hand_estimate_travels_as_the_integrated_one_does() -> None:
    d = designed()
    T = d.number("site.air_temperature")
    assert d.number("hose.length") / d.number("blast.wave_time") == pytest.approx((287.05 * T) ** 0.5, rel=1e-4)


def test_numbers_of_the_integration_that_nobody_states_stand_in_the_working() -> None:
    """And are what the integration takes: a wet hose without a valve uses all of them, a dry one behind a valve the tail alone."""
    wet = rests_on(designed("line.head.check_valve_at=source").sheet["blast.delivery_time"])
    names = {"t_start", "t_empty", "b_open", "s_flooded", "L_added", "t_tail"}
    found = {name: wet.get(f"constant.{name}") for name in names}
    assert all(isinstance(node, Constant) and node.cite for node in found.values())
    dry = rests_on(designed(*RECEIVER).sheet["blast.delivery_time"])
    assert {name for name in names if f"constant.{name}" in dry} == {"t_tail"}


@pytest.mark.parametrize("kind", ["direct", "receiver"])
def test_a_line_in_an_array_has_the_figures_it_has_alone(kind: str) -> None:
    """Delivery, useful time, fall and recovery, not the levels of rules only."""
    line = read(*(RECEIVER if kind == "receiver" else ("line.head.check_valve=none",))).lines[0]
    lengths = np.linspace(5.0, 40.0, 24)
    (together,) = design_all([line.changed({"hose.length": lengths})])
    ids = ["blast.delivery_time", "blast.useful_time", "blast.air_mass"]
    ids += ["source.fall", "source.recovery_time"] if kind == "receiver" else ["blast.slug_time"]
    for i in (0, 11, 23):
        (alone,) = design_all([line.changed({"hose.length": float(lengths[i])})])
        for id in ids:
            assert np.broadcast_to(together.value(id), 24)[i] == pytest.approx(alone.value(id), rel=1e-6), id
