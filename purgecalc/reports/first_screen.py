"""The first screen: the verdict first and last, and between them what fits a window of 22 rows.

STOP tells what to do before any figure, FIX and WATCH their findings before the figures, PASS the settings and the figures.
Where rows run short the blank rows go first, then the heads, then figures from the least asked for; hose drop, delivery, air,
duty and hold-off always stay.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from purgecalc.reports.page import Page, Text, cut, folded
from purgecalc.reports.palette import HEADLINES, LEVEL_STYLES
from purgecalc.reports.rows import NO_MEANING, Row
from purgecalc.reports.summary import LineSummary, Summary
from purgecalc.rules import Finding, Level, not_judged
from purgecalc.wording import sentence

ROWS = 22
"""Rows of the first screen: a window of 24 less the command and the next prompt."""
NARROW_ROWS = 40
"""The same where the screen is too narrow for a figure and its limit in one row."""
BARS_FROM, LIMITS_FROM = 72, 54
"""Columns from which bars are drawn, and from which a limit stands beside its figure."""
NAMED = 8
"""Findings to stop or fix told one by one; more are named in one row."""
LINES_SHOWN = 8
CAUTION = "Vent to zero first; local codes and licensed practice come first (--detail)"
SHORT_CAUTION = "Vent to zero first; local codes come first"
GOES_FIRST = ("Excursion", "Recovery", "Live share", "Source pressure", "Jet thrust ratio", "Hose length")
"""Figures that make room for findings, in this order."""


@dataclass(frozen=True)
class _Block:
    """Rows that stand together; those of a higher ``rank`` go first where rows run short, and 0 never goes."""

    rows: tuple[Text, ...]
    rank: int = 0


def verdict_rows(summary: Summary) -> tuple[str, ...]:
    """The verdict in words, with counts and what is open on site; then shorter forms for narrow screens."""
    words, open_ = HEADLINES[summary.verdict], summary.questions.words
    counted = f"{words} ({summary.counts})" if summary.counts else words
    forms = (", ".join(filter(None, (counted, part))) for part in (open_, open_.split(" (")[0], ""))
    return (*dict.fromkeys(forms), words)


def print_first_screen(page: Page, summary: Summary, *, last: bool = True) -> None:
    """Print it; without ``last`` the closing verdict is left to what follows."""
    head = _verdict(summary, page.width)
    room = (ROWS if page.width >= BARS_FROM else NARROW_ROWS) - len(head) - 1
    for row in (*head, *_fitted(tuple(_blocks(summary, page.width)), room)):
        page.print(row)
    if last:
        print_last_row(page, summary)


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


def _rows(text: str, width: int, first: str = "", rest: str | None = None, most: int = 1) -> tuple[Text, ...]:
    """Text in ``most`` rows, cut at a word; narrow screens fold it instead of cutting."""
    lines = folded(text, width, first, first if rest is None else rest)
    if width < BARS_FROM or len(lines) <= most:
        return tuple(Text(line) for line in lines)
    kept = lines[:most]
    kept[-1] = cut(f"{kept[-1]} {lines[most].strip()}", width)
    return tuple(Text(line) for line in kept)


def _fitted(blocks: tuple[_Block, ...], most: int) -> list[Text]:
    """The rows that fit, blocks of the highest rank left out first."""
    kept = list(blocks)
    while sum(len(b.rows) for b in kept) > most and any(b.rank for b in kept):
        kept.remove(max(reversed(kept), key=lambda b: b.rank))
    return [row for b in kept for row in b.rows]


def _blocks(summary: Summary, width: int) -> Iterator[_Block]:
    findings = tuple(_findings(summary, width))
    lines = summary.lines
    yield from findings
    if findings:
        yield _Block((Text(),), 90)
    if len(lines) == 1:
        yield _Block(_rows(f"{lines[0].name}: {lines[0].description}", width, "", "  "), 30)
        yield _Block(_rows(f"Set: {lines[0].settings}", width, "", "  "), 20)
        yield _Block((Text(),), 91)
        yield from _figures(lines[0].ten, width)
    else:
        yield from _table(summary, width)
    yield _Block((Text(),), 92)
    yield from _closing(summary, width)


def _findings(summary: Summary, width: int) -> Iterator[_Block]:
    failing = [f for f in summary.findings if f.state == "fails"]
    hard = [f for f in failing if f.level >= Level.FIX]
    many = len(summary.lines) > 1
    shown = hard if len(hard) <= NAMED else hard[: NAMED - 1]
    for i, f in enumerate(shown):
        yield _Block(_tagged(f.level.name, _said(f, summary.system, many=many), width))
        if act := _act(f):
            rows = _rows(act, width, "      -> ", "         ", 2 if i == 0 else 1)
            if i == 0:
                yield _Block(rows[:1])
                yield _Block(rows[1:], 61)
            elif f.level == Level.STOP:
                yield _Block(rows, 60)
    if len(hard) > len(shown):
        names = ", ".join(dict.fromkeys(f.rule.noun for f in hard[len(shown) :]))
        yield _Block(_rows(names, width, "Also  ", "      "))
    for level in (Level.WATCH, Level.NOTE):
        soft = [f for f in failing if f.level == level]
        if not hard and len(soft) <= 3:
            for i, f in enumerate(soft):
                yield _Block(_tagged(level.name, _said(f, summary.system, many=many), width), 40)
                if i == 0 and level == Level.WATCH and (act := _act(f)):
                    yield _Block(_rows(act, width, "      -> ", "         ", 2), 62)
        elif soft:
            names = ", ".join(dict.fromkeys(f.rule.noun for f in soft))
            yield _Block(_tagged(level.name, names, width), 10 if level == Level.WATCH else 50)


def _act(f: Finding) -> str:
    """What to do first."""
    return f.remedy.split(". ")[0].rstrip(".") + "." if f.remedy else ""


def _tagged(level: str, words: str, width: int) -> tuple[Text, ...]:
    rows = _rows(words, width, f"{level:<5} ", "      ")
    rows[0].stylize(LEVEL_STYLES[level], 0, len(level))
    return rows


def _said(f: Finding, system: str, *, many: bool) -> str:
    """What is wrong, with its two numbers."""
    where = f" [{f.line}]" if many and f.line else ""
    if f.margin is not None:
        value, limit = f.margin.texts(system)
        found = f"{value}, {in_words(limit)}"
    elif f.fact is not None:
        found = f.fact.found
    else:
        found = f.outcome.words if f.outcome is not None else ""  # type: ignore[union-attr]
    return f"{sentence(f.rule.noun)}{where}: {found}{f' ({f.where})' if f.where else ''}"


def in_words(limit: str) -> str:
    """ "0.7 or more" for "at least 0.7", so that numbers stand under each other."""
    return re.sub(r"^at most (.*)$", r"\1 or less", re.sub(r"^at least (.*)$", r"\1 or more", limit))


def _figures(rows: Sequence[Row], width: int) -> Iterator[_Block]:
    told = [(r, NO_MEANING, "") if r.state == NO_MEANING else (r, r.value, in_words(r.limit)) for r in rows]
    columns = [max(len(r.label) for r in rows), max(len(v) for _, v, _ in told), max(14, *(len(w) for _, _, w in told))]
    if width >= BARS_FROM:
        heads = (f"  {'':<{columns[0]}}", f"{'result':<{columns[1]}}", f"{'limit':<{columns[2]}}", "limit used")
        yield _Block((Text(cut("  ".join(heads), width)),), 80)
    for row, value, words in told:
        rank = 5 if row.label == "Hose length" else 70 - GOES_FIRST.index(row.label) if row.label in GOES_FIRST else 0
        yield _Block(tuple(_figure(row, value, words, columns, width)), rank)


def _figure(row: Row, value: str, words: str, columns: Sequence[int], width: int) -> Iterator[Text]:
    """A figure with its limit and how much of that is used, as far as the width allows."""
    label, wide, limit = columns
    used = _used(row.used) if row.used is not None and words else ""
    out = Text(f"{'F' if row.state == 'fails' else ' '} {row.label:<{label}}  ")
    out.append(f"{value:<{wide}}", "bold" if row.state == "fails" else "")
    beside = words or ("" if row.state == NO_MEANING else _short(row))
    room = width - out.cell_len
    if width < LIMITS_FROM:
        out.rstrip()
        yield out
        if beside:
            yield from _rows(", ".join(filter(None, (beside, used))), width, "    ")
        return
    if used:
        forms = (f"  {words:<{limit}}  {_bar(row.used)} {used:>6}", f"  {words:<{limit}} {used:>6}", f"  {words} {used:>6}")
        out.append(next((form for form in forms if len(form) <= room), f"  {cut(words, room - 2)}"))
    else:
        out.append(f"  {cut(beside, room - 2)}" if beside else "")
    out.rstrip()
    yield out


def _short(r: Row) -> str:
    """A remark that needs no limit beside it: its first part."""
    return r.remark.split("; ")[0] if r.label != "Air per blast" else r.remark


def _used(share: float) -> str:
    return ">200 %" if share > 2 else f"{share * 100:.0f} %"


def _bar(share: float | None) -> str:
    filled = min(10, max(1 if share else 0, round(10 * (share or 0.0))))
    return "#" * filled + "." * (10 - filled)


def _table(summary: Summary, width: int) -> Iterator[_Block]:
    """A row for each line, the worst first where there are more than eight."""
    lines = summary.lines
    if len(lines) > LINES_SHOWN:
        lines = tuple(sorted(lines, key=lambda line: -summary.worst_of(line.name)))[:LINES_SHOWN]
    wanted = ("Hose pressure drop", "Delivery time", "Air per blast", "Hold-off", "Jet thrust ratio")
    heads = ("drop", "delivery", "air", "hold-off", "jet")
    cells = [tuple(_cell(line, label) for label in wanted) for line in lines]
    widths = [max(len(h), *(len(c[i]) for c in cells)) for i, h in enumerate(heads)]
    name = max(8, min(max(len(line.name) for line in lines), width - sum(widths) - 2 * len(heads) - 10))
    head = "  ".join(f"{h:<{w}}" for h, w in zip(heads, widths, strict=True))
    yield _Block((Text(cut(f"       {'line':<{name}}  {head}".rstrip(), width)),), 80)
    for line, row in zip(lines, cells, strict=True):
        level = Level(summary.worst_of(line.name)).name if summary.worst_of(line.name) > 1 else "PASS"
        figures = "  ".join(f"{c:<{w}}" for c, w in zip(row, widths, strict=True))
        text = Text(cut(f"{level:<5}  {cut(line.name, name):<{name}}  {figures}", width).rstrip())
        text.stylize(LEVEL_STYLES[level], 0, len(level))
        yield _Block((text,))
    if len(summary.lines) > len(lines):
        yield _Block((Text(f"       and {len(summary.lines) - len(lines)} lines more (--detail)"),))
    for r in summary.shared:
        said = ", ".join(filter(None, (f"{r.label} of the source: {r.value}", r.remark, in_words(r.limit))))
        yield _Block((Text(cut(f"{'F' if r.state == 'fails' else ' '}      {said}", width)),))


def _cell(line: LineSummary, label: str) -> str:
    row = next((r for r in line.ten if r.label == label), None)
    if row is None:
        return "-"
    return NO_MEANING if row.state == NO_MEANING else f"{row.value}{' F' if row.state == 'fails' else ''}"


def _closing(summary: Summary, width: int) -> Iterator[_Block]:
    failing = [f for f in summary.findings if f.state == "fails"]
    if not failing:
        n = sum(f.state == "passes" for f in summary.findings)
        yield _Block((Text(f"Findings: none; {n} rules judged and passed"),), 25)
    if any(line.deciding for line in summary.lines):
        yield _Block(_rows("Each figure at the depth that decides it; others: --detail", width, "", "  "), 24)
    waived = [f.rule.id for f in summary.findings if f.state == "waived"]
    if waived:
        yield _Block(_rows(f"Accepted with a reason: {', '.join(dict.fromkeys(waived))}", width, "", "  "), 26)
    void = list(dict.fromkeys(f.rule.noun for f in summary.findings if f.state == "void"))
    if void:
        by = next(f.voided_by for f in summary.findings if f.state == "void")
        yield _Block(_rows(f"Void while {by} is broken: {', '.join(void)}", width, "", "  "), 27)
    silent = {f.rule.id: f for f in reversed(not_judged(summary.findings))}
    first = list(silent.values())[::-1][:2]
    if silent:
        named = " and ".join(f"{f.rule.noun} ({f.missing[0]})" for f in first)
        n = len(silent) - len(first)
        more = f"; {n} more" if n else ""
        yield _Block(_rows(f"Not judged: {named}{more}", width, "", "  "), 15)
    size = " Remedies: purgecalc size." if any(f.level >= Level.FIX for f in failing) else ""
    assumed = f"Assumed: {len(summary.defaults)} values." if len(summary.defaults) > 1 else ""
    said = f"{assumed}{size} More: --detail; by hand: purgecalc explain".strip()
    yield _Block(_rows(said, width, "", "  "), 28)
    if summary.overrides:
        yield _Block(_rows(f"Set on the command line: {'; '.join(summary.overrides)}", width, "", "  "), 14)
    yield _Block(_rows(CAUTION if width >= BARS_FROM else SHORT_CAUTION, width))
