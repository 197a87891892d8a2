"""Bubbles: limits of each correlation, and a library's drag laws as a second opinion."""

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI
from fluids.drag import v_terminal

from purgecalc.formulas import bubble

RHO, AIR, MU = 998.2, 1.2, 1.002e-3


def test_small_bubbles_follow_stokes() -> None:
    d = np.array([1e-6, 5e-6, 20e-6])
    assert bubble.rise_velocity(d, RHO, AIR, MU) == pytest.approx(bubble.stokes(d, RHO, AIR, MU), rel=0.02)


@pytest.mark.parametrize("method", ["Barati", "Clift", "Haider_Levenspiel"])
def test_rigid_sphere_agrees_with_a_library(method: str) -> None:
    # the library wants something that sinks; only the difference of density counts
    for d in (1e-4, 3e-4, 7e-4, 1.2e-3):
        want = v_terminal(D=d, rhop=2 * RHO - AIR, rho=RHO, mu=MU, Method=method)
        assert bubble.rigid_sphere(d, RHO, AIR, MU) == pytest.approx(want, rel=0.05)


def test_rigid_sphere_satisfies_its_equation() -> None:
    d = np.logspace(-6, -1, 200)
    U = bubble.rigid_sphere(d, RHO, AIR, MU)
    re = RHO * U * d / MU
    assert U * (1 + 0.15 * re**0.687) == pytest.approx(bubble.stokes(d, RHO, AIR, MU), rel=1e-10)


def test_contaminated_bubbles_are_slower_than_clean_ones() -> None:
    d = np.array([2e-3, 3e-3])
    clean = bubble.surface_tension_region(d, RHO, bubble.SIGMA_WATER.value)
    assert np.all(bubble.rise_velocity(d, RHO, AIR, MU) < clean)
    assert np.all(bubble.rise_velocity(d, RHO, AIR, MU) > 0.5 * clean)


def test_a_millimetre_sized_bubble_rises_at_0_1_to_0_3_metres_a_second() -> None:
    d = np.linspace(1e-3, 10e-3, 50)
    U = bubble.rise_velocity(d, RHO, AIR, MU)
    assert np.all((U > 0.1) & (U < 0.3))


def test_large_bubbles_are_caps() -> None:
    assert bubble.rise_velocity(0.05, RHO, AIR, MU) == bubble.cap(0.05)


def test_the_pieces_join_without_a_jump() -> None:
    d = np.logspace(-5, -1, 4000)
    U = bubble.rise_velocity(d, RHO, AIR, MU)
    assert np.max(np.abs(np.diff(np.log(U)))) < 0.02


def test_the_two_branches_of_the_correlation_cross_where_the_source_changes_over() -> None:
    h = (3.42 / 0.94) ** (1 / (0.757 - 0.441))
    assert h == pytest.approx(59.3, rel=0.01)


@pytest.mark.parametrize("t", [0.5, 5, 15, 25, 39])
def test_viscosity_of_water_agrees_with_a_library(t: float) -> None:
    want = PropsSI("V", "T", t + 273.15, "P", 101325, "Water")
    assert bubble.water_viscosity(t + 273.15) == pytest.approx(want, rel=3e-3)


def test_bubble_at_the_head_is_about_30_mm_at_55_litres_a_minute_through_four_holes() -> None:
    V = bubble.volume(55e-3 / 60 / 4 / 1.1)
    assert bubble.diameter(V) == pytest.approx(0.030, abs=0.002)
    assert bubble.volume(2e-4) == pytest.approx(2**1.2 * bubble.volume(1e-4))


def test_clearing_takes_the_plume_over_the_rise_and_the_sticking() -> None:
    U = bubble.rise_velocity(np.array([1e-3, 2e-3]), RHO, AIR, MU)
    t = bubble.clearance_time(2.0, 0.5, U)
    assert t[0] > t[1] > 2.0
    assert 4 < t[1] < 6  # the constant of the catalogue, 5 s
