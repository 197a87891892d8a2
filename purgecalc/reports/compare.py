"""Two results side by side: what differs, what moved, and which findings came and went."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from purgecalc.reports.as_json import SCHEMA
from purgecalc.reports.page import Page, Text, cut, hanging
from purgecalc.reports.palette import LEVEL_STYLES
from purgecalc.reports.rows import Row
from purgecalc.reports.screen_figures import in_words
from purgecalc.reports.summary import LineSummary, summarise
from purgecalc.rules import Finding, Level
from purgecalc.studies.compare import Comparison, Difference

VERDICTS = {"PASS": "PASS by calculation", "WATCH": "WATCH", "FIX": "FIX", "STOP": "STOP"}


def headline(c: Comparison) -> str:
    """Better, worse or the same, and from what to what."""
    before, after = _told(c.a.verdict, c.a.findings), _told(c.b.verdict, c.b.findings)
    if c.word == "SAME":
        return f"SAME: {after} both times"
    return f"{c.word}: {before} becomes {after}"


def _told(verdict: str, findings: Iterable[Finding]) -> str:
    n = sum(f.state == "fails" and f.level >= Level.WATCH for f in findings)
    return f"{VERDICTS[verdict]} ({n} finding{'s' if n > 1 else ''})" if n else VERDICTS[verdict]


def print_comparison(page: Page, c: Comparison, names: tuple[str, str], system: str, heads: tuple[str, str]) -> None:
    """The whole page; ``names`` says what was read, ``heads`` stand over the columns."""
    head = Text(cut(headline(c), page.width), style=LEVEL_STYLES[c.b.verdict])
    page.print(head)
    for name in filter(None, names):
        hanging(page, name, "", "  ")
    _differences(page, "Inputs that differ", c.inputs, heads)
    _differences(page, "Limits and waivers that differ", c.rules, heads)
    for words in c.alone:
        hanging(page, f"Line {words}", "", "  ")
    _figures(page, c, system, heads)
    page.print()
    many = len(c.b.designs) > 1
    for word, found in (("gone", c.gone), ("new", c.new), ("that stay", c.stay)):
        hanging(page, _names(found, many=many), f"Findings {word}: ", "  ")
    page.print(Text(head.plain, style=LEVEL_STYLES[c.b.verdict]))


def _names(findings: Sequence[Finding], *, many: bool) -> str:
    return ", ".join(f"{f.level.name} {f.rule.id}{f' [{f.line}]' if many and f.line else ''}" for f in findings) or "none"


def moved_words(c: Comparison, system: str = "si") -> tuple[str, ...]:
    """What a change of inputs moved, in a few sentences: inputs, figures, findings."""
    one, two = summarise(c.a, system), summarise(c.b, system)
    many = len(c.lines) > 1
    figures = []
    for name_a, name_b in c.lines:
        a, b = _ten(one.lines, name_a), _ten(two.lines, name_b)
        where = f" [{name_b}]" if many else ""
        for label in dict.fromkeys((*a, *b)):
            before, after = _value(a.get(label)), _value(b.get(label))
            if before != after:
                figures.append(f"{label[:1].lower()}{label[1:]}{where} {before} -> {after}")
    changed = [f"{d.what} {d.a} -> {d.b}" for d in (*c.inputs, *c.rules)]
    return (
        f"Changed: {'; '.join(changed) or 'nothing'}",
        f"Moved: {'; '.join(figures) or 'no figure'}",
        f"Findings gone: {_names(c.gone, many=many)}; new: {_names(c.new, many=many)}",
    )


def _differences(page: Page, title: str, found: Sequence[Difference], heads: tuple[str, str]) -> None:
    if not found:
        if title.startswith("Inputs"):
            page.print()
            page.print(Text(f"{title}: none"))
        return
    page.print()
    page.print(Text(f"{title} ({len(found)})"))
    _columns(page, [(d.what, d.a, d.b, "") for d in found], heads)


def _figures(page: Page, c: Comparison, system: str, heads: tuple[str, str]) -> None:
    one, two = summarise(c.a, system), summarise(c.b, system)
    for name_a, name_b in c.lines:
        a, b = _ten(one.lines, name_a), _ten(two.lines, name_b)
        moved = [(label, a.get(label), b.get(label)) for label in dict.fromkeys((*a, *b))]
        rows = [_moved(label, x, y) for label, x, y in moved if _value(x) != _value(y)]
        same = [label for label, x, y in moved if _value(x) == _value(y)]
        page.print()
        page.print(Text(f"Figures that moved{f' [{name_b}]' if len(c.lines) > 1 else ''}{'' if rows else ': none'}"))
        if rows:
            _columns(page, rows, heads)
            if same:
                hanging(page, ", ".join(s.lower() for s in same), "  Unchanged: ", "    ")


def _ten(lines: Iterable[LineSummary], name: str) -> dict[str, Row]:
    return {row.label: row for line in lines if line.name == name for row in line.ten}


def _value(row: Row | None) -> str:
    return "none" if row is None else "void" if row.state == "void" else row.value


def _moved(label: str, x: Row | None, y: Row | None) -> tuple[str, str, str, str]:
    mark = "F " if y is not None and y.state == "fails" else "  "
    return f"{mark}{label}", _value(x), _value(y), in_words(y.limit) if y is not None and y.state != "void" else ""


def _columns(page: Page, rows: Sequence[tuple[str, str, str, str]], heads: tuple[str, str]) -> None:
    """What, before, after and limit; on a narrow screen before and after go under what they are of."""
    widths = [max(len(head), *(len(row[i]) for row in rows)) for i, head in enumerate(("", *heads, ""))]
    if sum(widths) + 8 > page.width:
        for what, a, b, limit in rows:
            hanging(page, f"{a} -> {b}{f'; {limit}' if limit else ''}", f"  {what.strip()}: ", "    ")
        return
    page.print(Text(f"  {'':<{widths[0]}}  {heads[0]:<{widths[1]}}  {heads[1]}"))
    for row in rows:
        page.print(Text("  " + "  ".join(f"{cell:<{w}}" for cell, w in zip(row, widths, strict=True)).rstrip()))


def as_data(c: Comparison) -> dict[str, Any]:
    """The comparison for programs."""

    def listed(found: Iterable[Difference]) -> list[dict[str, str]]:
        return [{"what": d.what, "a": d.a, "b": d.b} for d in found]

    def findings(found: Iterable[Finding]) -> list[dict[str, str]]:
        return [{"rule": f.rule.id, "level": f.level.name, "line": f.line} for f in found]

    figures = [
        {"line": name_b, "figure": label, "a": _value(a.get(label)), "b": _value(b.get(label))}
        for name_a, name_b in c.lines
        for a, b in [(_ten(summarise(c.a).lines, name_a), _ten(summarise(c.b).lines, name_b))]
        for label in dict.fromkeys((*a, *b))
    ]
    return {
        "schema": SCHEMA,
        "comparison": c.word,
        "verdicts": {"a": c.a.verdict, "b": c.b.verdict},
        "inputs": listed(c.inputs),
        "rules": listed(c.rules),
        "figures": figures,
        "findings": {"gone": findings(c.gone), "new": findings(c.new), "stay": findings(c.stay)},
        "lines_of_one": list(c.alone),
    }
