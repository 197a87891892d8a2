"""Figures as printed: rounded to the safe side, told apart from their limits, and true when typed back."""

from __future__ import annotations

import re

import numpy as np
import pytest

from purgecalc.design import Design, design_all
from purgecalc.errors import ScenarioError
from purgecalc.rules import Finding, judge, rule_settings
from purgecalc.scenario import ScenarioInputs
from purgecalc.scenario.read import again
from purgecalc.shown import SAFE_SIDE, compared, text_of
from purgecalc.units import UnitProblem, digits, parse, show
from purgecalc.working import Given, Origin, Step
from tests.campaign import few_or_many
from tests.commissioned import of_line
from tests.random_sites import random_site

TYPED = {
    "hold-off": ("reading.hold_off_needed", "line.schedule.hold_off"),
    "hold-lead": ("reading.lead_needed", "line.schedule.hold_lead"),
    "fouling-interval": ("interval.longest", "line.schedule.interval"),
    "bias-at-wipe": ("fouling.wipe_interval", "line.fouling.wipe_interval"),
    "hose-reaches-head": ("hose.way", "line.hose.length"),
    "start-dip": ("supply.longest_cable", "supply.length"),
}
"""Rules whose remedy names a figure, the figure, and the key it is typed into."""


def step(value: float, kind: str = "length", id: str = "x") -> Step:
    return Step(id, "x", kind, value, None, {})


@pytest.mark.parametrize(
    ("value", "toward", "text"),
    [
        (1.2341, 1, "1.24"),
        (1.2349, -1, "1.23"),
        (1.23, 1, "1.23"),
        (1.23, -1, "1.23"),
        (-1.2341, 1, "-1.23"),
        (9.991, 1, "10"),
        (9.999, -1, "9.99"),
        (99950.1, 1, "100000"),
        (0.0, 1, "0"),
    ],
)
def test_figures_are_rounded_to_the_side_asked_for(value: float, toward: int, text: str) -> None:
    assert digits(value, 3, toward) == text


@few_or_many(200, 20000)
def test_a_rounded_figure_is_never_on_the_wrong_side(count: int) -> None:
    rng = np.random.default_rng(3)
    for value in 10 ** rng.uniform(-6, 6, count) * rng.choice([-1, 1], count):
        for figures in (2, 3, 4):
            assert float(digits(value, figures, 1)) >= value * (1 - 1e-9 * np.sign(value))
            assert float(digits(value, figures, -1)) <= value * (1 + 1e-9 * np.sign(value))


@pytest.mark.parametrize(("value", "least", "texts"), [
    (0.6996, 0.7, ("0.6996", "0.7")), (0.69, 0.7, ("0.69", "0.7")), (0.7, 0.7, ("0.7", "0.7")), (0.70004, 0.7, ("0.70004", "0.7")),
    (1.0, 1.0004, ("1", "1.01")), (1.006, 1.0061, ("1.006", "1.007")),
])  # fmt: skip
def test_a_value_and_its_limit_are_told_apart(value: float, least: float, texts: tuple[str, str]) -> None:
    assert compared(step(value, "ratio"), step(least, "ratio"), None)[:2] == texts


def test_a_hold_off_needed_is_in_whole_seconds_unless_the_one_set_lies_between() -> None:
    needed = step(66.28, "time", "reading.hold_off_needed")
    assert text_of(needed) == "67 s"
    assert compared(step(66.0, "time"), needed, None)[1] == "67 s"
    assert compared(step(66.5, "time"), needed, None)[1] == "66.28 s"
    assert compared(step(66.28, "time"), needed, None)[1] == "67 s"


def test_what_somebody_wrote_stays_as_written() -> None:
    given = Given("schedule.blast", "blast", "time", 90.0, Origin("scenario", "x"), "1.5 min")
    assert text_of(given) == "1.5 min"


def test_an_array_of_designs_has_no_one_figure() -> None:
    assert text_of(Step("x", "x", "time", np.array([1.0, 2.0]), None, {})) == "(varied)"


def test_figures_of_the_safe_side_are_figures_of_the_sheet() -> None:
    """Each is met on a line of the tests, so that a renamed one is not rounded to the nearest unseen."""
    d = of_line().designs[0]
    met = {id for id in SAFE_SIDE if id in d}
    assert {"reading.hold_off_needed", "hose.longest", "interval.longest", "interval.shortest", "reading.lead_needed"} <= met


def judged(scenario: ScenarioInputs) -> tuple[list[Design], list[Finding]]:
    designs = design_all(scenario.lines)
    return designs, judge(designs, rule_settings(scenario), {})


@few_or_many(8, 80)
def test_no_figure_is_printed_equal_to_a_limit_that_it_breaks(count: int) -> None:
    for seed in range(count):
        for f in judged(random_site(seed))[1]:
            if f.margin is None or f.margin.quantity.kind == "flag":
                continue
            value, limit = f.margin.texts()
            for bound in re.sub(r"at (least|most) ", "", limit).split(" to "):
                if f.state == "fails" and bound == value:
                    raise AssertionError(f"{seed} {f.rule.id}: {value}, {limit}")


@few_or_many(12, 120)
def test_a_figure_of_a_remedy_clears_its_finding_typed_in_as_printed(count: int) -> None:
    cleared = 0
    for seed in range(count):
        scenario = random_site(seed)
        designs, findings = judged(scenario)
        for f in findings:
            if f.state != "fails" or f.rule.id not in TYPED:
                continue
            id, key = TYPED[f.rule.id]
            d = f.design or next(d for d in designs if f.line in ("", d.inputs.line))  # the depth that decides
            text = text_of(d[id])
            try:
                once = again(scenario, [f"{key}={text}"])
            except ScenarioError:
                continue  # a figure that the scenario refuses, such as a lead longer than the interval
            after = [g for g in judged(once)[1] if (g.rule.id, g.line) == (f.rule.id, f.line)]
            assert all(g.state != "fails" for g in after), (seed, f.rule.id, text)
            cleared += 1
    assert cleared >= count // 6


def test_a_figure_typed_back_is_the_figure_printed() -> None:
    for kind in ("length", "time"):
        for value in (0.01234, 1.2345, 66.28, 12345.0):
            text = show(value, kind)
            try:
                assert parse(text, kind).value == pytest.approx(value, rel=0.006)
            except UnitProblem:
                pytest.fail(f"{text} is not read")
