"""The holes of the head: a coefficient that is stated, that follows from the wall, or that nobody has spoken of."""

from functools import lru_cache

import numpy as np
import pytest
from scipy.optimize import brentq

from purgecalc.design import Design, design_all
from purgecalc.formulas import head as hd
from purgecalc.formulas.operating_point import Airway, Supply, march, solve
from purgecalc.scenario import ScenarioInputs, loads
from purgecalc.studies.batch import run
from purgecalc.studies.expected import expected
from purgecalc.studies.spread import spread
from purgecalc.transient.laws import SCALARS, head_flow
from tests.design.test_named_inputs import unnamed_numbers
from tests.lines import BASE, RECEIVER

STATED = "discharge_coefficient = 0.8, "
CASES = ("", 'wall = "3 mm", ', 'wall = "1.1 mm", ', 'wall = "0.3 mm", ')


def scenario(holes: str, *settings: str) -> ScenarioInputs:
    """The reference line with these words about its holes in place of its stated coefficient."""
    assert BASE.count(STATED) == 1
    return loads(BASE.replace(STATED, holes), "site.toml", list(settings))


@lru_cache(maxsize=32)
def design(holes: str, *settings: str) -> Design:
    return design_all(scenario(holes, *settings).lines)[0]


def test_a_stated_coefficient_beats_the_wall() -> None:
    both = design('wall = "0.3 mm", discharge_coefficient = 0.8, ')
    assert both.number("head.pressure") == design(STATED).number("head.pressure")
    assert "head.thinness" not in both


def test_who_says_nothing_gets_the_middle_and_is_told_so() -> None:
    d = design("")
    assert d.number("head.discharge_coefficient") == 0.72
    band = spread((d.inputs,), [d])[0].sample
    C_d = np.asarray(band.value("head.discharge_coefficient"))
    assert C_d.min() == pytest.approx(0.60, abs=2e-3)
    assert C_d.max() == pytest.approx(0.84, abs=2e-3)
    told = design("", "uncertainty.discharge=2 %")
    narrow = np.asarray(spread((told.inputs,), [told])[0].sample.value("head.discharge_coefficient"))
    assert np.abs(narrow / 0.72 - 1).max() < 0.02


@pytest.mark.parametrize(("wall", "C_d"), [("3 mm", 0.82), ("1.5 mm", 0.82), ("0.75 mm", 0.614), ("0.1 mm", 0.614)])
def test_the_coefficient_follows_from_wall_and_pressure(wall: str, C_d: float) -> None:
    d = design(f'wall = "{wall}", ', "line.head.depth=1.0 m")
    assert d.number("head.discharge_coefficient") == pytest.approx(C_d, rel=0.03)
    assert 0.8 < d.number("head.pressure_ratio") < 0.95


def test_between_thin_and_thick_the_coefficient_lies_on_a_straight_line() -> None:
    ends = [float(hd.coefficient_of_wall(hd.thinness(t, 1e-3), 0.7)) for t in (0.5e-3, 0.75e-3, 1e-3)]
    assert ends[1] == pytest.approx((ends[0] + ends[2]) / 2)
    r = np.linspace(0, 1, 1001)
    assert np.all(np.diff(hd.thin_coefficient(r)) < 0), "flow rises with pressure"
    assert np.gradient(hd.thin_coefficient(r), r)[1:-1] == pytest.approx(hd.thin_slope(r)[1:-1], abs=1e-4)


@pytest.mark.parametrize("holes", CASES)
@pytest.mark.parametrize("source", [(), RECEIVER], ids=["direct", "receiver"])
def test_steady_line_and_followed_blast_have_one_law(holes: str, source: tuple[str, ...]) -> None:
    d = design(holes, *source)
    m = hd.mass_flow(
        d.value("head.discharge_coefficient"),
        d.value("head.hole_area"),
        d.value("head.pressure"),
        d.value("water.back_pressure"),
        d.value("site.air_temperature"),
    )
    assert d.number("line.mass_flow") == pytest.approx(float(m), rel=1e-12)
    assert abs(d.number("source.flow_mismatch") if "source.flow_mismatch" in d else 0.0) < 1e-6
    if not source:  # steady within the blast
        assert d.number("head.plateau_pressure") == pytest.approx(d.number("head.pressure"), rel=1e-3)


@pytest.mark.parametrize("holes", CASES[2:])
def test_a_jet_at_its_floor_has_the_pressure_and_the_coefficient_that_belong_together(holes: str) -> None:
    d = design(holes)
    p_b, C_d = d.number("water.back_pressure"), d.number("limit.jet.discharge_coefficient")
    p_h = d.number("limit.head_pressure_for_thrust")
    assert C_d == pytest.approx(float(hd.coefficient_of_wall(d.value("head.thinness"), p_b / p_h)), rel=1e-12)


@pytest.mark.parametrize("thin", [0.3, 1.0])
def test_the_crossing_closes_at_any_pressure_and_is_the_march(thin: float) -> None:
    area, p_b = 7e-6, 1.1e5
    rest = {"p_back": p_b, "crack": 3e3, "T": 290.0, "mu": 1.8e-5, "D": 8e-3, "L": 7.6, "eps": 5e-6, "K": 4.0}
    way = Airway(**rest, hole_area=0.82 * (1 - thin) * area, thin_area=thin * area, valve_slope=0.0, valve_b=0.3)
    p = np.concatenate([np.geomspace(1.1301e5, 1.3e5, 200), np.linspace(1.31e5, 9e5, 400)])
    point = solve(way, Supply(pressure=p))
    assert np.abs(point.mismatch).max() < 1e-9
    assert point.iterations <= 11, "no bisection"
    assert np.all(np.diff(point.mass_flow) > 0)
    for i in (0, 150, 300, 599):
        v = brentq(lambda v, i=i: float(march(np.asarray(v), way)[4]) - p[i], 1e-6, 3.0, xtol=1e-14)
        assert point.head[i] == pytest.approx(float(march(np.asarray(v), way)[0]), rel=1e-8)


def test_slopes_of_the_unsteady_law_are_those_of_its_flow_and_plain_numbers_agree() -> None:
    p = np.concatenate([np.linspace(1.00001e5, 1.02e5, 50), np.linspace(1.05e5, 6e5, 50)])
    m, by_p = head_flow(1e-9, p + 5e3, 5e3, 1e5, 1.0, thin=2e-9)
    assert by_p is not None
    assert np.all(np.diff(m) > 0)
    near = (
        head_flow(1e-9, p + 5e3 + 0.01, 5e3, 1e5, 1.0, thin=2e-9)[0]
        - head_flow(1e-9, p + 5e3 - 0.01, 5e3, 1e5, 1.0, thin=2e-9)[0]
    )
    away = np.abs(1e5 / p - 0.999) > 1e-5
    assert near[away] / 0.02 == pytest.approx(by_p[away], rel=1e-3)
    for i in (0, 40, 60, 99):
        plain = head_flow(1e-9, float(p[i]) + 5e3, 5e3, 1e5, 1.0, SCALARS, 2e-9, slopes=True)
        assert plain == pytest.approx((m[i], by_p[i]), rel=1e-12)


def test_on_a_source_of_fixed_flow_the_gauge_reads_with_the_square_of_the_coefficient() -> None:
    fixed = ("source.flow=20 L/min",)
    thick, thin = (design(f'wall = "{w}", ', *fixed) for w in ("3 mm", "0.3 mm"))
    over = [d.number("head.overpressure") for d in (thick, thin)]
    flow = [d.number("line.mass_flow") for d in (thick, thin)]
    C_d = [d.number("head.discharge_coefficient") for d in (thick, thin)]
    assert over[1] / over[0] == pytest.approx((flow[1] / flow[0] * C_d[0] / C_d[1]) ** 2, rel=0.02)
    d = design("")
    line = next(e for e in expected(spread((d.inputs,), [d])[0]) if e.test.id == "head.gauge_pressure")
    assert "1/C_d squared" in line.test.how
    assert "thinner wall" in line.test.fails_means


def test_walls_go_through_tables_and_sizes_as_any_other_number() -> None:
    walls = [0.3, 1.1, 3.0]
    found = run({"line.head.wall [mm]": np.array(walls)}, scenario(""), ["head.overpressure", "head.discharge_coefficient"])
    alone = [design(f'wall = "{w} mm", ') for w in walls]
    for id in ("head.overpressure", "head.discharge_coefficient"):
        (head,) = [h for h in found if h.startswith(id)]
        assert found[head] == pytest.approx([d.number(id) for d in alone], rel=1e-6)


@pytest.mark.parametrize("source", [(), RECEIVER], ids=["direct", "receiver"])
def test_figures_of_a_head_in_a_thin_wall_name_what_moves_them(source: tuple[str, ...]) -> None:
    assert list(unnamed_numbers(design('wall = "1.1 mm", ', *source).inputs)) == []
