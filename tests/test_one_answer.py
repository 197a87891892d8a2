"""One scenario, one answer: screen, table, grid, note and data say the same verdict, findings and figures as printed."""

from __future__ import annotations

import numpy as np

from purgecalc.errors import NoPhysicalAnswer, ScenarioError
from purgecalc.reports.as_json import result
from purgecalc.reports.blocks import Table
from purgecalc.reports.first_screen import print_first_screen
from purgecalc.reports.note import commissioning_note
from purgecalc.reports.page import Page
from purgecalc.reports.summary import summarise
from purgecalc.rules import Level
from purgecalc.scenario import ScenarioInputs
from purgecalc.studies.batch import run
from purgecalc.studies.checked import Checked
from purgecalc.studies.commissioning import gather
from purgecalc.studies.quantities import DEFAULT
from purgecalc.studies.sweep import axis, sweep
from purgecalc.units import show
from tests.campaign import few_or_many
from tests.random_sites import random_site

Failing = set[tuple[str, str, str]]


def failing(checked: Checked) -> Failing:
    return {(f.rule.id, f.level.name, f.line) for f in checked.findings if f.state == "fails"}


def in_note(checked: Checked) -> Failing:
    """Level and rule of every finding of the note's table."""
    tables = {b.caption: b.rows for b in commissioning_note(gather(checked)).blocks if isinstance(b, Table)}
    many = len(checked.designs) > 1
    rows = tables.get("Findings, worst first", ())
    return {(row[1].split(" ")[0], row[0], row[1].partition(" (")[2].removesuffix(")") if many else "") for row in rows}


def figures(checked: Checked) -> list[str]:
    d = checked.designs[0]
    return [show(d.number(id), d[id].kind) for id in DEFAULT]


def numbers(scenario: ScenarioInputs) -> tuple[str, float]:
    """The blast as it is, in seconds: a figure that every scenario has and that may be varied alone."""
    return "line.schedule.blast", float(scenario.lines[0]["schedule.blast"].value)


def in_tables(checked: Checked) -> None:
    scenario, d = checked.scenario, checked.designs[0]
    key, value = numbers(scenario)
    shared = len(scenario.lines) > 1
    wanted = [show(d.number(id), d[id].kind) for id in DEFAULT]
    row = run({f"{key} [s]": np.array([value, value * 1.01])}, scenario, DEFAULT)
    grid = sweep(scenario, [axis(f"{key}={value!r},{value * 1.01!r}[s]")], DEFAULT)
    at = int(np.abs(np.asarray(grid.axes[0].values) - value).argmin())
    if not shared:
        assert row["verdict"][0] == checked.verdict, row["worst_rule"][0]
        assert grid.verdict[at] == checked.verdict, grid.worst_rule[at]
        if checked.verdict != "PASS":
            worst = {rule for rule, level, _ in failing(checked) if level == checked.verdict}
            assert row["worst_rule"][0] in worst
            assert grid.worst_rule[at] in worst
    for id, text in zip(DEFAULT, wanted, strict=True):
        head = next(h for h in row if h.startswith(id))
        assert near(id, float(row[head][0]), d.number(id)), (id, text)
        assert near(id, float(grid.values[id][at]), d.number(id)), (id, text)


def near(id: str, a: float, b: float) -> bool:
    """Equal; what rests on the integrated blast within what six branches, as tables have them, are from sixteen."""
    off = {"blast.delivery_time": 0.1, "blast.air_volume": 0.01}.get(id, 1e-6)
    return bool(np.isclose(a, b, rtol=off)) or (np.isnan(a) and np.isnan(b))


def test_the_note_the_data_and_the_screen_of_a_line_to_fix_agree() -> None:
    agree(Checked.of(random_site(3)))


def agree(checked: Checked) -> None:
    """All faces of one result."""
    data = result(checked)
    assert data["verdict"] == checked.verdict
    rows = {(f["rule"], f["level"], f["line"]) for f in data["findings"] if f["state"] == "fails"}
    assert {(r, level, line or "") for r, level, line in rows} == failing(checked)
    assert {(r, level) for r, level, _ in in_note(checked)} == {(r, level) for r, level, _ in failing(checked)}
    page = Page(120)
    print_first_screen(page, summarise(checked))
    first, last = page.lines[0].plain, page.lines[-1].plain
    word = "PASS" if checked.verdict == "WATCH" else checked.verdict
    assert first.startswith(word)
    assert last.startswith(word)
    named = " ".join(page.plain().split()).lower()
    hard = [f for f in checked.findings if f.state == "fails" and f.level >= Level.FIX]
    assert all(f.rule.noun.lower() in named for f in hard[:7])


@few_or_many(3, 30)
def test_every_screen_and_paper_says_the_same(count: int) -> None:
    for seed in range(count):
        try:
            checked = Checked.of(random_site(seed))
        except NoPhysicalAnswer:
            continue
        agree(checked)
        try:
            in_tables(checked)
        except ScenarioError:
            continue  # one per cent more blast is none that the scenario would take
