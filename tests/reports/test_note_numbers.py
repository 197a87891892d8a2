"""Every number a note prints is one of the result's, shown by the one function that shows numbers."""

import ast
import json
import re
from dataclasses import fields, is_dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

import pytest

from purgecalc.kinds import KINDS
from purgecalc.references import Work
from purgecalc.reports.as_json import result
from purgecalc.reports.blocks import Chart, Document
from purgecalc.reports.note import commissioning_note
from purgecalc.reports.note.card import field_card
from purgecalc.reports.note.pictures import pictures
from purgecalc.shown import SAFE_SIDE, text_of
from purgecalc.studies.expected import NOT_A_TEST, expected
from purgecalc.studies.spread import SHIFTED, sides, spread
from purgecalc.units import digits, show
from purgecalc.working import CONSTANTS
from tests.commissioned import of_site
from tests.lines import ROOT, SCENARIOS

LABELS = sorted(
    {label for kind in KINDS.values() for _, _, label in (*kind.show_si, *kind.show_us) if label}, key=len, reverse=True
)
NUMBER = re.compile(r"(?<![\w.])-?\d+(?:\.\d+)?(?:e[+-]\d+)?(?:\s(?:" + "|".join(re.escape(u) for u in LABELS) + r")(?![\w(/]))?")


DATE = re.compile(r"\d{4}-\d\d-\d\d")


def words(thing: Any) -> list[str]:
    """All text of a document, a result or a block; pictures by their words."""
    if isinstance(thing, str):
        return [thing]
    if isinstance(thing, dict):
        return [w for pair in thing.items() for part in pair for w in words(part)]
    if isinstance(thing, list | tuple):
        return [w for part in thing for w in words(part)]
    if is_dataclass(thing):
        kept = [f.name for f in fields(thing) if not (isinstance(thing, Chart) and f.name == "svg")]
        return [w for name in kept for w in words(getattr(thing, name))]
    return []


@lru_cache
def printed_by_hand() -> frozenset[str]:
    """Numbers that stand in the program's own sentences, equations and sources."""
    found: set[str] = set()
    for module in (ROOT / "purgecalc").rglob("*.py"):
        for node in ast.walk(ast.parse(module.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Constant) and isinstance(node.value, str):
                found |= set(NUMBER.findall(node.value))
    for file in Path(ROOT / "purgecalc" / "catalogue").rglob("*.toml"):
        found |= set(NUMBER.findall(file.read_text(encoding="utf-8")))
    return frozenset(found)


def shown(value: Any, unit: str) -> set[str]:
    """Every way a figure of the result may be printed."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        return set()
    out = {
        digits(value, 6),
        digits(-value, 6),
        f"{digits(value, 6)} {unit.replace('**', '').replace('*', ' ')}",
        repr(float(value)),
    }
    for kind in KINDS.values():
        if kind.si == unit:
            out |= {show(sign * value, kind.name, figures=n) for n in (2, 3) for sign in (1, -1)}
    return out | {t.split(" ")[0] for t in out}


def known(name: str, *settings: str) -> tuple[Document, Document, set[str]]:
    """Note, card, and every number either may print."""
    c = of_site(name, *settings)
    data = result(c.checked, [expected(s) for s in spread(c.scenario.lines, c.designs)])
    data = json.loads(json.dumps(data))
    pool = {*printed_by_hand(), show(NOT_A_TEST, "fraction")}
    for line in data["lines"]:
        for sheet in (line["quantities"], *line["corners"].values()):
            for q in sheet.values():
                pool |= shown(q["value"], q["unit"])
        for e in line["expected"]:
            for value in (e["value"], *e["band"], *e["passes"], *e["no_alarm"], e["gauge"], e["gauge_error"]):
                pool |= shown(value, e["unit"])
    for f in data["findings"]:
        for value in (f["value"], f["limit"], f["margin"]):
            pool |= shown(value, f["unit"] or "")
    for constant in CONSTANTS.values():
        pool |= shown(constant.value, constant.unit)
    for text in [*words(data), (SCENARIOS / name).read_text(), " ".join(settings)]:
        pool |= set(NUMBER.findall(text))
    pool |= {text_of(d[id]) for d in c.designs for id in SAFE_SIDE if id in d}
    pool |= {n for f in c.findings if f.margin for text in f.margin.texts() for n in NUMBER.findall(text)}
    assert all(isinstance(d, str) for d in pool)
    return commissioning_note(c, tuple(pictures(c, drawn=False))), field_card(c), pool


def strays(document: Document, pool: set[str]) -> dict[str, str]:
    bare = {p.split(" ")[0] for p in pool}
    out = {}
    for text in words(document):
        for number in NUMBER.findall(DATE.sub("", text)):
            if number not in pool and (" " in number or number not in bare):
                out[number] = text
    return out


@pytest.mark.parametrize("name", ["fernwhistle.toml", "trivet-mill.toml", "tarnbeck.toml", "pellwick.toml"])
def test_every_number_of_note_and_card_is_in_the_result(name: str) -> None:
    note, card, pool = known(name)
    # where an input stands, and the hash of all of them, are places and not figures
    d = of_site(name).designs[0]
    origins = [*(g.origin for g in d.sheet.givens()), *d.inputs.origins.values()]
    pool |= set(NUMBER.findall(" ".join(str(origin) for origin in origins)))
    # how far an input may be off on either side, which the bands are made with
    off = [id.split(".")[1] for id in d.inputs.values if id.startswith("uncertainty.") and id != "uncertainty.gauge"]
    pool |= {show(side, "fraction") for name in off if name not in SHIFTED for side in sides(d, name)}
    assert strays(note, pool) == {}
    assert strays(card, pool) == {}


def test_a_number_that_is_not_in_the_result_is_found() -> None:
    note, _, pool = known("fernwhistle.toml")
    from dataclasses import replace

    from purgecalc.reports.blocks import Paragraph

    wrong = replace(note, blocks=(*note.blocks, Paragraph("The source stands at 417 mbar(g) and 31.77 s remain.")))
    assert {"417 mbar(g)", "31.77 s"} <= set(strays(wrong, pool))


def test_sources_are_read_as_text() -> None:
    assert "ISO" in " ".join(words(Work("x", "ISO 1")))
