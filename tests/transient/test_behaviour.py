"""Conservation, order, and what the solver says when a blast does not go as wanted."""

from __future__ import annotations

from dataclasses import fields, replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from purgecalc.transient import Control, Head, Hose, Outcome, Result, Source, Valve, simulate, solver

from .cases import ATM, CASES, CURVE, R, T, random_blast

QUICK: dict[str, Any] = {"branches": 6, "tolerance": 1e-3}


@settings(max_examples=12, deadline=None, derandomize=True)
@given(
    length=st.floats(3, 100),
    bore=st.floats(4e-3, 12e-3),
    share=st.floats(0.03, 0.35),
    volume=st.floats(1e-3, 5e-2),
    wet=st.floats(0, 2),
    conductance=st.floats(0.0, 50.0),
    made=st.floats(0, 4e-3),
)
def test_mass_is_kept(
    length: float, bore: float, share: float, volume: float, wet: float, conductance: float, made: float
) -> None:
    """Receiver, hose, compressor and head balance to round-off, whatever the tolerance."""
    blast = replace(
        CASES["receiver, short hose"][0],
        source=Source(
            volume=volume,
            pressure=8e5,
            wall_conductance=conductance,
            control=Control.COMMANDED,
            cut_in=5e5,
            cut_out=8.5e5,
            curve_pressure=(ATM, 9e5),
            curve_flow=(made, 0.3 * made),
        ),
        hose=Hose(bore=bore, length=length),
        head=Head(hole_area=share * np.pi * bore**2 / 4, wetted_length=wet),
        duration=10.0,
    )
    got = simulate(blast, **QUICK)
    assert got.outcome != Outcome.NOT_CONVERGED
    assert got.mass_error <= 1e-10


def test_longer_hose_is_never_delivered_sooner_and_bigger_valve_never_later() -> None:
    base = CASES["thin hose"][0]
    lengths = np.geomspace(5, 80, 12)
    by_length = simulate(replace(base, hose=Hose(bore=0.004, length=lengths, fittings=3.0)), **QUICK).delivery_time
    assert np.all(np.diff(by_length) > 0)
    sizes = np.geomspace(0.3e-8, 3e-8, 12)
    by_valve = simulate(replace(base, valve=Valve(conductance=sizes)), **QUICK).delivery_time
    assert np.all(np.diff(by_valve) <= 1e-3 * by_valve[:-1])  # bigger valves stop mattering: level within the step tolerance


def test_one_design_alone_equals_the_same_in_company() -> None:
    blast = CASES["thin hose"][0]
    bores, lengths = np.array([0.004, 0.006, 0.008]), np.array([30.0, 10.0, 50.0])
    together = simulate(replace(blast, hose=Hose(bore=bores, length=lengths)), **QUICK)
    for i in range(3):
        alone = simulate(replace(blast, hose=Hose(bore=bores[i], length=lengths[i])), **QUICK)
        for f in fields(Result):
            if f.name != "trace":
                # sums run in another order: round-off, carried through some sixty steps
                np.testing.assert_allclose(
                    getattr(alone, f.name), getattr(together, f.name)[i], rtol=1e-8, atol=1e-12, err_msg=f.name
                )


def test_two_elements_of_one_bore_are_one_hose() -> None:
    blast = CASES["thin hose"][0]
    whole = simulate(blast)
    halves = (Hose(bore=0.004, length=15.0, fittings=1.5), Hose(bore=0.004, length=15.0, fittings=1.5))
    parted = simulate(replace(blast, hose=halves))
    assert parted.delivery_time == pytest.approx(whole.delivery_time, rel=1e-9)
    wide = simulate(replace(blast, hose=(Hose(bore=0.008, length=15.0, fittings=1.5), halves[1])))
    assert wide.end_flow > whole.end_flow
    assert wide.mass_error < 1e-10


def test_source_too_weak_for_the_depth() -> None:
    got = simulate(replace(CASES["compressor alone"][0], back_pressure=ATM + 6e5), **QUICK)
    assert got.outcome == Outcome.NO_FLOW
    assert got.max_flow == 0
    assert np.isnan(got.delivery_time)


def test_water_remains() -> None:
    got = simulate(replace(CASES["slug"][0], duration=0.3), **QUICK)
    assert got.outcome == Outcome.WATER_REMAINS
    assert np.isnan(got.delivery_time)
    assert got.end_flow == 0


def test_exhausted_source_says_when() -> None:
    blast = CASES["receiver, short hose"][0]
    got = simulate(blast, **QUICK)
    assert got.outcome == Outcome.SOURCE_EXHAUSTED
    assert 10 < got.outcome_time < 30
    assert simulate(replace(blast, duration=5.0), **QUICK).outcome == Outcome.OK


def test_steps_running_out_is_an_outcome_not_a_number(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(solver, "step_limit", lambda tolerance: 20)
    got = simulate(CASES["thin hose"][0], **QUICK)
    assert got.outcome == Outcome.NOT_CONVERGED
    assert got.repeated
    assert np.isnan(got.delivery_time)
    assert np.isnan(got.max_flow)


def test_restart_during_the_blast_is_flagged_and_does_not_move_the_plateau() -> None:
    got = simulate(CASES["refill"][0], **QUICK)
    assert 0 < got.restart_time < 30
    assert got.ill_conditioned
    plain = simulate(CASES["receiver, short hose"][0], **QUICK)
    assert got.delivery_time == pytest.approx(plain.delivery_time, rel=1e-6)


def test_a_restart_before_the_air_arrives_leaves_a_delivery_time() -> None:
    """A small vessel fills a long hose: its switch starts while the head still waits, and the rise goes on."""
    source = Source(volume=5e-3, pressure=ATM + 4e5, control=Control.SWITCH, cut_in=ATM + 3.9e5, cut_out=ATM + 4e5, **CURVE)
    blast = replace(CASES["thin hose"][0], source=source, hose=Hose(bore=4e-3, length=np.array([20.0, 30.0]), fittings=3.0))
    got = simulate(blast, **QUICK)
    commanded = simulate(replace(blast, source=replace(source, control=Control.COMMANDED)), **QUICK)
    assert np.all(got.outcome == Outcome.OK)
    assert np.all(got.restart_time < 0.5 * got.delivery_time)
    np.testing.assert_allclose(got.delivery_time, commanded.delivery_time, rtol=0.02)
    np.testing.assert_allclose(got.max_flow, commanded.max_flow, rtol=0.02)


def test_what_flows_has_a_delivery_time_however_little_it_is() -> None:
    """Within a few thousandths of the pressure at which the compressor stalls, where the head opens as the blast ends."""
    blast, _ = CASES["compressor alone"]
    top = ATM + 4.5e5
    for wait in (12.0, 25.0):
        hose = Hose(bore=6e-3, length=4.0)
        got = simulate(replace(blast, hose=hose, back_pressure=top - 5e3 - np.geomspace(1.0, 1e5, 200), duration=wait))
        flows = got.outcome == Outcome.OK
        assert flows.sum() > 20
        assert np.all(got.delivery_time[flows] <= wait)


def test_near_sonic_inlet_is_reported() -> None:
    blast = replace(
        CASES["receiver, short hose"][0], valve=Valve(conductance=np.inf, opening=1e-3), hose=Hose(bore=0.006, length=3.0)
    )
    assert simulate(blast, **QUICK).sonic_time < 0.1


def test_settled_pressure_and_recovery_against_closed_forms() -> None:
    """At constant flow, time = air wanted over flow; the air left, at wall temperature, gives the settled pressure."""
    flow, volume, top, start = 1e-3, 5e-3, ATM + 6e5, ATM + 5e5
    source = Source(
        volume=volume,
        pressure=start,
        control=Control.COMMANDED,
        curve_pressure=(0.0, 1e6),
        curve_flow=(flow, flow),
        cut_out=top,
        cut_in=ATM + 4e5,
    )
    blast = replace(CASES["receiver, short hose"][0], source=source, duration=2.0)
    got = simulate(blast)
    left = start * volume / (R * T) - got.air_through_valve + flow * 2.02  # held on through the blast and the closing
    assert got.source_pressure_settled == pytest.approx(left * R * T / volume, rel=1e-3)
    assert got.recovery_time == pytest.approx((top * volume / (R * T) - left) / flow, rel=1e-3)
    cold = simulate(replace(blast, source=replace(source, wall_conductance=0.0)))
    assert cold.source_temperature_end < T - 10
    assert cold.source_pressure_settled > cold.source_pressure_end


def test_motor_run_up_delays_delivery() -> None:
    blast = CASES["compressor alone"][0]
    slow = replace(blast, source=Source(volume=1e-4, pressure=ATM, control=Control.BLAST, run_up=1.0, **CURVE), valve=Valve())
    quick = replace(slow, source=replace(slow.source, run_up=0.0))
    late = simulate(slow).delivery_time - simulate(quick).delivery_time
    # while the motor speeds up half of one second's air is missing
    assert late == pytest.approx(0.5, abs=0.1)


def test_useful_time_counts_head_pressure_above_the_level() -> None:
    blast = replace(CASES["receiver, short hose"][0], useful_head=3e5)
    got = simulate(blast, keep_history=True)
    assert got.trace is not None
    above = got.trace.p_outlet - 5e3 > 3e5
    counted = float(np.sum(np.diff(got.trace.t)[above[1:] & above[:-1]]))
    assert counted < got.useful_time < counted + 2 * float(np.max(np.diff(got.trace.t)))
    assert got.useful_time_with_tail >= got.useful_time


def test_random_population_is_finite_or_named() -> None:
    got = simulate(random_blast(300, seed=5), branches=4, tolerance=1e-3)
    silent = (got.outcome == Outcome.NO_FLOW) | (got.outcome == Outcome.NOT_CONVERGED)
    assert np.all(np.isfinite(got.delivery_time) | silent)


def test_bad_input_is_refused() -> None:
    blast = CASES["slug"][0]
    with pytest.raises(ValueError, match="water column"):
        simulate(replace(blast, head=replace(blast.head, wetted_length=8.0)))
    with pytest.raises(ValueError, match="positive"):
        simulate(replace(blast, hose=Hose(bore=-1.0, length=7.6)))
    with pytest.raises(ValueError, match="trace"):
        simulate(replace(blast, duration=np.array([1.0, 2.0])), keep_history=True)
