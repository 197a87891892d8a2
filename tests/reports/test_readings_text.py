"""The readings file as text is TOML that reads back as it was typed."""

import tomllib

from hypothesis import given
from hypothesis import strategies as st

from tests.reports.readings_file_text import readings_toml


def test_two_lines_for_each_value_and_none_for_an_empty_field() -> None:
    text = readings_toml(
        "schema = 1\n", [("source.pressure", "bar(g)", " 5.2 "), ("blast.delay", "s", "  "), ("ratio", "", "0.98")]
    )
    assert text == 'schema = 1\n[reading."source.pressure"]\nvalue = "5.2 bar(g)"\n[reading."ratio"]\nvalue = "0.98"\n'


def test_a_head_without_a_last_new_line_gets_one() -> None:
    assert readings_toml("a = 1", []) == "a = 1\n"
    assert readings_toml("", [("x", "s", "1")]).startswith("[reading")


@given(st.text(st.characters(exclude_categories=["Cs"]), min_size=1), st.text(st.characters(exclude_categories=["Cs"])))
def test_any_text_reads_back(id_: str, typed: str) -> None:
    read = tomllib.loads(readings_toml("", [(id_, "bar(g)", typed)]))
    assert read == ({"reading": {id_: {"value": f"{typed.strip()} bar(g)"}}} if typed.strip() else {})
