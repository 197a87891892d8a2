"""The hold loop: figures worked by hand, limits, and a general integrator."""

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from purgecalc.formulas import loop

MG, H = 1e-3, 3600.0
C_STAR, C = 10 * MG, 2 * MG


@pytest.mark.parametrize(("our", "minutes", "want"), [(40, 2.0, 0.25), (50, 3.5, 0.49), (80, 3.5, 0.71)])
def test_excursion_under_a_load_step_of_a_fifth(our: float, minutes: float, want: float) -> None:
    OUR = our * MG / H
    got = loop.excursion(0.2, OUR, loop.kla(OUR, C_STAR, C), minutes * 60, C)
    assert got / MG == pytest.approx(want, abs=0.005)


def balance(q: float, s: float, OUR: float, t: float) -> float:
    kla = float(loop.kla(OUR, C_STAR, C))
    found = solve_ivp(lambda _, y: kla * (1 + q) * (C_STAR - y) - OUR * (1 + s), (0, t), [C], rtol=1e-10, atol=1e-14)
    return float(found.y[0][-1])


def test_excursion_and_airflow_step_are_solutions_of_the_balance() -> None:
    OUR = 40 * MG / H
    kla = loop.kla(OUR, C_STAR, C)
    assert C - loop.excursion(0.2, OUR, kla, 300.0, C) == pytest.approx(balance(0.0, 0.2, OUR, 300.0), rel=1e-8)
    for q in (-1.0, -0.3, -1e-9, 0.0, 0.15, 0.8):
        assert C + loop.moved(q, C_STAR, C, kla, 300.0) == pytest.approx(balance(q, 0.0, OUR, 300.0), rel=1e-8)


def test_airflow_stopped_takes_oxygen_down_more_slowly_than_uptake_alone_would() -> None:
    OUR = 60 * MG / H
    assert loop.time_to_zero(C, OUR) == pytest.approx(120.0)
    assert loop.moved(-1.0, C_STAR, C, loop.kla(OUR, C_STAR, C), 60.0) == pytest.approx(-OUR * 60.0)


def test_oxygen_falls_by_no_more_than_there_is() -> None:
    OUR = 100 * MG / H
    kla = loop.kla(OUR, C_STAR, C)
    assert loop.excursion(2.0, OUR, kla, 20.0, C) < C
    assert loop.excursion(2.0, OUR, kla, 600.0, C) == C  # the balance alone would say 10.8 mg/L of 2
    assert loop.excursion(np.array([0.2, 2.0]), OUR, kla, 600.0, C)[1] == C


def test_controller_reactions_worked_by_hand() -> None:
    K_c, T_i = 100.0, 300.0  # 10 % per mg/L, 5 min
    assert loop.kick(K_c, C, C, 1.5 * MG, 0.0) == pytest.approx(-0.15)
    assert loop.kick(K_c, 0.5 * MG, C, 0.2 * MG, 0.0) == pytest.approx(
        -0.15 - 0.02
    )  # substituted 1.5 low: that step back, and the bias
    assert str(loop.kick(K_c, C, C, 1.5 * MG, 1.0)) == "0.0"  # a controller that tracked takes over without a step
    assert loop.substitute_step(K_c, 2 * MG, 0.0) == pytest.approx(0.20)
    assert loop.integrator_ramp(K_c, 2 * MG, 1.5 * MG, 120.0, T_i) == pytest.approx(0.02)
    assert loop.kick_integral(K_c, 1.5 * MG, 52.1, T_i, 0.0) == pytest.approx(-0.02605)
    assert loop.kick_integral(K_c, 1.5 * MG, 52.1, T_i, 1.0) == pytest.approx(0.15 - 0.02605)
    assert loop.furthest(-0.15, -0.02605, 0.0) == -0.15
    assert loop.furthest(0.0, 0.124, 1.0) == 0.124


@pytest.mark.parametrize("lags", [1, 2])
@pytest.mark.parametrize("T_i", [40.0, 300.0])
@pytest.mark.parametrize("k", [1.0, 1.15, 1.6])
def test_a_controller_left_on_the_bump_moves_as_an_integrated_one(lags: int, T_i: float, k: float) -> None:
    """Sensor of one or two lags, dC on its face for 40 s, its fall stretched; PI on what it reads, the oxygen standing still."""
    K_c, dC, tau, seen, blast, hold = 50.0, 4 * MG, 52.1, 40.0, 30.0, 60.0

    def slope(t: float, y: np.ndarray) -> list[float]:
        u, lag = (dC, tau) if t < seen else (0.0, k * tau)
        return [(u - y[0]) / lag, (y[0] - y[1]) / lag, -K_c * (y[0] if lags == 1 else y[1]) / T_i]

    t = np.linspace(0.0, 4000.0, 40_001)
    on = solve_ivp(slope, (0, seen), [0.0] * 3, rtol=1e-10, atol=1e-14, t_eval=t[t <= seen], max_step=1.0).y
    off = solve_ivp(slope, (seen, 4000.0), on[:, -1], rtol=1e-10, atol=1e-14, t_eval=t[t > seen]).y
    y = np.concatenate([on, off], axis=1)
    read, ramp = y[lags - 1], y[2]
    end = int(np.searchsorted(t, blast + hold))
    b = read[end]
    if lags == 2:
        b = loop.in_both_lags(b, dC, seen, tau, blast, hold, k)
        if k == 1:
            assert b == pytest.approx(y[0][end] + y[1][end], rel=1e-4)
    else:
        b = loop.in_one_lag(b, np.max(read), k)
    assert loop.live_ramp(K_c, dC, seen, tau, b, T_i) == pytest.approx(ramp[end], rel=1e-4)
    furthest = loop.live_furthest(K_c, dC, seen, T_i, np.max(read), tau, k * tau)
    worst = np.min(ramp - K_c * read)
    if lags == 1 and (k == 1 or T_i > tau):
        assert furthest == pytest.approx(worst, rel=1e-4)
    else:
        assert (1.2 if k == 1 else 2.2) * worst < furthest <= worst * (1 - 1e-4)


def test_quick_and_slow_share_hold_what_an_integrated_sensor_does() -> None:
    dC, tau, tau_s, s, seen, blast, hold, k = 4 * MG, 15.0, 60.0, 0.2, 40.0, 30.0, 60.0, 1.2

    def slope(t: float, y: np.ndarray) -> list[float]:
        u, stretch = (dC, 1.0) if t < seen else (0.0, k)
        return [(u - y[0]) / (stretch * tau), (u - y[1]) / (stretch * tau_s), (1 - s) * y[0] + s * y[1]]

    on = solve_ivp(slope, (0, seen), [0.0] * 3, rtol=1e-11, atol=1e-15, max_step=1.0).y[:, -1]
    area = solve_ivp(slope, (seen + 1e-9, blast + hold), on, rtol=1e-11, atol=1e-15).y[2][-1]
    b = loop.in_both_shares(dC, seen, tau, tau_s, s, blast, hold, k)
    assert loop.live_ramp(50.0, dC, seen, tau, b, 300.0) == pytest.approx(-50.0 * area / 300.0, rel=1e-6)


def test_airflow_is_not_driven_below_none_by_the_bump() -> None:
    assert loop.live_furthest(500.0, 9 * MG, 40.0, 300.0, 4.8 * MG, 52.1, 52.1) == -1.0


def test_over_aeration_is_the_airflow_above_need() -> None:
    b = -0.3 * MG  # reads low
    assert loop.over_aeration(b, C_STAR, C) == pytest.approx(0.0390, abs=5e-5)
    # airflow needed at the true oxygen against that at the set point
    assert 1 + loop.over_aeration(b, C_STAR, C) == pytest.approx((C_STAR - C) / (C_STAR - (C - b)))
    assert loop.over_aeration(-b, C_STAR, C) < 0
    small = np.array([-1e-7, 1e-7])
    assert loop.over_aeration(small, C_STAR, C) == pytest.approx(-small / (C_STAR - C), rel=2e-5)  # first order in the bias
