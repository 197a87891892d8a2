"""What the commissioning note says is what was worked out, in the order agreed, and its status is never kinder than the verdict."""

import json
import re
from collections.abc import Iterator
from functools import lru_cache

import pytest

from purgecalc.reports import as_json
from purgecalc.reports.blocks import Chart, Checklist, Document, Equation, Facts, Heading, Measurements, Paragraph, Table
from purgecalc.reports.note import commissioning_note
from purgecalc.reports.note.card import field_card
from purgecalc.reports.note.pictures import pictures
from purgecalc.scenario import loads
from purgecalc.shown import text_of
from purgecalc.studies.commissioning import Commissioning
from purgecalc.studies.readings import Reading, Readings
from purgecalc.units import show
from tests.commissioned import commissioned, of_site
from tests.lines import BASE, SCENARIOS, read

NAMES = [file.stem for file in sorted(SCENARIOS.glob("*.toml"))]
SECTIONS = (
    "Identity",
    "Scope",
    "As designed",
    "Verdict and findings",
    "Before energising",
    "Safety and isolation",
    "Leak test",
    "Dry test",
    "Wet test",
    "Signal behaviour",
    "Control loop",
    "Schedule as set",
    "Alarm set points",
    "Measured against expected",
    "Limitations, assumptions, defaults",
    "Upkeep",
    "Cautions to whoever runs it",
    "Sign-off",
    "Calculation",
    "Terms",
)


@lru_cache(maxsize=16)
def note(name: str) -> Document:
    return commissioning_note(of_site(name), tuple(pictures(of_site(name), drawn=False)))


@pytest.mark.parametrize("name", NAMES)
def test_sections_stand_in_the_order_agreed(name: str) -> None:
    heads = [b.text for b in note(name).blocks if isinstance(b, Heading) and b.level == 1]
    assert heads == list(SECTIONS)
    ids = [b.id for b in note(name).blocks if isinstance(b, Heading)]
    assert len(ids) == len(set(ids))


@pytest.mark.parametrize(
    ("name", "begins", "grade"),
    [
        ("fernwhistle", "DRAFT: 16 site questions", "draft"),
        ("trivet-mill", "DRAFT: 16 site questions", "draft"),
        ("long-tansy", "NOT READY: findings are to be fixed first; DRAFT", "fix"),
        ("tarnbeck", "DRAFT: 2 site questions", "draft"),
        ("quillstone", "DO NOT COMMISSION", "stop"),
        ("icklefrost", "DO NOT COMMISSION", "stop"),
    ],
)
def test_the_status_line_is_never_kinder_than_the_verdict(name: str, begins: str, grade: str) -> None:
    assert note(name).status.startswith(begins)
    assert note(name).grade == grade


def known_figures(c: Commissioning) -> set[str]:
    """Every figure of the JSON result as ``units.show`` prints it, and inputs as their author wrote them."""
    data = json.loads(as_json.dumps(as_json.result(c.checked)))
    out = set()
    for line, d in zip(data["lines"], c.designs, strict=True):
        for id, quantity in line["quantities"].items():
            node = d.sheet[id] if id in d.sheet else d.inputs[id]
            if quantity["value"] is not None:
                out |= {
                    show(quantity["value"], kind)
                    for kind in (node.kind, *(("gauge pressure",) if "pressure" in node.kind else ()))
                }
            out |= {getattr(node, "text", ""), text_of(node)}
        out |= {given.text for given in d.inputs.values.values()}
    return out


def stated(document: Document) -> Iterator[str]:
    """Cells of the note that hold one figure each."""
    for block in document.blocks:
        match block:
            case Table(caption="Inputs and where they come from", rows=rows):
                yield from (row[1] for row in rows)
            case Table(caption="Settings", rows=rows):
                yield from (cell for row in rows for cell in row[1:-1])
            case Table(caption="Evidence of air, blast by blast", rows=rows):
                yield from (row[1] for row in rows)
            case Measurements(rows=rows):
                yield from (m.expected for m in rows)
            case Facts(rows=rows):
                yield from (value for _, value in rows)


@pytest.mark.parametrize("name", NAMES)
def test_every_figure_stated_is_in_the_json_of_check(name: str) -> None:
    known, seen = known_figures(of_site(name)), 0
    for cell in stated(note(name)):
        if re.match(r"-?\d", cell) and cell not in (of_site(name).scenario.hash, *of_site(name).scenario.paper.values()):
            assert cell in known, cell
            seen += 1
    assert seen > 25


@pytest.mark.parametrize("name", NAMES)
def test_every_step_of_the_sheet_is_worked_in_the_appendix(name: str) -> None:
    equations = [b for b in note(name).blocks if isinstance(b, Equation)]
    steps = [s for d in of_site(name).designs for s in d.sheet.steps()]
    assert [e.id for e in equations] == [s.id for s in steps]
    assert all(e.source for e in equations)
    assert all(e.equation for e, s in zip(equations, steps, strict=True) if s.formula is not None)


def test_findings_waivers_and_unknown_facts_are_told() -> None:
    scenario = loads(BASE.replace('length = "7.6 m"', 'length = "12 m"') + '\n[waive]\nhose-length = "agreed with the owner"\n')
    tables = {b.caption: b.rows for b in commissioning_note(commissioned(scenario)).blocks if isinstance(b, Table)}
    assert tables["Findings accepted with a reason"][0][2] == "agreed with the owner"
    tables = {b.caption: b.rows for b in note("quillstone").blocks if isinstance(b, Table)}
    assert any(row[0] == "STOP" and row[1] == "contact-at-rest" for row in tables["Findings, worst first"])
    assert (
        len(
            {b.caption: b.rows for b in note("tarnbeck").blocks if isinstance(b, Table)}[
                "To be answered on site before commissioning"
            ]
        )
        == 2
    )


def test_readings_are_shown_judged_and_kept_as_baseline() -> None:
    c = of_site("fernwhistle")
    good, bad = Reading(32e3, "0.32 bar(g)"), Reading(5e3, "50 mbar(g)", 1e3, "10 mbar")
    readings = Readings({"source.gauge_pressure": good, "head.gauge_pressure": bad}, "2026-03-02", "M.", True)
    blocks = commissioning_note(Commissioning(c.checked, c.lines, readings)).blocks
    (table,) = (b for b in blocks if isinstance(b, Measurements))
    rows = {m.id: m for m in table.rows}
    assert rows["source.gauge_pressure"].judged == "passes"
    assert rows["head.gauge_pressure"].measured == "50 mbar(g) +- 10 mbar"
    assert rows["head.gauge_pressure"].judged.startswith("outside, low")
    (kept,) = (b for b in blocks if isinstance(b, Table) and b.caption == "Baseline")
    assert [row[:2] for row in kept.rows] == [("source.gauge_pressure", "32000.0"), ("head.gauge_pressure", "5000.0")] or len(
        kept.rows
    ) == 2
    assert any(isinstance(b, Paragraph) and b.strong and "other inputs" in b.text for b in blocks)


def test_the_ends_of_a_pass_band_are_in_the_unit_printed() -> None:
    (table,) = (b for b in note("fernwhistle").blocks if isinstance(b, Measurements))
    row = next(m for m in table.rows if m.id == "source.gauge_pressure")
    assert row.unit == "mbar(g)"
    assert row.low is not None
    assert f"{row.low:.0f}" in row.passes


def test_charts_have_words_that_stand_in_for_them_whether_drawn_or_not() -> None:
    c = of_site("fernwhistle")
    plain, drawn = list(pictures(c, drawn=False)), list(pictures(c, drawn=True))
    assert [(p.caption, p.alt) for p in plain] == [(p.caption, p.alt) for p in drawn]
    assert len(drawn) == 4
    assert all("<svg" in p.svg for p in drawn)
    assert list(pictures(c, drawn=True)) == drawn  # the same bytes again


def test_several_lines_are_told_apart() -> None:
    second = BASE[BASE.index("[line]") :].replace("[line]", "[[line]]").replace("[line.", "[line.").replace("lane 2", "lane 3")
    c = commissioned(loads(BASE.replace("[line]", "[[line]]") + second))
    document = commissioning_note(c, tuple(pictures(c, drawn=False)))
    (table,) = (b for b in document.blocks if isinstance(b, Measurements))
    assert {m.id.split(".")[0] for m in table.rows} == {"1", "2", "source"}  # the last once for both
    assert sum(isinstance(b, Chart) and b.caption.endswith("lane 3 oxygen") for b in document.blocks) == 4


@pytest.mark.parametrize("name", NAMES)
def test_the_field_card_holds_five_numbers_and_how_to_isolate(name: str) -> None:
    card = field_card(of_site(name))
    (numbers,) = (b for b in card.blocks if isinstance(b, Table))
    assert len(numbers.rows) == 5
    assert any(isinstance(b, Checklist) and "lock the schedule" in b.items[0] for b in card.blocks)
    facts = dict(next(b for b in card.blocks if isinstance(b, Facts)).rows)
    assert not any("ongest" in label for label in facts), "a card that names a longest hose invites a longer one"


def test_who_it_is_for_is_shown_and_what_nobody_said_is_left_blank() -> None:
    c = commissioned(read('note.project="Lanes"', 'note.scope="Only lane 2."'))
    document = commissioning_note(c)
    facts = dict(next(b for b in document.blocks if isinstance(b, Facts)).rows)
    assert facts["Project"] == "Lanes"
    assert facts["Client"] == ""
    assert any(isinstance(b, Paragraph) and b.text == "Only lane 2." for b in document.blocks)
