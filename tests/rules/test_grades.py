"""Rules judge an array of designs as they judge each of them."""

from collections.abc import Iterable

import numpy as np
import pytest

from purgecalc.design import design_all
from purgecalc.inputs import Inputs
from purgecalc.rules import STATES, grades, judge
from tests.lines import RECEIVER, designs, read
from tests.rules.test_rules import CASES, COLD_TANK, WIRED

PLASTIC = ("line.hose.material=polyamide", "line.hose.rated_pressure=3.2 bar(g)")
LEVEL = {state: grade for grade, state in STATES.items()}


def stacked(lines: Iterable[Inputs]) -> Inputs | None:
    """Designs that differ in figures only, as one; None where they differ in more."""
    first, *others = lines
    if any(o.choices != first.choices or set(o.values) != set(first.values) or o.curve != first.curve for o in others):
        return None
    values = {id: np.array([first[id].value, *(o[id].value for o in others)]) for id in first.values}
    return first.changed({id: v for id, v in values.items() if np.ptp(v)})


def as_array(*variants: tuple[str, ...]) -> int:
    """Compare the grades of the variants together with those of each; how many grades were compared."""
    lines = [read(*v).lines[0] for v in variants]
    together = stacked(lines)
    if together is None:
        return 0
    many = grades(design_all([together]))
    compared = 0
    for i, (variant, line) in enumerate(zip(variants, lines, strict=True)):
        known = designs(*variant)
        for finding in judge(known if len(known) == 1 else design_all([line])):
            level = LEVEL.get(finding.state, int(finding.level))
            found = np.broadcast_to(many[finding.rule.id, finding.line], len(lines))[i]
            assert found == level, (finding.rule.id, variant)
            compared += 1
    return compared


@pytest.mark.parametrize("rule", list(CASES))
def test_a_rule_judges_many_designs_as_it_judges_one(rule: str) -> None:
    case = CASES[rule]
    cured = case.cured_by if case.cured_by is not None else (*case.fails, *case.cure)
    as_array(case.fails, cured)


@pytest.mark.parametrize(
    ("first", "second", "rule"),
    [
        (("source.dead_head=1.9 bar(g)", "drop:rated"), ("source.dead_head=2.6 bar(g)", "drop:rated"), "hose-rating"),
        (("site.air_temperature=4 degC",), ("site.air_temperature=-4 degC",), "dew-point"),
        (COLD_TANK, (*COLD_TANK, "site.air_temperature=25 degC"), "blast-frost"),
        (("source.flow=60 L/min",), ("source.flow=150 L/min",), "face-pressure"),
        (("drop:duty",), ("drop:duty", "source.flow=50 L/min"), "duty"),
        ((*PLASTIC, "site.air_temperature=18 degC"), (*PLASTIC, "site.air_temperature=38 degC"), "hose-warm"),
    ],
)
def test_silence_is_graded_in_arrays_as_alone(first: tuple[str, ...], second: tuple[str, ...], rule: str) -> None:
    assert as_array(first, second) > 80
    levels = [f.level if f.state == "fails" else 0 for v in (first, second) for f in judge(designs(*v)) if f.rule.id == rule]
    assert rule == "duty" or levels[0] != levels[1]


def test_what_a_broken_rule_voids_is_void_in_arrays_and_stands_elsewhere() -> None:
    inverted = (*WIRED, "line.contact.terminal=NC", "line.schedule.hold_off=20 s")
    short = ("line.hose.length=1 m", "line.head.depth=1.5 m")
    assert as_array(inverted, (*inverted, "line.schedule.hold_off=90 s")) > 80
    assert as_array(short, (*short, "line.hose.length=6 m")) > 80
    found = grades(design_all([read(*short).lines[0].changed({"hose.length": np.array([1.0, 6.0])})]))
    assert found["jet-strength", "lane 2 oxygen"].tolist() == [-3, 0]


def test_most_rules_were_seen_in_arrays() -> None:
    numeric = [
        id for id, c in CASES.items() if stacked([read(*c.fails).lines[0], read(*(c.cured_by or (*c.fails, *c.cure))).lines[0]])
    ]
    assert len(numeric) > len(CASES) / 3


def test_designs_without_flow_and_with_it_are_judged_side_by_side() -> None:
    line = read("line.hose.length=61 m").lines[0]
    depth = np.array([1.0, 60.0])
    found = grades(design_all([line.changed({"head.depth": depth})], unsteady=False))
    assert found["jet-strength", line.line].tolist() == [0, 3]


def test_a_waived_finding_counts_as_passed() -> None:
    line = read("line.hose.length=12 m").lines[0]
    designs = design_all([line], unsteady=False)
    assert int(grades(designs)["hose-length", line.line]) == 2
    assert int(grades(designs, waive={"hose-length": "agreed"})["hose-length", line.line]) == 0


def test_a_receiver_varied_in_volume_and_band() -> None:
    wet = ("moisture.intake_temperature=20 degC", "moisture.intake_humidity=60 %", "pressure.regime=EU")
    small, large = ("source.volume=6 L", "source.cut_out=5 bar(g)"), ("source.volume=50 L", "source.cut_out=7 bar(g)")
    assert as_array((*RECEIVER, *wet), (*RECEIVER, *wet, *small), (*RECEIVER, *wet, *large)) > 100
