"""Single-lag formulas: inverses, order, limits; against a step-by-step lag."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from purgecalc.formulas import reading

SETTINGS = settings(derandomize=True, deadline=None, max_examples=150)
times = st.floats(1.0, 600.0)
shares = st.floats(0.01, 0.99)


@given(times, shares, shares)
@SETTINGS
def test_response_times_convert_there_and_back(t_90: float, x: float, y: float) -> None:
    tau = float(reading.time_constant(t_90))
    t_x = -tau * math.log(1 - x)
    assert reading.t90_of_fraction(t_x, x) == pytest.approx(t_90, rel=1e-12)
    t_y = t_90 / float(reading.t90_of_fraction(1.0, y))
    assert 1 - math.exp(-t_y / tau) == pytest.approx(y, rel=1e-12)


@given(st.floats(-0.02, 0.02), times, times)
@SETTINGS
def test_bump_is_within_the_driving_difference_and_keeps_its_sign(dC: float, t_blast: float, tau: float) -> None:
    A = float(reading.bump(dC, t_blast, tau))
    assert abs(A) <= abs(dC)
    assert A * dC >= 0
    assert abs(float(reading.bump(dC, 2 * t_blast, tau))) >= abs(A)


@given(st.floats(1e-4, 0.02), st.floats(1e-5, 1e-3), times, st.floats(0.0, 60.0), st.floats(0.0, 60.0))
@SETTINGS
def test_hold_off_leaves_just_the_tolerance(A: float, tol: float, tau: float, t_clear: float, t_mix: float) -> None:
    t_off = float(reading.hold_off_needed(t_clear, t_mix, tau, A, tol))
    assert t_off >= t_clear + t_mix
    left = float(reading.residual(A, t_off, t_clear, t_mix, tau))
    assert left == pytest.approx(min(A, tol), rel=1e-9)
    assert reading.hold_off_needed(t_clear, t_mix, tau, -A, tol) == pytest.approx(t_off, rel=1e-12), "either sign"


@given(st.floats(-0.02, 0.02), times, times, st.floats(0.5, 60.0), st.floats(1e-5, 1e-3))
@SETTINGS
def test_a_timed_fall_put_back_is_the_time_of_the_stopwatch(
    dC: float, t_blast: float, t_90: float, wait: float, tol: float
) -> None:
    tau = float(reading.time_constant(t_90))
    t_fall = float(reading.hold_off_needed(wait, wait, tau, reading.bump(dC, t_blast + 2 * wait, tau), tol))
    found = float(reading.t90_of_fall(t_fall, wait, wait, dC, t_blast, tol))
    if t_fall <= 2 * wait:
        assert math.isnan(found)
        return
    assert found <= t_90 * (1 + 1e-6)  # of the two sensors that take so long, the one that is not slower than any blast
    again = float(reading.time_constant(found))
    A = reading.bump(dC, t_blast + 2 * wait, again)
    assert reading.hold_off_needed(wait, wait, again, A, tol) == pytest.approx(t_fall, rel=1e-9)


def test_no_fall_is_longer_than_the_longest_and_a_longer_one_has_no_sensor() -> None:
    dC, tol, t_blast = 0.009, 2e-4, 30.0
    t_90 = np.geomspace(1, 1e5, 4001)
    tau = reading.time_constant(t_90)
    falls = reading.hold_off_needed(0.0, 0.0, tau, reading.bump(dC, t_blast, tau), tol)
    most = reading.longest_fall(dC / tol, t_blast)
    assert most == pytest.approx(np.max(falls), rel=1e-5)
    found = reading.t90_of_fall(most * np.array([0.999, 1.001]), 0.0, 0.0, dC, t_blast, tol)
    assert np.isfinite(found).tolist() == [True, False]


def test_bias_follows_a_lag_worked_step_by_step() -> None:
    tau, dC, t_blast, t_hold, dt = 13.0, 0.009, 30.0, 40.0, 1e-3
    b = 0.0
    for i in range(round((t_blast + t_hold) / dt)):
        b += ((dC if i * dt < t_blast else 0.0) - b) / tau * dt
    A = reading.bump(dC, t_blast, tau)
    assert reading.residual(A, t_hold, 0.0, 0.0, tau) == pytest.approx(b, rel=1e-3)


def test_no_decay_is_counted_before_bubbles_and_mixing_are_over() -> None:
    assert reading.residual(0.003, 8.0, 5.0, 5.0, 20.0) == pytest.approx(0.003, rel=1e-14)


def test_live_share() -> None:
    hold = reading.hold_time(np.array([0.0, 0.0, 0.0]), np.array([30.0, 30.0, 90.0]), np.array([60.0, 170.0, 60.0]))
    live = np.asarray(reading.live_share(hold, np.array([1800.0, 1800.0, 900.0])))
    assert np.round(100 * live, 1).tolist() == [95.0, 88.9, 83.3]
