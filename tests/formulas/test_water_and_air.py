"""Water, oxygen, site and receiver: order, limits, conservation."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

from purgecalc.formulas import air, blast, oxygen, receiver, site
from purgecalc.formulas import source as src

SETTINGS = settings(derandomize=True, deadline=None, max_examples=150)
P_0 = air.P_STANDARD.value


def saturation(T: float, S: float, p: float) -> float:
    C_0 = oxygen.saturation_at_standard_pressure(T, S)
    return float(oxygen.saturation(C_0, p, oxygen.vapour_pressure(T), oxygen.theta(T)))


@given(st.floats(273.15, 312.0), st.floats(0.0, 0.039), st.floats(6e4, 2e5))
@SETTINGS
def test_oxygen_falls_with_warmth_and_salt_and_rises_with_pressure(T: float, S: float, p: float) -> None:
    here = saturation(T, S, p)
    assert saturation(T + 1, S, p) < here
    assert saturation(T, S + 0.001, p) < here
    assert saturation(T, S, p * 1.01) > here


@given(st.floats(273.15, 313.15), st.floats(0.0, 0.04))
@SETTINGS
def test_standard_pressure_needs_no_correction(T: float, S: float) -> None:
    assert saturation(T, S, P_0) == pytest.approx(float(oxygen.saturation_at_standard_pressure(T, S)), rel=1e-13)


@given(st.floats(273.15, 312.0), st.floats(0.0, 0.039))
@SETTINGS
def test_water_is_heavier_with_salt_and_densest_at_four_degrees(T: float, S: float) -> None:
    assert site.water_density(T, S + 0.001) > site.water_density(T, S)
    near = np.linspace(273.15, 283.15, 201)
    assert near[np.argmax(site.water_density(near, 0.0))] - 273.15 == pytest.approx(4.0, abs=0.1)


@given(st.floats(-400.0, 9000.0))
@SETTINGS
def test_pressure_falls_with_height_as_the_weight_of_the_air(z: float) -> None:
    p = [float(site.atmospheric_pressure(z + dz)) for dz in (-1.0, 0.0, 1.0)]
    rho = float(air.density(p[1], 288.15 - 0.0065 * z))
    assert (p[0] - p[2]) / 2 == pytest.approx(rho * 9.80665, rel=1e-5)
    assert float(site.geopotential_altitude(z)) <= z + 1e-12


def test_depth_adds_the_weight_of_the_water() -> None:
    p = site.back_pressure(P_0, 1000.0, np.array([0.0, 1.0, 10.0]))
    assert p == pytest.approx(P_0 + np.array([0.0, 9806.65, 98066.5]), rel=1e-14)


@given(st.floats(1.01, 20.0), st.floats(1e-3, 0.1))
@SETTINGS
def test_stored_energy_is_the_work_of_slow_expansion(ratio: float, V: float) -> None:
    p_atm = 1e5
    work, _ = quad(lambda v: ratio * p_atm * V / v - p_atm, V, ratio * V)
    assert receiver.stored_energy(ratio * p_atm, V, p_atm) == pytest.approx(work, rel=1e-7)


@given(st.floats(1.1e5, 9e5), st.floats(1.0001, 5.0))
@SETTINGS
def test_mean_hose_pressure_is_that_of_the_square_root_profile(p_out: float, ratio: float) -> None:
    p_in = ratio * p_out
    mean, _ = quad(lambda x: math.sqrt(p_in**2 - x * (p_in**2 - p_out**2)), 0.0, 1.0)
    assert blast.mean_pressure(p_in, p_out) == pytest.approx(mean, rel=1e-9)


def test_curve_of_a_source_passes_its_points_and_never_goes_below_nothing() -> None:
    points, flows = np.array([1e5, 3e5, 4e5]), np.array([2e-3, 1e-3, 0.0])
    p = np.array([0.5e5, 1e5, 2e5, 3e5, 3.5e5, 4e5, 6e5])
    flow, slope = src.curve(p, points, flows)
    assert flow == pytest.approx(np.interp(p, points, flows), abs=1e-15)
    assert np.asarray(slope)[[2, 4]] == pytest.approx([-5e-9, -1e-8])
    assert src.flow_between(2e5, 1e5, 3e5, 2e-3, 1e-3) == pytest.approx(1.5e-3)
