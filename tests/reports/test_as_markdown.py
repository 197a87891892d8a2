"""Markdown: every block is there, and text of users is text, whatever is in it."""

import pytest
from markdown_it import MarkdownIt
from markdown_it.token import Token

from purgecalc.reports.as_markdown import markdown
from purgecalc.reports.blocks import Chart, Document, Equation, Heading, Measurements, Signatures, Table
from tests.reports.note_sample import CALM, EMOJI, HOSTILE, RIGHT_TO_LEFT, TURNED_BACK, WILD

PARSER = MarkdownIt("commonmark").enable(["table", "strikethrough"])


def inlines(text: str) -> list[str]:
    """What a reader reads, one entry for each run of text of the document."""
    return [said(t) for t in PARSER.parse(text) if t.type == "inline"] + [
        t.content for t in PARSER.parse(text) if t.type == "fence"
    ]


def said(token: Token) -> str:
    return "".join("\n" if c.type == "hardbreak" or c.content == "<br>" else c.content for c in token.children or [])


def kinds(text: str) -> set[str]:
    tokens = PARSER.parse(text)
    return {t.type for t in tokens} | {c.type for t in tokens for c in t.children or []}


def of(document: Document, *kind: type) -> list[object]:
    return [b for b in document.blocks if isinstance(b, kind)]


@pytest.mark.parametrize("document", [CALM, WILD], ids=["calm", "wild"])
def test_nothing_is_lost_and_nothing_is_added(document: Document) -> None:
    tokens = PARSER.parse(markdown(document))
    count = {k: sum(t.type == k for t in tokens) for k in ("table_open", "heading_open", "fence")}
    assert count["table_open"] == len(of(document, Table, Measurements, Signatures))
    assert count["heading_open"] == len(of(document, Heading)) + 1
    assert count["fence"] == len(of(document, Equation))
    rows = sum(t.type == "tr_open" for t in tokens)
    assert rows == sum(
        1 + len(b.roles if isinstance(b, Signatures) else b.rows) for b in of(document, Table, Measurements, Signatures)
    )  # type: ignore[attr-defined]


def test_no_markup_comes_from_text() -> None:
    found = kinds(markdown(WILD))
    assert not found & {"html_block", "link_open", "image", "code_inline", "code_block", "em_open", "s_open", "ordered_list_open"}
    raw = [c.content for t in PARSER.parse(markdown(WILD)) for c in t.children or [] if c.type == "html_inline"]
    assert set(raw) == {"<br>"}
    assert "hr" in found  # ours, above the foot


@pytest.mark.parametrize("text", [*HOSTILE, TURNED_BACK, EMOJI, RIGHT_TO_LEFT])
def test_text_survives_word_for_word(text: str) -> None:
    runs = inlines(markdown(WILD))
    # heading, two paragraphs, chart's caption and table's captions, cells, ticks, cautions, signature
    assert runs.count(text) >= 12
    assert any(run == f"{text}: {text}" for run in runs), "facts"
    assert f"{text}\n" * 4 in runs, "equation"
    assert f"{text}\n{text}" in runs, "how a thing is measured, and its hint"
    assert f"The chart in words: {text}" in runs


def test_lines_of_a_text_stay_lines() -> None:
    every = "\n".join(HOSTILE[:-1])
    assert inlines(markdown(WILD)).count(every) == 4  # paragraph, head of a table, cell, caution
    assert sum(run.endswith(every) for run in inlines(markdown(WILD))) == 5  # and the tick


def test_numbers_stand_to_the_right_and_plain_figures_stay_plain() -> None:
    text = markdown(CALM)
    assert "| --- | ---: | ---: | ---: | --- |" in text
    assert "| Pressure at stage 3 | 0.93 bar(g) | at most 9.00 bar(g) | 8.07 bar |  |" in text


def test_charts_are_told_and_blanks_can_be_filled() -> None:
    text = markdown(CALM)
    for chart in of(CALM, Chart):
        assert isinstance(chart, Chart)
        assert chart.alt in text
        assert "<svg" not in text
    assert r"- **Serial number:** \_\_\_\_" in text
    assert text.count("* [ ] ") == 2
    assert text.endswith("purgecalc 0.1.0\n")


def test_an_empty_document_is_a_title() -> None:
    assert markdown(Document("T", "", "PASS", "pass", "", "", "", ())) == "# T\n\n**PASS**\n"
