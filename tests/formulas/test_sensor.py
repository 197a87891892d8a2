"""Closed forms of the sensors against brute force: a fine grid, a general integrator, roots put back."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from purgecalc.formulas import oxygen, reading, sensor, site
from purgecalc.formulas import sensor_models as sm
from tests.sensor_response import hold_off, residual, respond

MG = 1e-3
T90 = np.array([30.0, 60.0, 120.0, 180.0])
SETTINGS = settings(derandomize=True, deadline=None, max_examples=60)


def driving() -> float:
    """15 degC, fresh, 60 m above the sea, 1 m deep, process at 2 mg/L."""
    T, S = 288.15, 0.0
    p = float(site.atmospheric_pressure(site.geopotential_altitude(60.0)))
    p_b = float(site.back_pressure(p, site.water_density(T, S), 1.0))
    C_0, p_w, th = oxygen.saturation_at_standard_pressure(T, S), oxygen.vapour_pressure(T), oxygen.theta(T)
    return float(oxygen.saturation(C_0, p_b, p_w, th)) - 2 * MG


def test_hold_off_of_two_lags_is_as_expected() -> None:
    got = hold_off(sm.MODELS["two-lags"], driving(), 30.0, 5.0, 5.0, T90, 0.2 * MG)
    assert np.round(got).tolist() == [54, 94, 165, 226]


def test_hold_off_of_one_lag_is_as_expected_in_both_forms() -> None:
    one = sm.MODELS["one-lag"]
    assert np.round(hold_off(one, driving(), 30.0, 5.0, 5.0, T90, 0.2 * MG)).tolist() == [58, 99, 165, 218]
    longest = sensor.exposure(30.0, 5.0, 5.0)
    assert np.round(hold_off(one, driving(), longest, 5.0, 5.0, T90, 0.2 * MG)).tolist() == [59, 103, 176, 236]


def test_the_constant_is_the_root_it_claims_to_be() -> None:
    root = brentq(lambda x: (1 + x) * np.exp(-x) - 0.1, 0.1, 10, xtol=1e-15)
    assert sensor.K_90.value == pytest.approx(root, rel=1e-12)


@pytest.mark.parametrize("name", list(sm.MODELS))
def test_every_model_shows_nine_tenths_at_its_t90(name: str) -> None:
    m = sm.MODELS[name]
    assert m.step(T90, m.time_constant(T90, 12.0), 12.0) == pytest.approx(np.full(4, 0.9), abs=1e-12)


@pytest.mark.parametrize("t_blast", [0.5, 5.0, 30.0, 300.0])
def test_peak_of_two_lags_is_the_numerical_maximum(t_blast: float) -> None:
    tau = 20.0
    t = np.linspace(0, 200, 400_001)
    y = sensor.two_lag_step(t + t_blast, tau) - sensor.two_lag_step(t, tau)
    t_peak = sensor.two_lag_peak_time(t_blast, tau)
    assert t_peak == pytest.approx(t[np.argmax(y)], abs=2e-3)
    assert sensor.two_lag_peak(1.0, t_blast, tau, t_peak) == pytest.approx(y.max(), rel=1e-9)


def test_peak_time_of_a_vanishing_blast_is_one_time_constant() -> None:
    assert sensor.two_lag_peak_time(np.array([0.0, 1e-9, 1e4]), 20.0) == pytest.approx([20.0, 20.0, 0.0], abs=1e-8)


@pytest.mark.parametrize("name", list(sm.MODELS))
def test_exact_response_agrees_with_a_general_integrator(name: str) -> None:
    m, dead = sm.MODELS[name], 6.0
    tau = float(m.time_constant(60.0, dead))
    late = dead if name == "dead-time-lag" else 0.0
    edges, values = [0.0, 30.0, 45.0], [2.0, 11.0, 5.0, 2.0]

    def slope(t: float, y: np.ndarray) -> list[float]:
        u = values[int(np.searchsorted(edges, t - late, side="right"))]
        return [(u - y[0]) / tau, (y[0] - y[1]) / tau]

    t = np.linspace(-10, 200, 85)
    found = solve_ivp(slope, (-10, 200), [2.0, 2.0], t_eval=t, max_step=0.25, rtol=1e-8, atol=1e-10)
    want = respond(m, t, edges, values, tau, dead)
    assert found.y[m.lags - 1] == pytest.approx(want, abs=0.06)  # the integrator is late by part of a step at each edge
    assert found.y[m.lags - 1][-20:] == pytest.approx(want[-20:], abs=5e-3)


@SETTINGS
@given(
    name=st.sampled_from(list(sm.MODELS)),
    dC=st.floats(-0.02, 0.02),
    t_blast=st.floats(0.1, 600),
    t90=st.floats(6, 1000),
    tol=st.floats(1e-6, 5e-3),
)
def test_hold_off_leaves_exactly_the_tolerance_and_less_ever_after(
    name: str, dC: float, t_blast: float, t90: float, tol: float
) -> None:
    m, clear, mix, dead = sm.MODELS[name], 5.0, 5.0, 5.0
    need = float(hold_off(m, dC, t_blast, clear, mix, t90, tol, dead))
    left = abs(float(residual(m, dC, t_blast, need, clear, mix, t90, dead)))
    assert need >= clear + mix
    if need > clear + mix:
        assert left == pytest.approx(tol, rel=1e-7)
    later = residual(m, dC, t_blast, need + np.linspace(0, 20 * t90, 2000), clear, mix, t90, dead)
    assert np.all(np.abs(later) <= tol * (1 + 1e-7))


def test_no_hold_off_beyond_clearing_where_the_bump_stays_within_the_tolerance() -> None:
    for m in sm.MODELS.values():
        assert hold_off(m, np.array([0.0, 1e-5, -1e-5]), 30.0, 5.0, 7.0, 60.0, 1e-4, 2.0).tolist() == [12.0] * 3


@SETTINGS
@given(q=st.floats(1e-12, 1.0))
def test_root_of_the_common_decay_put_back(q: float) -> None:
    t = sensor.two_lag_settling(1.0, 0.0, 1.0, q)
    assert (1 + t) * np.exp(-t) == pytest.approx(q, rel=1e-9)


def test_recorded_forms_say_the_same_as_the_models() -> None:
    dC, t_b, hold, clear, mix, tau = 9 * MG, 30.0, np.array([3.0, 10.0, 40.0, 200.0]), 5.0, 5.0, 17.0
    t_peak = sensor.two_lag_peak_time(t_b, tau)
    A = sensor.two_lag_peak(dC, t_b, tau, t_peak)
    pair = sensor.two_lag_residual(A, t_peak, hold, clear, mix, tau)
    assert pair == pytest.approx(residual(sm.MODELS["two-lags"], dC, t_b, hold, clear, mix, tau * sensor.K_90.value), rel=1e-9)
    late = sensor.dead_time_residual(dC, t_b, hold, clear, mix, 12.0, tau, tau)
    t_90 = 12.0 + tau * np.log(10)
    assert late == pytest.approx(residual(sm.MODELS["dead-time-lag"], dC, t_b, hold, clear, mix, t_90, 12.0), rel=1e-9)


def test_without_dead_time_the_single_lag_of_the_sheet_comes_out() -> None:
    dC, tau, tol = 9 * MG, 26.0, 0.2 * MG
    A = reading.bump(dC, 30.0, tau)
    set_time = sensor.dead_time_settling(A, 0.0, tau, tol)
    assert sensor.hold_off_needed(5.0, 5.0, set_time) == pytest.approx(reading.hold_off_needed(5.0, 5.0, tau, A, tol))
    assert sensor.dead_time_residual(dC, 30.0, 60.0, 5.0, 5.0, 0.0, tau, tau) == pytest.approx(
        reading.residual(A, 60.0, 5.0, 5.0, tau)
    )


def test_scalars_and_arrays_agree() -> None:
    dC = np.array([9.0, 0.1, -3.0, 0.0]) * MG
    for m in sm.MODELS.values():
        many = hold_off(m, dC, 30.0, 5.0, 5.0, T90, 0.2 * MG, 4.0)
        assert many == pytest.approx([hold_off(m, d, 30.0, 5.0, 5.0, t, 0.2 * MG, 4.0) for d, t in zip(dC, T90, strict=True)])
