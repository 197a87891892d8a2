"""Many designs judged together: levels, worst rule and verdict agree with judging each."""

import numpy as np

from purgecalc.design import design_all
from purgecalc.rules import judge, verdict
from purgecalc.scenario import loads
from purgecalc.studies.grades import graded, varied
from tests.lines import BASE, read

BORE = np.array([3e-3, 4e-3, 8e-3])[:, None]
LENGTH = np.array([2.0, 7.0, 30.0, 90.0])


def test_verdict_of_each_is_that_of_all_together() -> None:
    lines = read().lines
    together = graded(varied(lines, {"hose.bore": BORE, "hose.length": LENGTH}), unsteady=False)
    assert together.shape == (3, 4)
    for i, bore in enumerate(BORE[:, 0]):
        for j, length in enumerate(LENGTH):
            findings = judge(design_all(varied(lines, {"hose.bore": bore, "hose.length": length}), unsteady=False))
            assert together.verdict()[i, j] == verdict(findings)
            worst = together.worst_rule()[i, j]
            assert worst == (findings[0].rule.id if findings[0].state == "fails" else "")


def test_designs_without_flow_are_known() -> None:
    together = graded(varied(read().lines, {"head.depth": np.array([1.0, 60.0])}), unsteady=False)
    (where,) = (v for text, v in together.impossible().items() if text.startswith("no air leaves the head"))
    assert where.tolist() == [False, True]
    assert together.worst[1] >= 3


def test_shared_tables_vary_on_every_line_and_others_on_the_one_named() -> None:
    second = BASE[BASE.index("[line]") :].replace("[line]", "[[line]]").replace("lane 2", "lane 3")
    lines = loads(BASE.replace("[line]", "[[line]]") + second).lines
    changed = varied(lines, {"source.flow": 2e-3, "schedule.blast": 20.0}, lines[1].line)
    assert {line["source.flow"].value for line in changed} == {2e-3}
    assert [line["schedule.blast"].value == 20 for line in changed] == [i == 1 for i in range(len(lines))]


def test_what_fails_can_be_asked_by_level_and_without_some_rules() -> None:
    together = graded(varied(read().lines, {"hose.length": np.array([7.0, 12.0])}), unsteady=False)
    assert together.fails()["hose-length"].tolist() == [False, True]
    assert not any(f.any() for f in together.fails(but=("hose-length",)).values())
