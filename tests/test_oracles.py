"""Formulas against independent libraries. Each tolerance is the deviation found, rounded up, with its reason."""

from __future__ import annotations

import warnings

import fluids
import gsw
import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI
from numpy.typing import NDArray

from purgecalc.formulas import air, hose, hose_ends, oxygen, site
from purgecalc.formulas import head as hd

Array = NDArray[np.float64]
DESIGNS = 2000


def of_air(output: str, T: Array, p: Array) -> Array:
    return np.array([PropsSI(output, "T", t, "P", x, "Air") for t, x in zip(T.ravel(), p.ravel(), strict=True)]).reshape(T.shape)


@pytest.fixture(scope="module")
def states() -> tuple[Array, Array]:
    """-20 to 60 degC, 1 to 8 bar absolute."""
    T, p = np.meshgrid(np.linspace(253.15, 333.15, 9), np.linspace(1e5, 8e5, 8))
    return T, p


def test_air_density(states: tuple[Array, Array]) -> None:
    T, p = states
    off = air.density(p, T) / of_air("D", T, p) - 1
    assert np.max(np.abs(off)) < 0.0075, "real air is up to 0.7 % denser (-20 degC, 8 bar)"
    assert np.max(np.abs(off[p < 1.01e5])) < 0.001, "0.1 % at one bar"
    assert np.all(off < 0), "the ideal gas is the lighter one everywhere here"


def test_air_viscosity(states: tuple[Array, Array]) -> None:
    T, p = states
    off = air.viscosity(T) / of_air("V", T, p) - 1
    assert np.max(np.abs(off)) < 0.0105, "Sutherland's law is 0.3 to 0.6 % low at one bar; pressure adds 0.5 %"
    assert np.max(np.abs(off[p < 1.01e5])) < 0.006


def test_sound_speed(states: tuple[Array, Array]) -> None:
    T, p = states
    off = air.sound_speed(T) / of_air("A", T, p) - 1
    assert np.max(np.abs(off)) < 0.0035, "real air is 0.3 % faster at 8 bar"
    assert np.max(np.abs(off[p < 1.01e5])) < 0.0005


def test_critical_pressure_ratio_and_choked_flow_are_those_of_the_library() -> None:
    assert hd.CRITICAL_RATIO.value == pytest.approx(fluids.P_critical_flow(P=1.0, k=1.4), rel=1e-12)


@pytest.fixture(scope="module")
def waters() -> tuple[Array, Array]:
    """0 to 40 degC, salinity 0 to 40 g/kg (practical)."""
    t, S = np.meshgrid(np.linspace(0.0, 40.0, 21), np.linspace(0.0, 40.0, 9))
    return t, S


def seawater_density(t: Array, S: Array) -> Array:
    absolute = S * 35.16504 / 35
    return np.asarray(gsw.rho(absolute, gsw.CT_from_t(absolute, t, 0.0), 0.0))


def test_water_density(waters: tuple[Array, Array]) -> None:
    t, S = waters
    off = site.water_density(t + 273.15, S / 1000) - seawater_density(t, S)
    assert np.max(np.abs(off)) < 0.01, "the equations of 1980 and 2010 differ by 0.008 kg/m3, half of it the temperature scale"


def test_oxygen_saturation(waters: tuple[Array, Array]) -> None:
    t, S = waters
    absolute = S * 35.16504 / 35
    micromoles = gsw.O2sol_SP_pt(S, gsw.pt0_from_t(absolute, t, 0.0))
    library = micromoles * 1e-6 * 31.9988e-3 * seawater_density(t, S)
    off = oxygen.saturation_at_standard_pressure(t + 273.15, S / 1000) / library - 1
    assert np.max(np.abs(off)) < 0.0004, "two fits of the same measurements, per litre and per kilogram"


def test_check_value_of_the_oxygen_fit_belongs_to_the_temperature_scale_of_1968() -> None:
    assert gsw.O2sol_SP_pt(35.0, 10.0 / 1.00024) == pytest.approx(274.610, abs=5e-4)
    assert gsw.O2sol_SP_pt(35.0, 10.0) == pytest.approx(274.596, abs=5e-4)


def test_water_vapour_of_the_oxygen_tables() -> None:
    t = np.linspace(0.01, 40.0, 41)
    library = np.array([PropsSI("P", "T", x + 273.15, "Q", 0, "Water") for x in t])
    off = np.abs(oxygen.vapour_pressure(t + 273.15) / library - 1)
    assert np.max(off) < 0.0013, "the oxygen tables' own formula; at most 0.12 % off, at 40 degC"


def random_hoses() -> dict[str, Array]:
    """Designs from nearly no flow to nearly choked."""
    rng = np.random.default_rng(20)
    D, L = rng.uniform(3e-3, 25e-3, DESIGNS), rng.uniform(1.0, 100.0, DESIGNS)
    f, T, p_in = rng.uniform(0.01, 0.05, DESIGNS), rng.uniform(263.0, 313.0, DESIGNS), rng.uniform(2e5, 9e5, DESIGNS)
    p_choke = p_in / np.sqrt(hose.squared_pressure_ratio(1.0, f * L / D))
    p_out = p_choke + (p_in - p_choke) * rng.uniform(0.01, 0.99, DESIGNS)
    return {"D": D, "L": L, "f": f, "T": T, "p_in": p_in, "p_out": p_out, "p_choke": p_choke}


def test_hose_flow_is_the_library_s_with_the_density_at_the_inlet() -> None:
    h = random_hoses()
    N = np.asarray(hose.resistance(h["f"], h["L"], h["D"], 0.0))
    A = hose.bore_area(h["D"])
    rho = np.asarray(air.density(h["p_in"], h["T"]))
    library = np.array(
        [
            fluids.isothermal_gas(rho=rho[i], fd=h["f"][i], P1=h["p_in"][i], P2=h["p_out"][i], L=h["L"][i], D=h["D"][i])
            for i in range(DESIGNS)
        ]
    )
    back = np.asarray(hose.inlet_pressure(library, A, h["p_out"], h["T"], N))
    assert back == pytest.approx(h["p_in"], rel=1e-6)


def test_choking_pressure_is_the_library_s() -> None:
    h = random_hoses()
    in_range = np.flatnonzero(h["f"] * h["L"] / h["D"] < 700)  # beyond, the library's exponential underflows
    assert len(in_range) > 0.9 * DESIGNS
    for i in in_range[::20]:
        library = fluids.P_isothermal_critical_flow(P=h["p_in"][i], fd=h["f"][i], L=h["L"][i], D=h["D"][i])
        assert h["p_choke"][i] == pytest.approx(library, rel=1e-6)


def test_the_library_s_density_is_not_a_mean() -> None:
    """Its documentation calls it an average, but the formula holds for an ideal gas with the inlet's only."""
    at_inlet = fluids.isothermal_gas(rho=11.3, fd=0.00185, P1=1e6, P2=9e5, L=1000, D=0.5)
    at_mean = fluids.isothermal_gas(rho=11.3 * 0.95, fd=0.00185, P1=1e6, P2=9e5, L=1000, D=0.5)
    assert at_inlet == pytest.approx(145.48, abs=0.01)
    assert at_mean == pytest.approx(141.80, abs=0.01)


def test_friction_factor_of_two_thousand_designs() -> None:
    rng = np.random.default_rng(21)
    Re = np.exp(rng.uniform(np.log(4000), np.log(1e7), DESIGNS))
    rough = np.exp(rng.uniform(np.log(1e-7), np.log(0.05), DESIGNS))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", RuntimeWarning)  # the library overflows on its way for rough pipes
        library = np.array([fluids.friction_factor(Re=r, eD=e, Method="Colebrook") for r, e in zip(Re, rough, strict=True)])
    assert np.asarray(hose.turbulent_friction(Re, rough, 1.0)) == pytest.approx(library, rel=1e-6)


def test_fitting_losses_are_the_library_s() -> None:
    """Delegated to ``fluids.fittings.Darby3K`` with its diameter in inches."""
    for name, row in fluids.fittings.Darby.items():
        ours = hose_ends.fitting_loss(1.0, row[0], row[1], row[2], 0.008)
        library = fluids.fittings.Darby3K(NPS=0.008 / 0.0254, Re=hose_ends.RE_FITTING.value, name=name)
        assert ours == pytest.approx(library, rel=1e-12), name
