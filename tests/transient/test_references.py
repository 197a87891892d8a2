"""Whole blasts against converged values of two independent schemes, and coarse grids against fine ones."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from purgecalc.transient import Outcome, simulate
from tests.campaign import few_or_many

from .cases import CASES, random_blast


@pytest.mark.parametrize("name", CASES)
def test_reference_case(name: str) -> None:
    blast, expected = CASES[name]
    got = simulate(blast)
    assert got.delivery_time == pytest.approx(expected.delivery_time, rel=1e-2 if name == "slug" else 3e-3)
    assert got.max_flow == pytest.approx(expected.max_flow, rel=1e-3)
    assert got.air_through_valve == pytest.approx(expected.air, rel=3e-4)
    assert got.source_pressure_end == pytest.approx(expected.source_end, rel=1e-3)
    assert got.mass_error <= 1e-10


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
