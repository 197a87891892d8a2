"""The figures of a line on the check screen and in the note, a row each, with the rule that judges it."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from purgecalc.design import Design
from purgecalc.rules import Finding
from purgecalc.shown import text_of
from purgecalc.studies.margins import used_share
from purgecalc.working import Node

NO_MEANING = "void"
"""In place of a limit, where the figure has no meaning while another rule is broken."""
_KICK_SHOWN = 0.01  # of airflow; a smaller step at release is nothing to tell


@dataclass(frozen=True)
class Row:
    """One figure: label, value, remark, limit, the rule that judges it, and the share of the limit that is used."""

    label: str
    value: str
    remark: str = ""
    limit: str = ""
    state: str = "passes"
    rule: str = ""
    used: float | None = None


def shares_source(d: Design) -> bool:
    """Whether other lines draw on its source."""
    return "source.others.1.duty_fraction" in d


def _judged(by_rule: dict[str, Finding], id: str, node: Node, system: str) -> tuple[str, str, str]:
    """Text of a figure, its limit and state; both told apart where the rule judges this very figure."""
    finding = by_rule.get(id)
    if finding is None or finding.margin is None:
        return text_of(node, system), "", "passes"
    value, limit = finding.margin.texts(system)
    if finding.state == "void":
        return text_of(node, system), NO_MEANING, "void"
    return value if finding.margin.quantity is node else text_of(node, system), limit, finding.state


def air_state(d: Design) -> tuple[str, str]:
    """How amounts of air are told: as the flow of the source is stated, at the inlet or ANR. Ending of ids, and words."""
    flow = d.given("source.flow")
    state = flow.state if flow is not None else d.inputs.curve[0][1].state if d.inputs.curve else "inlet"
    return ("_actual", "at the inlet") if state == "inlet" else ("", "(ANR)")


def air_flow(d: Design, system: str = "si") -> str:
    """Flow of the blast, with the state it is told in."""
    ending, words = air_state(d)
    return f"{text_of(d['line.flow_inlet' if ending else 'line.flow_anr'], system)} {words}"


def _drop(d: Design, rules: dict[str, Finding], system: str) -> Row:
    share = text_of(d["hose.budget_share"])
    return Row("Hose pressure drop", text_of(d["hose.pressure_drop"], system), f"{share} of the source pressure")


def _delivery(d: Design, rules: dict[str, Finding], system: str) -> Row:
    share, limit, state = _judged(rules, "delivery-time", d["blast.delivery_share"], system)
    limit = f"{limit} of blast" if limit and state != NO_MEANING else limit
    return Row("Delivery time", text_of(d["blast.delivery_time"]), f"{share} of the blast", limit, state)


def _air(d: Design, rules: dict[str, Finding], system: str) -> Row:
    energy = f", {text_of(d['line.energy_per_year'])} a year" if "line.energy_per_year" in d else ""
    ending, words = air_state(d)
    remark = f"{words}; {text_of(d[f'blast.air_per_day{ending}'], system)}{energy}"
    return Row("Air per blast", text_of(d[f"blast.air_volume{ending}"], system), remark)


def _duty(d: Design, rules: dict[str, Finding], system: str) -> Row | None:
    return None if shares_source(d) else source_duty(d, rules, system)


def source_duty(d: Design, rules: dict[str, Finding], system: str) -> Row:
    """How much of the time the source runs, for all its lines."""
    run, limit, state = _judged(rules, "duty", d["source.run_in_window"], system)
    remark = f"{text_of(d['source.duty_fraction'])} of the time, by interval"
    return Row("Duty", f"{run} in {text_of(d['source.duty_window'])}", remark, limit, state)


def _hold_off(d: Design, rules: dict[str, Finding], system: str) -> Row:
    set_to, limit, state = _judged(rules, "hold-off", d["schedule.hold_off"], system)
    return Row("Hold-off", set_to, _basis(d), limit, state)


def _basis(d: Design) -> str:
    """What the hold-off needed rests on where no bump is worked out."""
    if "reading.bump" in d:
        return "after the blast"
    return "need as timed" if "probe.timed_fall" in d else "need of bubbles, mixing, t90; the height of the bump is not known"


def _live(d: Design, rules: dict[str, Finding], system: str) -> Row:
    share, limit, state = _judged(rules, "live-share", d["reading.live_share"], system)
    return Row("Live share", share, "of the time", limit, state)


def _jet(d: Design, rules: dict[str, Finding], system: str) -> Row:
    ratio, limit, state = _judged(rules, "jet-strength", d["head.jet_thrust_ratio"], system)
    return Row("Jet thrust ratio", ratio, f"{text_of(d['head.thrust'], system)} over 150 mN", limit, state)


def _flow(d: Design, rules: dict[str, Finding], system: str) -> Row:
    pressure, limit, state = _judged(rules, "source-rating", d["source.gauge_pressure"], system)
    flow = f"{air_flow(d, system)}{', as a blast from cut-in begins' if d.has_receiver else ''}"
    return Row("Source pressure", pressure, flow, limit, state)


def _length(d: Design, rules: dict[str, Finding], system: str) -> Row:
    length, limit, state = _judged(rules, "hose-length", d["hose.length"], system)
    return Row("Hose length", length, f"of {text_of(d['hose.bore'], system)} bore", limit, state)


def _receiver(d: Design, rules: dict[str, Finding], system: str) -> Row | None:
    if "source.end_pressure_gauge" not in d:
        return None
    ends = [text_of(d[f"source.end_pressure_{k}_gauge"], system) for k in ("adiabatic", "isothermal", "from_cut_in")]
    remark = f"after a blast from cut-out ({ends[0]} to {ends[1]} by heat from the wall); {ends[2]} from cut-in"
    return Row("Receiver", text_of(d["source.end_pressure_gauge"], system), remark)


def _recovery(d: Design, rules: dict[str, Finding], system: str) -> Row | None:
    if "source.recovery_time" not in d:
        return None
    reserve, limit, state = _judged(rules, "recovery", d["source.recovery_reserve"], system)
    before = "the next blast of this line, those of other lines not counted" if shares_source(d) else "the next blast"
    remark = f"to cut-out, longest case; fits {reserve} times before {before}"
    return Row("Recovery", f"{text_of(d['source.recovery_time'])}, {reserve} x", remark, f"{limit} x" if limit else "", state)


def _excursion(d: Design, rules: dict[str, Finding], system: str) -> Row | None:
    if "loop.excursion" not in d:
        return None
    excursion, limit, state = _judged(rules, "excursion", d["loop.excursion"], system)
    remark = f"of oxygen while held, load up {text_of(d['loop.load_step'])}"
    return Row("Excursion", excursion, remark, limit, state)


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
    ends, chosen = (d.most("interval.shortest"), d.least("interval.longest")), d["schedule.interval"].value
    (low, high), (least, most) = (e.value for e in ends), (text_of(e, system) for e in ends)
    state = "passes" if low <= chosen <= high else "fails"
    you = f"set: {text_of(d['schedule.interval'])}"
    if low > high:
        return Row("Interval", "none possible", f"fouling needs {most} or less, other rules {least} or more; {you}", "", "fails")
    held = rules["hold-off"].state in ("fails", "waived") if "hold-off" in rules else False
    basis = " with the hold-off as set, which is too short" if held else ""
    band = f"{least.removesuffix(most[most.index(' ') :])} to {most}"
    return Row("Interval", band, f"passes{basis}; {you}", "", state)


Maker = Callable[[Design, dict[str, Finding], str], Row | None]

TEN: tuple[tuple[Maker, str], ...] = (
    (_jet, "jet-strength"),
    (_flow, "source-rating"),
    (_drop, ""),
    (_delivery, "delivery-time"),
    (_air, ""),
    (_duty, "duty"),
    (_hold_off, "hold-off"),
    (_live, "live-share"),
    (_excursion, "excursion"),
    (_recovery, "recovery"),
    (_length, "hose-length"),
)
"""The figures of every screen and paper, in this order, each with the rule that judges it; a receiver has its recovery."""
MORE: tuple[tuple[Maker, str], ...] = ((_release, ""), (_interval, ""), (_receiver, ""))
"""What is told in detail only."""


def figures(
    d: Design, by_rule: dict[str, Finding], system: str = "si", makers: Sequence[tuple[Maker, str]] = (*TEN, *MORE)
) -> Iterator[Row]:
    """The rows of a line at its normal depth; where another depth decides, what is found there stands beside."""
    for row, there, where in _made(d, by_rule, system, makers):
        yield _with_corner(row, there, where) if where else row


def deciding(d: Design, by_rule: dict[str, Finding], system: str = "si") -> tuple[tuple[Row, ...], bool]:
    """The ten figures, each at the depth that decides it, and whether any is at another than the normal one."""
    made = list(_made(d, by_rule, system, TEN))
    rows = tuple(replace(there, rule=row.rule, used=row.used) if there is not None else row for row, there, _ in made)
    return rows, any(there is not None and there.value != row.value for row, there, _ in made)


def _made(
    d: Design, by_rule: dict[str, Finding], system: str, makers: Sequence[tuple[Maker, str]]
) -> Iterator[tuple[Row, Row | None, str]]:
    """Each row at the normal depth, and at the one that decides where that is another, which is told."""
    for make, rule in makers:
        row, finding = make(d, by_rule, system), by_rule.get(rule)
        if row is None:
            continue
        if finding is not None and finding.margin is not None and finding.state != "void":
            row = replace(row, rule=rule, used=float(used_share(finding.margin)))
        if finding is not None and finding.design is not None and finding.where:
            yield row, make(finding.design, by_rule, system), finding.where
        else:
            yield row, None, ""


def _with_corner(row: Row, there: Row | None, where: str) -> Row:
    if there is None or (there.value, there.remark) == (row.value, row.remark):
        return row
    told = there.remark if there.value == row.value else there.value
    return replace(row, remark=f"{row.remark}; {where}: {told}")
