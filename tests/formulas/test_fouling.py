"""Film and interval: closed forms against running the cycles one by one, limits, and the band."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

from purgecalc.formulas import duty, fouling

DAY = 86400.0
SETTINGS = settings(derandomize=True, deadline=None, max_examples=60)
MU, ETA, T = st.floats(0.1 / DAY, 6 / DAY), st.floats(0.02, 0.6), st.floats(300.0, 12 * 3600.0)


def run(X: float, mu: float, eta: float, T: float, n: int) -> float:
    """Film before the blast, ``n`` cycles after it stood at ``X`` before a blast."""
    for _ in range(n):
        X = float(fouling.growth(fouling.after_blast(X, eta), mu, T))
    return X


@pytest.mark.parametrize(("eta", "mu", "minutes"), [(0.1, 1.5, 101), (0.05, 2.0, 37), (0.1, 2.0, 76)])
def test_critical_interval(eta: float, mu: float, minutes: int) -> None:
    assert round(fouling.critical_interval(eta, mu / DAY) / 60) == minutes


@SETTINGS
@given(X=st.floats(0.001, 1.0), mu=MU, eta=ETA, T=T, n=st.integers(0, 300))
def test_film_after_n_blasts_is_that_of_the_cycles_run_one_by_one(X: float, mu: float, eta: float, T: float, n: int) -> None:
    assert fouling.film_before_blast(X, mu, eta, T, n) == pytest.approx(run(X, mu, eta, T, n), rel=1e-6, abs=1e-290)


def test_film_at_exactly_the_critical_interval() -> None:
    mu, eta = 1.5 / DAY, 0.1
    T = float(fouling.critical_interval(eta, mu))
    assert fouling.film_before_blast(0.3, mu, eta, T, 200.0) == pytest.approx(run(0.3, mu, eta, T, 200), rel=1e-9)


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


@SETTINGS
@given(X=st.floats(0.001, 1.0), x=st.floats(0.01, 40))
def test_mean_film_is_the_integral(X: float, x: float) -> None:
    area, _ = quad(lambda t: float(fouling.growth(X, 1.0, t)), 0, x, limit=200)
    assert fouling.mean_film(X, 1.0, x) == pytest.approx(area / x, rel=1e-6)


def test_growth_keeps_its_limits() -> None:
    assert fouling.growth(0.02, 1 / DAY, np.array([0.0, 1e9])) == pytest.approx([0.02, 1.0])
    assert fouling.growth(1e-4, 1 / DAY, 3600.0) == pytest.approx(1e-4 * np.exp(1 / 24), rel=1e-4)


def test_steady_growth_with_blasts_is_the_sum_and_keeps_its_sign() -> None:
    r, T, eta, b = -0.06e-3 / DAY, 1800.0, 0.1, 0.0
    for n in range(1, 60):
        b = b * (1 - eta if n > 1 else 1) + r * T
        assert fouling.linear_bias_purged(r, T, eta, float(n)) == pytest.approx(b, rel=1e-9)
    assert fouling.linear_bias_purged(r, T, eta, 1e6) == pytest.approx(r * T / eta)
    assert fouling.film_bias(-2e-3, 0.25) == pytest.approx(-0.5e-3)


@SETTINGS
@given(t_run=st.floats(1, 200), cdf=st.floats(0.05, 0.9))
def test_shortest_interval_for_duty_is_the_first_that_keeps_every_window(t_run: float, cdf: float) -> None:
    W = 600.0
    least = float(fouling.shortest_for_duty(t_run, cdf * W, W))
    if t_run > cdf * W:
        assert np.isinf(least)
        return
    assert duty.run_in_window(t_run, least * (1 + 1e-9), W) <= cdf * W * (1 + 1e-6)
    if least > t_run * 1.001:
        assert duty.run_in_window(t_run, least * 0.99, W) > cdf * W


def test_band_names_what_sets_its_ends() -> None:
    high = fouling.longest_interval(fouling.critical_interval(0.1, 1.5 / DAY))
    low = {"live share": fouling.shortest_for_live(90.0, 0.9), "duty": fouling.shortest_for_duty(30.0, 300.0, 600.0)}
    found = fouling.band(low, {"film": high})
    assert (round(float(found.low) / 60), round(float(found.high) / 60)) == (15, 71)
    assert (found.low_by, found.high_by) == ("live share", "film")
    assert not found.empty


def test_band_is_empty_where_limits_contradict_and_open_where_there_are_none() -> None:
    assert fouling.band({"loop": np.inf}, {"film": 4000.0}).empty
    assert fouling.band({}, {}).high == np.inf
    many = fouling.band({"live share": np.array([600.0, 9000.0])}, {"film": 4000.0})
    assert many.empty.tolist() == [False, True]


def test_an_interval_inside_the_band_keeps_the_film_off() -> None:
    mu, eta = 1.5 / DAY, 0.1
    assert fouling.film_before_blast(0.02, mu, eta, 4000.0, 30 * DAY / 4000.0) < 1e-6
    assert fouling.film_before_blast(0.02, mu, eta, 3 * 4000.0, 30 * DAY / 12000.0) > 0.4
