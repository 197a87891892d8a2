"""The sizing screen: which hose, source, schedule and head, what clears each finding, and what is proposed."""

from __future__ import annotations

import math
from collections.abc import Iterable

from purgecalc.references import COMMON_PRACTICE
from purgecalc.reports.basis import mark
from purgecalc.reports.page import Page, Text, hanging
from purgecalc.reports.palette import LEVEL_STYLES
from purgecalc.reports.terminal import MARKS, found
from purgecalc.rules import Finding
from purgecalc.shown import DOWN, UP
from purgecalc.studies.head_size import HeadStudy
from purgecalc.studies.hose_table import USUAL, HoseRow, HoseTable
from purgecalc.studies.levers import HOLD_LIMIT, TROUBLE
from purgecalc.studies.proposal import Proposal
from purgecalc.studies.remedies import Remedies, Remedy
from purgecalc.studies.schedule import USUAL_INTERVAL, ScheduleStudy, Setting
from purgecalc.studies.search import Key
from purgecalc.studies.size import Sized
from purgecalc.studies.source_size import Smallest
from purgecalc.units import show

PRACTICE = mark(COMMON_PRACTICE.at().basis)
AXIS_NAMES = {"schedule.interval": "interval", "schedule.blast": "blast", "schedule.hold_off": "hold-off"}
SOURCE_WORDS = {
    "source.flow": "flow",
    "source.displacement": "displacement",
    "source.volume": "receiver",
    "source.cut_in": "cut-in, the band as wide as now",
}
FRONT_SHOWN = 6
LONG_ALL_THE_SAME = (
    "Fouling is not described ([line.fouling]), and no interval up to the usual 30 min passes the other rules: state what "
    "grows, or wipe and read, before setting so long an interval."
)
SHORT_ALL_THE_SAME = (
    "Fouling is not described ([line.fouling]), and no blast as long as now passes the other rules: wipe "
    "and read, to see that the shorter one still cleans."
)
NO_GROWTH = (
    "Fouling is not described ([line.fouling]), so no interval beyond the usual 30 min is recommended and no shorter blast "
    f"{PRACTICE}."
)


def print_size(page: Page, sized: Sized, system: str) -> None:
    """Print all parts that were worked out."""
    edges = "; ".join(f"{rule} {show(share, 'fraction')}" for rule, share in sized.closest)
    _title(page, f"How close to the edge, of what passes (share of the limit used): {edges}")
    if sized.hose is not None:
        _hose(page, sized.hose, sized.line, system)
    if sized.source:
        _source(page, sized.source, sized.line, system)
    if sized.schedule is not None:
        _schedule(page, sized.schedule, sized.proposal, system)
    if sized.head is not None:
        _head(page, sized.head, system)
    if sized.remedies:
        _title(page, "What clears the findings, easiest change first (each worked out and judged)")
    for remedy in sized.remedies:
        _remedy(page, remedy, system)
    _proposal(page, sized.proposal)


def _title(page: Page, text: str) -> None:
    page.print()
    hanging(page, text, "")


def _length(value: float, system: str) -> str:
    """A longest length, rounded down: the figure shown must itself pass."""
    if math.isnan(value):
        return "none"
    if math.isinf(value):
        return "any"
    return show(value, "length", system, toward=DOWN)


def _hose(page: Page, table: HoseTable, mine: str, system: str) -> None:
    _title(page, "Which hose: the longest at which every rule passes, with this source, head and depth")
    page.print(Text(f"    {'bore':<9} {'longest':<10} ended by"))
    for row in table.rows:
        mark = "*" if row.fitted else " "
        ended = row.limit if row.limit else "nothing looked at"
        if row.shortest > 1.001 * table.start:
            ended += f"; no shorter than {show(row.shortest, 'length', system, toward=UP)}"
        tail = _fitted(table, row, system) if row.fitted else ""
        columns = f"{show(row.bore, 'length', system):<9} {_length(row.longest, system):<10} {ended}{tail}"
        hanging(page, columns, f"  {mark} ", " " * 24)
    hanging(page, _statement(table.fitted, system), "  ")
    if all(math.isnan(row.longest) for row in table.rows):
        hanging(page, "No stock bore works at any length: something else than the hose is to be changed.", "  ")
    else:
        hanging(page, f"Smallest bore for {_smallest(table, system)}.", "  ")
    if table.apart:
        hanging(page, f"Not the hose's doing: {_apart(table.apart, mine)}.", "  ")


def _smallest(table: HoseTable, system: str) -> str:
    return "; ".join(
        f"{show(length, 'length', system)}{' (fitted)' if length == table.fitted_length else ''}: "
        f"{show(row.bore, 'length', system) if row else 'none'}"
        for length, row in table.lengths()
    )


def _fitted(table: HoseTable, row: HoseRow, system: str) -> str:
    fits = row.shortest <= table.fitted_length <= row.longest
    return f"  ({show(table.fitted_length, 'length', system)} fitted{'' if fits else ', does not pass <<'})"


def _statement(row: HoseRow, system: str) -> str:
    bore, usual = show(row.bore, "length", system), show(USUAL, "length", system)
    if math.isnan(row.longest):
        return f"With {bore} bore no length works here ({row.limit}); {usual} is usual {PRACTICE}."
    if row.shortest > USUAL:
        verdict = f"at the usual {usual} another rule fails"
    elif row.longest < USUAL:
        verdict = f"the usual {usual} is too much for this bore"
    else:
        verdict = f"the usual {usual} is on the safe side, and beyond it is outside common practice all the same"
    return f"For {bore} bore and this source the longest is {_length(row.longest, system)}: {verdict} {PRACTICE}."


def _source(page: Page, sizes: tuple[Smallest, ...], mine: str, system: str) -> None:
    _title(page, "Which source: the smallest that works on this line, one figure at a time")
    for s in sizes:
        kind = "gauge pressure" if s.given.state == "gauge" else s.given.kind
        name, now = (
            SOURCE_WORDS.get(s.given.id, "flow of the first point of the curve, the others in proportion"),
            show(float(s.given.value), kind, system),
        )
        if math.isnan(s.size):
            hanging(page, f"{name}, now {now}: no size looked at works alone ({s.limit})", "  ", "    ")
            continue
        apart = f"; also failing, not caused by the source: {_apart(s.apart, mine)}" if s.apart else ""
        ended = f"below it {s.limit} fails" if s.limit else "the smallest looked at"
        least = show(s.size, kind, system, toward=UP)
        bounds = f"{least} at least"
        if not s.open_ended:
            bounds = f"{least} to {show(s.largest, kind, system, toward=DOWN)}, beyond which other rules fail"
        passes = s.size <= float(s.given.value) <= s.largest
        hanging(page, f"{name}: {bounds} (now {now}{'' if passes else ', does not pass <<'}); {ended}{apart}", "  ", "    ")


def _apart(keys: Iterable[Key], mine: str) -> str:
    """Rules left aside, with the line where it is another."""
    return ", ".join(dict.fromkeys(rule if line in ("", mine) else f"{rule} ({line})" for rule, line in keys))


def _setting(s: Setting) -> str:
    interval, blast, hold = (show(t, "time") for t in (s.interval, s.blast, s.hold_off))
    return f"interval {interval}, blast {blast}, hold-off {hold}"


def _result(s: Setting, system: str) -> str:
    bias = "" if s.bias is None else f", bias {show(s.bias, 'concentration', system)} at the wipe"
    return f"live {show(s.live, 'fraction')}{bias}, compressor {s.hours:.0f} h a year"


def _schedule(page: Page, s: ScheduleStudy, p: Proposal, system: str) -> None:
    _title(page, "Which schedule: round settings judged by all rules together")
    if s.best is None:
        blockers = ", ".join(s.blockers)
        hanging(page, f"No setting tried passes every rule; in the way: {blockers}. Now: {_setting(s.present)}.", "  ")
        return
    same = s.best == s.present
    name = "Proposed, as now" if same else "Proposed"
    still = f"; no setting tried passes {', '.join(s.breaks)}" if s.breaks else ""
    hanging(page, f"{name}: {_setting(s.best)}: {_result(s.best, system)}{still}", "  ", "    ")
    if not same:
        broken = f"; breaks {', '.join(s.present_breaks)}" if s.present_breaks else ""
        hanging(page, f"Now: {_setting(s.present)}: {_result(s.present, system)}{broken}", "  ", "    ")
    if s.reserve is not None:
        used = f"nearest limit {s.reserve.nearest}, {show(s.reserve.used, 'fraction')} used"
        hanging(page, f"Most reserve: {_setting(s.reserve)}: {_result(s.reserve, system)}; {used}", "  ", "    ")
    if s.timer_follows and not any(c.lever is HOLD_LIMIT for c in p.changes):
        hanging(page, "Set the timer that ends a hold (longest_hold) anew with it: longest-hold fails as it stands.", "  ")
    if all(s.bands):
        ends = [f"{w} {_ends(*b)}" for w, b in zip(AXIS_NAMES.values(), s.bands, strict=True) if b]
        hanging(page, f"Each passes, the other two as proposed: {'; '.join(ends)}", "  ", "    ")
    hanging(page, f"Nearest limit: {s.best.nearest}, {show(s.best.used, 'fraction')} of it used. One step to either side:", "  ")
    for n in s.neighbours:
        why = f"breaks {n.breaks}" if n.breaks else f"passes; nearest limit {n.nearest}, {show(n.used, 'fraction')} used"
        hanging(page, f"{AXIS_NAMES[n.axis]} {show(n.value, 'time')}: {why}", "    - ", "      ")
    _front(page, s, system)
    if not s.growth_known:
        long, short = s.best.interval > USUAL_INTERVAL, s.best.blast < s.present.blast
        hanging(page, LONG_ALL_THE_SAME if long else SHORT_ALL_THE_SAME if short else NO_GROWTH, "  ")


def _ends(low: float, high: float) -> str:
    return f"only {show(low, 'time')}" if low == high else f"{show(low, 'time')} to {show(high, 'time')}"


def _front(page: Page, s: ScheduleStudy, system: str) -> None:
    if len(s.front) < 2:
        return
    shown = s.front if len(s.front) <= FRONT_SHOWN else [s.front[round(i * (len(s.front) - 1) / 5)] for i in range(FRONT_SHOWN)]
    hanging(page, "No setting beats these in live share, bias and compressor hours together (least hold-off, no reserve):", "  ")
    for setting in dict.fromkeys(shown):
        hanging(page, f"{_setting(setting)}: {_result(setting, system)}", "    - ", "      ")


def _head(page: Page, h: HeadStudy, system: str) -> None:
    _title(page, "Which head: four holes or more, so that one blocked leaves three quarters of the face served")
    now = h.present
    has = f"now {now.holes} x {show(now.diameter, 'length', system)}: {show(now.thrust_each, 'force', system)} a hole"
    if h.best is None:
        hanging(page, f"None of {h.looked_at} heads passes every rule and still cleans with a hole blocked ({has}).", "  ")
        return
    b = h.best
    words = (
        f"Strongest jets: {b.holes} x {show(b.diameter, 'length', system)}, {show(b.thrust_each, 'force', system)} a hole "
        f"({has}); jet thrust ratio {show(b.jet_thrust_ratio, 'ratio')}, with a hole blocked {show(b.blocked_ratio, 'ratio')}. "
        f"{h.passing} of {h.looked_at} heads pass."
    )
    hanging(page, words, "  ", "    ")


def _remedy(page: Page, r: Remedies, system: str) -> None:
    name = r.finding.level.name
    head = Text(f"  {name} {MARKS[name]} ")
    head.stylize(LEVEL_STYLES[name], 2, len(head.plain))
    first = len(page.lines)
    hanging(page, f"{r.finding.rule.id}: {found(r.finding, system)}", head.plain, "        ")
    page.lines[first].spans += head.spans
    if r.finding.fact is not None and not r.found:
        hanging(page, f"No change of a figure clears it. {r.finding.remedy}", "        ")
        return
    if not r.found:
        hanging(page, f"No single change within the range tried clears it. {r.finding.remedy}", "        ")
    for remedy in r.found:
        hanging(page, _change(remedy), "        -> ", "           ")
    if r.too_little:
        hanging(page, f"not enough, or at the cost of another rule: {', '.join(r.too_little)}", "        ", "          ")
    if r.no_effect:
        hanging(page, f"makes no difference: {', '.join(r.no_effect)}", "        ", "          ")


def _change(remedy: Remedy) -> str:
    more = f" ({remedy.next_size})" if remedy.next_size else ""
    trouble = TROUBLE[max(c.lever.trouble for c in remedy.changes)]
    clears = "; clears every finding to fix" if remedy.clears_all else ""
    return f"{'; '.join(c.words for c in remedy.changes)}: {remedy.effect}{more}; {trouble}{clears}"


def _proposal(page: Page, p: Proposal) -> None:
    _title(page, "Proposed")
    if not p.changes:
        hanging(page, "No change needed." if not p.left else "No change of a figure helps.", "  ")
    for c in p.changes:
        hanging(page, c.words, "  - ", "    ")
    if p.left:
        hanging(
            page, f"Left to fix: {_names(p.left)}. Every other change tried would break another rule, or helps nothing.", "  "
        )
    elif p.changes:
        hanging(page, "With these changes nothing is left to fix (worked out whole). Write it with -o sized.toml.", "  ")
    if p.watch:
        hanging(page, f"WATCH stays: {_names(p.watch)}.", "  ")
    for line in dict.fromkeys(f.line for f in p.elsewhere):
        rules = ", ".join(f.rule.id for f in p.elsewhere if f.line == line)
        hanging(page, f"On another line, {line}: {rules} to fix; size it with --line.", "  ")


def _names(findings: Iterable[Finding]) -> str:
    return ", ".join(dict.fromkeys(f.rule.id for f in findings))
