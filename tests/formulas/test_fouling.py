"""Film and interval: closed forms against running the cycles one by one, and limits."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from purgecalc.formulas import duty, fouling, interval

DAY = 86400.0
SETTINGS = settings(derandomize=True, deadline=None, max_examples=60)
MU, ETA, T = st.floats(0.1 / DAY, 6 / DAY), st.floats(0.02, 0.6), st.floats(300.0, 12 * 3600.0)


def run(X: float, mu: float, eta: float, T: float, n: int) -> float:
    """Film before the blast, ``n`` cycles after it stood at ``X`` before a blast."""
    for _ in range(n):
        left = (1 - eta) * X
        X = left / (left + (1 - left) * float(np.exp(-mu * T)))
    return X


def test_an_interval_below_the_longest_keeps_the_film_off_and_three_times_it_does_not() -> None:
    mu, eta = 1.5 / DAY, 0.1
    longest = float(interval.longest_interval(fouling.critical_interval(eta, mu)))
    assert round(longest / 60) == 71
    assert run(0.02, mu, eta, longest, round(60 * DAY / longest)) < 1e-6
    assert run(0.02, mu, eta, 3 * longest, round(60 * DAY / (3 * longest))) > 0.4


def test_shortest_interval_for_the_live_share() -> None:
    assert interval.shortest_for_live(90.0, 0.9) == pytest.approx(900.0)


@pytest.mark.parametrize(("eta", "mu", "minutes"), [(0.1, 1.5, 101), (0.05, 2.0, 37), (0.1, 2.0, 76)])
def test_critical_interval(eta: float, mu: float, minutes: int) -> None:
    assert round(fouling.critical_interval(eta, mu / DAY) / 60) == minutes


@SETTINGS
@given(mu=MU, eta=ETA, T=T)
def test_equilibrium_is_a_fixed_point_and_vanishes_below_the_critical_interval(mu: float, eta: float, T: float) -> None:
    X = float(fouling.equilibrium(eta, mu, T))
    critical = float(fouling.critical_interval(eta, mu))
    assert 0 <= X < 1
    if critical * 1.001 < T:
        assert X > 0
        assert run(X, mu, eta, T, 1) == pytest.approx(X, rel=1e-6)
    if critical * 0.999 > T:
        assert X == 0


def test_equilibrium_is_where_many_blasts_end() -> None:
    mu, eta, T = 2 / DAY, 0.05, 3600.0
    assert run(0.02, mu, eta, T, 5000) == pytest.approx(fouling.equilibrium(eta, mu, T), rel=1e-9)
    E = np.exp(mu * T)
    assert fouling.equilibrium(eta, mu, T) == pytest.approx(((1 - eta) * E - 1) / ((1 - eta) * (E - 1)))


def test_growth_keeps_its_limits() -> None:
    assert fouling.growth(0.02, 1 / DAY, np.array([0.0, 1e9])) == pytest.approx([0.02, 1.0])
    assert fouling.growth(1e-4, 1 / DAY, 3600.0) == pytest.approx(1e-4 * np.exp(1 / 24), rel=1e-4)


@SETTINGS
@given(T=st.floats(0.05, 20), W=st.floats(0.5, 40))
def test_bias_at_the_end_is_that_of_the_cycles_run_one_by_one(T: float, W: float) -> None:
    r, eta, b, peak, t = 0.06, 0.1, 0.0, 0.0, 0.0
    while t + T <= W * (1 + 1e-12):
        b, t = b + r * T, t + T
        peak = b
        b *= 1 - eta
    n = float(fouling.blasts_between_wipes(W, T))
    before = float(fouling.linear_bias_purged(r, T, eta, n))
    assert before == pytest.approx(peak, rel=1e-9)
    end = fouling.bias_at_end(before, eta, r, fouling.after_last_blast(W, n, T))
    assert end == pytest.approx(b + r * max(W - t, 0.0), rel=1e-9)


@pytest.mark.parametrize(
    ("W", "T", "n"), [(13.0, 7.0, 1), (1.0, 7.0, 0), (30.0, 30.0, 1), (0.3, 0.1, 3), (2592000.0, 1800.0, 1440)]
)
def test_blasts_between_wipes_are_counted_whole(W: float, T: float, n: int) -> None:
    assert fouling.blasts_between_wipes(W, T) == n
    assert fouling.after_last_blast(W, float(n), T) == pytest.approx(W - n * T, abs=1e-12)


def test_steady_growth_with_blasts_is_the_sum_and_keeps_its_sign() -> None:
    r, T, eta, b = -0.06e-3 / DAY, 1800.0, 0.1, 0.0
    for n in range(1, 60):
        b = b * (1 - eta if n > 1 else 1) + r * T
        assert fouling.linear_bias_purged(r, T, eta, float(n)) == pytest.approx(b, rel=1e-9)
    assert fouling.linear_bias_purged(r, T, eta, 1e6) == pytest.approx(r * T / eta)
    assert fouling.bias_of_fouling(-2e-3, 0.25) == pytest.approx(-0.5e-3)


@SETTINGS
@given(t_run=st.floats(1, 200), cdf=st.floats(0.05, 0.9))
def test_shortest_interval_for_duty_is_the_first_that_keeps_every_window(t_run: float, cdf: float) -> None:
    W = 600.0
    least = float(interval.shortest_for_duty(t_run, cdf * W, W))
    if t_run > cdf * W:
        assert np.isinf(least)
        return
    assert duty.run_in_window(t_run, least * (1 + 1e-9), W) <= cdf * W * (1 + 1e-6)
    if least > t_run * 1.001:
        assert duty.run_in_window(t_run, least * 0.99, W) > cdf * W


def test_an_interval_inside_the_band_keeps_the_film_off() -> None:
    mu, eta = 1.5 / DAY, 0.1
    assert fouling.fouling_before_blast(0.02, mu, eta, 4000.0, 30 * DAY / 4000.0) < 1e-6
    assert fouling.fouling_before_blast(0.02, mu, eta, 3 * 4000.0, 30 * DAY / 12000.0) > 0.4
