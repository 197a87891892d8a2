"""The simulated cycle: conservation, an independent integrator, and every closed form within its bound."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from purgecalc import cycle as cy
from purgecalc.formulas import loop, reading
from purgecalc.formulas import sensor_models as sm
from tests.sensor_response import residual, respond

MG, H = 1e-3, 3600.0
TANK = cy.Tank(C=2 * MG, C_star=10 * MG, OUR=40 * MG / H)
PI = cy.Controller(set_point=2 * MG)
STILL = replace(PI, active=False)
BLAST = cy.CycleTimes(lead=5.0, blast=30.0, hold_off=90.0, linger=10.0, C_b=11 * MG)
QUICK = cy.Sensor("one-lag", 30.0)
BENCHMARK = cy.Blower()
SUBSTITUTED = replace(BLAST, treatment="substitute", substitute=1.5 * MG)


def run(tank: cy.Tank = TANK, sensor: cy.Sensor = QUICK, blower: cy.Blower = BENCHMARK, **kw: object) -> cy.Cycle:
    """A cycle with the usual parts."""
    control, blast = kw.pop("controller", PI), kw.pop("blast", BLAST)
    return cy.simulate(tank, sensor, blower, control, blast, **kw)  # type: ignore[arg-type]


def at(c: cy.Cycle, t: float, record: np.ndarray) -> float:
    return float(np.interp(t, c.t, record))


@pytest.mark.parametrize("treatment", cy.TREATMENTS)
@pytest.mark.parametrize("tracking", [True, False])
def test_oxygen_is_conserved(treatment: str, tracking: bool) -> None:
    c = run(replace(TANK, load_step=0.2), controller=replace(PI, tracking=tracking), blast=replace(BLAST, treatment=treatment))
    assert c.oxygen - c.oxygen[0] == pytest.approx(c.transferred - c.consumed, abs=1e-14)
    rate = TANK.OUR / (TANK.C_star - TANK.C) * c.airflow * (TANK.C_star - c.oxygen)  # from what is shown, not from the steps
    assert np.trapezoid(rate, c.t) == pytest.approx(c.transferred[-1], rel=2e-5)


@pytest.mark.parametrize(("model", "dead"), [("one-lag", 0.0), ("two-lags", 0.0), ("dead-time-lag", 17.3)])
def test_raw_reading_is_exact_while_the_oxygen_stands_still(model: str, dead: float) -> None:
    c = run(sensor=cy.Sensor(model, 90.0, dead), controller=STILL)
    m = sm.MODELS[model]
    want = respond(m, c.t, [0.0, 40.0], [2 * MG, 11 * MG, 2 * MG], m.time_constant(90.0, dead), dead)
    assert c.raw == pytest.approx(want, abs=1e-15)
    assert c.oxygen == pytest.approx(np.full_like(c.t, 2 * MG), abs=1e-15)


@pytest.mark.parametrize("model", list(sm.MODELS))
def test_residual_lies_within_the_bounds_of_the_closed_forms(model: str) -> None:
    s, m = cy.Sensor(model, 60.0, 4.0), sm.MODELS[model]
    lingering = cy.at_release(run(sensor=s, controller=STILL)).bias
    gone = cy.at_release(run(sensor=s, controller=STILL, blast=replace(BLAST, linger=0.0))).bias
    plain = residual(m, 9 * MG, 30.0, 90.0, 5.0, 5.0, 60.0, 4.0)
    cautious = residual(m, 9 * MG, 40.0, 90.0, 5.0, 5.0, 60.0, 4.0)
    assert lingering == pytest.approx(cautious, rel=1e-9)
    assert gone < plain < cautious


def test_residual_of_one_lag_is_that_of_the_sheet() -> None:
    tau = reading.time_constant(30.0)
    want = reading.residual(reading.bump(9 * MG, 40.0, tau), 90.0, 5.0, 5.0, tau)
    assert cy.at_release(run(controller=STILL)).bias == pytest.approx(want, rel=1e-9)


def test_frozen_airflow_gives_the_closed_excursion() -> None:
    c = run(replace(TANK, load_step=0.2, load_at=-5.0))
    kla = loop.kla(TANK.OUR, TANK.C_star, TANK.C)
    assert 2 * MG - at(c, 120.0, c.oxygen) == pytest.approx(loop.excursion(0.2, TANK.OUR, kla, 125.0, 2 * MG), rel=1e-9)


def test_step_of_the_airflow_moves_oxygen_as_the_closed_form_says() -> None:
    # substituted 0.5 mg/L low, no lag in the blower, integral action all but off: a bare step of 5 %
    c = run(blower=cy.Blower(0), controller=replace(PI, tracking=False, T_i=1e12), blast=SUBSTITUTED)
    kla = loop.kla(TANK.OUR, TANK.C_star, TANK.C)
    assert at(c, 0.0, c.command) - 1 == pytest.approx(loop.substitute_step(100.0, 2 * MG, 1.5 * MG))
    assert at(c, 120.0, c.oxygen) - 2 * MG == pytest.approx(loop.moved(0.05, 10 * MG, 2 * MG, kla, 125.0), rel=1e-9)


def test_integrator_winds_as_the_closed_form_says() -> None:
    c = run(controller=replace(PI, tracking=False), blast=SUBSTITUTED)
    last = int(np.searchsorted(c.t, 120.0)) - 1  # the scan before release has integrated all but its own step
    moved = c.command[last] - 1 - loop.substitute_step(100.0, 2 * MG, 1.5 * MG)
    assert moved == pytest.approx(loop.integrator_ramp(100.0, 2 * MG, 1.5 * MG, 124.0, 300.0), rel=1e-6)


def test_held_set_point_leaves_the_integrator_alone() -> None:
    c = run(controller=replace(PI, tracking=False))
    assert c.command[c.t < 119.5] == pytest.approx(1.0, abs=1e-12)


def test_release_too_early_kicks_the_blowers_by_the_bias_left() -> None:
    slow = cy.Sensor("one-lag", 120.0)
    tank, loud = replace(TANK, OUR=50 * MG / H), replace(PI, tracking=False)
    c = run(tank, slow, controller=loud, blast=replace(BLAST, hold_off=60.0))
    r = cy.at_release(c)
    assert r.bias / MG == pytest.approx(1.85, abs=0.01)  # 1.5 by the plain form; here bubbles stay until cleared and mixed
    assert r.command_step == pytest.approx(loop.kick(100.0, TANK.C, TANK.C, r.bias, 0.0), rel=1e-9)
    assert r.oxygen_low < 1.9 * MG
    assert 0.9 < np.min(c.airflow) < 0.96  # the blower's own lag takes most of the edge off


def test_proportional_and_integral_kick_together() -> None:
    # tank too large to move, so the loop sees the bias alone
    slow, still = cy.Sensor("one-lag", 120.0), replace(TANK, OUR=1e-6 * MG / H)
    c = run(still, slow, controller=replace(PI, tracking=False), blast=replace(BLAST, hold_off=60.0), after=2000.0)
    b, tau = cy.at_release(c).bias, reading.time_constant(120.0)
    assert c.command[-1] - 1 == pytest.approx(loop.kick_integral(100.0, b, tau, 300.0, 0.0), rel=0.02)  # scans are a second long


def test_tracking_takes_over_without_a_step_but_not_without_effect() -> None:
    slow = cy.Sensor("one-lag", 120.0)
    r = cy.at_release(run(sensor=slow, blast=replace(BLAST, hold_off=60.0)))
    assert r.command_step == pytest.approx(0.0, abs=1e-12)
    assert r.command_high > 1.1  # the bias then falls away under the controller, which answers with more air


def test_treatments_show_what_they_say() -> None:
    hold = (-5.0, 119.0)
    frozen = run(replace(TANK, load_step=0.2, load_at=-20.0))
    held = frozen.released[(frozen.t >= hold[0]) & (frozen.t <= hold[1])]
    assert np.ptp(held) == 0
    assert held[0] == at(frozen, -5.0, frozen.raw)
    substituted = run(blast=replace(BLAST, treatment="substitute", substitute=3 * MG))
    assert set(substituted.released[(substituted.t >= hold[0]) & (substituted.t <= hold[1])]) == {3 * MG}
    live = run(blast=replace(BLAST, treatment="live"), controller=replace(PI, tracking=False))
    assert live.released == pytest.approx(live.raw)
    assert cy.at_release(live).oxygen_low < cy.at_release(run()).oxygen_low  # the loop believed the bump
    stands = run(blast=replace(BLAST, treatment="live"))  # a controller that tracks stands still whatever it is sent
    assert stands.command[stands.t < 119.5] == pytest.approx(1.0, abs=1e-12)


def test_freezing_after_the_air_has_come_latches_the_bump() -> None:
    late = run(blast=replace(BLAST, lead=-6.0))
    assert at(late, 60.0, late.released) > 4 * MG


def test_whole_loop_agrees_with_a_general_integrator() -> None:
    """Live on the bump with actuator and sensor of the benchmark, against one set of equations solved elsewhere."""
    kla, tau_s, tau_a = TANK.OUR / (8 * MG), 60 / 3.889720169867429, 240 / 3.889720169867429

    def slope(t: float, y: np.ndarray) -> list[float]:
        C, s1, s2, a1, a2, area = y
        face = 11 * MG if 0 <= t < 40 else C
        u = np.clip(1 + 100.0 * (2 * MG - s2 + area / 300.0), 0, 2)
        lags = [(face - s1) / tau_s, (s1 - s2) / tau_s, (u - a1) / tau_a, (a1 - a2) / tau_a]
        return [kla * a2 * (10 * MG - C) - TANK.OUR, *lags, 2 * MG - s2]

    y, want = np.array([2 * MG, 2 * MG, 2 * MG, 1.0, 1.0, 0.0]), {}
    for a, z in ((0.0, 40.0), (40.0, 400.0)):
        found = solve_ivp(slope, (a, z - 1e-9), y, rtol=1e-9, atol=1e-12, max_step=2.0)
        y = found.y[:, -1]
        want[z] = (y[0], y[2], y[4])
    c = run(sensor=cy.Sensor(), blast=replace(BLAST, treatment="live"), controller=replace(PI, tracking=False), dt=0.25)
    for z, (C, s2, a2) in want.items():
        assert at(c, z, c.oxygen) == pytest.approx(C, rel=1e-3)
        assert at(c, z, c.raw) == pytest.approx(s2, rel=1e-3)
        assert at(c, z, c.airflow) == pytest.approx(a2, rel=1e-3)


def test_halving_the_step_changes_little() -> None:
    coarse, fine = (run(sensor=cy.Sensor(), controller=replace(PI, tracking=False), dt=dt) for dt in (1.0, 0.5))
    assert np.interp(fine.t, coarse.t, coarse.oxygen) == pytest.approx(fine.oxygen, rel=2e-3)


@pytest.mark.parametrize("T_i", [5.0, 30.0, 300.0])
def test_a_scan_of_a_hundredth_of_the_integral_time_is_as_good_as_a_finer_one(T_i: float) -> None:
    """What the loop does after release must not hang on how long a cycle is drawn."""
    quick, slow = replace(PI, T_i=T_i, tracking=False, gain=200.0), cy.Sensor("one-lag", 120.0)
    found = []
    for dt in (min(1.0, T_i / 100), min(1.0, T_i / 100) / 4):
        r = cy.at_release(
            run(sensor=slow, blower=cy.Blower(2, 20.0), controller=quick, blast=replace(BLAST, hold_off=60.0), dt=dt)
        )
        found.append((r.command_low - 1, r.oxygen_low - 2 * MG))
    assert found[0] == pytest.approx(found[1], rel=0.02)


def test_a_curve_thinned_for_drawing_keeps_its_edges_and_its_values() -> None:
    c = run(dt=0.1)
    few = c.thinned(150, 6)
    assert len(few.t) < 200 < len(c.t)
    assert set(c.t[c.edges]) == set(few.t[few.edges])
    assert np.isin(few.t, c.t).all()
    assert np.interp(c.t, few.t, few.raw) == pytest.approx(c.raw, abs=0.03 * np.ptp(c.raw))


def test_unknown_words_are_refused() -> None:
    with pytest.raises(ValueError, match="hold-last"):
        run(blast=replace(BLAST, treatment="hold"))
    with pytest.raises(KeyError):
        run(sensor=cy.Sensor("three-lags"))
