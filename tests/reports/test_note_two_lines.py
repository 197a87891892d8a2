"""A note and a screen of two lines on one source: what belongs to the source is said once, and the lines are kept apart."""

from functools import lru_cache

import pytest

from purgecalc.reports.blocks import Document, Facts, Heading, Table
from purgecalc.reports.note import commissioning_note
from purgecalc.reports.note.card import field_card
from purgecalc.reports.summary import summarise
from purgecalc.shown import text_of
from purgecalc.studies.commissioning import Commissioning
from tests.commissioned import of_line, of_site
from tests.lines import SCENARIOS
from tests.reports.test_note_procedure import section, two_lines


@lru_cache
def pair() -> Commissioning:
    return two_lines()


def tables(document: Document) -> list[Table]:
    return [b for b in document.blocks if isinstance(b, Table)]


def test_energy_and_duty_of_the_source_are_printed_once() -> None:
    c = pair()
    energy, duty = (text_of(c.designs[0][f"source.{id}"]) for id in ("energy_per_year", "run_in_window"))
    figures = [t for t in tables(commissioning_note(c)) if t.heads[0] == "Figure"]
    assert [t.caption for t in figures] == ["Results"] * 2 + ["The source, for all lines together"]
    assert [sum(energy in cell for row in t.rows for cell in row) for t in figures] == [0, 0, 1]
    assert ("Duty", f"{duty} in 10 min") in [row[:2] for row in figures[-1].rows]
    summary = summarise(c.checked)
    assert [r.label for r in summary.shared] == ["Duty", "Energy"]
    assert not any(r.label == "Duty" for line in summary.lines for r in (*line.ten, *line.rows))


def test_a_line_that_is_alone_has_them_as_its_own() -> None:
    c = of_line()
    summary = summarise(c.checked)
    assert summary.shared == ()
    (duty,) = (r for r in summary.lines[0].ten if r.label == "Duty")
    assert (duty.value, duty.remark) == ("30 s in 10 min", "1.67 % of the time, by interval")
    assert any("a year" in r.remark for r in summary.lines[0].ten)


@pytest.mark.parametrize(
    ("interval", "words"),
    [
        ("30 min", "fire together if they start together"),
        ("60 min", "fire together"),
        ("45 min", "kept apart by half the longest time that divides both intervals"),
    ],
)
def test_lines_that_may_fire_together_are_told_so(interval: str, words: str) -> None:
    old = 'interval = "30 min"'
    c = two_lines((old, f'interval = "{interval}"')) if interval != "30 min" else pair()
    document = commissioning_note(c)
    assert words in section(document, "Schedule as set")
    blanks = [label for b in document.blocks if isinstance(b, Facts) for label, value in b.rows if not value]
    assert [b for b in blanks if b.startswith("Start time")] == [
        f"Start time of the first blast, {name} oxygen" for name in ("lane 2", "lane 3")
    ]


def test_the_card_counts_its_numbers() -> None:
    def heading(c: Commissioning) -> tuple[str, int]:
        card = field_card(c)
        (found,) = (b.text for b in card.blocks if isinstance(b, Heading) and b.id == "measure")
        return found, len(tables(card)[0].rows)

    assert heading(pair()) == ("Ten numbers, ten minutes a line", 10)
    assert heading(of_line()) == ("Five numbers in ten minutes", 5)


def test_the_value_an_output_is_parked_at_is_shown() -> None:
    assert (SCENARIOS / "pellwick.toml").exists()
    cells = [cell for t in tables(commissioning_note(of_site("pellwick.toml"))) for row in t.rows for cell in row]
    assert "substitute: 0 mg/L" in cells
