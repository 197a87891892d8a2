"""Moisture: figures of the scenarios, an independent library of humid air, round trips and limits."""

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI
from CoolProp.HumidAirProp import HAPropsSI
from hypothesis import given
from hypothesis import strategies as st

from purgecalc.formulas import air, hose, moisture, site

C0 = 273.15
BAR = 1e5


def intake(t: float, RH: float) -> float:
    return float(moisture.vapour_pressure(RH, moisture.saturation_over_water(C0 + t)))


def test_receiver_at_six_bar_always_condenses() -> None:
    p_atm = 101325.0
    e = moisture.compressed_vapour_pressure(intake(20.0, 0.60), p_atm + 6 * BAR, p_atm)
    assert moisture.dew_point(e) - C0 == pytest.approx(45.0, abs=0.5)  # far above any ambient


def winter_lagoon() -> dict[str, float]:
    """Kiosk 18 degC, 55 % RH, 120 m; 45 L/min at 2.5 bar dead-head pressing 1.31 bar; 30 s each 30 min; outside -18 degC."""
    p_atm = float(site.atmospheric_pressure(120.0))
    e, p = intake(18.0, 0.55), p_atm + 1.31 * BAR
    e_p = float(moisture.compressed_vapour_pressure(e, p, p_atm))
    free = 45e-3 / 60 * (1 - 1.31 / 2.5)
    m_air = free * 30 * float(air.density(p_atm, C0 + 18))
    w_out = moisture.mixing_ratio(moisture.saturation_over_ice(C0 - 18), p)
    dw = moisture.water_dropped(moisture.mixing_ratio(e, p_atm), w_out)
    day = float(moisture.water_per_day(moisture.water_per_blast(m_air, dw), 1800.0))
    return {"dew": float(moisture.dew_point(e_p)) - C0, "day": day}


def test_thin_tube_in_winter() -> None:
    got = winter_lagoon()
    assert got["dew"] == pytest.approx(22.0, abs=0.5)
    assert 4e-3 < got["day"] < 5e-3
    assert moisture.dew_point_needed(C0 - 18) == pytest.approx(C0 - 28)
    bore = float(hose.bore_area(4e-3))
    assert bore == pytest.approx(12.6e-6, abs=0.05e-6)  # a metre of bore holds 12.6 mL
    share = moisture.ice_share(got["day"], bore, 1.0)
    assert share > 0.05
    assert moisture.time_to_block(share) / 86400 == pytest.approx(3.0, abs=0.5)


@pytest.mark.parametrize("t", [-20.0, -5.0, 0.01, 5.0, 20.0, 40.0, 60.0])
def test_vapour_pressure_over_water_against_reference_equation(t: float) -> None:
    if t > 0:
        assert moisture.saturation_over_water(C0 + t) == pytest.approx(PropsSI("P", "T", C0 + t, "Q", 1, "Water"), rel=4e-3)
    else:
        assert moisture.saturation_over_water(C0 + t) > moisture.saturation_over_ice(C0 + t)


@pytest.mark.parametrize("t", [-40.0, -18.0, -5.0, -1.0])
def test_vapour_pressure_over_ice_against_independent_library(t: float) -> None:
    """Vapour share of saturated air at one bar, which counts the real-gas enhancement of about 0.4 %."""
    w = HAPropsSI("W", "T", C0 + t, "P", BAR, "R", 1.0)
    assert moisture.mixing_ratio(moisture.saturation_over_ice(C0 + t), BAR) == pytest.approx(w, rel=1e-2)


@pytest.mark.parametrize(("t", "RH"), [(5.0, 0.9), (18.0, 0.55), (20.0, 0.6), (35.0, 0.4)])
def test_dew_point_at_the_intake_against_independent_library(t: float, RH: float) -> None:
    want = HAPropsSI("Tdp", "T", C0 + t, "P", 101325.0, "R", RH)
    assert moisture.dew_point(intake(t, RH)) == pytest.approx(want, abs=0.1)
    assert moisture.mixing_ratio(intake(t, RH), 101325.0) == pytest.approx(
        HAPropsSI("W", "T", C0 + t, "P", 101325.0, "R", RH), rel=8e-3
    )


@pytest.mark.parametrize(("t", "RH", "gauge"), [(18.0, 0.55, 1.31), (20.0, 0.6, 3.0), (20.0, 0.6, 6.0), (30.0, 0.7, 2.0)])
def test_pressure_dew_point_round_trip_through_independent_library(t: float, RH: float, gauge: float) -> None:
    """The library's humid air of the same water per dry air, at the pressure, saturated: Dalton plus Magnus lose 0.3 K."""
    p_atm, p = 101325.0, 101325.0 + gauge * BAR
    W = HAPropsSI("W", "T", C0 + t, "P", p_atm, "R", RH)
    got = float(moisture.dew_point(moisture.compressed_vapour_pressure(intake(t, RH), p, p_atm)))
    want = HAPropsSI("Tdp", "T", 360.0, "P", p, "W", W)
    assert got == pytest.approx(want, abs=0.4)
    assert HAPropsSI("W", "T", want, "P", p, "R", 1.0) == pytest.approx(W, rel=1e-4)


@given(st.floats(-45, 60))
def test_dew_and_frost_point_invert_their_vapour_pressures(t: float) -> None:
    assert moisture.dew_point(moisture.saturation_over_water(C0 + t)) == pytest.approx(C0 + t, abs=1e-8)
    assert moisture.frost_point(moisture.saturation_over_ice(C0 + min(t, 0.0))) == pytest.approx(C0 + min(t, 0.0), abs=1e-8)


@given(st.floats(20, 5000))
def test_frost_comes_first_below_freezing_and_dew_above(e: float) -> None:
    dew, frost = moisture.dew_point(e), moisture.frost_point(e)
    first = moisture.falls_out_at(dew, frost)
    assert first == (frost if e < moisture.E_0.value else dew)
    assert (first < C0) == (e < moisture.E_0.value)


@given(st.floats(5, 35), st.floats(0.2, 1.0), st.floats(1.2, 9.0))
def test_compression_raises_the_dew_point_and_never_makes_water(t: float, RH: float, ratio: float) -> None:
    e = intake(t, RH)
    e_p = moisture.compressed_vapour_pressure(e, ratio * BAR, BAR)
    assert moisture.dew_point(e_p) > moisture.dew_point(e)
    assert moisture.mixing_ratio(e_p, ratio * BAR) == pytest.approx(moisture.mixing_ratio(e, BAR))
    back = moisture.compressed_vapour_pressure(e_p, BAR, ratio * BAR)
    assert back == pytest.approx(e)


def test_nothing_drops_from_air_that_stays_unsaturated() -> None:
    assert moisture.water_dropped(0.002, 0.007) == 0
    assert np.isinf(moisture.time_to_block(0.0))


def test_throttling_keeps_the_enthalpy() -> None:
    """The reference equation of air says where it ends."""
    mild = moisture.throttled_temperature(288.15, 7e5, 1.1e5)
    h = PropsSI("H", "T", 288.15, "P", 7e5, "Air")
    assert mild == pytest.approx(PropsSI("T", "H", h, "P", 1.1e5, "Air"), abs=0.1)
