"""The figures of a line on the check screen and in the note, a row each, with the rule that judges it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from purgecalc.design import Design
from purgecalc.reports.texts import text_of
from purgecalc.rules import Finding
from purgecalc.units import show, span

_KICK_SHOWN = 0.01  # of airflow; a smaller step at release is nothing to tell


@dataclass(frozen=True)
class Row:
    """One figure: label, value, remark, limit."""

    label: str
    value: str
    remark: str = ""
    limit: str = ""
    state: str = "passes"


def shares_source(d: Design) -> bool:
    """Whether other lines draw on its source."""
    return "source.others.1.duty_fraction" in d


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
    return None if shares_source(d) else source_duty(d, rules, system)


def source_duty(d: Design, rules: dict[str, Finding], system: str) -> Row:
    """How much of the time the source runs, for all its lines."""
    limit, state = _limit(rules, "duty", system)
    remark = f"of the time, by interval; {text_of(d['source.run_in_window'])} in any {text_of(d['source.duty_window'])}"
    return Row("Duty", text_of(d["source.duty_fraction"]), remark, limit, state)


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
    return Row("Reading live", text_of(d["reading.live_share"]), "of the time", limit, state)


def _jet(d: Design, rules: dict[str, Finding], system: str) -> Row:
    limit, state = _limit(rules, "jet-strength", system)
    ratio = f"{text_of(d['head.jet_thrust_ratio'])} x 150 mN"
    return Row("Jet thrust", text_of(d["head.thrust"], system), ratio, limit, state)


def _flow(d: Design, rules: dict[str, Finding], system: str) -> Row:
    limit, state = _limit(rules, "source-rating", system)
    flow = f"{text_of(d['line.flow_anr'], system)} free air{', as a blast from cut-in begins' if d.has_receiver else ''}"
    return Row("Source pressure", text_of(d["source.gauge_pressure"], system), flow, limit, state)


def _reach(d: Design, rules: dict[str, Finding], system: str) -> Row:
    bore, fitted = text_of(d["hose.bore"], system), f"{text_of(d['hose.length'], system)} fitted"
    if not d.number("hose.longest"):
        return Row("Longest hose", "none", f"this source is too weak for any length of {bore} bore", fitted, "fails")
    state = _limit(rules, "hose-reach", system)[1]
    by = "by jet and source rating" if "source.rated_gauge" in d else "by jet alone"
    return Row("Longest hose", text_of(d["hose.longest"], system), f"{by}, {bore} bore; size asks all rules", fitted, state)


def _receiver(d: Design, rules: dict[str, Finding], system: str) -> Row | None:
    if "source.end_pressure_gauge" not in d:
        return None
    ends = [text_of(d[f"source.end_pressure_{k}_gauge"], system) for k in ("adiabatic", "isothermal", "from_cut_in")]
    remark = f"after a blast from cut-out ({ends[0]} to {ends[1]} by heat from the wall); {ends[2]} from cut-in"
    return Row("Receiver", text_of(d["source.end_pressure_gauge"], system), remark)


def _recovery(d: Design, rules: dict[str, Finding], system: str) -> Row | None:
    if "source.recovery_time" not in d:
        return None
    limit, state = _limit(rules, "recovery", system)
    before = "the next blast of this line, those of other lines not counted" if shares_source(d) else "the next blast"
    remark = f"to cut-out, longest case; fits {text_of(d['source.recovery_reserve'])} times before {before}"
    return Row("Recovery", text_of(d["source.recovery_time"]), remark, limit, state)


def _excursion(d: Design, rules: dict[str, Finding], system: str) -> Row | None:
    if "loop.excursion" not in d:
        return None
    limit, state = _limit(rules, "excursion", system)
    remark = f"of oxygen while held, load up {text_of(d['loop.load_step'])}"
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
    low, high, chosen = (d.most("interval.shortest").value, d.least("interval.longest").value, d["schedule.interval"].value)
    least, most = (show(t, "time", system, 2) for t in (low, high))
    state = "passes" if low <= chosen <= high else "fails"
    you = f"you chose {text_of(d['schedule.interval'])}"
    if low > high:
        return Row("Interval", "none will do", f"fouling wants {most} at most, the rest {least} at least; {you}", "", "fails")
    held = rules["hold-off"].state in ("fails", "waived") if "hold-off" in rules else False
    basis = " with the hold-off as set, which is too short" if held else ""
    return Row("Interval", span(low, high, "time", system, 2), f"will do{basis}; {you}", "", state)


FIGURE_ROWS: tuple[tuple[Callable[[Design, dict[str, Finding], str], Row | None], str], ...] = (
    (_drop, ""),
    (_delivery, "delivery-time"),
    (_air, ""),
    (_duty, "duty"),
    (_hold_off, "hold-off"),
    (_live, "live-share"),
    (_excursion, "excursion"),
    (_release, ""),
    (_interval, ""),
    (_jet, "jet-strength"),
    (_flow, "source-rating"),
    (_receiver, ""),
    (_recovery, "recovery"),
    (_reach, "hose-reach"),
)
"""The rows, each with the rule that judges its figure."""


def figures(d: Design, by_rule: dict[str, Finding], system: str = "si") -> Iterator[Row]:
    """The rows of a line at its normal depth; where another depth decides, what is found there stands beside."""
    for make, rule in FIGURE_ROWS:
        row, finding = make(d, by_rule, system), by_rule.get(rule)
        if row is not None and finding is not None and finding.design is not None and finding.where:
            row = _with_corner(row, make(finding.design, by_rule, system), finding.where)
        if row is not None:
            yield row


def _with_corner(row: Row, there: Row | None, where: str) -> Row:
    if there is None or (there.value, there.remark) == (row.value, row.remark):
        return row
    told = there.remark if there.value == row.value else there.value
    return replace(row, remark=f"{row.remark}; {where}: {told}")
