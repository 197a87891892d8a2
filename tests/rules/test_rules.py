"""Every rule seen passing, failing, not applicable and not judged, and its remedy seen to cure it."""

from dataclasses import dataclass

import pytest

from purgecalc.errors import ScenarioError
from purgecalc.inputs import SHARED_TABLES
from purgecalc.rules import Level, Missing, rule_book
from purgecalc.rules._base import parse_override
from purgecalc.scenario.facts import FACTS
from purgecalc.scenario.reading import USERS
from tests.lines import MONITOR, RECEIVER, UNFOULED, designed, finding, findings

THIN = ("line.hose.length=30 m", "line.hose.bore=4 mm")
SUBSTITUTED = ("line.loop.tracking=no", "line.outputs.analogue=substitute")
WIRED = ("line.contact.terminal=NO", "line.contact.coil_at_rest=off", "line.contact.load=motor")
ALARMED = (*WIRED, "line.contact.alarm_terminal=NO", "line.contact.alarm_coil_healthy=on")
GUARDED = (*WIRED, "line.contact.run_timer=yes", "line.contact.suppression=yes", "line.contact.interposing_relay=yes")
FED = (
    "supply.voltage=230 V",
    "supply.frequency=50 Hz",
    "supply.plate_voltage=220 V",
    "supply.plate_voltage_to=240 V",
    "supply.plate_frequency=50 Hz",
    "supply.current=1.6 A",
    "supply.cable_length=20 m",
    "supply.conductor_area=2.5 mm2",
)
AIR = (
    "moisture.intake_temperature=20 degC",
    "moisture.intake_humidity=50 %",
    "moisture.oil=oil-free",
    "moisture.dryer_dew_point=-25 degC",
    "line.route.coldest=-10 degC",
    "line.route.exposed_length=5 m",
    "line.route.low_drain=yes",
    "line.route.sag=0 m",
)
WET = (*AIR, "moisture.dryer_dew_point=20 degC")
TANK = (*RECEIVER, "moisture.intake_temperature=20 degC", "moisture.intake_humidity=60 %")
CHILL = ("site.air_temperature=1 degC", "line.hose.bore=8 mm", "line.valve.conductance=3 dm3/(s bar)")
COLD_TANK = (*RECEIVER, *CHILL)
CHILLED = (*TANK, *CHILL, "moisture.dryer_dew_point=-3 degC")
LIFTED = (
    "line.lifting.probe_mass=1 kg",
    "line.lifting.pole_mass=1 kg",
    "line.lifting.hose_mass=0.5 kg",
    "line.lifting.rag_mass=0 kg",
)
REACHED = ("line.head.within_reach=yes", "source.dead_head=2 bar(g)")
KEPT = ("upkeep.start=2026-03-02", "upkeep.seal_life=3000 h", "upkeep.valve_life=1000000")
VALVED = (*KEPT, "line.valve.conductance=2 dm3/(s bar)")
UNKNOWN_TOP = ("drop:max", *(setting for setting in RECEIVER if "dead_head" not in setting))
FLOODED = ("line.head.check_valve=none", "line.head.depth=4 m", "line.hose.bore=10 mm", "line.head.hole_diameter=1 mm")
HIGH, DERATED = ("site.altitude=2600 m",), ("source.derated=yes", "source.duty=S3 42 %")


@dataclass(frozen=True)
class Case:
    """Settings over the reference line under which a rule fails, and what is changed to cure it."""

    fails: tuple[str, ...]
    cure: tuple[str, ...]
    level: Level
    absent: tuple[str, ...] | None = None  # settings under which the rule does not apply; None where it always does
    passes: tuple[str, ...] = ()
    cured_by: tuple[str, ...] | None = None  # the whole cured line, where the cure takes something out
    silent: tuple[str, ...] | None = None  # settings under which it cannot judge, because nobody has stated what it needs


CASES = {
    "hose-rating": Case(
        ("line.hose.rated_pressure=2.5 bar(g)",),
        ("line.hose.rated_pressure=4 bar(g)",),
        Level.STOP,
        silent=("drop:rated", "source.dead_head=1.9 bar(g)"),
    ),
    "hose-reaches-head": Case(
        ("line.hose.length=1 mm", "line.head.shallowest=0.5 m", "line.head.deepest=9 m"), ("line.hose.length=9 m",), Level.STOP
    ),
    "hose-length": Case(("line.hose.length=12 m",), ("line.hose.length=7 m",), Level.WATCH),
    "transition": Case(("source.flow=15 L/min",), ("line.hose.bore=6 mm",), Level.NOTE, ("source.flow=10 L/min",)),
    "delivery-sharp": Case(
        ("line.head.check_valve=none",), ("line.head.check_valve=30 mbar",), Level.NOTE, ("line.schedule.blast=0.1 s",)
    ),
    "choked-element": Case(
        (*RECEIVER, "line.valve.conductance=0.2 dm3/(s bar)"), ("line.valve.conductance=2 dm3/(s bar)",), Level.WATCH
    ),
    "valve-share": Case(
        ("line.head.check_valve=150 mbar",), ("line.head.check_valve=30 mbar",), Level.WATCH, ("line.head.check_valve=none",)
    ),
    "slug": Case(
        FLOODED, ("line.hose.bore=6 mm", "line.head.hole_diameter=1.5 mm"), Level.FIX, (), ("line.head.check_valve=none",)
    ),
    "jet-strength": Case(THIN, ("line.hose.bore=8 mm",), Level.FIX),
    "jet-gentle": Case(
        ("line.probe.kind=membrane-oxygen", "source.flow=150 L/min", "source.dead_head=8 bar(g)"),
        ("source.flow=60 L/min",),
        Level.WATCH,
    ),
    "blast-arrives": Case(
        (*FLOODED, "line.schedule.blast=2 s", "line.head.hole_diameter=0.5 mm"), ("line.schedule.blast=60 s",), Level.FIX
    ),
    "delivery-time": Case(("line.schedule.blast=1 s",), ("line.schedule.blast=30 s",), Level.FIX),
    "useful-time": Case(("line.schedule.blast=2 s",), ("line.schedule.blast=30 s",), Level.FIX, THIN),
    "stand-off": Case(("line.head.stand_off=30 mm",), ("line.head.stand_off=10 mm",), Level.WATCH),
    "source-rating": Case((*THIN, "source.rated_pressure=1 bar(g)"), ("line.hose.bore=8 mm",), Level.FIX, RECEIVER),
    "flow-basis": Case(("drop:flow", "source.displacement=100 L/min"), (), Level.WATCH, cured_by=()),
    "recovery": Case((*RECEIVER, "source.flow=5 L/min"), ("source.flow=35 L/min",), Level.FIX, ()),
    "lines-apart": Case(
        (*RECEIVER, "add:line"), ("source.volume=200 L",), Level.WATCH, RECEIVER, (*RECEIVER, "add:line", "source.volume=200 L")
    ),
    "keeps-up": Case((*RECEIVER, "source.flow=3 L/min"), ("source.flow=35 L/min",), Level.FIX),
    "duty": Case(("source.duty=S3 4 %",), ("line.schedule.blast=20 s",), Level.FIX),
    "starts": Case(("source.starts_per_hour=1",), ("line.schedule.interval=60 min",), Level.FIX),
    "hold-off": Case(("line.probe.t90=120 s",), ("line.schedule.hold_off=210 s",), Level.FIX),
    "sensor-shape": Case(
        ("line.probe.sensor=two-lags",),
        ("line.probe.sensor=one-lag",),
        Level.WATCH,
        ("line.probe.sensor=two-lags", "line.probe.kind=membrane-oxygen"),
    ),
    "hold-off-usual": Case(("line.schedule.hold_off=50 s",), ("line.schedule.hold_off=60 s",), Level.WATCH),
    "live-share": Case(("line.schedule.hold_off=170 s",), ("line.schedule.interval=60 min",), Level.FIX),
    "interval-usual": Case(("line.schedule.interval=10 min",), ("line.schedule.interval=30 min",), Level.NOTE),
    "hold-lead": Case(("line.probe.filter=10 s",), ("line.schedule.hold_lead=12 s",), Level.FIX, silent=("drop:scan",)),
    "held-value": Case(
        ("line.probe.held_value=last",),
        ("line.probe.held_value=median",),
        Level.WATCH,
        silent=("drop:held_value", "drop:outputs"),
    ),
    "users-treated": Case(("line.outputs.relay=live",), ("line.outputs.relay=hold-last",), Level.FIX, silent=("drop:outputs",)),
    "longest-hold": Case(
        ("line.probe.longest_hold=1 h",), ("line.probe.longest_hold=4 min",), Level.FIX, silent=("drop:longest", "drop:outputs")
    ),
    "downstream-averaging": Case(
        ("line.outputs.status=good",), ("line.outputs.status=function check",), Level.WATCH, silent=("drop:outputs",)
    ),
    "excursion": Case(("line.loop.uptake=100 mg/L/h",), ("line.schedule.hold_off=60 s",), Level.FIX, MONITOR),
    "integrator-tracking": Case(("line.loop.tracking=no",), ("line.loop.tracking=yes",), Level.NOTE, MONITOR),
    "substitute-value": Case(
        (*SUBSTITUTED, "line.outputs.substitute_value=0 mg/L"),
        ("line.outputs.substitute_value=2 mg/L",),
        Level.FIX,
        (),
        (*SUBSTITUTED, "line.outputs.substitute_value=1.8 mg/L"),
    ),
    "fouling-interval": Case(
        ("line.schedule.interval=80 min",), ("line.schedule.interval=60 min",), Level.WATCH, silent=UNFOULED
    ),
    "bias-at-wipe": Case(("line.fouling.bias_rate=2 mg/L/d",), ("line.schedule.interval=10 min",), Level.WATCH, silent=UNFOULED),
    "hard-fouling": Case(("line.fouling.hard=yes",), ("line.fouling.hard=no",), Level.WATCH, silent=UNFOULED),
    "purge-justified": Case(
        ("line.fouling.bias_rate=0.0005 mg/L/d",), ("line.fouling.bias_rate=0.06 mg/L/d",), Level.NOTE, silent=("drop:worth",)
    ),
    "blast-usual": Case(("line.schedule.blast=90 s",), ("line.schedule.blast=60 s",), Level.NOTE),
    "contact-at-rest": Case(
        (*GUARDED, "line.contact.terminal=NC"), ("line.contact.terminal=NO",), Level.STOP, silent=(), passes=WIRED
    ),
    "contact-on-loss": Case(
        (*WIRED, "line.contact.terminal=NC", "line.contact.coil_at_rest=on"),
        ("line.contact.terminal=NO", "line.contact.coil_at_rest=off"),
        Level.STOP,
        silent=(),
        passes=WIRED,
    ),
    "contact-welded": Case(
        WIRED, ("line.contact.run_timer=yes",), Level.WATCH, (*WIRED, "line.contact.load=normally-open valve"), GUARDED
    ),
    "alarm-contact": Case(
        (*WIRED, "line.contact.alarm_terminal=NC", "line.contact.alarm_coil_healthy=off"),
        ("line.contact.alarm_terminal=NO", "line.contact.alarm_coil_healthy=on"),
        Level.FIX,
        silent=WIRED,
        passes=(*WIRED, "line.contact.alarm_terminal=NO", "line.contact.alarm_coil_healthy=on"),
    ),
    "alarm-sense": Case(
        ALARMED, ("site_facts.air_evidence=yes",), Level.WATCH, WIRED, passes=(*ALARMED, "site_facts.air_evidence=yes")
    ),
    "suppression": Case(
        (*WIRED, "line.contact.suppression=no"), ("line.contact.suppression=yes",), Level.WATCH, silent=(), passes=GUARDED
    ),
    "supply-voltage": Case((*FED, "supply.voltage=110 V"), ("supply.voltage=230 V",), Level.STOP, silent=(), passes=FED),
    "supply-frequency": Case(
        (*FED, "supply.frequency=60 Hz"), ("supply.plate_frequency_or=60 Hz",), Level.STOP, silent=(), passes=FED
    ),
    "supply-run-drop": Case(
        (*FED, "supply.cable_length=600 m"), ("supply.conductor_area=10 mm2",), Level.FIX, silent=FED[:5], passes=FED
    ),
    "supply-start-dip": Case(
        (*FED, "supply.cable_length=200 m"), ("supply.conductor_area=6 mm2",), Level.FIX, silent=FED[:5], passes=FED
    ),
    "contact-rating": Case(
        (*WIRED, *FED, "line.contact.contact_rating=5 A"),
        ("line.contact.contact_rating=12 A",),
        Level.FIX,
        (*WIRED, "line.contact.load=normally-closed valve"),
        GUARDED,
    ),
    "separate-supply": Case(
        (*FED, "supply.separate=no"), ("supply.separate=yes",), Level.FIX, silent=(), passes=(*FED, "supply.separate=yes")
    ),
    "dew-point": Case(WET, ("moisture.dryer_dew_point=-21 degC",), Level.FIX, silent=AIR[:4], passes=AIR),
    "ice": Case(WET, ("moisture.dryer_dew_point=-21 degC",), Level.FIX, (*AIR, "line.route.coldest=1 degC"), AIR),
    "blast-frost": Case(
        CHILLED,
        ("moisture.dryer_dew_point=-25 degC",),
        Level.WATCH,
        (*CHILLED, "site.air_temperature=20 degC"),
        (*CHILLED, "moisture.dryer_dew_point=-30 degC"),
    ),
    "drain": Case((*TANK, "moisture.drain=no"), ("moisture.drain=yes",), Level.WATCH, AIR, (*TANK, "moisture.drain=yes")),
    "sag": Case((*AIR, "line.route.sag=0.6 m"), ("line.route.sag=0 m",), Level.FIX, silent=(), passes=AIR),
    "oil": Case((*AIR, "moisture.oil=class 4"), ("moisture.oil=class 2",), Level.FIX, silent=(), passes=AIR),
    "hose-warm": Case(
        ("line.hose.warmest=70 degC", "line.hose.rated_pressure=5 bar(g)"),
        ("line.hose.material=rubber", "line.hose.rated_pressure=10 bar(g)"),
        Level.STOP,
        silent=(),
        passes=("line.hose.warmest=45 degC",),
        cured_by=("line.hose.warmest=70 degC", "line.hose.rated_pressure=10 bar(g)"),
    ),
    "relief": Case(
        ("pressure.regime=UK", "pressure.relief=4 bar(g)"),
        ("pressure.relief=2 bar(g)",),
        Level.WATCH,
        (),
        ("pressure.regime=UK", "pressure.relief=2 bar(g)"),
    ),
    "face-pressure": Case(
        ("line.probe.face_limit=0.5 bar",),
        ("line.head.stand_off=20 mm",),
        Level.STOP,
        silent=(),
        passes=("line.probe.face_limit=2 bar",),
    ),
    "dead-end": Case(
        ("line.head.within_reach=yes", "pressure.regime=US"),
        ("pressure.relief=1.8 bar(g)",),
        Level.FIX,
        silent=(),
        passes=REACHED,
    ),
    "pressure-volume": Case(
        (*RECEIVER, "pressure.regime=UK"),
        ("source.volume=6 L",),
        Level.NOTE,
        (),
        (*RECEIVER, "pressure.regime=UK", "source.volume=6 L"),
    ),
    "receiver-plate": Case(
        (*RECEIVER, "pressure.regime=EU", "pressure.receiver_pressure=5 bar(g)"),
        ("pressure.receiver_pressure=8 bar(g)",),
        Level.STOP,
        absent=(),
        silent=RECEIVER,
        passes=(*RECEIVER, "pressure.regime=EU", "pressure.receiver_pressure=7 bar(g)", "pressure.relief=7 bar(g)"),
    ),
    "highest-known": Case(UNKNOWN_TOP, ("pressure.regime=EU", "pressure.relief=7 bar(g)"), Level.WATCH, (), RECEIVER),
    "coverage": Case(("line.head.holes=3",), ("line.head.holes=5",), Level.WATCH),
    "noise-in-air": Case(
        (*RECEIVER, "line.noise.ear_distance=1 m"),
        ("source.regulator=0.6 bar(g)",),
        Level.WATCH,
        silent=(),
        passes=("line.noise.ear_distance=1 m",),
    ),
    "noise-dose": Case(
        ("line.noise.compressor_level=110", "line.noise.presence=8 h"),
        ("line.noise.compressor_level=80",),
        Level.WATCH,
        silent=(),
        passes=("line.noise.compressor_level=65",),
    ),
    "motor-derated": Case(HIGH, DERATED, Level.WATCH, (), (*HIGH, *DERATED)),
    "switch-band": Case((*RECEIVER, "source.cut_in=5.75 bar(g)"), ("source.cut_in=5.6 bar(g)",), Level.WATCH, (), RECEIVER),
    "lift": Case((*LIFTED, "line.lifting.pole_mass=8 kg"), ("line.lifting.pole_mass=1 kg",), Level.FIX, silent=(), passes=LIFTED),
    "seal-life": Case(
        (*KEPT, "upkeep.seal_life=100 h"),
        ("line.schedule.interval=60 min", "line.schedule.blast=20 s"),
        Level.NOTE,
        silent=(),
        passes=KEPT,
    ),
    "valve-life": Case((*VALVED, "upkeep.valve_life=10000"), ("line.schedule.interval=60 min",), Level.NOTE, KEPT, VALVED),
    **{
        fact.rule: Case(
            (f"site_facts.{fact.id}=no",),
            (f"site_facts.{fact.id}=yes",),
            Level[fact.level],
            passes=(f"site_facts.{fact.id}=yes",),
            silent=(f"site_facts.{fact.id}=unknown",),
        )
        for fact in FACTS
    },
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
    sound = case.passes or (RECEIVER if case.absent == () and rule == "recovery" else ())
    assert finding(rule, *sound).state == "passes"


@pytest.mark.parametrize("rule", CASES)
def test_its_remedy_clears_it(rule: str) -> None:
    case = CASES[rule]
    cured = case.cured_by if case.cured_by is not None else (*case.fails, *case.cure)
    assert finding(rule, *cured).state == "passes"


@pytest.mark.parametrize("rule", [r for r, c in CASES.items() if c.absent is not None])
def test_is_left_out_where_it_does_not_apply(rule: str) -> None:
    found = finding(rule, *(CASES[rule].absent or ()))
    assert found.state == "not applicable"
    assert found.outcome is None


STATED = {
    "contact.alarm_coil_healthy": "on",
    "contact.alarm_terminal": "NO",
    "contact.coil_at_rest": "off",
    "contact.load": "motor",
    "contact.terminal": "NO",
    "fouling.bias_rate": "0.06 mg/L/d",
    "fouling.growth": "1.5 per day",
    "fouling.hard": "no",
    "fouling.sign": "low",
    "head.within_reach": "yes",
    "hose.rated_pressure": "10 bar(g)",
    "hose.warmest": "40 degC",
    "lifting.hose_mass": "1 kg",
    "lifting.pole_mass": "1 kg",
    "lifting.probe_mass": "1 kg",
    "moisture.intake_humidity": "50 %",
    "moisture.intake_temperature": "15 degC",
    "moisture.oil": "oil-free",
    "noise.compressor_level": "65",
    "noise.ear_distance": "1 m",
    "pressure.receiver_pressure": "8 bar(g)",
    "pressure.regime": "other",
    "probe.face_limit": "1 bar",
    "probe.filter": "1 s",
    "probe.held_value": "median",
    "probe.longest_hold": "4 min",
    "probe.scan": "1 s",
    "route.coldest": "4 degC",
    "route.exposed_length": "5 m",
    "route.sag": "0 m",
    "source.duty": "S3 50 %",
    "source.rated_pressure": "2 bar(g)",
    "supply.cable_length": "20 m",
    "supply.conductor_area": "2.5 mm2",
    "supply.current": "1 A",
    "supply.frequency": "50 Hz",
    "supply.plate_frequency": "50 Hz",
    "supply.plate_voltage": "230 V",
    "supply.separate": "yes",
    "supply.voltage": "230 V",
    "upkeep.seal_life": "3000 h",
    "upkeep.start": "2026-03-02",
    "upkeep.valve_life": "1000000",
    "worth.visit": "30 min",
    **{f"outputs.{user}": "hold-last" for user in USERS},
    **{f"site_facts.{fact.id}": "yes" for fact in FACTS},
}
"""What somebody may state of everything that is found missing."""


def stated(keys: tuple[str, ...]) -> list[str]:
    """Settings that state the keys."""
    return [f"{'' if key.split('.')[0] in (*SHARED_TABLES, 'site_facts') else 'line.'}{key}={STATED[key]}" for key in keys]


@pytest.mark.parametrize("rule", [r for r, c in CASES.items() if c.silent is not None])
def test_is_not_judged_where_nobody_has_stated_what_it_needs_and_stating_that_settles_it(rule: str) -> None:
    silent = CASES[rule].silent or ()
    found = finding(rule, *silent)
    assert (found.state, found.outcome) == ("not judged", None)
    assert found.missing
    if rule == "receiver-plate":  # found missing of the receiver alone
        assert finding(rule, *silent, "pressure.regime=EU").missing == ("pressure.receiver_pressure",)
    assert finding(rule, *silent, *stated(found.missing)).state in ("passes", "fails")


BARE_SITE = ("drop:duty", "drop:rated", "drop:scan", "drop:held_value", "drop:longest", *MONITOR, *UNFOULED[:1], "drop:outputs")


@pytest.mark.parametrize("source", [(), RECEIVER], ids=["direct", "receiver"])
def test_everything_not_judged_of_a_bare_site_is_settled_by_what_it_asks_for(source: tuple[str, ...]) -> None:
    bare = findings(*BARE_SITE, *source)
    asked = {f.rule.id: f.missing for f in bare if f.missing}
    assert len(asked) > 40
    for f in bare:
        assert (f.state == "not judged") <= bool(f.missing), f.rule.id
    everything = sorted({key for keys in asked.values() for key in keys})
    after = findings(*BARE_SITE, *source, *stated(tuple(everything)))
    left = {f.rule.id: f.missing for f in after if f.missing}
    assert not left


SILENCE = {
    "hose-rating": (("drop:rated",), ("drop:rated", "source.dead_head=1.9 bar(g)"), Level.WATCH),
    "dew-point": (("line.route.coldest=-1 degC", "line.route.exposed_length=5 m"), (), Level.WATCH),
    "blast-frost": (COLD_TANK, (*COLD_TANK, "site.air_temperature=25 degC"), Level.WATCH),
    "face-pressure": (("source.flow=150 L/min", "source.dead_head=8 bar(g)"), (), Level.WATCH),
    "duty": (("drop:duty",), (), Level.NOTE),
}
"""Settings under which silence is a finding, settings of the same kind under which it is none, and the level."""


@pytest.mark.parametrize("rule", SILENCE)
def test_silence_is_a_finding_where_a_hazard_is_in_sight(rule: str) -> None:
    in_sight, calm, level = SILENCE[rule]
    found = finding(rule, *in_sight)
    assert (found.state, found.level) == ("fails", level)
    assert found.missing
    assert all(key in found.remedy for key in found.missing)
    assert finding(rule, *calm).state in ("not judged", "passes")
    settled = finding(rule, *in_sight, *stated(found.missing))
    assert (settled.state in ("passes", "fails"), settled.missing) == (True, ())


def test_frost_by_the_air_of_the_site_counts_where_no_route_is_stated() -> None:
    assert finding("dew-point", "site.air_temperature=-5 degC").state == "fails"
    assert finding("dew-point", "site.air_temperature=1 degC").state == "not judged"
    frosty = (*COLD_TANK, "site.air_temperature=-5 degC")
    assert [finding(r, *frosty).state for r in ("dew-point", "blast-frost")] == ["fails", "not judged"]  # one fact, told once


def test_the_note_on_a_motor_without_a_rating_tells_how_long_it_runs() -> None:
    found = finding("duty", "drop:duty")
    assert isinstance(found.outcome, Missing)
    assert found.outcome.words == "the motor runs 1.67 % of the time, 30 s in the worst 10 min; nobody has stated source.duty"


def test_findings_come_worst_first() -> None:
    found = findings(*THIN, "line.hose.rated_pressure=2 bar(g)", "line.schedule.interval=10 min")
    levels = [f.level for f in found if f.state == "fails"]
    assert levels == sorted(levels, reverse=True)
    assert levels[0] == Level.STOP


def test_a_limit_set_in_the_scenario_is_used_and_said() -> None:
    found = finding("hose-length", "line.hose.length=12 m", "limits.hose-length=15 m")
    assert found.state == "passes"
    assert found.limit_set


@pytest.mark.parametrize(
    ("setting", "says"),
    [
        ("dead-end=2.5 bar(a)", '"2.5 bar(a)" is absolute; this limit is what a gauge reads'),
        ("dead-end=2.5 bar", "does not say gauge or absolute"),
        ("dead-end=-1 bar(g)", "is out of range; allowed: 0 to 100 bar(g)"),
        ("delivery-time=5", "5 is out of range; allowed: 0 to 100 %"),
        ("delivery-time=-5 %", "is out of range"),
        ("live-share=120 %", "is out of range"),
        ("hose-length=-3 m", "is out of range; allowed: 0 to 1000 m"),
        ("stand-off=-5 mm to 20 mm", "is out of range"),
        ("stand-off=20 mm to 5 mm", "the first figure must be the smaller"),
        ("recovery=-1", "is out of range"),
        ("excursion=-1 mg/L", "is out of range"),
        ("starts=-1 per hour", "is out of range"),
        ("hold-off-usual=-1 s", "is out of range"),
    ],
)
def test_a_limit_keeps_the_units_and_the_bounds_of_an_input(setting: str, says: str) -> None:
    with pytest.raises(ScenarioError) as caught:
        findings(f"limits.{setting}")
    assert says in str(caught.value)


def test_every_default_limit_is_one_that_may_be_set() -> None:
    rules = [r for r in rule_book().values() if r.limit]
    assert len(rules) > 20
    for r in rules:
        assert parse_override(r.id, r.limit) == r.default_limit()


def test_every_rule_says_what_its_limit_is() -> None:
    types = {float: "float", tuple: "Range", type(None): "None"}
    for r in rule_book().values():
        assert r.function.__annotations__["limit"] == types[type(r.default_limit())], r.id


def test_a_limit_in_gauge_pressure_is_taken_as_it_stands() -> None:
    assert parse_override("dead-end", "2.5 bar(g)") == pytest.approx(2.5e5)


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


def test_a_dew_point_that_only_drips_is_a_note_and_in_frost_without_a_drain_it_stops() -> None:
    assert finding("dew-point", *WET, "line.route.coldest=12 degC").level == Level.NOTE
    assert finding("dew-point", *WET, "line.route.low_drain=no").level == Level.STOP


def test_a_sag_is_to_be_mended_only_where_it_freezes() -> None:
    assert finding("sag", *AIR, "line.route.sag=0.6 m", "line.route.coldest=4 degC").level == Level.WATCH


def test_a_dead_end_is_a_note_where_the_rule_does_not_apply() -> None:
    for where in ("pressure.regime=EU", "pressure.regime=other"):
        found = finding("dead-end", "line.head.within_reach=yes", where)
        assert (found.state, found.level) == ("fails", Level.NOTE)


def test_the_relief_valve_counts_for_the_hose() -> None:
    weak = ("line.hose.rated_pressure=2.5 bar(g)", "pressure.regime=UK")
    assert finding("hose-rating", *weak, "pressure.relief=2 bar(g)").state == "passes"
    assert finding("hose-rating", *weak, "pressure.relief=2.4 bar(g)").state == "fails"  # it rises 10 % above its setting


def test_a_private_supply_may_drop_more() -> None:
    long = (*FED, "supply.cable_length=600 m")
    assert finding("supply-run-drop", *long).state == "fails"
    assert finding("supply-run-drop", *long, "supply.network=private").state == "passes"


def test_a_valve_that_opens_without_power_has_no_safe_wiring() -> None:
    found = finding("contact-on-loss", *WIRED, "line.contact.load=normally-open valve", "line.contact.terminal=NC")
    assert (found.state, found.level) == ("fails", Level.FIX)
    assert found.fact is not None
    assert "no wiring of this valve is safe" in found.fact.found


def test_silence_on_the_contact_is_no_pass() -> None:
    for rule in ("contact-welded", "suppression", "contact-rating"):
        assert finding(rule, *WIRED).state == "fails"


SWITCHED = (*RECEIVER, "source.compressor_starts=at cut-in", "source.volume=200 L", "source.duty=S3 60 %")


def test_duty_counts_the_run_from_cut_in_to_cut_out_of_a_pressure_switch() -> None:
    """200 L over 1.5 bar at 35 L/min takes more than eight minutes on end, however few the blasts that emptied it."""
    long = finding("duty", *SWITCHED)
    assert (long.state, long.level) == ("fails", Level.FIX)
    assert long.margin is not None
    assert float(long.margin.quantity.value) > 200 / 35 * 1.5 * 60 * 0.95
    lone = finding("duty", *SWITCHED, "source.volume=24 L")
    d = designed(*SWITCHED, "source.volume=24 L")
    assert lone.margin is not None
    assert lone.margin.quantity.id == "source.run_in_window"
    run = d.number("source.recovery_time") + d.number("schedule.blast")  # the longest of all walls, started early in the blast
    assert d.number("source.refill_time") == pytest.approx(run, rel=0.05)
    assert finding("duty", *SWITCHED, "source.volume=24 L").state == "passes"  # the remedy
    assert finding("duty", *SWITCHED, "source.compressor_starts=with the blast").state == "passes"


@pytest.mark.parametrize(
    ("settings", "left"),
    [
        (HIGH, 0.84),
        (("source.warmest=56 degC",), 0.8),
        (("site.air_temperature=48 degC", "site.altitude=2000 m"), 0.8),
        (("site.pressure=0.7375 bar(a)",), 0.84),  # the pressure at 2600 m
        (("source.warmest=60 degC", "site.altitude=9000 m"), 0.0),
    ],
)
def test_thin_and_hot_air_leave_less_of_the_rating(settings: tuple[str, ...], left: float) -> None:
    found = finding("motor-derated", *settings)
    assert found.state == "fails"
    assert found.margin is not None
    assert float(found.margin.quantity.value) == pytest.approx(left, abs=2e-3)
    assert finding("motor-derated", *settings, "source.derated=yes").state == "passes"


@pytest.mark.parametrize("settings", [("site.altitude=1000 m",), ("source.warmest=40 degC",), ("site.pressure=0.9 bar(a)",)])
def test_a_rating_holds_to_1000_metres_and_40_degrees(settings: tuple[str, ...]) -> None:
    assert finding("motor-derated", *settings).state == "not applicable"


@pytest.mark.parametrize(
    ("regime", "act", "limit", "level"),
    [
        ("EU", "2003/10/EC", 80, 78.1),
        ("UK", "SI 2005/1643", 80, 78.1),
        ("UK", "SR 2006/1", 80, 78.1),
        ("US", "29 CFR 1910.95", 85, 66.4),
        ("other", "common practice", 80, 78.1),
        ("", "common practice", 80, 78.1),
    ],
)
def test_the_dose_is_held_against_the_law_of_the_site(regime: str, act: str, limit: float, level: float) -> None:
    """95.9 dB(A) for 480 s of eight hours: 17.8 dB less by equal energy, 29.5 dB less by 5 dB for half the time."""
    where = (f"pressure.regime={regime}",) if regime else ()
    found = finding("noise-dose", "line.noise.compressor_level=95.9", "line.noise.presence=8 h", *where)
    assert act in found.remedy
    assert found.margin is not None
    assert found.margin.nearest_limit() == limit
    assert float(found.margin.quantity.value) == pytest.approx(level, abs=0.1)
    loud = finding("noise-dose", "line.noise.compressor_level=116", "line.noise.presence=8 h", *where)
    assert loud.state == "fails"


@pytest.mark.parametrize(
    ("material", "state"), [("polyamide", "fails"), ("pvc", "fails"), ("rubber", "not applicable"), ("", "not judged")]
)
def test_a_hose_of_known_material_is_derated_by_the_air_of_the_site(material: str, state: str) -> None:
    made_of = (f"line.hose.material={material}",) if material else ()
    settings = (*made_of, "line.hose.rated_pressure=3.5 bar(g)", "site.air_temperature=38 degC")
    found = finding("hose-warm", *settings)
    assert (found.state, found.level if state == "fails" else Level.WATCH) == (state, Level.WATCH)
    better = finding("hose-warm", *settings, "line.hose.rated_pressure=5 bar(g)")
    assert better.state == ("passes" if state == "fails" else state)
    assert finding("hose-warm", *settings, "site.air_temperature=20 degC").state == (
        "not judged" if material != "rubber" else state
    )


def test_a_relief_valve_is_compared_with_the_peak_of_a_flooded_hose() -> None:
    flooded = (
        "line.head.check_valve=none",
        "line.head.depth=3 m",
        "line.hose.bore=6 mm",
        "source.flow=40 L/min",
        "pressure.regime=UK",
    )
    d = designed(*flooded, "pressure.relief=2 bar(g)")
    steady, peak = d.number("source.gauge_pressure"), d.number("source.peak_gauge")
    between, above = (f"pressure.relief={p / 1e5:.4f} bar(g)" for p in ((steady + peak) / 2, 1.02 * peak))
    assert finding("relief", *flooded, between).state == "fails"
    assert finding("relief", *flooded, above).state == "passes"
