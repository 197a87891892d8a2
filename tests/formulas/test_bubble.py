"""Bubbles: limits of each correlation, and a library's drag laws as a second opinion."""

from typing import Any

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI
from fluids.drag import v_terminal

from purgecalc.formulas import bubble

RHO, AIR, MU = 998.2, 1.2, 1.002e-3
SIGMA = bubble.SIGMA_WATER.value


def rise_velocity(d: Any) -> Any:
    """The whole chain for one size in water at 20 degC."""
    Eo, Mo = bubble.eotvos(d, RHO, AIR, SIGMA), bubble.morton(RHO, AIR, MU, SIGMA)
    return bubble.rise(bubble.rigid_sphere(d, RHO, AIR, MU), bubble.contaminated(d, RHO, MU, Eo, Mo), bubble.cap(d))


def test_small_bubbles_follow_stokes() -> None:
    d = np.array([1e-6, 5e-6, 20e-6])
    assert rise_velocity(d) == pytest.approx(bubble.stokes(d, RHO, AIR, MU), rel=0.02)


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
    clean = 1.35 * np.sqrt(SIGMA / (RHO * d / 2))  # Holland and Bragg, table 7.1, region 3: surface tension governs
    assert np.all(rise_velocity(d) < clean)
    assert np.all(rise_velocity(d) > 0.5 * clean)


def test_a_millimetre_sized_bubble_rises_at_0_1_to_0_3_metres_a_second() -> None:
    d = np.linspace(1e-3, 10e-3, 50)
    U = rise_velocity(d)
    assert np.all((U > 0.1) & (U < 0.3))


def test_large_bubbles_are_caps() -> None:
    assert rise_velocity(0.05) == bubble.cap(0.05)


def test_the_pieces_join_without_a_jump() -> None:
    d = np.logspace(-5, -1, 4000)
    U = rise_velocity(d)
    assert np.max(np.abs(np.diff(np.log(U)))) < 0.02


def test_the_two_branches_of_the_correlation_cross_where_the_source_changes_over() -> None:
    h = (3.42 / 0.94) ** (1 / (0.757 - 0.441))
    assert h == pytest.approx(59.3, rel=0.01)


@pytest.mark.parametrize("t", [0.5, 5, 15, 25, 39])
def test_viscosity_of_water_agrees_with_a_library(t: float) -> None:
    want = PropsSI("V", "T", t + 273.15, "P", 101325, "Water")
    assert bubble.water_viscosity(t + 273.15) == pytest.approx(want, rel=3e-3)


def test_clearing_takes_the_plume_over_the_rise_and_the_sticking() -> None:
    U = rise_velocity(np.array([1e-3, 2e-3]))
    t = bubble.clearance_time(2.0, 0.5, U)
    assert t[0] > t[1] > 2.0
    assert 4 < t[1] < 6  # the constant of the catalogue, 5 s
