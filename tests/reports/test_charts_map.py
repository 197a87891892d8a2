"""Maps and curves of verdicts: regions lie where the designs are, and are told apart without colour."""

import numpy as np
import pytest

from purgecalc.reports.charts import image
from purgecalc.reports.charts_map import REGIONS, Contours, Curve, curve_figure, edges, verdict_figure

X, Y = np.array([1.0, 2.0, 4.0]), np.array([4.0, 8.0])
VERDICT = np.array([["PASS", "FIX", "IMPOSSIBLE"], ["PASS", "WATCH", "STOP"]])


def drawn(**more: object) -> object:
    return verdict_figure(X, Y, VERDICT, "length, m", "bore, mm", **more)  # type: ignore[arg-type]


def test_cells_end_half_way_between_the_designs() -> None:
    assert edges(X).tolist() == [0.5, 1.5, 3.0, 5.0]
    assert edges(np.array([3.0])).tolist() == [1.5, 4.5]


def test_every_design_lies_in_the_region_of_its_verdict() -> None:
    axes = drawn().axes[0]  # type: ignore[attr-defined]
    for i, y in enumerate(Y):
        for j, x in enumerate(X):
            around = [c for c in axes.collections if any(p.contains_point((x, y)) for p in c.get_paths())]
            assert [c.get_hatch() or "" for c in around] == [REGIONS[VERDICT[i, j]][1]]


def test_regions_are_told_apart_without_colour_and_named_in_the_legend() -> None:
    hatches = [hatch for _, hatch, _ in REGIONS.values()]
    assert len(set(hatches)) == len(hatches)
    (legend,) = drawn(present=(2.0, 8.0)).legends  # type: ignore[attr-defined]
    assert [t.get_text().split(":")[0] for t in legend.get_texts()] == [*REGIONS, "this design"]


def test_a_design_beyond_the_map_is_not_marked() -> None:
    (legend,) = drawn(present=(9.0, 8.0)).legends  # type: ignore[attr-defined]
    assert "this design" not in [t.get_text() for t in legend.get_texts()]


@pytest.mark.parametrize("values", [np.full((2, 3), np.nan), np.ones((2, 3)), np.arange(6.0).reshape(2, 3)])
def test_contours_of_whatever_there_is_can_be_drawn(values: np.ndarray) -> None:
    assert image(drawn(contours=Contours(values, "jet")), "png", "map").startswith(b"\x89PNG")


def test_curves_stand_over_bands_of_verdicts() -> None:
    figure = curve_figure(X, [Curve(X**2, "jet"), Curve(-X, "loss")], VERDICT[1], "length, m", "title", 2.0)
    assert len(figure.axes) == 2
    assert len(figure.axes[0].patches) == 3
    assert figure.axes[0].lines[0].get_ydata().tolist() == [1, 4, 16]
