"""What ``check --detail`` shows below the first screen: plain characters, readable without colour."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from purgecalc.reports.page import Page, Text, folded, hanging
from purgecalc.reports.palette import LEVEL_STYLES
from purgecalc.reports.rows import Row
from purgecalc.reports.sketch import drawn
from purgecalc.reports.summary import LineSummary, Summary
from purgecalc.rules import Finding, Missing, not_judged
from purgecalc.units import show
from purgecalc.wording import sentence

MARKS = {"STOP": "!!", "FIX": "!", "WATCH": "~", "NOTE": "-"}


def print_detail(page: Page, summary: Summary) -> None:
    """Everything that the first screen leaves out."""
    many = len(summary.lines) > 1
    _findings(page, summary)
    _passes(page, summary)
    _without_data(page, summary)
    for line in summary.lines:
        _line(page, line, summary.system, many=many)
        print_strips(page, line)
    print_list(page, "Answer on site before commissioning", tuple(f.question for f in summary.questions.facts))
    print_list(page, "Regulations to check (not legal advice)", summary.pointers)
    print_list(page, "Set on the command line", summary.overrides)
    print_list(page, "Assumed values (not in the scenario)", summary.defaults)


def print_curve(page: Page, line: str, t_hold: Iterable[float], bias: Iterable[float]) -> None:
    """The bias left at release against hold-off."""
    page.print()
    page.print(Text(f"Bias left at release against hold-off, {line}"))
    for t, b in zip(t_hold, bias, strict=True):
        page.print(Text(f"  {show(t, 'time'):>9}  {show(b, 'concentration'):>12}"))


def print_words(page: Page, words: str) -> None:
    """A paragraph."""
    page.print()
    hanging(page, words, "")


WIPE_DAYS = (0, 1, 3, 7)


def print_wipe_sheet(page: Page) -> None:
    """Blank form of the two-wipe test, which measures the fouling rate that every figure on interval and wiping rests on."""
    page.print()
    hanging(page, "Two-wipe test, to be filled in: purge off, wipe on day 0, then read, wipe and read again", "")
    page.print(Text("  day  before wipe  after wipe  before - after  per day"))
    for day in WIPE_DAYS:
        page.print(Text(f"  {day:>3}  {'_' * 11}  {'_' * 10}  {'_' * 14}  {'_' * 7 if day else '-'}"))
    hanging(page, "Take the probe out of control while its purge is off. The steepest rate goes into fouling.bias_rate.", "  ")


def _line(page: Page, line: LineSummary, system: str, *, many: bool) -> None:
    page.print()
    if many:
        hanging(page, f"{line.name}: {line.description}; {line.settings}", "")
    hanging(page, sentence(line.advice), "")
    rows = (*(line.ten if many else ()), *line.rows)
    if rows:
        page.print()
    for row in _figures(rows, page.width) if rows else ():
        page.print(row)


def print_strips(page: Page, line: LineSummary) -> None:
    """The pressure budget as bars, and one cycle with the reading beneath."""
    page.print()
    page.print(Text(line.budget_title))
    for row in _bars(line, page.width):
        page.print(row)
    page.print()
    hanging(page, f"One cycle: {line.cycle.text}", "")
    hanging(page, line.cycle.key, "")
    for drawing in drawn(line.cycle, page.width):
        page.print(Text(drawing))


def _figures(rows: tuple[Row, ...], width: int) -> Iterator[Text]:
    """Labels and values are never shortened; remarks and limits fold into what is left."""
    label, value = (max(len(getattr(r, f)) for r in rows) for f in ("label", "value"))
    limit = max(len(_marked(r)) for r in rows)
    room = min(width, 100) - label - value - 7
    beside = room - limit - 2 >= 18
    for row in rows:
        text = row.remark if beside else "; ".join(t for t in (row.remark, _marked(row)) if t)
        for i, part in enumerate(folded(text, room - limit - 2 if beside else max(12, room))):
            out = Text(f"  {row.label if i == 0 else '':<{label}}  ")
            out.append(f"{row.value if i == 0 else '':<{value}}", style="bold" if row.state == "fails" else "")
            tail = f"  {part:<{room - limit - 2}}  {_marked(row)}" if beside and i == 0 else f"  {part}"
            out.append(tail)
            out.rstrip()
            yield out


def _marked(row: Row) -> str:
    """The limit, with a mark that needs no colour where it is broken."""
    return f"{row.limit} <<".strip() if row.state == "fails" else row.limit


def _bars(line: LineSummary, width: int) -> Iterator[Text]:
    label = max(len(b.label) for b in line.budget)
    number = max(len(b.text) for b in line.budget)
    room = max(10, width - label - number - 8)
    for bar in line.budget:
        length = max(1, round(bar.share * room))
        yield Text(f"  {bar.label:<{label}}  {bar.text:>{number}}  {'#' * length}")


def _findings(page: Page, summary: Summary) -> None:
    shown = [f for f in summary.findings if f.state in ("fails", "waived")]
    if not shown:
        return
    page.print()
    page.print(Text("Findings, worst first"))
    for finding in shown:
        _finding(page, finding, summary.system, many=len(summary.lines) > 1)


def _finding(page: Page, finding: Finding, system: str, *, many: bool) -> None:
    name = finding.level.name
    tag = "waived" if finding.state == "waived" else f"{name} {MARKS[name]}"
    where = f" [{finding.line}]" if many and finding.line else ""
    lines = folded(f"{finding.rule.id}{where}: {found(finding, system)}", page.width, f"  {tag:<8} ", " " * 11)
    head = Text(lines[0])
    if finding.state == "fails":
        head.stylize(LEVEL_STYLES[name], 2, 11)
    page.print(head)
    for line in lines[1:]:
        page.print(Text(line))
    if finding.state == "waived":
        hanging(page, f"accepted: {finding.waived_because}", " " * 11)
        return
    hanging(page, finding.reason, " " * 11)
    hanging(page, finding.remedy, " " * 11 + "-> ", " " * 14)


def found(finding: Finding, system: str = "si") -> str:
    """What was found against what is wanted, in a line, with the depth that decides where it is not the normal one."""
    where = f"; {finding.where}" if finding.where else ""
    if isinstance(finding.outcome, Missing):
        return finding.outcome.words + where
    if finding.fact is not None:
        text = finding.fact.found if finding.fact.holds else f"{finding.fact.found}; wanted: {finding.fact.wanted}"
        return text + where
    margin = finding.margin
    assert margin is not None
    value, limit = margin.texts(system)
    said = ", set in the scenario" if finding.limit_set else ""
    return f"{margin.quantity.title[:1].lower()}{margin.quantity.title[1:]} {value}, {limit}{said}{where}"


def _passes(page: Page, summary: Summary) -> None:
    page.print()
    page.print(Text("Passed"))
    for finding in summary.findings:
        if finding.state == "passes":
            where = f" [{finding.line}]" if len(summary.lines) > 1 and finding.line else ""
            _indented_row(page, f"{finding.rule.id}{where}", found(finding, summary.system))
    absent = [f.rule.id for f in summary.findings if f.state == "not applicable"]
    if absent:
        _indented_row(page, "not applicable", ", ".join(dict.fromkeys(absent)))


def _without_data(page: Page, summary: Summary) -> None:
    """Every rule that nobody's figures let judge, with what would settle it, and every figure without a meaning."""
    many = len(summary.lines) > 1
    for title, found in (
        ("Not judged, and what would settle it", [(f, ", ".join(f.missing)) for f in not_judged(summary.findings)]),
        ("Void: of no meaning while another rule is broken", [(f, f.voided_by) for f in summary.findings if f.state == "void"]),
    ):
        if found:
            page.print()
            page.print(Text(title))
        for f, words in found:
            _indented_row(page, f"{f.rule.id}{f' [{f.line}]' if many and f.line else ''}", words)


def _indented_row(page: Page, left: str, right: str) -> None:
    hanging(page, right, f"  {left:<17} ", " " * 20)


def print_list(page: Page, title: str, items: tuple[str, ...]) -> None:
    """A titled list; nothing where it is empty."""
    if items:
        page.print()
        page.print(Text(title))
    for item in items:
        hanging(page, item, "  - ", "    ")
