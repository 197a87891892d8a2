"""Properties of the flow through valve, hose and head: inverses, continuity through choking, order, limits."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from purgecalc.formulas import air, fanno, hose, limits, valve
from purgecalc.formulas import head as hd
from tests import forward

SETTINGS = settings(derandomize=True, deadline=None, max_examples=150)
pressures = st.floats(1e5, 1e6)
temperatures = st.floats(253.0, 323.0)
bores = st.floats(3e-3, 25e-3)
resistances = st.floats(0.5, 500.0)
conductances = st.floats(5e-10, 5e-8)
ratios = st.floats(0.05, 0.6)
shares = st.floats(0.001, 0.999)
areas = st.floats(1e-6, 1e-4)


# --- valve


@given(conductances, ratios, pressures, st.floats(1e-3, 0.9999), temperatures)
@SETTINGS
def test_valve_pressure_ahead_is_the_inverse_of_its_flow(C: float, b: float, p_1: float, r: float, T: float) -> None:
    p_2 = r * p_1
    m = forward.valve_flow(C, b, p_1, p_2, T)
    assert valve.inlet_pressure(m, C, b, p_2, T) == pytest.approx(p_1, rel=1e-10)


@given(conductances, ratios, pressures, shares, temperatures)
@SETTINGS
def test_valve_pressure_behind_is_the_inverse_of_its_flow(C: float, b: float, p_1: float, share: float, T: float) -> None:
    p_2 = p_1 * (b + (1 - b) * share)
    m = forward.valve_flow(C, b, p_1, p_2, T)
    assert limits.valve_outlet_pressure(m, C, b, p_1, T) == pytest.approx(p_2, rel=1e-6)


@given(ratios, pressures)
@SETTINGS
def test_valve_flow_passes_choking_without_a_jump(b: float, p_1: float) -> None:
    r = b + np.array([-1e-3, -1e-6, 0.0, 1e-6])
    m = np.asarray(forward.valve_flow(1e-8, b, p_1, r * p_1, 293.15))
    assert m == pytest.approx(np.full(4, m[0]), rel=1e-10)
    assert forward.valve_flow(1e-8, b, p_1, 0.0, 293.15) == pytest.approx(m[0], rel=1e-14)
    assert forward.valve_flow(1e-8, b, p_1, p_1, 293.15) == 0.0


@given(ratios, conductances)
@SETTINGS
def test_valve_needs_more_pressure_for_more_flow(b: float, C: float) -> None:
    flows = np.linspace(0.0, 3.0, 60) * C * 1.185 * 2e5
    ahead = np.asarray(valve.inlet_pressure(flows, C, b, 2e5, 293.15))
    assert np.all(np.diff(ahead) > 0)
    assert ahead[0] == pytest.approx(2e5, rel=1e-12)


def test_ellipse_is_below_the_nozzle_by_at_most_0_31_per_cent() -> None:
    r = np.linspace(0.53, 0.9999, 200)
    nozzle = np.asarray(hd.mass_flow(1.0, 1e-5, 1e5, r * 1e5, 293.15))
    C = forward.conductance_of_area(1e-5)
    ellipse = np.asarray(forward.valve_flow(C, hd.CRITICAL_RATIO.value, 1e5, r * 1e5, 293.15))
    assert np.all(ellipse <= nozzle * (1 + 1e-12))
    assert np.all(ellipse >= nozzle * 0.9969)
    # both count the same choked flow
    assert forward.valve_flow(C, 0.3, 1e5, 1e4, 280.0) == pytest.approx(hd.mass_flow(1.0, 1e-5, 1e5, 1e4, 280.0), rel=1e-12)


# --- head


@given(areas, pressures, temperatures)
@SETTINGS
def test_head_flow_passes_choking_without_a_jump(A: float, p_h: float, T: float) -> None:
    r = hd.CRITICAL_RATIO.value + np.array([-1e-3, -1e-6, 0.0, 1e-6])
    for function in (
        lambda p_b: hd.mass_flow(0.8, A, p_h, p_b, T),
        lambda p_b: hd.jet_velocity(p_h, p_b, T) / (1 + np.maximum(0, p_b / p_h - r[2])),
    ):
        values = np.asarray(function(r * p_h))
        assert values == pytest.approx(np.full(4, values[2]), rel=1e-5)
    m = np.asarray(hd.mass_flow(0.8, A, p_h, r * p_h, T))
    assert m == pytest.approx(np.full(4, m[0]), rel=1e-10), "the flow function is flat at its top"


@given(areas, pressures, temperatures)
@SETTINGS
def test_head_flow_and_thrust_grow_with_pressure(A: float, p_b: float, T: float) -> None:
    p_h = p_b * (1 + np.linspace(0.0, 5.0, 120) ** 2)
    m = np.asarray(hd.mass_flow(0.8, A, p_h, p_b, T))
    u, p_e = hd.jet_velocity(p_h, p_b, T), hd.exit_pressure(p_h, p_b)
    F = np.asarray(hd.thrust(m, u, p_e, p_b, 0.8, A))
    assert m[0] == 0.0
    assert F[0] == 0.0
    assert np.all(np.diff(m) > 0)
    assert np.all(np.diff(F) > 0)


def test_small_pressure_differences_keep_their_digits() -> None:
    """Near rest the nozzle is an incompressible one: m = A sqrt(2 rho dp)."""
    for dp in (1.0, 1e-2, 1e-4):
        incompressible = 1e-5 * math.sqrt(2 * float(air.density(1e5, 293.15)) * dp)
        assert hd.mass_flow(1.0, 1e-5, 1e5 + dp, 1e5, 293.15) == pytest.approx(incompressible, rel=1e-4)


@given(areas, pressures, st.floats(1.0001, 10.0), temperatures)
@SETTINGS
def test_head_pressure_is_found_again_from_flow_and_from_thrust(A: float, p_b: float, ratio: float, T: float) -> None:
    p_h = ratio * p_b
    m = hd.mass_flow(0.8, A, p_h, p_b, T)
    assert limits.head_pressure_for_flow(m, 0.8, A, p_b, T) == pytest.approx(p_h, rel=1e-9)
    F = hd.thrust(m, hd.jet_velocity(p_h, p_b, T), hd.exit_pressure(p_h, p_b), p_b, 0.8, A)
    assert limits.head_pressure_for_thrust(F, p_b, 0.8, A) == pytest.approx(p_h, rel=1e-9)


# --- hose


@given(bores, pressures, shares, temperatures, resistances)
@SETTINGS
def test_hose_pressure_at_the_source_is_the_inverse_of_its_flow(D: float, p_in: float, share: float, T: float, N: float) -> None:
    A = hose.bore_area(D)
    p_choke = p_in / math.sqrt(float(hose.squared_pressure_ratio(1.0, N)))
    p_out = p_choke + (p_in - p_choke) * share
    m = forward.hose_flow(A, p_in, p_out, T, N)
    assert hose.inlet_pressure(m, A, p_out, T, N) == pytest.approx(p_in, rel=1e-9)
    assert p_out >= hose.choking_pressure(m, A, T) * (1 - 1e-9)


@given(resistances, st.sampled_from([0.0, 1e-12, 1e-9, 1e-6, 1e-3]))
@SETTINGS
def test_hose_closes_up_to_choking(N: float, short_of: float) -> None:
    """At the limit itself the equation is flat in the flow, so the pressures, not the flow, are compared."""
    A, T, p_star = 5e-5, 288.15, 1.5e5
    m = p_star * A / math.sqrt(air.R_AIR.value * T)
    p_out = p_star * (1 + short_of)
    p_in = float(hose.inlet_pressure(m, A, p_out, T, N))
    gap = (p_in**2 - p_out**2) / ((m / A) ** 2 * air.R_AIR.value * T) - N - 2 * math.log(p_in / p_out)
    assert abs(gap) < 1e-9 * (N + 1)


@given(bores, pressures, temperatures, resistances)
@SETTINGS
def test_flow_is_greatest_at_the_choking_pressure(D: float, p_in: float, T: float, N: float) -> None:
    A = hose.bore_area(D)
    p_choke = p_in / np.sqrt(hose.squared_pressure_ratio(1.0, N))
    around = p_choke * np.array([0.98, 1.0, 1.02])
    m = np.asarray(forward.hose_flow(A, p_in, around, T, N))
    assert m[1] > m[0]
    assert m[1] > m[2]
    assert hose.mach(m[1], A, p_choke, T) == pytest.approx(1 / math.sqrt(1.4), rel=1e-9)


@given(bores, temperatures, st.floats(1e-5, 1e-3), st.floats(0.01, 0.06))
@SETTINGS
def test_longer_hose_more_drop_wider_hose_less(D: float, T: float, m: float, f: float) -> None:
    A, p_out = hose.bore_area(D), 2e5
    m = min(m, 0.9 * p_out * float(A) / math.sqrt(air.R_AIR.value * T))
    lengths = np.linspace(1.0, 100.0, 30)
    p_in = np.asarray(hose.inlet_pressure(m, A, p_out, T, hose.resistance(f, lengths, D, 1.0)))
    assert np.all(np.diff(p_in) > 0)
    wider = D * np.linspace(1.0, 3.0, 30)
    p_in = np.asarray(hose.inlet_pressure(m, hose.bore_area(wider), p_out, T, hose.resistance(f, 20.0, wider, 1.0)))
    assert np.all(np.diff(p_in) < 0)


@given(bores, temperatures, st.floats(0.01, 0.06), st.floats(1.0, 100.0), st.floats(0.0, 10.0), st.floats(1e-3, 0.9))
@SETTINGS
def test_length_for_flow_is_the_inverse_in_the_length(D: float, T: float, f: float, L: float, K: float, share: float) -> None:
    A, p_out = float(hose.bore_area(D)), 1.5e5
    m = share * p_out * A / math.sqrt(air.R_AIR.value * T)
    p_in = hose.inlet_pressure(m, A, p_out, T, hose.resistance(f, L, D, K))
    assert hose.length_for_flow(D, f, p_in, p_out, m, A, T, K) == pytest.approx(L, rel=1e-6)


def test_no_flow_no_drop_and_little_flow_is_incompressible() -> None:
    A, T, p_out, N = 5e-5, 288.15, 2e5, 40.0
    assert hose.inlet_pressure(0.0, A, p_out, T, N) == pytest.approx(p_out, rel=1e-12)
    m = 1e-5
    incompressible = N * (m / A) ** 2 / (2 * float(air.density(p_out, T)))
    assert hose.inlet_pressure(m, A, p_out, T, N) - p_out == pytest.approx(incompressible, rel=1e-3)


def test_friction_factor_goes_over_from_laminar_to_turbulent_without_a_jump() -> None:
    Re = np.array([1999.999, 2000.001, 2999.999, 3000.001])
    f = np.asarray(hose.friction_factor(hose.laminar_friction(Re), hose.turbulent_friction(Re, 1e-5, 8e-3), Re))
    assert f[0] == pytest.approx(f[1], rel=1e-5)
    assert f[2] == pytest.approx(f[3], rel=1e-5)
    assert f[0] == pytest.approx(64 / 2000, rel=1e-5)
    many = np.logspace(1, 7, 3000)
    loss = many**2 * hose.friction_factor(hose.laminar_friction(many), hose.turbulent_friction(many, 1e-5, 8e-3), many)
    assert np.all(np.diff(loss) > 0), "pressure loss rises with flow everywhere"


@given(st.floats(1.0, 300.0), st.floats(0.005, 0.05))
@SETTINGS
def test_adiabatic_hose_is_the_isothermal_one_at_low_mach_number(N: float, M: float) -> None:
    """Friction heat does not matter while the pressure hardly falls; the gap grows with the drop."""
    A, T, p_out = 5e-5, 288.15, 2e5
    m = M * p_out * A * math.sqrt(1.4 / (air.R_AIR.value * T))
    isothermal = float(hose.inlet_pressure(m, A, p_out, T, N))
    adiabatic = float(fanno.adiabatic_inlet_pressure(m, A, p_out, T, N))
    assert adiabatic - p_out == pytest.approx(isothermal - p_out, rel=0.01)


@given(st.floats(1e-5, 0.9999))
@SETTINGS
def test_mach_number_is_found_again_from_the_friction_length(M: float) -> None:
    assert fanno.mach_of_length(fanno.length(M)) == pytest.approx(M, rel=1e-6 if M < 0.99 else 1e-4)


def test_friction_length_falls_to_nothing_at_mach_one() -> None:
    M = np.linspace(0.01, 1.0, 500)
    length = np.asarray(fanno.length(M))
    assert np.all(np.diff(length) < 0)
    assert length[-1] == pytest.approx(0.0, abs=1e-12)
    assert fanno.pressure_ratio(1.0) == pytest.approx(1.0, rel=1e-14)


def test_sonic_exit_has_no_adiabatic_answer() -> None:
    A, T, p_out = 5e-5, 288.15, 1e5
    m = 1.2 * p_out * A * math.sqrt(1.4 / (air.R_AIR.value * T))
    assert np.isnan(fanno.adiabatic_inlet_pressure(m, A, p_out, T, 10.0))
