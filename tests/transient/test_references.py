"""Whole blasts against converged values of two independent schemes, and coarse grids against fine ones."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from purgecalc.transient import Head, Hose, Outcome, Source, Valve, blended, simulate
from tests.campaign import few_or_many

from .cases import CASES, WAVES, random_blast, receivers
from .riemann import delivery


@pytest.mark.parametrize("name", CASES)
def test_reference_case(name: str) -> None:
    blast, expected = CASES[name]
    got = simulate(blast)
    assert got.delivery_time == pytest.approx(expected.delivery_time, rel=1e-2 if name == "slug" else 3e-3)
    assert got.max_flow == pytest.approx(expected.max_flow, rel=1e-3)
    assert got.air_through_valve == pytest.approx(expected.air, rel=3e-4)
    assert got.source_pressure_end == pytest.approx(expected.source_end, rel=1e-3)
    assert got.mass_error <= 1e-10


@pytest.mark.parametrize(("branches", "tolerance"), [(16, 3e-4), (32, 3e-4), (48, 3e-4)])
def test_waves_in_a_short_wide_line(branches: int, tolerance: float) -> None:
    """A valve that opens faster than sound crosses the hose: the explicit scheme of ``riemann.py`` on 100 and 200 cells gives the
    same to 2e-5. Finer grids come no further away, and end."""
    got = simulate(WAVES, branches=branches, tolerance=tolerance)
    assert not got.repeated
    assert got.delivery_time == pytest.approx(0.0450873, rel=1.5e-3)
    assert got.max_flow == pytest.approx(0.02420928, rel=2e-4)


def test_waves_in_a_smooth_line() -> None:
    """A discharge coefficient of 0.7, no check valve, no roughness: 0.02601 kg/s, and 0.04486 s by a grid of 200 cells."""
    head = Head(hole_area=0.7 * 10 * np.pi * 1.5e-3**2 / 4)
    got = simulate(replace(WAVES, head=head, hose=replace(WAVES.elements[0], roughness=1e-12)))
    assert got.delivery_time == pytest.approx(0.04486, rel=5e-3)
    assert got.max_flow == pytest.approx(0.02601, rel=5e-4)


def test_a_delivery_that_hangs_on_single_waves_is_called_ill_conditioned() -> None:
    """Nine tenths on the shoulder of the second wave: finer grids move it by 4 and 6 %."""
    blast = replace(
        CASES["receiver, short hose"][0],
        source=Source(volume=7.45e-3, pressure=7.702e5),
        valve=Valve(conductance=6.6286e-9, opening=0.01),
        hose=Hose(bore=0.01130447, length=4.2224, fittings=3.8505),
        head=Head(hole_area=0.34747 * np.pi * 0.01130447**2 / 4, crack=5e3),
        duration=5.0,
    )
    assert simulate(blast).ill_conditioned
    assert not simulate(CASES["thin hose"][0]).ill_conditioned


@pytest.mark.campaign
def test_random_receivers_against_an_explicit_scheme() -> None:
    """No code in common: only the equations. What is left between them is the grid of 60 cells as much as ours of 16."""
    blast = replace(receivers(40, seed=2), friction=blended, viscosity=1.813e-5)
    got = simulate(blast)
    reference, most = delivery(blast, 2.5 * got.delivery_time, 60)
    error = np.abs(got.delivery_time / reference - 1)
    assert np.median(error) < 1.5e-3
    assert np.percentile(error, 95) < 8e-3
    np.testing.assert_allclose(most, got.max_flow, rtol=5e-3)


@few_or_many(40, 2000)
def test_random_receivers_against_a_fine_grid(count: int) -> None:
    """Vessels of 2 to 50 L on short and wide hoses, where waves show most: none fails, on either grid."""
    blast = receivers(count, seed=7)
    coarse, fine = simulate(blast), simulate(blast, branches=32, tolerance=1e-4)
    assert np.all(coarse.outcome != Outcome.NOT_CONVERGED)
    assert not np.any(coarse.repeated | fine.repeated)
    error = np.abs(coarse.delivery_time / fine.delivery_time - 1)
    assert np.percentile(error, 95) < 3e-3
    assert error.max() < 1e-2


def test_longer_water_column() -> None:
    """6 m of water in 10 m of hose against an own moving-grid Riemann scheme: its 50 and 100 cells differ by 2e-5."""
    blast, _ = CASES["slug"]
    hose = replace(blast.hose, length=10.0)  # type: ignore[type-var]
    got = simulate(replace(blast, hose=hose, head=replace(blast.head, wetted_length=6.0)))
    assert got.max_flow == pytest.approx(5.865508e-3, rel=5e-4)
    assert got.slug_time == pytest.approx(1.466728, rel=2e-3)


@few_or_many(60, 400)
def test_random_designs_coarse_against_fine(count: int) -> None:
    blast = random_blast(count, seed=1)
    coarse, fine = simulate(blast, branches=6, tolerance=1e-3), simulate(blast, branches=24, tolerance=2e-4)
    assert np.all(coarse.outcome != Outcome.NOT_CONVERGED)
    assert coarse.repeated.sum() <= 0.01 * count
    error = np.abs(coarse.delivery_time / fine.delivery_time - 1)
    both = ~np.isnan(error)
    assert both.sum() >= 0.95 * count
    assert np.median(error[both]) <= 3e-3
    assert np.percentile(error[both], 95) <= 1e-2
    air = np.abs(coarse.air_through_valve / fine.air_through_valve - 1)
    assert np.nanpercentile(air, 95) <= 3e-3
    assert coarse.mass_error.max() <= 1e-10


def test_no_design_is_caught_in_a_cycle_of_short_steps() -> None:
    """Weak compressors on wide heads settle where the laws have their steepest slopes; a few hundred steps must do."""
    got = simulate(random_blast(2000, seed=4), branches=4, tolerance=1e-3)
    assert got.repeated.sum() == 0
    assert got.steps.max() < 250
