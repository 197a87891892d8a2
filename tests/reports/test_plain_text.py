"""Text made fit keeps every letter and loses only what would turn a line or break a file."""

import dataclasses
import json

from hypothesis import given
from hypothesis import strategies as st

from purgecalc.reports.plain_text import fit, fit_document
from tests.reports.note_sample import CALM, WILD


def test_marks_that_turn_a_line_are_taken_out_and_letters_of_other_scripts_stay() -> None:
    assert fit("a\u202eb\u2066c\u2069 שלום\u200f") == "abc שלום\u200f"


def test_what_no_file_holds_is_seen_to_be_missing() -> None:
    assert fit("a\x00b\ud800c\ufeff") == "a\ufffdb\ufffdc\ufffd"


def test_every_kind_of_line_end_is_one_kind() -> None:
    assert fit("a\r\nb\rc\u2028d\u0085e\tf\n") == "a\nb\nc\nd\ne\tf\n"


@given(st.text(st.characters(exclude_categories=["C", "Zl", "Zp"])))
def test_ordinary_text_is_left_alone(text: str) -> None:
    assert fit(text) == text


@given(st.text(st.characters()))
def test_any_text_can_be_written_and_is_fit_once_and_for_all(text: str) -> None:
    assert fit(fit(text)) == fit(text)
    fit(text).encode()


def test_documents_are_walked_through_and_drawings_left_alone() -> None:
    assert fit_document(CALM) == CALM
    before, after = (json.dumps(dataclasses.asdict(d)) for d in (WILD, fit_document(WILD)))
    for mark in ("u202e", "u2066"):
        assert mark in before
        assert mark not in after
