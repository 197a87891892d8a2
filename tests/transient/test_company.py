"""A design is the same alone and in company, and its figures run smoothly from one design to the next."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import fields

import numpy as np
import pytest

from purgecalc.transient import Result, simulate
from tests.benchmarks.transient import pick
from tests.campaign import few_or_many

from .cases import mixed_blast, waiting_vessels


@pytest.mark.parametrize(
    "looked_at", [(101, 141, 162), pytest.param(range(0, 700, 2), marks=pytest.mark.campaign)], ids=["few", "many"]
)
def test_a_blast_in_company_equals_the_same_blast_alone(looked_at: Sequence[int]) -> None:
    """Round-off differs between one design and many. It stays round-off, whatever the design and whoever is beside it."""
    many = mixed_blast(700, seed=11)
    together = simulate(many, branches=6, tolerance=1e-3)
    for i in looked_at:
        alone = simulate(pick(many, i), branches=6, tolerance=1e-3)
        for f in fields(Result):
            if f.name not in ("trace", "mass_error"):
                one, among = getattr(alone, f.name), getattr(together, f.name)[i]
                np.testing.assert_allclose(one, among, rtol=1e-6, atol=1e-12, err_msg=f"{f.name} of design {i}")


def _roughness(figures: np.ndarray, places: np.ndarray) -> np.ndarray:
    """Largest distance of each row from a parabola through it, as a share of its first figure."""
    rows = (figures / figures[:, :1]).T
    fit = np.polynomial.polynomial.polyfit(places, rows, 2)
    distance: np.ndarray = np.abs(np.polynomial.polynomial.polyval(places, fit).T - rows).max(axis=0)
    return distance


def _rough_vessels(count: int, neighbours: int) -> np.ndarray:
    lengths = 1 + 2e-3 * np.linspace(-1, 1, neighbours)
    got = simulate(waiting_vessels(count, lengths, seed=3))
    assert np.all(got.restart_time < 30)
    return _roughness(got.source_pressure_end, lengths - 1)


@few_or_many(8, 40)
def test_a_motor_that_runs_up_in_the_blast_never_overshoots_its_flow(count: int) -> None:
    """A hair more or less of hose moves the end pressure by a hair: the ramp ends where the motor has run up."""
    assert _rough_vessels(count, neighbours=9).max() < 5e-5


def test_end_pressure_runs_smoothly_over_two_hundred_neighbouring_lengths() -> None:
    assert _rough_vessels(1, neighbours=200).max() < 5e-5
