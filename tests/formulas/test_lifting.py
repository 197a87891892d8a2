"""Lifting: a probe on a pole worked by hand."""

import math

import pytest

from purgecalc.formulas import hose, lifting


def test_probe_on_a_pole_worked_by_hand() -> None:
    # 3 m steel tube 33.7 x 2.6 mm is 2.0 kg/m; 8 m of 12 x 8 mm hose; both full of water
    wall = hose.bore_area(33.7e-3) - hose.bore_area(28.5e-3)
    pole = lifting.mass_of_length(7850.0, wall, 3.0)
    assert pole / 3 == pytest.approx(1.99, abs=0.01)
    tube = lifting.mass_of_length(1200.0, hose.bore_area(12e-3) - hose.bore_area(8e-3), 8.0)
    assert tube == pytest.approx(1200 * math.pi / 4 * (144 - 64) * 1e-6 * 8)
    in_hose = lifting.mass_of_length(1000.0, hose.bore_area(8e-3), 8.0)
    assert in_hose == pytest.approx(0.402, abs=1e-3)  # 402 mL
    in_pole = lifting.mass_of_length(1000.0, hose.bore_area(28.5e-3), 3.0)
    total = lifting.total_mass(1.5, pole, tube, in_hose, in_pole, 2.0)
    assert total == pytest.approx(1.5 + 5.97 + 0.603 + 0.402 + 1.914 + 2.0, abs=0.02)
    F = lifting.weight(total)
    assert pytest.approx(total * 9.80665) == F
    assert lifting.reach_moment(F, 0.6) == pytest.approx(F * 0.6)
    assert total > lifting.filter_load("elbow height", at_arms_length=True)


def test_total_counts_every_part_once() -> None:
    assert lifting.total_mass(1, 10, 100, 1000, 10000, 100000) == 111111


def test_filters_fall_with_reach_and_take_the_lower_figure() -> None:
    for line in lifting.LIFT_FILTERS:
        near, far = (lifting.filter_load(line.height, at_arms_length=reach) for reach in (False, True))
        assert far < near
        assert near == min(line.men[0], line.women[0])
    with pytest.raises(KeyError, match="no such height"):
        lifting.filter_load("waist", at_arms_length=True)
