"""The choice between wiping and purging: means by brute force, and what a bias and visits cost."""

import numpy as np
import pytest

from purgecalc.formulas import worth

DAY, MG, KWH = 86400.0, 1e-3, 3.6e6


@pytest.mark.parametrize(("r", "W"), [(-0.06, 7.0), (0.06, 60.0), (0.5, 14.0), (0.0, 7.0)])
def test_mean_between_wipes_is_the_mean_of_the_curve(r: float, W: float) -> None:
    t = np.linspace(0, W * DAY, 200_001)
    curve = np.clip(r * MG / DAY * t, -1.5 * MG, 1.5 * MG)
    got = worth.mean_bias_wiped(r * MG / DAY, W * DAY, 1.5 * MG)
    assert got == pytest.approx(np.trapezoid(curve, t) / t[-1], rel=1e-6, abs=1e-15)


def test_mean_with_a_purge_is_the_mean_of_the_cycles() -> None:
    r, T, eta = -0.06 * MG / DAY, 1800.0, 0.1
    film, total = 0.0, 0.0
    for n in range(1, 400):
        total += film + r * T / 2
        film = (film + r * T) * (1 - eta)
        if n in (1, 5, 399):
            assert worth.mean_bias_purged(r, T, eta, float(n)) == pytest.approx(total / n, rel=1e-9)
    assert worth.mean_bias_purged(r, T, eta, 1e7) == pytest.approx(r * T * (1 / eta - 0.5), rel=1e-5)


def test_bias_of_0_3_costs_a_55_kilowatt_blower_19_megawatt_hours_a_year() -> None:
    assert worth.bias_energy(0.0389610, 55e3) / KWH == pytest.approx(18_800, abs=50)


def test_weekly_visits_of_half_an_hour_are_26_hours_a_year() -> None:
    assert worth.labour(1800.0, worth.WEEK, 0.0) / 3600 == pytest.approx(26.1, abs=0.05)
