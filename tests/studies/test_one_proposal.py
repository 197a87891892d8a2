"""One proposal for all of the sizing screen: what it says stays stays, what it says is gone is gone, typed in as printed."""

from __future__ import annotations

import pytest

from purgecalc.errors import NoPhysicalAnswer
from purgecalc.rules import Level
from purgecalc.scenario.keys import key_of
from purgecalc.scenario.read import again, load
from purgecalc.studies.checked import Checked
from purgecalc.studies.schedule import AXES
from purgecalc.studies.size import Sized, size
from purgecalc.units import parse
from tests.campaign import few_or_many
from tests.lines import SCENARIOS
from tests.random_sites import random_site


def sized_again(checked: Checked, free: tuple[str, ...] = ()) -> tuple[Sized, Checked]:
    """What is proposed for the first line, and the scenario with it."""
    line = checked.scenario.lines[0].line
    sized = size(checked, line, free)
    settings = [f"{key_of(c.lever.id)}={c.text}" for c in sized.proposal.changes]
    return sized, Checked.of(again(checked.scenario, settings)) if settings else checked


def named(checked: Checked, line: str, lowest: Level, highest: Level = Level.STOP) -> set[str]:
    failing = [f for f in checked.findings if f.state == "fails" and f.line in ("", line)]
    return {f.rule.id for f in failing if lowest <= f.level <= highest}


def holds_together(checked: Checked, free: tuple[str, ...] = ()) -> None:
    line = checked.scenario.lines[0].line
    sized, after = sized_again(checked, free)
    assert named(after, line, Level.FIX) == {f.rule.id for f in sized.proposal.left}
    assert named(after, line, Level.WATCH, Level.WATCH) == {f.rule.id for f in sized.proposal.watch}
    if sized.schedule is not None and sized.schedule.best is not None:
        best = sized.schedule.best
        told = dict(zip(AXES, (best.interval, best.blast, best.hold_off), strict=True))
        d = after.design_of(line)
        assert {id: d.number(id) for id in AXES} == pytest.approx(told), "the schedule told is the one proposed"


SITES = sorted(p.stem for p in SCENARIOS.glob("*.toml"))
QUICK = ("fernwhistle", "slowmere", "quillstone")


@pytest.mark.parametrize("site", [pytest.param(s, marks=() if s in QUICK else pytest.mark.campaign) for s in SITES])
def test_the_proposal_of_a_site_does_what_it_says(site: str) -> None:
    holds_together(Checked.of(load(str(SCENARIOS / f"{site}.toml"))))


@few_or_many(1, 6)
def test_the_proposal_of_a_random_site_does_what_it_says(count: int) -> None:
    for seed in range(count):
        try:
            checked = Checked.of(random_site(seed))
        except NoPhysicalAnswer:
            continue
        holds_together(checked)


def test_only_what_is_free_is_proposed() -> None:
    checked = Checked.of(load(str(SCENARIOS / "slowmere.toml")))
    sized, _ = sized_again(checked, ("schedule.hold_off",))
    assert {c.lever.id for c in sized.proposal.changes} <= {"schedule.hold_off"}
    assert sized.schedule is not None
    d = checked.designs[0]
    assert sized.schedule.best is None or sized.schedule.best.interval == d.number("schedule.interval")


def test_a_timer_that_has_to_follow_the_schedule_is_set_with_it() -> None:
    settings = ["line.schedule.hold_off=60 s", "line.probe.longest_hold=2 min", "line.probe.t90=60 s"]
    checked = Checked.of(load(str(SCENARIOS / "fernwhistle.toml"), settings))
    assert "hold-off" in named(checked, checked.scenario.lines[0].line, Level.FIX)
    sized, after = sized_again(checked)
    changed = {c.lever.id: c for c in sized.proposal.changes}
    assert "schedule.hold_off" in changed
    assert sized.proposal.left == ()
    hold = after.designs[0].number("reading.hold_time")
    assert hold <= parse(changed["probe.longest_hold"].text, "time").value <= 2 * hold
