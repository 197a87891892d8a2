"""Every rule seen passing, failing and not applicable, and its remedy seen to cure it."""

from dataclasses import dataclass

import pytest

from purgecalc.rules import Level, rule_book
from tests.lines import MONITOR, RESERVOIR, UNFOULED, finding, findings

THIN = ("line.hose.length=30 m", "line.hose.bore=4 mm")
PARKED = ("line.loop.tracking=no", "line.outputs.analogue=park-at-value")
FLOODED = ("line.head.check_valve=none", "line.head.depth=4 m", "line.hose.bore=10 mm", "line.head.hole_diameter=1 mm")


@dataclass(frozen=True)
class Case:
    """Settings over the reference line under which a rule fails, and what is changed to cure it."""

    fails: tuple[str, ...]
    cure: tuple[str, ...]
    level: Level
    absent: tuple[str, ...] | None = None  # settings under which the rule does not apply; None where it always does
    passes: tuple[str, ...] = ()
    cured_by: tuple[str, ...] | None = None  # the whole cured line, where the cure takes something out


CASES = {
    "hose-rating": Case(
        ("line.hose.rated_pressure=2.5 bar(g)",), ("line.hose.rated_pressure=4 bar(g)",), Level.STOP, ("drop:rated",)
    ),
    "hose-length": Case(("line.hose.length=12 m",), ("line.hose.length=7 m",), Level.WATCH),
    "hose-reach": Case(THIN, ("line.hose.length=4 m",), Level.WATCH, ("source.free_air=20 L/min",)),
    "choked-element": Case(
        (*RESERVOIR, "line.valve.conductance=0.2 dm3/(s bar)"), ("line.valve.conductance=2 dm3/(s bar)",), Level.WATCH
    ),
    "valve-share": Case(
        ("line.head.check_valve=150 mbar",), ("line.head.check_valve=30 mbar",), Level.WATCH, ("line.head.check_valve=none",)
    ),
    "slug": Case(
        FLOODED, ("line.hose.bore=6 mm", "line.head.hole_diameter=1.5 mm"), Level.FIX, (), ("line.head.check_valve=none",)
    ),
    "jet-strength": Case(THIN, ("line.hose.bore=8 mm",), Level.FIX),
    "blast-arrives": Case(
        (*FLOODED, "line.schedule.blast=2 s", "line.head.hole_diameter=0.5 mm"), ("line.schedule.blast=60 s",), Level.FIX
    ),
    "delivery-time": Case(
        (*FLOODED, "line.schedule.blast=10 s"), ("line.schedule.blast=30 s", "line.head.check_valve=30 mbar"), Level.FIX
    ),
    "useful-time": Case(("line.schedule.blast=2 s",), ("line.schedule.blast=30 s",), Level.FIX, THIN),
    "stand-off": Case(("line.head.stand_off=30 mm",), ("line.head.stand_off=10 mm",), Level.WATCH),
    "source-rating": Case((*THIN, "source.rated_pressure=1 bar(g)"), ("line.hose.bore=8 mm",), Level.FIX, RESERVOIR),
    "flow-basis": Case(("drop:free_air", "source.displacement=100 L/min"), (), Level.WATCH, cured_by=()),
    "recovery": Case((*RESERVOIR, "source.free_air=5 L/min"), ("source.free_air=35 L/min",), Level.FIX, ()),
    "keeps-up": Case((*RESERVOIR, "source.free_air=5 L/min"), ("source.free_air=35 L/min",), Level.FIX),
    "duty": Case(("source.duty=S3 4 %",), ("line.schedule.blast=20 s",), Level.FIX, ("drop:duty",)),
    "starts": Case(("source.starts_per_hour=1",), ("line.schedule.interval=60 min",), Level.FIX),
    "hold-off": Case(("line.probe.t90=120 s",), ("line.schedule.hold_off=170 s",), Level.FIX),
    "hold-off-usual": Case(("line.schedule.hold_off=50 s",), ("line.schedule.hold_off=60 s",), Level.WATCH),
    "live-share": Case(("line.schedule.hold_off=170 s",), ("line.schedule.interval=60 min",), Level.FIX),
    "interval-usual": Case(("line.schedule.interval=10 min",), ("line.schedule.interval=30 min",), Level.NOTE),
    "freeze-lead": Case(("line.probe.filter=10 s",), ("line.schedule.freeze_lead=12 s",), Level.FIX, ("drop:scan",)),
    "latch": Case(("line.probe.latch=last",), ("line.probe.latch=median",), Level.WATCH, ("drop:latch", "drop:outputs")),
    "consumers-treated": Case(("line.outputs.relay=live",), ("line.outputs.relay=freeze-last",), Level.FIX, ("drop:outputs",)),
    "longest-freeze": Case(
        ("line.probe.longest_freeze=1 h",), ("line.probe.longest_freeze=4 min",), Level.FIX, ("drop:longest", "drop:outputs")
    ),
    "downstream-averaging": Case(
        ("line.outputs.status=good",), ("line.outputs.status=function check",), Level.WATCH, ("drop:outputs",)
    ),
    "excursion": Case(("line.loop.uptake=100 mg/L/h",), ("line.schedule.hold_off=60 s",), Level.FIX, MONITOR),
    "integrator-tracking": Case(("line.loop.tracking=no",), ("line.loop.tracking=yes",), Level.FIX, MONITOR),
    "parked-value": Case(
        (*PARKED, "line.outputs.park_value=0 mg/L"),
        ("line.outputs.park_value=2 mg/L",),
        Level.FIX,
        (),
        (*PARKED, "line.outputs.park_value=1.8 mg/L"),
    ),
    "fouling-interval": Case(("line.schedule.interval=80 min",), ("line.schedule.interval=60 min",), Level.WATCH, UNFOULED),
    "bias-at-wipe": Case(("line.fouling.bias_rate=2 mg/L/d",), ("line.schedule.interval=10 min",), Level.WATCH, UNFOULED),
    "hard-fouling": Case(("line.fouling.hard=yes",), ("line.fouling.hard=no",), Level.WATCH, UNFOULED),
    "purge-justified": Case(
        ("line.fouling.bias_rate=0.0005 mg/L/d",), ("line.fouling.bias_rate=0.06 mg/L/d",), Level.NOTE, ("drop:effort",)
    ),
    "blast-usual": Case(("line.schedule.blast=90 s",), ("line.schedule.blast=60 s",), Level.NOTE),
}


def test_every_rule_has_a_case_here() -> None:
    assert set(CASES) == set(rule_book())


@pytest.mark.parametrize("rule", CASES)
def test_fails_when_broken(rule: str) -> None:
    case = CASES[rule]
    found = finding(rule, *case.fails)
    assert (found.state, found.level) == ("fails", case.level)
    assert found.reason
    assert found.remedy


@pytest.mark.parametrize("rule", CASES)
def test_passes_on_a_sound_line(rule: str) -> None:
    case = CASES[rule]
    sound = case.passes or (RESERVOIR if case.absent == () and rule == "recovery" else ())
    assert finding(rule, *sound).state == "passes"


@pytest.mark.parametrize("rule", CASES)
def test_its_remedy_cures_it(rule: str) -> None:
    case = CASES[rule]
    cured = case.cured_by if case.cured_by is not None else (*case.fails, *case.cure)
    assert finding(rule, *cured).state == "passes"


@pytest.mark.parametrize("rule", [r for r, c in CASES.items() if c.absent is not None])
def test_is_left_out_where_it_does_not_apply(rule: str) -> None:
    found = finding(rule, *(CASES[rule].absent or ()))
    assert found.state == "not applicable"
    assert found.outcome is None


def test_findings_come_worst_first() -> None:
    found = findings(*THIN, "line.hose.rated_pressure=2 bar(g)", "line.schedule.interval=10 min")
    levels = [f.level for f in found if f.state == "fails"]
    assert levels == sorted(levels, reverse=True)
    assert levels[0] == Level.STOP


def test_a_limit_set_in_the_scenario_is_used_and_said() -> None:
    found = finding("hose-length", "line.hose.length=12 m", "limits.hose-length=15 m")
    assert found.state == "passes"
    assert found.limit_set


def test_a_waiver_keeps_the_finding_and_its_reason() -> None:
    found = finding("hose-length", "line.hose.length=12 m", "waive.hose-length=route fixed by the crossing")
    assert found.state == "waived"
    assert found.waived_because == "route fixed by the crossing"


def test_a_waiver_of_a_rule_that_passes_changes_nothing() -> None:
    assert finding("hose-length", "waive.hose-length=not needed").state == "passes"


def test_a_number_that_cannot_be_computed_fails() -> None:
    from purgecalc.rules import Margin
    from purgecalc.working import Node

    assert bool(Margin(Node("x", "x", "ratio", float("nan")), at_least=1.0).fails())
    assert bool(Margin(Node("x", "x", "ratio", float("nan")), at_most=1.0).fails())


def test_a_figure_on_its_limit_passes() -> None:
    from purgecalc.rules import Margin
    from purgecalc.working import Node

    assert not bool(Margin(Node("x", "x", "length", 7.6), at_most=7.6).fails())
    assert not bool(Margin(Node("x", "x", "length", 0.1 + 0.2), at_most=0.3).fails())
