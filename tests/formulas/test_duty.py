"""Counting of running time, checked against every window there is."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from purgecalc.formulas import duty
from purgecalc.formulas.receiver import recovery_time
from purgecalc.formulas.source import mean_flow

SETTINGS = settings(derandomize=True, deadline=None, max_examples=150)


def most_running(t_run: int, T: int, W: int) -> int:
    """Most running seconds in any window of ``W`` seconds, by sliding it second by second."""
    second = np.arange(T * (W // T + 3))
    runs = np.concatenate([[0], np.cumsum(second % T < t_run)])
    return int(max(runs[start + W] - runs[start] for start in range(T)))


@given(st.integers(1, 120), st.integers(1, 120), st.integers(1, 700))
@SETTINGS
def test_running_time_in_the_worst_window(t_run: int, rest: int, W: int) -> None:
    T = t_run + rest
    assert duty.run_in_window(t_run, T, W) == pytest.approx(most_running(t_run, T, W), abs=1e-9)


@given(st.floats(1.0, 100.0), st.floats(0.0, 1000.0), st.floats(10.0, 3000.0))
@SETTINGS
def test_worst_window_is_between_the_mean_and_the_whole(t_run: float, rest: float, W: float) -> None:
    T = t_run + rest
    most = float(duty.run_in_window(t_run, T, W))
    assert float(duty.duty_fraction(t_run, T)) * W <= most * (1 + 1e-9)
    assert most <= W * (1 + 1e-9)


def test_a_pressure_switch_lets_blasts_add_up_to_one_run() -> None:
    assert duty.worst_run(288.0, duty.further_runs(105.0, 105.0), 600.0) == 288.0
    assert duty.worst_run(288.0, duty.further_runs(210.0, 105.0), 600.0) == 393.0
    assert duty.worst_run(1026.0, duty.further_runs(105.0, 105.0), 600.0) == 600.0


def test_blast_of_half_a_minute_each_half_hour() -> None:
    assert duty.run_in_window(30.0, 1800.0, 600.0) == 30.0
    assert duty.run_in_window(30.0, 1800.0, 3600.0) == 60.0
    assert duty.starts(1800.0) * 3600 == pytest.approx(2.0)
    assert duty.energy_per_year(180.0, duty.duty_fraction(30.0, 1800.0)) / 3.6e6 == pytest.approx(26.3, abs=0.1)


def test_the_mean_flow_fills_a_vessel_in_the_time_that_adding_up_gives() -> None:
    p = np.linspace(3e5, 7e5, 20001)
    m = 8e-4 - (p - 3e5) / 4e5 * 6e-4
    t = np.trapezoid(0.02 / (287.0 * 288.0 * m), p)
    assert recovery_time(0.02, 3e5, 7e5, 288.0, mean_flow(8e-4, 2e-4)) == pytest.approx(t, rel=1e-3)
    assert mean_flow(5e-4, 5e-4) == 5e-4
    assert mean_flow(5e-4, 0.0) == 0.0
