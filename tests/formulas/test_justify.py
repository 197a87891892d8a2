"""The choice between wiping and purging: means by brute force, break-even, and that "not needed" can come out."""

from dataclasses import replace

import numpy as np
import pytest

from purgecalc.formulas import justify

DAY, MG, KWH = 86400.0, 1e-3, 3.6e6
CASE = justify.Case(
    r=-0.06 * MG / DAY, b_full=1.5 * MG, C_star=10 * MG, C=2 * MG, tol=0.2 * MG, P_blower=55e3, t_visit=1800.0, P_labour=200e3,
    T=1800.0, eta=0.1, E_purge=26 * KWH, t_service=4 * 3600.0, E_standing=2000 * KWH,
)  # fmt: skip


@pytest.mark.parametrize(("r", "W"), [(-0.06, 7.0), (0.06, 60.0), (0.5, 14.0), (0.0, 7.0)])
def test_mean_between_wipes_is_the_mean_of_the_curve(r: float, W: float) -> None:
    t = np.linspace(0, W * DAY, 200_001)
    curve = np.clip(r * MG / DAY * t, -1.5 * MG, 1.5 * MG)
    got = justify.mean_bias_wiped(r * MG / DAY, W * DAY, 1.5 * MG)
    assert got == pytest.approx(np.trapezoid(curve, t) / t[-1], rel=1e-6, abs=1e-15)


def test_mean_with_a_purge_is_the_mean_of_the_cycles() -> None:
    r, T, eta = -0.06 * MG / DAY, 1800.0, 0.1
    film, total = 0.0, 0.0
    for n in range(1, 400):
        total += film + r * T / 2
        film = (film + r * T) * (1 - eta)
        if n in (1, 5, 399):
            assert justify.mean_bias_purged(r, T, eta, float(n)) == pytest.approx(total / n, rel=1e-9)
    assert justify.mean_bias_purged(r, T, eta, 1e7) == pytest.approx(r * T * (1 / eta - 0.5), rel=1e-5)


def test_bias_of_0_3_costs_a_55_kilowatt_blower_19_megawatt_hours_a_year() -> None:
    assert justify.bias_energy(0.0389610, 55e3) / KWH == pytest.approx(18_800, abs=50)


def test_weekly_visits_of_half_an_hour_are_26_hours_a_year() -> None:
    assert justify.labour(1800.0, justify.WEEK, 0.0) / 3600 == pytest.approx(26.1, abs=0.05)


def test_fouling_site_with_a_large_blower_justifies_the_purge() -> None:
    assert str(justify.verdict(justify.ways(CASE), CASE.tol)) == "justified"


def test_slow_fouling_or_a_small_blower_does_not_need_it() -> None:
    clean = replace(CASE, r=-0.002 * MG / DAY)
    assert str(justify.verdict(justify.ways(clean), CASE.tol)) == "not needed"
    small = replace(CASE, r=-0.01 * MG / DAY, P_blower=2e3)
    assert str(justify.verdict(justify.ways(small), CASE.tol)) == "not needed"


def test_film_that_air_cannot_hold_calls_for_another_method() -> None:
    hard = replace(CASE, r=-0.5 * MG / DAY, eta=0.001)
    assert str(justify.verdict(justify.ways(hard), CASE.tol)) == "another method"


def test_likelihood_is_the_share_of_a_sample() -> None:
    rates = -np.geomspace(0.0005, 0.9, 61) * MG / DAY
    found = justify.verdict(justify.ways(replace(CASE, r=rates)), CASE.tol)
    assert found.shape == rates.shape
    assert 0.1 < float(np.mean(found == "justified")) < 0.9
    first = int(np.argmax(found == "justified"))
    assert set(found[:first]) == {"not needed"}  # once it pays it pays for anything that fouls faster
    assert set(found[first:]) == {"justified"}


def test_ways_keep_sign_and_order() -> None:
    none, week, fortnight, month, purge = justify.ways(CASE)
    assert none.mean_bias < month.mean_bias < fortnight.mean_bias < week.mean_bias < purge.mean_bias < 0
    assert week.bias_at_wipe == pytest.approx(-0.42 * MG)
    assert none.bias_at_wipe == pytest.approx(-1.5 * MG)
    assert none.t_labour == 0
    assert purge.t_labour == month.t_labour + CASE.t_service


def test_totals_agree_at_the_break_even_rate() -> None:
    fixed_purge, fixed_wipe, W = 2.2e9 * 9, 26 * 200 * KWH, justify.WEEK
    r = justify.break_even_rate(fixed_purge, fixed_wipe, 55e3, 10 * MG, 2 * MG, W, 1800.0, 0.1)
    per_bias = 55e3 * 365.25 * DAY / (8 * MG)
    assert fixed_wipe + r * W / 2 * per_bias == pytest.approx(fixed_purge + r * 1800.0 * 9.5 * per_bias)
    assert justify.break_even_rate(1.0, 2.0, 55e3, 10 * MG, 2 * MG, W, 1800.0, 0.1) == 0
    assert np.isinf(justify.break_even_rate(2e9, 1e9, 55e3, 10 * MG, 2 * MG, 1800.0, W, 0.1))


def test_two_wipe_test_finds_the_rate_it_was_made_from() -> None:
    r, true = -0.05 * MG / DAY, 2.0 * MG
    days = [1.0, 3.0, 7.0]
    before = [true + r * DAY * e for e in (1.0, 2.0, 4.0)]
    found = justify.wipe_test(days, before, [true] * 3)
    assert found.rate == pytest.approx(r)
    assert found.error == pytest.approx(0.0, abs=1e-18)
    assert found.elapsed / DAY == pytest.approx([1.0, 2.0, 4.0])
    assert justify.rate_of_wipe(before[2], true, 4 * DAY) == pytest.approx(r)


def test_two_wipe_test_tells_its_uncertainty_and_refuses_nonsense() -> None:
    noisy = justify.wipe_test([1.0, 3.0, 7.0], [1.9 * MG, 1.95 * MG, 1.7 * MG], [2.0 * MG] * 3)
    assert noisy.error > 0
    assert np.isnan(justify.wipe_test([2.0], [1.9 * MG], [2.0 * MG]).error)
    for days, before in (([3.0, 1.0], [1.0, 1.0]), ([], []), ([1.0, 2.0], [1.0])):
        with pytest.raises(ValueError, match="rising days"):
            justify.wipe_test(days, before, [1.0] * len(days))
