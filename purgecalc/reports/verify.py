"""What the comparison with the published cases found: a short screen, and the whole of it as JSON, CSV or a page."""

from __future__ import annotations

import json
import math
from collections.abc import Callable, Iterator, Sequence

from purgecalc.reports.as_html import html
from purgecalc.reports.blocks import Block, Document, Facts, Heading, Paragraph, Signatures, Table
from purgecalc.reports.page import Page, Text, hanging
from purgecalc.studies.spreadsheet import inert_cell, quoted_row
from purgecalc.studies.verify import HOW_SEEN, MEMORY, CheckedFigure, Verification

MOST_NAMED = 4
"""Failures, and files, that the screen names one by one."""
_COLUMNS_OF = (
    "case",
    "quantity",
    "formulas",
    "expected",
    "got",
    "tolerance",
    "unit",
    "agrees",
    "seen",
    "title",
    "source",
    "reason",
)
_BARE = (
    "A formula without a published case is told by the hash of its file alone: the hash shows that nobody changed it, "
    "not that it is right."
)
_SIGNED = "Checked on the user's own machine"


def print_verification(page: Page, v: Verification) -> None:
    """The screen: verdict, what with, how many of each kind, what is wrong, verdict."""
    style = "bold green" if v.agrees else "bold red"
    page.print(Text(_verdict(v), style=style))
    hanging(page, ", ".join(f"{name} {of}" for name, of in v.versions.items()), "")
    page.print()
    page.print(Text(f"{'how the figure was seen':<26} cases figures  agree"))
    for seen, words in HOW_SEEN.items():
        of = [c for c in v.checked if c.seen == seen]
        cases, agree = len({c.case for c in of}), sum(c.agrees for c in of)
        page.print(Text(f"  {words:<24} {cases:5} {len(of):7} {agree:6}"))
    hanging(page, f"{len(v.without)} formulas have no published case: their file hash is all there is to tell", "")
    hanging(page, f"{len(v.files)} files compared with the list; sha256 of the list {v.list_sha256[:16] or 'missing'}", "")
    _print_some(page, [f"{f.path} {f.wrong}" for f in v.changed], "FILE")
    _print_some(page, [*v.faults, *map(_failure, v.failed)], "FAIL")
    page.print(Text(_verdict(v), style=style))


def _print_some(page: Page, lines: Sequence[str], label: str) -> None:
    for line in lines[:MOST_NAMED]:
        hanging(page, line, f"{label}  ", "      ")
    if len(lines) > MOST_NAMED:
        hanging(page, f"and {len(lines) - MOST_NAMED} more; -o FILE lists all", "      ")


def _verdict(v: Verification) -> str:
    if v.agrees:
        memory = sum(c.seen == MEMORY for c in v.checked)
        return f"AGREES: {len(v.checked) - memory} figures met, {memory} from memory beside them; no file changed"
    parts = [(len(v.failed), "figures off"), (len(v.changed), "files not as listed"), (len(v.faults), "faults")]
    wrong = ", ".join(f"{what}: {n}" for n, what in parts if n)
    return f"DOES NOT AGREE ({wrong or 'nothing to compare'})"


def _failure(c: CheckedFigure) -> str:
    unit = f" {c.unit}" if c.unit else ""
    said = c.fault or f"printed {c.expected}{unit}, got {c.got:.6g}{unit}, allowed {c.tolerance:.2g} either way"
    return f"{c.case} {c.quantity}: {said}"


def as_json(v: Verification) -> str:
    """All of it as data; figures in the unit of their source."""
    data = {
        "agrees": v.agrees,
        "verdict": _verdict(v),
        "worked": v.worked,
        "versions": v.versions,
        "counts": {words: sum(c.seen == seen for c in v.checked) for seen, words in HOW_SEEN.items()},
        "figures": [
            {**c.__dict__, "got": c.got if math.isfinite(c.got) else None, "seen": HOW_SEEN.get(c.seen, c.seen)}
            for c in v.checked
        ],
        "without_case": {"meaning": _BARE, "formulas": [w.__dict__ for w in v.without]},
        "files": [f.__dict__ for f in v.files],
        "list_sha256": v.list_sha256,
        "faults": v.faults,
        "signed": {"name": None, "date": None, "signature": None},
    }
    return json.dumps(data, indent=1) + "\n"


def _as_data(c: CheckedFigure) -> dict[str, object]:
    return {**c.__dict__, "got": c.got if math.isfinite(c.got) else None, "seen": HOW_SEEN.get(c.seen, c.seen)}


def as_csv(v: Verification) -> str:
    """All of it as one table: first the figures, below them what else there is to tell, two columns wide."""
    rest = [
        ("verdict", _verdict(v)),
        ("worked", v.worked),
        *v.versions.items(),
        *(("fault", fault) for fault in v.faults),
        *((f"formula without a case: {w.formula}", f"{w.reason}; {w.path} {w.sha256}") for w in v.without),
        ("about these", _BARE),
        *((f"file {f.path}", " ".join([f.sha256, f.wrong]).strip()) for f in v.files),
        ("sha256 of the list", v.list_sha256),
        *((blank, "") for blank in ("name", "date", "signature")),
    ]
    width = len(_COLUMNS_OF) - 2
    rows = [_COLUMNS_OF, *map(_cells, v.checked), *((*pair, *[""] * width) for pair in rest)]
    return "".join(quoted_row([inert_cell(cell) for cell in row]) + "\n" for row in rows)


def _cells(c: CheckedFigure) -> tuple[str, ...]:
    agrees, seen = "yes" if c.agrees else "NO", HOW_SEEN.get(c.seen, c.seen)
    figures = (c.expected, f"{c.got:.7g}", f"{c.tolerance:.3g}", c.unit)
    return (c.case, c.quantity, ", ".join(c.formulas), *figures, agrees, seen, c.title, c.source, c.fault or c.why)


def as_page(v: Verification) -> str:
    """All of it as one page to be printed and signed."""
    facts = (("worked", v.worked), *v.versions.items())
    blocks = [
        Facts(facts),
        Paragraph(_BARE),
        *_wrong(v),
        *_figures(v),
        *_rest(v),
        Heading("Signed", "signed"),
        Signatures((_SIGNED,)),
    ]
    title = f"purgecalc {v.versions['purgecalc']} against published and measured figures"
    grade = "pass" if v.agrees else "stop"
    return html(Document(title, "", _verdict(v), grade, title, "", "", tuple(blocks)))


def _wrong(v: Verification) -> list[Block]:
    """What does not agree; nothing where all does."""
    said = [*(f"{f.path} {f.wrong}" for f in v.changed), *v.faults, *map(_failure, v.failed)]
    return [Heading("What does not agree", "wrong"), *(Paragraph(words) for words in said)] if said else []


def _figures(v: Verification) -> Iterator[Block]:
    """A table for every way in which figures were seen."""
    heads = ("figure", "expected", "got", "tolerance", "agrees", "source; why the tolerance; formulas")
    for seen, words in HOW_SEEN.items():
        of = [c for c in v.checked if c.seen == seen]
        caption = f"{sum(c.agrees for c in of)} of {len(of)} agree"
        yield Heading(words.capitalize(), seen.replace(" ", "-"))
        yield Table(caption, heads, tuple(_row(c) for c in of), (1, 2, 3))


def _row(c: CheckedFigure) -> tuple[str, ...]:
    """A figure in few columns, so that paper holds them."""
    case, quantity, formulas, expected, got, allowed, unit, agrees, _, title, source, reason = _cells(c)
    figure = f"{case} {title}" + (f": {quantity}" if quantity != "result" else "")
    return figure, f"{expected} {unit}".strip(), got, allowed, agrees, "; ".join(filter(None, (source, reason, formulas)))


def _rest(v: Verification) -> Iterator[Block]:
    """What is told by its hash, and the hashes."""
    bare = tuple((w.formula, w.reason, f"{w.path} {w.sha256}") for w in v.without)
    yield Heading("Formulas without a published case", "without")
    yield Table(f"{len(bare)} formulas", ("formula", "why there is no case", "its file and the sha256 of that"), bare)
    yield Heading("Files", "files")
    yield Paragraph(f"sha256 of the list of files: {v.list_sha256}")
    states = tuple((f.path, f.sha256, f.wrong or "as listed") for f in v.files)
    yield Table(f"{len(states)} files", ("file", "sha256", "state"), states)


FORMS: dict[str, Callable[[Verification], str]] = {".json": as_json, ".csv": as_csv, ".html": as_page}
"""How the whole report is written, by the ending of the file."""
