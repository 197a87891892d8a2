"""Rules judge an array of designs as they judge each of them."""

from collections.abc import Iterable

import numpy as np
import pytest

from purgecalc.design import design_all
from purgecalc.inputs import Inputs
from purgecalc.rules import grades, judge
from tests.lines import RECEIVER, designs, read
from tests.rules.test_rules import CASES

LEVEL = {"passes": 0, "not applicable": -1}


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


def test_most_rules_were_seen_in_arrays() -> None:
    numeric = [
        id for id, c in CASES.items() if stacked([read(*c.fails).lines[0], read(*(c.cured_by or (*c.fails, *c.cure))).lines[0]])
    ]
    assert len(numeric) > len(CASES) / 3


def test_designs_without_flow_and_with_it_are_judged_side_by_side() -> None:
    line = read().lines[0]
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
