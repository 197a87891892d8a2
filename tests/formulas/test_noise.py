"""Noise: the sonic gram per second worked by hand, decibel arithmetic, and the day's dose."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from purgecalc.formulas import duty, noise
from purgecalc.formulas import head as hd

SONIC = float(hd.jet_velocity(5e5, 1e5, 288.15))


def level(m: float) -> float:
    return float(noise.power_level(noise.acoustic_power(1.0, m, SONIC)))


def test_a_gram_a_second_at_the_speed_of_sound() -> None:
    assert pytest.approx(math.sqrt(1.4 * 287.05 * 288.15 / 1.2), rel=1e-4) == SONIC
    assert level(1e-3) == pytest.approx(97.0, abs=0.5)
    in_the_open = float(noise.level_at(level(1e-3), 1.0, 1.0))
    assert in_the_open == pytest.approx(85.0, abs=1.0)


def test_a_receiver_blast_of_three_hundred_litres_a_minute() -> None:
    assert level(298e-3 / 60 * 1.185) == pytest.approx(105.0, abs=1.0)


def test_decibel_arithmetic() -> None:
    assert noise.from_one_metre(70.0, 10.0) == pytest.approx(50.0)
    assert noise.level_at(97.0, 1.0, 2.0) - noise.level_at(97.0, 1.0, 1.0) == pytest.approx(3.01, abs=0.01)
    assert noise.level_at(97.0, 2.0, 1.0) - noise.level_at(97.0, 1.0, 1.0) == pytest.approx(-6.02, abs=0.01)


def test_doses() -> None:
    assert noise.daily_exposure(85.0, 8 * 3600.0) == pytest.approx(85.0)
    assert noise.daily_exposure(88.0, 4 * 3600.0) == pytest.approx(85.0, abs=0.02)
    on = float(duty.run_in_window(30.0, 1800.0, 8 * 3600.0))
    assert on == pytest.approx(480.0)
    assert noise.daily_exposure(85.8, on) == pytest.approx(68.0, abs=0.1)  # half a minute each half hour is no dose


@given(st.floats(0.05, 3.0), st.floats(1e-5, 1e-2), st.floats(10, 320))
def test_more_air_is_louder_and_choking_ends_the_rise_with_mach(M: float, m: float, u: float) -> None:
    W = noise.acoustic_power(M, m, u)
    assert noise.acoustic_power(M, 2 * m, u) == pytest.approx(2 * W)
    assert noise.acoustic_power(min(M, 1.0), m, u) == pytest.approx(W)
    assert noise.acoustic_power(0.5 * min(M, 1.0), m, u) == pytest.approx(W / 32)


def test_action_values() -> None:
    for regime in ("EU", "UK"):
        assert [(a.daily, a.peak) for a in noise.ACTION_VALUES[regime]] == [(80, 135), (85, 137), (87, 140)]


@pytest.mark.parametrize(("level", "hours"), [(90, 8), (92, 6), (95, 4), (97, 3), (100, 2), (105, 1), (110, 0.5), (115, 0.25)])
def test_the_us_average_of_every_permitted_exposure_is_ninety(level: float, hours: float) -> None:
    """Table G-16 of 29 CFR 1910.95, which rounds its hours."""
    assert noise.daily_exposure_us(float(level), hours * 3600.0) == pytest.approx(90.0, abs=0.15)
