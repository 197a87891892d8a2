"""What could steer a terminal or hide a line is written out; letters of every script stay letters."""

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from purgecalc.errors import Problem
from purgecalc.reports.page import Page, Text, folded, hanging
from purgecalc.visible import in_json, stray, visible

ACTING = (
    "\x1b[2J",
    "\x1b]0;PASS\x07",
    "\x1b]8;;http://x\x1b\\",
    "\r",
    "\x07",
    "\b",
    "\x9b1A",
    "\u202e",
    "\u2066",
    "\u200f",
    "\u2028",
    "\x7f",
    "\ufeff",
    "\u200b",
    "\U000e0041",
    "\ud800",
)


@pytest.mark.parametrize("mark", ACTING)
def test_a_sign_that_acts_is_written_as_its_code(mark: str) -> None:
    shown = visible(f"a{mark}b")
    assert shown.isascii()
    assert shown.isprintable()
    assert "\\" in shown
    assert shown[0] + shown[-1] == "ab"


@pytest.mark.parametrize(
    "text", ["Blå \u6c34\u3000\u6c34", "שלום", "می\u200cخواهم", "\U0001f468\u200d\U0001f527", "7.6\u00a0m", "two\nlines\tmore"]
)
def test_letters_spaces_and_ends_of_line_stay(text: str) -> None:
    assert visible(text) == text


def test_where_one_line_is_meant_an_end_of_line_is_written_too() -> None:
    assert visible("a\nb\t", "") == "a\\nb\\t"


@given(st.text())
def test_what_is_visible_stays_as_it_is_and_nothing_acts(text: str) -> None:
    shown = visible(text)
    assert visible(shown) == shown
    assert not set(shown) & {chr(c) for c in (*range(9), *range(11, 32), *range(127, 160), *range(0x202A, 0x202F))}


@given(st.text())
def test_json_keeps_its_data_and_holds_nothing_that_acts(text: str) -> None:
    written = in_json(json.dumps({"title": text}, indent=1))
    assert json.loads(written) == {"title": text}
    assert visible(written) == written


def test_stray_signs_are_named_by_number_each_once() -> None:
    assert stray("a\x1bb\x1b\u2028\n", "\n") == ["U+001B", "U+2028"]


def test_a_page_is_as_wide_as_it_looks_and_acts_on_nothing() -> None:
    page = Page(40)
    page.print(Text("\x1b[31mtitle", style="bold"))
    hanging(page, "word \x1b]0;x\x07 " * 9, "  ")
    assert "\x1b" not in page.plain()
    assert page.lines[0].spans == [(0, page.lines[0].cell_len, "bold")]
    assert max(map(len, page.plain().splitlines())) <= 40
    assert folded("a\u202eb", 40) == ["a\\u202eb"]


def test_a_problem_is_one_line_and_its_mark_stays_under_the_fault() -> None:
    line = '\tt\u202eitle = "\x1b[2J"'
    text = str(Problem("ti\ntle", 'no "\x1b[2J"\nPASS', "a.toml", 3, line, line.index('"'), 6))
    first, shown, caret = text.splitlines()
    assert first == 'a.toml:3: ti\\ntle: no "\\x1b[2J"\\nPASS'
    assert shown[caret.index("^") : caret.rindex("^") + 1] == '"\\x1b[2J"'
    assert shown.isascii()
