"""What the check screen says, in which order, before anyone decides how it looks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from purgecalc.catalogue.probes import probe_kind
from purgecalc.design import Design
from purgecalc.reports.assumed import listed
from purgecalc.reports.cautions import CAUTIONS
from purgecalc.reports.plant import checklist, where_to_look
from purgecalc.reports.running_back import runs_back
from purgecalc.reports.sketch import Cycle, below, height
from purgecalc.reports.texts import text_of
from purgecalc.rules import Finding, Level, verdict
from purgecalc.scenario import ScenarioInputs
from purgecalc.units import show, span


@dataclass(frozen=True)
class Row:
    """One figure: label, value, remark, limit."""

    label: str
    value: str
    remark: str = ""
    limit: str = ""
    state: str = "passes"


@dataclass(frozen=True)
class Bar:
    """One part of the pressure budget."""

    label: str
    text: str
    share: float


@dataclass(frozen=True)
class LineSummary:
    """Everything the screen shows of one line."""

    name: str
    description: str
    advice: str
    rows: tuple[Row, ...]
    budget_title: str
    budget: tuple[Bar, ...]
    cycle: Cycle


@dataclass(frozen=True)
class Summary:
    """The whole screen."""

    title: str
    verdict: str
    counts: str
    lines: tuple[LineSummary, ...]
    findings: tuple[Finding, ...]
    defaults: tuple[str, ...]
    overrides: tuple[str, ...]
    shared: tuple[Row, ...] = ()
    """Figures of the source that several lines draw on: they belong to no line and are not to be added up."""
    system: str = "si"
    cautions: tuple[str, ...] = CAUTIONS
    checklist: tuple[str, ...] = ()
    pointers: tuple[str, ...] = ()


_KICK_SHOWN = 0.01  # of airflow; a smaller step at release is nothing to tell


def summarise(scenario: ScenarioInputs, designs: Sequence[Design], findings: Sequence[Finding], system: str = "si") -> Summary:
    """Choose what to show and word it."""
    lines = tuple(_line(d, [f for f in findings if f.line in ("", d.inputs.line)], system) for d in designs)
    return Summary(
        scenario.title,
        verdict(findings),
        counts(findings),
        lines,
        tuple(findings),
        tuple(listed(designs, "default")),
        tuple(listed(designs, "override")),
        shared_rows(designs, findings, system),
        system,
        checklist=checklist(designs),
        pointers=where_to_look(designs),
    )


def counts(findings: Sequence[Finding]) -> str:
    """ "1 to stop, 2 to fix, 1 note, 1 waived" """
    words = {Level.STOP: "stop", Level.FIX: "to fix", Level.WATCH: "to watch", Level.NOTE: "note"}
    parts = []
    for level, word in words.items():
        n = sum(f.state == "fails" and f.level == level for f in findings)
        if n:
            parts.append(f"{n} {word}{'s' if level == Level.NOTE and n > 1 else ''}")
    waived = sum(f.state == "waived" for f in findings)
    if waived:
        parts.append(f"{waived} waived")
    return ", ".join(parts)


def describe(d: Design, system: str = "si") -> str:
    """The line in one sentence."""
    t = {k: text_of(d[k], system) for k in ("hose.length", "hose.bore", "head.hole_diameter", "head.depth")}
    if "head.deepest" in d:
        t["head.depth"] = f"{text_of(d['head.deepest'], system)}, the greatest depth"
    holes = int(float(d["head.holes"].value))
    source = "direct source" if d.inputs.choice("source.kind") == "direct" else f"{text_of(d['source.volume'], system)} reservoir"
    return f"{source}, {t['hose.length']} of {t['hose.bore']} hose, {holes} x {t['head.hole_diameter']} head at {t['head.depth']}"


def _line(d: Design, findings: Sequence[Finding], system: str) -> LineSummary:
    by_rule = {f.rule.id: f for f in findings}
    kind = probe_kind(d.inputs.choice("probe.kind"))
    rows = tuple(r for make in ROWS for r in [make(d, by_rule, system)] if r is not None)
    gauge = text_of(d["source.gauge_pressure"], system)
    s = {k: float(d[f"schedule.{k}"].value) for k in ("freeze_lead", "blast", "hold_off", "interval")}
    live = show(s["interval"] - s["freeze_lead"] - s["blast"] - s["hold_off"], "time")
    lead = f"f frozen ahead {text_of(d['schedule.freeze_lead'])}   " if s["freeze_lead"] else ""
    legend = f"{lead}B blast {text_of(d['schedule.blast'])}   h hold-off {text_of(d['schedule.hold_off'])}   . live {live}"
    cycle = Cycle(s["freeze_lead"], s["blast"], s["hold_off"], s["interval"], legend, d.cycle)
    if d.cycle is not None:
        top = show(height(cycle), "concentration", system)
        cycle = replace(cycle, key=f"Reading beneath: _ at rest, then . - + # up to {top} above{below(cycle)}")
    return LineSummary(
        d.inputs.line,
        describe(d, system),
        " ".join(filter(None, (f"{kind.title}: {kind.advice}", runs_back(d)))),
        rows,
        f"Where the pressure goes, {gauge} at the source",
        _budget(d, system),
        cycle,
    )


def shared_rows(designs: Sequence[Design], findings: Sequence[Finding], system: str = "si") -> tuple[Row, ...]:
    """What the source does for all lines together; nothing where there is one line, whose own figures these are."""
    d = designs[0]
    if not _shares_source(d):
        return ()
    by_rule = {f.rule.id: f for f in findings if f.line in ("", d.inputs.line)}
    energy = (Row("Energy", text_of(d["source.energy_per_year"]), "a year, all lines"),) if "source.energy_per_year" in d else ()
    return (_source_duty(d, by_rule, system), *energy)


def _shares_source(d: Design) -> bool:
    return "source.others.1.duty_fraction" in d


def _budget(d: Design, system: str) -> tuple[Bar, ...]:
    parts = [
        ("depth", "water.depth_pressure"),
        ("head", "head.overpressure"),
        ("hose", "hose.pressure_drop"),
        ("check valve", "head.check_valve"),
        ("valve", "valve.pressure_drop"),
    ]
    total = float(d["source.gauge_pressure"].value)
    found = [(label, d[id]) for label, id in parts if id in d and float(d[id].value) > 0]
    return tuple(Bar(label, show(float(n.value), "pressure difference", system), float(n.value) / total) for label, n in found)


def _limit(by_rule: dict[str, Finding], id: str, system: str) -> tuple[str, str]:
    finding = by_rule.get(id)
    if finding is None or finding.margin is None:
        return "", "passes"
    return finding.margin.limit_text(system), finding.state


def _drop(d: Design, rules: dict[str, Finding], system: str) -> Row:
    share = text_of(d["hose.budget_share"])
    return Row("Hose pressure drop", text_of(d["hose.pressure_drop"], system), f"{share} of the source pressure")


def _delivery(d: Design, rules: dict[str, Finding], system: str) -> Row:
    limit, state = _limit(rules, "delivery-time", system)
    return Row(
        "Delivery time", text_of(d["blast.delivery_time"]), f"{text_of(d['blast.delivery_share'])} of the blast", limit, state
    )


def _air(d: Design, rules: dict[str, Finding], system: str) -> Row:
    energy = f", {text_of(d['line.energy_per_year'])} a year" if "line.energy_per_year" in d else ""
    return Row(
        "Air per blast", f"{text_of(d['blast.air_volume'], system)} free", f"{text_of(d['blast.air_per_day'], system)}{energy}"
    )


def _duty(d: Design, rules: dict[str, Finding], system: str) -> Row | None:
    return None if _shares_source(d) else _source_duty(d, rules, system)


def _source_duty(d: Design, rules: dict[str, Finding], system: str) -> Row:
    limit, state = _limit(rules, "duty", system)
    remark = f"of the time, by interval; {text_of(d['source.run_in_window'])} in any {text_of(d['source.duty_cycle'])}"
    return Row("Duty cycle", text_of(d["source.duty_fraction"]), remark, limit, state)


def _hold_off(d: Design, rules: dict[str, Finding], system: str) -> Row:
    finding = rules["hold-off"]
    spare = float(finding.margin.slack()) if finding.margin else 0.0
    words = f"{show(abs(spare), 'time')} {'to spare' if spare >= 0 else 'short'}"
    remark = f"{text_of(d['reading.hold_off_needed'])} needed{_basis(d)}"
    return Row("Hold-off", f"{text_of(d['schedule.hold_off'])} set", remark, words, finding.state)


def _basis(d: Design) -> str:
    """What the hold-off needed rests on where no bump is worked out."""
    if "reading.bump" in d:
        return ""
    return ", as timed" if "probe.timed_fall" in d else ": bubbles, mixing, t90; the height of the bump is not known"


def _live(d: Design, rules: dict[str, Finding], system: str) -> Row:
    limit, state = _limit(rules, "live-share", system)
    return Row("Reading live", text_of(d["reading.live_fraction"]), "of the time", limit, state)


def _jet(d: Design, rules: dict[str, Finding], system: str) -> Row:
    limit, state = _limit(rules, "jet-strength", system)
    low = f" ({text_of(d['low_water.jet_ratio'])} x at the least depth)" if "low_water.jet_ratio" in d else ""
    return Row(
        "Jet thrust", text_of(d["head.thrust"], system), f"{text_of(d['head.jet_ratio'])} x the reference jet{low}", limit, state
    )


def _flow(d: Design, rules: dict[str, Finding], system: str) -> Row:
    limit, state = _limit(rules, "source-rating", system)
    flow = f"{text_of(d['line.free_air_flow'], system)} free air{', as a blast from cut-in begins' if d.has_reservoir else ''}"
    return Row("Source pressure", text_of(d["source.gauge_pressure"], system), flow, limit, state)


def _reach(d: Design, rules: dict[str, Finding], system: str) -> Row:
    bore, fitted = text_of(d["hose.bore"], system), f"{text_of(d['hose.length'], system)} fitted"
    if not d.number("hose.longest"):
        return Row("Longest hose", "none", f"this source is too weak for any length of {bore} bore", fitted, "fails")
    state = _limit(rules, "hose-reach", system)[1]
    by = "by jet and source rating" if "source.rated_gauge" in d else "by jet alone"
    return Row("Longest hose", text_of(d["hose.longest"], system), f"{by}, {bore} bore; size asks all rules", fitted, state)


def _reservoir(d: Design, rules: dict[str, Finding], system: str) -> Row | None:
    if "source.end_pressure_gauge" not in d:
        return None
    ends = [text_of(d[f"source.end_pressure_{k}_gauge"], system) for k in ("adiabatic", "isothermal", "from_cut_in")]
    remark = f"after a blast from cut-out ({ends[0]} to {ends[1]} by heat from the wall); {ends[2]} from cut-in"
    return Row("Reservoir", text_of(d["source.end_pressure_gauge"], system), remark)


def _recovery(d: Design, rules: dict[str, Finding], system: str) -> Row | None:
    if "source.recovery_time" not in d:
        return None
    limit, state = _limit(rules, "recovery", system)
    before = "the next blast of this line, those of other lines not counted" if _shares_source(d) else "the next blast"
    remark = f"to cut-out, longest case; fits {text_of(d['source.recovery_reserve'])} times before {before}"
    return Row("Recovery", text_of(d["source.recovery_time"]), remark, limit, state)


def _excursion(d: Design, rules: dict[str, Finding], system: str) -> Row | None:
    if "loop.excursion" not in d:
        return None
    limit, state = _limit(rules, "excursion", system)
    remark = f"of oxygen while blind, load up {text_of(d['loop.load_step'])}"
    return Row("Excursion", text_of(d["loop.excursion"], system), remark, limit, state)


def _release(d: Design, rules: dict[str, Finding], system: str) -> Row | None:
    live, stepless = "loop.live_furthest" in d, d.inputs.choices.get("loop.tracking") == "yes"
    id = "loop.live_furthest" if live else "loop.furthest" if stepless else "loop.kick"
    if id not in d or (not live and abs(d.number(id)) < _KICK_SHOWN):
        return None
    when = ", the reading left live" if live else " after a takeover without a step" if stepless else " at once, by the bias left"
    moved = f"; oxygen then moves {text_of(d['loop.moved_simulated'], system)}" if "loop.moved_simulated" in d else ""
    id = "loop.kick_simulated" if id != "loop.kick" and "loop.kick_simulated" in d else id
    return Row("On the bump" if live else "At release", text_of(d[id]), f"of airflow{when}{moved}")


def _interval(d: Design, rules: dict[str, Finding], system: str) -> Row | None:
    if "interval.longest" not in d:
        return None
    low, high, chosen = (d.number(id) for id in ("interval.shortest", "interval.longest", "schedule.interval"))
    least, most = (show(t, "time", system, 2) for t in (low, high))
    state = "passes" if low <= chosen <= high else "fails"
    you = f"you chose {text_of(d['schedule.interval'])}"
    if low > high:
        return Row("Interval", "none will do", f"film wants {most} at most, the rest {least} at least; {you}", "", "fails")
    held = rules["hold-off"].state in ("fails", "waived") if "hold-off" in rules else False
    basis = " with the hold-off as set, which is too short" if held else ""
    return Row("Interval", span(low, high, "time", system, 2), f"will do{basis}; {you}", "", state)


ROWS = (
    _drop, _delivery, _air, _duty, _hold_off, _live, _excursion, _release, _interval, _jet, _flow, _reservoir, _recovery, _reach,
)  # fmt: skip
