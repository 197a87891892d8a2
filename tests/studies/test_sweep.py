"""A cell of a sweep is a check of the same settings; the axes are read as written."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from purgecalc.errors import ScenarioError, UsageError
from purgecalc.studies.many import IMPOSSIBLE
from purgecalc.studies.sweep import axis, sweep, with_present
from tests.campaign import few_or_many
from tests.lines import RECEIVER, read
from tests.studies.test_batch import checked

LENGTHS, BORES = "line.hose.length=3:60:5[m]", "line.hose.bore=4,6,8[mm]"


def test_cells_are_checks_of_the_same_settings() -> None:
    base = read()
    axes = [axis(LENGTHS), axis(BORES)]
    found = sweep(base, axes, ["head.jet_thrust_ratio", "blast.delivery_time"])
    assert found.verdict.shape == (5, 3)
    for i, length in enumerate(axes[0].values):
        for j, bore in enumerate(axes[1].values):
            own = f"line.hose.length={length} m", f"line.hose.bore={bore} mm"
            d, word, rule = checked(base, *own, unsteady=True)
            assert (found.verdict[i, j], found.worst_rule[i, j]) == (word, rule)
            assert found.values["head.jet_thrust_ratio"][i, j] == pytest.approx(d.number("head.jet_thrust_ratio"), rel=1e-9)
            assert found.values["blast.delivery_time"][i, j] == pytest.approx(d.number("blast.delivery_time"), rel=1e-2)


@few_or_many(5, 80)
def test_steady_cells_too_wherever_they_lie(count: int) -> None:
    @settings(max_examples=count, deadline=None, derandomize=True)
    @given(st.floats(0.3, 40), st.floats(20, 100), st.integers(2, 5))
    def holds(depth: float, flow: float, n: int) -> None:
        axes = [axis(f"line.head.depth={depth:.6g}:{2 * depth:.6g}:{n}[m]"), axis(f"source.flow={flow:.6g}[L/min]")]
        found = sweep(read(), axes, integrate=False)
        for i, v in enumerate(axes[0].values):
            if found.verdict[i, 0] != IMPOSSIBLE:
                own = f"line.head.depth={float(v)!r} m", f"source.flow={float(axes[1].values[0])!r} L/min"
                assert found.verdict[i, 0] == checked(read(), *own)[1]

    holds()


@pytest.mark.parametrize(
    ("text", "values"),
    [
        ("line.hose.length=3:60:4[m]", [3, 22, 41, 60]),
        ("line.hose.length=3:60:4 m", [3, 22, 41, 60]),
        ("line.hose.bore = 10, 4,6 [mm]", [4, 6, 10]),
        ("line.head.holes=1:4:4", [1, 2, 3, 4]),
        ("site.air_temperature=-5,1e1[degC]", [-5, 10]),
        ("source.dead_head=2,3[bar(g)]", [2, 3]),
    ],
)
def test_values_are_read_as_written(text: str, values: list[float]) -> None:
    assert axis(text).values.tolist() == values


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("line.hose.length", "write KEY=FROM:TO:COUNT"),
        ("line.hose.length=3:60[m]", "write KEY=FROM:TO:COUNT"),
        ("line.hose.length=3:60:1[m]", "write KEY=FROM:TO:COUNT"),
        ("line.hose.length=3,,4[m]", "write KEY=FROM:TO:COUNT"),
        ("line.hose.length=3,4", "needs a unit"),
        ("line.hose.lenght=3,4[m]", "did you mean line.hose.length"),
        ("source.dead_head=2,3[bar]", "gauge or absolute"),
        ("line.probe.kind=1,2", "is no figure"),
    ],
)
def test_what_cannot_be_varied_says_why(text: str, words: str) -> None:
    with pytest.raises(UsageError, match=words):
        axis(text)


def test_a_grid_that_breaks_a_relation_is_refused() -> None:
    with pytest.raises(ScenarioError, match='cut_in "7 bar\\(g\\)" must be below cut_out "6 bar\\(g\\)"'):
        sweep(read(*RECEIVER), [axis("source.cut_in=4,7[bar(g)]")], integrate=False)
    with pytest.raises(ScenarioError, match="out of range"):
        sweep(read(), [axis("line.hose.length=-1,7[m]")], integrate=False)


def test_the_same_figure_twice_is_refused() -> None:
    with pytest.raises(UsageError, match="twice"):
        sweep(read(), [axis("line.hose.length=3,4[m]"), axis("line.hose.length=3,4[m]")])


def test_the_scenario_as_it_stands_is_known_in_the_units_of_the_axis() -> None:
    axes = with_present([axis("line.hose.bore=4,6[mm]"), axis("line.valve.conductance=1,2[dm3/(s bar)]")], read())
    assert axes[0].present == pytest.approx(8)
    assert axes[1].present is None
    assert with_present([axis("source.dead_head=3,4[bar(a)]")], read())[0].present is None
