"""Tables are read in parts, plainly or cell by cell, and written so that nothing is lost."""

import csv
from pathlib import Path

import numpy as np
import pytest

from purgecalc.errors import ScenarioError
from purgecalc.studies.table import RowsRead, opened, rows_of

HEAD = "name,line.hose.length [m],line.probe.kind,line.hose.bore [mm]\n"


def read(tmp_path: Path, text: str, rows: int = 100, encoding: str = "utf-8") -> list[RowsRead]:
    file = tmp_path / "t.csv"
    file.write_bytes(text.encode(encoding))
    with opened(str(file)) as table:
        return list(table.parts(rows))


@pytest.mark.parametrize("ending", ["\n", "\r\n"])
@pytest.mark.parametrize("rows", [1, 2, 100])
def test_plain_and_quoted_rows_read_alike(tmp_path: Path, rows: int, ending: str) -> None:
    plain = [f"a{i},{i}.5,pH,8" for i in range(1, 6)]
    quoted = [f'"a,{i}","{i}.5",pH,8' for i in range(1, 6)]
    for lines in (plain, quoted):
        parts = read(tmp_path, HEAD.replace("\n", ending) + ending.join(lines) + ending, rows)
        assert [t for p in parts for t in p.text] == lines
        assert np.concatenate([p.columns["line.hose.length [m]"] for p in parts]).tolist() == [1.5, 2.5, 3.5, 4.5, 5.5]
        assert {w for p in parts for w in p.columns["line.probe.kind"]} == {"pH"}
        assert [n for p in parts for n in p.at] == [2, 3, 4, 5, 6]
        assert not any(p.faults for p in parts)


def test_blank_lines_and_a_byte_order_mark_are_passed_over(tmp_path: Path) -> None:
    (part,) = read(tmp_path, HEAD + "a,1,pH,8\n\n  \nb,2,pH,8\n", encoding="utf-8-sig")
    assert (part.text, list(part.at)) == (["a,1,pH,8", "b,2,pH,8"], [2, 5])


def test_blank_lines_in_a_table_of_one_column(tmp_path: Path) -> None:
    (part,) = read(tmp_path, "line.hose.length [m]\n1\n\n2\n")
    assert (part.columns["line.hose.length [m]"].tolist(), list(part.at)) == ([1, 2], [2, 4])


@pytest.mark.parametrize(
    ("row", "words"),
    [
        ("a,,pH,8", "line.hose.length: the cell is empty"),
        ("a,7 m,pH,8", "the unit [m] stands in the first line"),
        ('a,"7,5",pH,8', "write a decimal point"),
        ("a,7,5,pH,8", "5 cells where the first line has 4; write decimal points"),
        ("a,7,pH", "3 cells where the first line has 4"),
        ("a,nan,pH,8", "is not a finite number"),
        ("a,1_0,pH,8", "is not a number"),
        ("a,7,,8", "line.probe.kind: the cell is empty"),
        ('"a,7,pH,8', "a quotation mark is not closed"),
    ],
)
def test_a_bad_cell_is_named_and_its_neighbours_are_read(tmp_path: Path, row: str, words: str) -> None:
    (part,) = read(tmp_path, f"{HEAD}x,1,pH,8\n{row}\ny,2,pH,8\n")
    assert list(part.faults) == [1]
    assert words in part.faults[1]
    assert part.columns["line.hose.length [m]"][[0, 2]].tolist() == [1, 2]
    assert len(next(csv.reader([part.text[1]]))) == 4  # so that answers stand under their heads


@pytest.mark.parametrize("rows", [("a,1,pH,8,9", "b,2,pH"), ("b,2,pH", "a,1,pH,8,9")])
def test_a_cell_too_many_does_not_make_up_for_one_too_few(tmp_path: Path, rows: tuple[str, str]) -> None:
    (part,) = read(tmp_path, HEAD + "\n".join(rows) + "\n")
    assert list(part.faults) == [0, 1]


@pytest.mark.parametrize(
    ("head", "words"),
    [
        ("name;line.hose.length [m]", "semicolons|not a key"),
        ("line.hose.length", "needs a unit"),
        ("bore [mm],line.hose.length [m]", "not a key of a scenario"),
        ("line.hose.length [m],verdict", "carried along if it is called one of name, id, note"),
        ("line.hose.length [m],line.hose.length [mm]", "stands there twice"),
        ("line.hose.length [m],,", "a column has no name"),
        ("name,id", "names no scenario key"),
        ("", "names no scenario key"),
    ],
)
def test_heads_that_cannot_be_used_are_refused(tmp_path: Path, head: str, words: str) -> None:
    with pytest.raises(ScenarioError, match=words):
        read(tmp_path, head + "\n1,2\n")


def test_text_that_is_not_text_is_refused(tmp_path: Path) -> None:
    with pytest.raises(ScenarioError, match="UTF-8"):
        read(tmp_path, HEAD + "Würzburg,1,pH,8\n", encoding="latin-1")


@pytest.mark.parametrize("blank", ["\n", "\n\n\n", "  \n", "\n" * 1000, ""])
def test_a_table_without_a_row_has_no_part(tmp_path: Path, blank: str) -> None:
    assert read(tmp_path, "line.hose.length [m]\n" + blank, rows=10) == []


def test_rows_after_many_blank_lines_keep_their_numbers(tmp_path: Path) -> None:
    (part,) = read(tmp_path, "line.hose.length [m]\n" + "\n" * 100 + "7\n", rows=10)
    assert list(part.at) == [102]


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("x" * 2_000_000, 1),
        (HEAD + "x" * 2_000_000, 2),
        (HEAD + "a,1,pH,8\n" + '"' + "x" * 2_000_000 + '"', 3),
        (HEAD + "a,1,pH,8\n" * 50 + "b,1,pH,8" + " " * 200_000, 52),
    ],
)
def test_a_row_that_never_ends_is_refused_with_its_line(tmp_path: Path, text: str, line: int) -> None:
    with pytest.raises(ScenarioError, match=f"t.csv:{line}: the line has more than 100000 characters"):
        read(tmp_path, text)


@pytest.mark.parametrize(
    "head",
    [
        "line.hose.length [m]" + " " * 50_000 + "x,note",
        "line.hose.length" + " " * 30_000 + "[m]" + " " * 30_000 + "x",
        "line.hose.length [" + "m" * 50_000 + "]",
        "k" * 90_000,
        ",".join(f"line.hose.lenght{i} [m]" for i in range(400)),
        "," * 90_000,
    ],
)
def test_a_head_that_no_person_writes_is_refused_in_few_words(tmp_path: Path, head: str) -> None:
    with pytest.raises(ScenarioError) as caught:
        read(tmp_path, head + "\n1,2\n")
    assert len(str(caught.value)) < 30_000


@pytest.mark.skipif(not Path("/dev/zero").exists(), reason="no such device on this system")
def test_a_device_that_never_ends_is_no_table() -> None:
    with pytest.raises(ScenarioError, match="the line has more than"), opened("/dev/zero"):
        pass


def test_answers_are_written_to_nine_figures_and_missing_ones_left_empty() -> None:
    columns = {"a": np.array([1 / 3, np.nan, np.inf]), "b": np.array(["x", 'say "no", please', ""], object)}
    rows = rows_of(columns, ["p", "q", "r"])
    assert rows == ["p,0.333333333,x\n", 'q,,"say ""no"", please"\n', "r,inf,\n"]
    assert rows_of({"a": np.array([2.0])}) == ["2\n"]
