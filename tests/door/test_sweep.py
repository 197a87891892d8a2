"""A sweep from Python is the sweep of the command line, however its values are written."""

import numpy as np
import pytest

from purgecalc import ScenarioError, UsageError
from tests.command import run
from tests.door.site import site, two_lines
from tests.lines import SCENARIOS

LENGTH, OF = "line.hose.length", ["hose.pressure_drop"]


def test_it_shows_and_holds_what_the_command_line_does() -> None:
    grid = site("fernwhistle").sweep({LENGTH: "3,6,60 m", "line.hose.bore": "4,8 mm"}, of=OF)
    words = ("--vary", f"{LENGTH}=3,6,60 m", "--vary", "line.hose.bore=4,8 mm", "--of", "hose.pressure_drop")
    assert str(grid) == run("sweep", str(SCENARIOS / "fernwhistle.toml"), *words).stdout.rstrip()
    assert grid.verdict.shape == grid.worst_rule.shape == grid.values["hose.pressure_drop"].shape == (3, 2)
    assert {head: axis.tolist() for head, axis in grid.axes.items()} == {
        "line.hose.length [m]": [3, 6, 60],
        "line.hose.bore [mm]": [4, 8],
    }
    assert grid.verdict[1, 1] == site("fernwhistle").verdict
    assert grid.values["hose.pressure_drop"][1, 1] == pytest.approx(site("fernwhistle")["hose.pressure_drop"].value, rel=1e-9)
    table = grid.to_dict()
    assert table["line.hose.length [m]"] == [3, 3, 6, 6, 60, 60]
    assert table["verdict"] == grid.verdict.ravel().tolist()


@pytest.mark.parametrize(
    "vary",
    [
        {LENGTH: "3:9:3 m"},
        {LENGTH: ["3 m", "6 m", "9 m"]},
        {f"{LENGTH} [m]": [3, 6, 9]},
        {f"{LENGTH} [m]": np.linspace(3, 9, 3)},
        {f"{LENGTH} [cm]": (900, 300, 600)},
    ],
)
def test_values_may_be_written_in_several_ways(vary) -> None:
    grid = site("fernwhistle").sweep(vary, of=OF, blast="estimate")
    assert grid.values["hose.pressure_drop"] == pytest.approx(
        site("fernwhistle").sweep({LENGTH: "3,6,9 m"}, of=OF, blast="estimate").values["hose.pressure_drop"], rel=1e-12
    )


@pytest.mark.parametrize(
    ("vary", "words"),
    [
        ({}, "nothing is varied"),
        ({LENGTH: [3, 6]}, r"numbers need a unit; write \"line.hose.length \[m\]\""),
        ({LENGTH: ["3 m", "6 ft"]}, "in one unit"),
        ({f"{LENGTH} [m]": ["3 m"]}, "plain numbers"),
        ({LENGTH: "3"}, "needs a unit"),
        ({"line.hose.colour": "1,2 m"}, "colour"),
        ({f"line.{key}": "1,2 m" for key in ("hose.length", "head.depth", "head.stand_off", "hose.bore")}, "at most three"),
    ],
)
def test_what_cannot_be_varied_is_told(vary, words: str) -> None:
    with pytest.raises(UsageError, match=words):
        site("fernwhistle").sweep(vary)


def test_a_design_no_scenario_would_take_is_refused() -> None:
    with pytest.raises(ScenarioError, match=LENGTH.replace(".", r"\.")):
        site("fernwhistle").sweep({LENGTH: "-3,3 m"})
    with pytest.raises(UsageError, match="there is integrated and estimate"):
        site("fernwhistle").sweep({LENGTH: "3,6 m"}, blast="guess")  # type: ignore[arg-type]


def test_the_line_whose_quantities_are_told_is_named() -> None:
    r = two_lines()
    other = r.sweep({LENGTH: "9,18 m"}, of=OF, line="lane 3 oxygen")
    assert list(other.axes) == ["line.2.hose.length [m]"]
    assert other.values["hose.pressure_drop"][1] == pytest.approx(r.lines["lane 3 oxygen"]["hose.pressure_drop"].value, rel=1e-9)
