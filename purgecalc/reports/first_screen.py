"""The first screen: the verdict first and last, and between them what fits a window of 22 rows.

STOP tells what to do before any figure, FIX and WATCH their findings before the figures, PASS the settings and the figures.
Where rows run short the blank rows go first, then the heads, then figures from the least asked for; hose drop, delivery, air,
duty and hold-off always stay.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from purgecalc.reports.fitting import BARS_FROM, Block, fitted, row_of, rows_of
from purgecalc.reports.page import Page, Text, cut
from purgecalc.reports.palette import HEADLINES, LEVEL_STYLES
from purgecalc.reports.screen_figures import figures_told, table_of_lines
from purgecalc.reports.screen_findings import findings_told
from purgecalc.reports.summary import Summary
from purgecalc.reports.terminal import print_strips
from purgecalc.rules import Finding, Level, not_judged

ROWS = 22
"""Rows of the first screen: a window of 24 less the command and the next prompt."""
NARROW_ROWS = 40
"""The same where the screen is too narrow for a figure and its limit in one row."""
CAUTION = "Vent to zero first; local codes and licensed practice come first (--detail)"
SHORT_CAUTION = "Vent to zero first; local codes first"


def verdict_rows(summary: Summary) -> tuple[str, ...]:
    """The verdict in words, with counts and what is open on site; then shorter forms for narrow screens."""
    words, open_ = HEADLINES[summary.verdict], summary.questions.words
    counted = f"{words} ({summary.counts})" if summary.counts else words
    forms = (", ".join(filter(None, (counted, part))) for part in (open_, open_.split(" (")[0], ""))
    return (*dict.fromkeys(forms), words)


def print_first_screen(page: Page, summary: Summary, *, last: bool = True, height: int | None = None) -> None:
    """Print it; without ``last`` the closing verdict is left to what follows.

    A window of ``height`` rows, command and prompt among them, shows the strips of one line too where they fit.
    """
    head = _verdict(summary, page.width)
    room = (ROWS if page.width >= BARS_FROM else NARROW_ROWS) - len(head) - 1
    rows = fitted(tuple(_blocks(summary, page.width)), room)
    strips = _strips(summary, page.width) if height is not None else []
    if height is not None and len(head) + len(rows) + len(strips) + 1 <= height - 2:
        rows[-1:-1] = strips
    for row in (*head, *rows):
        page.print(row)
    if last:
        print_last_row(page, summary)


def _strips(summary: Summary, width: int) -> list[Text]:
    """Pressure bar and cycle of the one line there is."""
    page = Page(width)
    for line in summary.lines[: len(summary.lines) == 1]:
        print_strips(page, line)
        page.print()
    return page.lines


def print_last_row(page: Page, summary: Summary) -> None:
    """The verdict once more."""
    page.print(Text(_form(summary, page.width), style=LEVEL_STYLES[summary.verdict]))


def _form(summary: Summary, room: int) -> str:
    """The longest form of the verdict that fits."""
    forms = verdict_rows(summary)
    return next((form for form in forms if Text(form).cell_len <= room), cut(forms[-1], room))


def _verdict(summary: Summary, width: int) -> list[Text]:
    head = Text(_form(summary, width), style=LEVEL_STYLES[summary.verdict])
    room = width - head.cell_len - 2
    if room >= min(12, len(summary.title)):
        title = cut(summary.title, room)
        head.append(" " * (width - head.cell_len - Text(title).cell_len) + title, "bold")
        return [head]
    return [head, Text(cut(summary.title, width), style="bold")]


def _blocks(summary: Summary, width: int) -> Iterator[Block]:
    findings = tuple(findings_told(summary, width))
    lines = summary.lines
    yield from findings
    if findings:
        yield Block((Text(),), 90)
    if len(lines) == 1:
        told = (f"{cut(lines[0].name, width // 2)}: {lines[0].description}", lines[0].description)
        yield Block(row_of(told, width), 30)
        yield Block(rows_of(f"Set: {lines[0].settings}", width, "", "  "), 20)
        yield Block((Text(),), 91)
        yield from figures_told(lines[0].ten, width)
    else:
        yield from table_of_lines(summary, width)
    yield Block((Text(),), 92)
    yield from _closing(summary, width)


def _closing(summary: Summary, width: int) -> Iterator[Block]:
    failing = [f for f in summary.findings if f.state == "fails"]
    if not failing:
        n = sum(f.state == "passes" for f in summary.findings)
        yield Block(rows_of(f"Findings: none; {n} rules judged and passed", width, "", "  "), 25)
    if any(line.deciding for line in summary.lines):
        yield Block(rows_of("Each figure at the depth that decides it; others: --detail", width, "", "  "), 24)
    waived = [f.rule.id for f in summary.findings if f.state == "waived"]
    if waived:
        yield Block(rows_of(f"Accepted with a reason: {', '.join(dict.fromkeys(waived))}", width, "", "  "), 26)
    void = list(dict.fromkeys(f.rule.noun for f in summary.findings if f.state == "void"))
    if void:
        by = next(f.voided_by for f in summary.findings if f.state == "void")
        yield Block(rows_of(f"Void while {by} is broken: {', '.join(void)}", width, "", "  "), 27)
    silent = list({f.rule.id: f for f in reversed(not_judged(summary.findings))}.values())[::-1]
    if silent:
        yield Block(row_of(_not_judged(silent), width), 15)
    size = " Remedies: purgecalc size." if any(f.level >= Level.FIX for f in failing) else ""
    n = len(summary.defaults)
    assumed = f"Assumed: {n} value{'s' if n > 1 else ''}." if n else ""
    yield Block(
        row_of([f"{assumed}{size} More: {more}".strip() for more in ("--detail; purgecalc explain", "--detail")], width), 28
    )
    for i, words in enumerate(summary.moved):
        yield Block(rows_of(words, width, "", "  ", 2), 12 + i)
    if summary.overrides and not summary.moved:
        yield Block(row_of(_set_here([said.split(" (override")[0] for said in summary.overrides]), width), 14)
    yield Block(rows_of(CAUTION if width >= BARS_FROM else SHORT_CAUTION, width))


def _set_here(said: Sequence[str]) -> list[str]:
    """What was set on the command line, all of it or as much as there is room for."""
    head = "Set on the command line: "
    counts = range(len(said) - 1, 0, -1)
    return [
        head + ", ".join(said),
        *(f"{head}{', '.join(said[:n])} +{len(said) - n}" for n in counts),
        f"{head}{len(said)} values",
    ]


def _not_judged(silent: Sequence[Finding]) -> list[str]:
    """The two of highest level with what would settle them, and how many more; shorter forms for narrow screens."""
    keyed = [f"{f.rule.noun} ({f.missing[0]})" for f in silent[:2]]
    bare = [f.rule.noun for f in silent[:2]]
    more = [f" +{len(silent) - 2}"] if len(silent) > 2 else []
    return [f"Not judged: {', '.join(names)}{''.join(more)}" for names in (keyed, [keyed[0], *bare[1:]], bare)]
