"""No cell that is carried along runs in a spreadsheet, and no number is touched."""

import csv

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from purgecalc.studies.spreadsheet import inert_cell, inert_rows, inert_words, quoted_row

SIGNS = "=+-@\uff1d\uff0b\uff0d\uff20"


@pytest.mark.parametrize(
    "cell", ["=1+1", "+cmd", "-cmd", "@SUM(A1)", "  =1", "\t=1", "=5", "-3 m", "--3", "-inf", "\uff1d1", "+"]
)
def test_a_cell_that_would_run_gets_an_apostrophe(cell: str) -> None:
    assert inert_cell(cell).strip() == "'" + cell.strip()
    assert inert_cell(inert_cell(cell)) == inert_cell(cell)


@pytest.mark.parametrize("cell", ["", "-3", "+3.5", "-1e-3", " -.5 ", "lane 2", "a-b", "a = b", "'=1", "x@y", "3"])
def test_numbers_and_plain_words_stay_as_they_are(cell: str) -> None:
    assert inert_cell(cell) == cell


def test_a_cell_that_begins_behind_another_separator_is_met_too() -> None:
    assert inert_cell("a;=1;b") == "a;'=1;b"
    assert inert_rows(["a;=1,3"]) == ["a;'=1,3"]


def test_rows_that_cannot_run_are_left_to_the_letter() -> None:
    rows = ['"east, 1",7.6,-3', "a,  -3 ,+4", '"say ""no""",1,2', "-1e3"]
    assert inert_rows(rows) == rows


@given(st.lists(st.lists(st.text(st.sampled_from([*SIGNS, *'ab01.,;" '])), min_size=1, max_size=4), max_size=5))
def test_no_cell_of_any_row_can_run(table: list[list[str]]) -> None:
    for cells in table:
        read = next(csv.reader(inert_rows([quoted_row(cells)])), [])
        assert [c.replace("'", "") for c in read] == (cells if cells != [""] else read)
        for cell in read:
            begins = cell.strip()[:1] in SIGNS if cell.strip() else False
            assert not begins or cell == inert_cell(cell)


def test_answers_in_words_are_made_inert_where_there_are_any() -> None:
    words = np.array(["", "=1", "fine"], object)
    assert inert_words(words).tolist() == ["", "'=1", "fine"]
    assert words[1] == "=1"
