"""Two rules never report one fact, and a rule takes no level it does not declare."""

import re
from dataclasses import replace

import numpy as np
import pytest

from purgecalc.design import design_all
from purgecalc.rules import Level, Margin, grade, grades, rule_book
from purgecalc.rules._once import told_once
from purgecalc.rules._outcomes import ABSENT
from purgecalc.scenario import load
from purgecalc.working import Node
from tests.lines import SCENARIOS, designed, finding, findings, read
from tests.rules.test_grades import as_array
from tests.rules.test_rules import AIR, CASES, FLOODED, RECEIVER, SILENCE, THIN, WET, WIRED

LONG = ("line.hose.bore=4 mm", "source.rated_pressure=2.8 bar(g)")
OTHER_LEVELS = {
    "dead-end": [("line.head.within_reach=yes", "source.dead_head=4 bar(g)")],
    "delivery-time": [("line.schedule.blast=4 s",)],
    "dew-point": [(*WET, "line.route.coldest=12 degC"), (*WET, "line.route.low_drain=no")],
    "downstream-averaging": [
        ("line.outputs.historian=substitute", "line.outputs.substitute_value=2 mg/L", "line.outputs.status=good")
    ],
    "duty": [("source.duty=S3 2 %",)],
    "hose-warm": [("line.hose.material=pvc", "line.hose.rated_pressure=3.5 bar(g)", "site.air_temperature=38 degC")],
    "integrator-tracking": [
        ("line.loop.tracking=no", "line.loop.gain=40 %/(mg/L)"),
        ("line.loop.tracking=no", "line.loop.gain=80 %/(mg/L)"),
    ],
    "jet-strength": [("line.hose.bore=4 mm",)],
    "sag": [(*AIR, "line.route.sag=0.6 m", "line.route.coldest=4 degC")],
    "contact-on-loss": [(*WIRED, "line.contact.load=normally-open valve", "line.contact.terminal=NC")],
}
"""Settings beside those of its case under which a rule fails, for levels that circumstances give it."""


def test_rules_take_the_levels_they_declare_and_no_other() -> None:
    for rule in rule_book().values():
        id = rule.id
        settings = [CASES[id].fails, *OTHER_LEVELS.get(id, []), *([SILENCE[id][0]] if id in SILENCE else [])]
        seen = {finding(id, *s).level for s in settings if finding(id, *s).state == "fails"}
        assert seen <= {rule.level, *rule.also}, id
        assert seen >= set(rule.also), id
    assert replace(rule_book()["duty"], also=()).levels == "FIX"
    assert rule_book()["duty"].levels == "NOTE to STOP"


def test_a_slug_that_makes_the_air_late_is_told_once() -> None:
    assert {f.rule.id for f in findings(*FLOODED) if f.state == "fails"} & {"slug", "delivery-time"} == {"slug"}
    late = designed(*FLOODED)
    assert late.number("blast.delivery_share") > 0.1
    waived = (*FLOODED, "waive.slug=blown out by hand")
    assert finding("delivery-time", *waived).state == "fails"


def test_air_that_is_late_by_more_than_the_slug_is_told_as_well() -> None:
    late = Margin(Node("late", "late", "fraction", np.array([0.2, 0.25, 0.35, 0.05])), at_most=0.1)
    slug = Margin(Node("slug", "slug", "fraction", np.array([0.2, 0.2, 0.2, 0.02])), at_most=0.1)
    found = {("delivery-time", "a"): late, ("slug", "a"): slug}
    levels = {key: grade(margin, Level.WATCH) for key, margin in found.items()}
    assert told_once(levels, found, ())["delivery-time", "a"].tolist() == [-1, -1, Level.WATCH, 0]
    assert told_once(levels, found, ("slug",)) == {}


def test_a_hose_beyond_practice_says_what_reserve_the_calculation_has_and_no_other_length() -> None:
    """How long a hose may be by calculation is an answer of size alone."""
    found = finding("hose-length", *THIN)
    assert found.state == "fails"
    assert found.margin is not None
    assert found.margin.limit_text() == "at most 7.62 m"
    assert re.search(r"the jet has 0\.\d+ where 0\.7 is needed", found.remedy)
    assert not re.search(r"\d m\b", found.remedy)


@pytest.mark.parametrize(
    ("first", "second"),
    [
        (FLOODED, (*FLOODED, "line.schedule.blast=90 s")),
        (THIN, (*THIN, "line.hose.length=7 m")),
        (("line.loop.tracking=no",), ("line.loop.tracking=no", "line.loop.gain=40 %/(mg/L)")),
    ],
)
def test_what_is_told_once_alone_is_told_once_among_many(first: tuple[str, ...], second: tuple[str, ...]) -> None:
    assert as_array(first, second) > 80


def test_a_controller_left_live_is_graded_by_how_far_it_moves_the_air() -> None:
    line = read("line.loop.tracking=no").lines[0]
    moved = float(designed("line.loop.tracking=no").number("loop.integrator_ramp"))
    shares = np.array([0.009, 0.011, 0.049, 0.051])
    gains = line["loop.gain"].value * shares / abs(moved)
    found = grades(design_all([line.changed({"loop.gain": gains})], unsteady=False))["integrator-tracking", line.line]
    assert found.tolist() == [Level.NOTE, Level.WATCH, Level.WATCH, Level.FIX]
    assert finding("integrator-tracking", "line.loop.tracking=yes").state == "passes"
    live = ("line.loop.tracking=no", "line.outputs.analogue=live")
    assert finding("integrator-tracking", *live).level == Level.FIX  # on the bump itself


def test_a_minute_of_hold_off_and_the_usual_hose_stay_to_be_watched() -> None:
    assert [rule_book()[id].levels for id in ("hold-off-usual", "hose-length")] == ["WATCH", "WATCH"]


def test_receivers_keep_the_rules_that_are_told_once() -> None:
    assert as_array(RECEIVER, (*RECEIVER, "line.hose.length=20 m")) > 80


def test_a_neighbour_that_is_void_does_not_make_a_told_fact_told_again() -> None:
    site = load(
        str(SCENARIOS / "pellwick.toml"), ["line.hose.length=34.5 m", "line.hose.bore=6.72 mm", "line.schedule.blast=15.4 s"]
    )
    line = site.lines[0]
    with np.errstate(all="ignore"):
        two = grades(design_all([line.changed({"hose.length": np.array([34.5, 2.5])})]))
        alone = grades(design_all([line]))
    for key in (("delivery-time", line.line), ("slug", line.line)):
        assert int(two[key][0]) == int(alone[key]), key
    assert int(alone["slug", line.line]) > 0
    assert int(alone["delivery-time", line.line]) == ABSENT
