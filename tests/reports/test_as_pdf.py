"""The PDF: tagged, with its fonts, the same bytes each time, and text of users is text."""

import re
import shutil
import subprocess
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from purgecalc.reports.as_pdf import TEMPLATE, pdf
from purgecalc.reports.blocks import Document, Heading, Paragraph, Table
from tests.reports.note_sample import CALM, HOSTILE, LONG, TURNED_BACK, WILD


def needs(tool: str) -> pytest.MarkDecorator:
    return pytest.mark.skipif(not shutil.which(tool), reason=f"needs {tool} of poppler")


@cache
def made(document: Document) -> bytes:
    return pdf(document)


def asked(tool: str, document: Document, folder: Path, *more: str) -> str:
    (folder / "note.pdf").write_bytes(made(document))
    ends = ("-",) if tool == "pdftotext" else ()
    return subprocess.run(
        [tool, *more, "note.pdf", *ends], cwd=folder, capture_output=True, text=True, check=True, timeout=300
    ).stdout


def squeezed(text: str) -> str:
    """Text without its gaps: where lines break is the page's affair."""
    return re.sub(r"[\s\u200b]+", "", text)


@needs("pdfinfo")
def test_it_is_tagged_titled_and_a4(tmp_path: Path) -> None:
    info = asked("pdfinfo", CALM, tmp_path)
    assert re.search(r"Title: +Commissioning note: Tarnbeck, lane 2\n", info)
    assert re.search(r"Author: +R\. Okonjo", info)
    assert re.search(r"Tagged: +yes", info)
    assert re.search(r"Page size: .*\(A4\)", info)
    assert re.search(r"CreationDate: .*May +4 .*2031", info)
    assert b"pdfaid:part" in made(CALM)
    assert b"pdfuaid:part" in made(CALM)


@needs("pdfinfo")
def test_structure_has_headings_table_heads_captions_and_pictures_in_words(tmp_path: Path) -> None:
    tree = asked("pdfinfo", CALM, tmp_path, "-struct")
    count = {name: len(re.findall(rf"^ *{name}\b", tree, re.M)) for name in ("H1", "H2", "H3", "Table", "THead", "Figure", "L")}
    assert count["Table"] == count["THead"] == 3
    assert count["Figure"] >= 2
    assert count["H2"] + count["H1"] >= 6
    for block in CALM.blocks:
        if type(block).__name__ == "Chart":
            assert block.alt.encode("utf-16-be") in made(CALM) or block.alt.encode() in made(CALM)  # type: ignore[union-attr]


@needs("pdffonts")
@pytest.mark.parametrize("document", [CALM, WILD], ids=["calm", "wild"])
def test_all_fonts_are_in_the_file(document: Document, tmp_path: Path) -> None:
    rows = asked("pdffonts", document, tmp_path).splitlines()[2:]
    assert rows
    assert all(row.split()[-5] == "yes" for row in rows)


def test_the_same_document_gives_the_same_bytes() -> None:
    assert pdf(CALM) == made(CALM)
    assert pdf(WILD) == made(WILD)
    assert pdf(replace(CALM, foot="another")) != made(CALM)


@needs("pdfinfo")
def test_some_headings_begin_a_page(tmp_path: Path) -> None:
    flowing = replace(CALM, blocks=(Heading("One", "one"), Paragraph("first"), Heading("Two", "two"), Paragraph("second")))
    broken = replace(flowing, blocks=tuple(replace(b, on_new_page=True) if isinstance(b, Heading) else b for b in flowing.blocks))
    assert [re.findall(r"Pages: +(\d+)", asked("pdfinfo", d, tmp_path)) for d in (flowing, broken)] == [["1"], ["3"]]


@needs("pdftotext")
@pytest.mark.parametrize("columns", [1, 2, 3, 8])
@pytest.mark.parametrize("letters", [1, 30, 90, 91, 92, 300])
def test_tables_of_any_shape_stay_on_the_page(columns: int, letters: int, tmp_path: Path) -> None:
    cell = ("word " * 100)[:letters].strip() or "x"
    table = Table("c", ("h",) * columns, ((cell,) * columns, ("end",) * columns))
    text = asked("pdftotext", replace(CALM, blocks=(table,)), tmp_path)
    assert squeezed(text).count(squeezed(cell)) >= columns or columns == 8  # narrow columns mix their lines
    assert text.count("end") >= columns


@needs("pdftotext")
def test_a_note_without_a_date_shows_none(tmp_path: Path) -> None:
    for date in ("", "next spring"):
        text = asked("pdftotext", replace(CALM, date=date), tmp_path)
        assert "1970" not in text
        assert date in text
        assert "Okonjo" in text


@needs("pdftotext")
def test_every_page_has_its_number_and_the_foot_and_heads_repeat(tmp_path: Path) -> None:
    pages = asked("pdftotext", CALM, tmp_path, "-layout").rstrip("\f").split("\f")
    assert len(pages) > 2
    for n, page in enumerate(pages, 1):
        assert f"Page {n} of {len(pages)}" in page
        assert CALM.foot in page
        if "Pressure at stage" in page:
            assert "Remark" in page
    assert sum("Pressure at stage" in page for page in pages) > 1


@needs("pdftotext")
@pytest.mark.parametrize("document", [CALM, WILD], ids=["calm", "wild"])
def test_every_heading_and_caption_can_be_read(document: Document, tmp_path: Path) -> None:
    text = squeezed(asked("pdftotext", document, tmp_path))
    for block in document.blocks:
        if isinstance(block, Heading) and not re.search("[\u202a-\u202e\U0001f600-\U0001f6ff\u0590-\u05ff]", block.text):
            assert squeezed(block.text) in text, block.text


@needs("pdftotext")
def test_hostile_text_stays_text(tmp_path: Path) -> None:
    text = squeezed(asked("pdftotext", WILD, tmp_path))
    for said in (*HOSTILE, TURNED_BACK):
        assert text.count(squeezed(said)) >= 12, said
    assert text.count("tap[U+1F6B0]open") >= 12, "a sign no font of the file has is told by its number"


@needs("pdftotext")
def test_no_word_runs_off_the_page(tmp_path: Path) -> None:
    page = Document("T", "", "PASS", "pass", "", "", "", (Paragraph(LONG), Table(LONG, ("a", LONG), (("b", LONG), (LONG, "c")))))
    boxes = asked("pdftotext", page, tmp_path, "-bbox")
    ends = [float(x) for x in re.findall(r'xMax="([\d.]+)"', boxes)]
    assert len(ends) > 20
    assert max(ends) < 595 - 40


def test_texts_reach_the_template_as_data_only() -> None:
    source = TEMPLATE.read_text(encoding="utf-8")
    assert "eval(" not in source
    assert "sys.inputs.document" in source


def test_an_empty_document_is_a_page() -> None:
    assert pdf(Document("T", "", "PASS", "pass", "", "", "", ())).startswith(b"%PDF-1.7")


def test_signs_no_file_may_hold_do_not_stop_it() -> None:
    strange = "a\x00b\x07c\ud800d\ufeffe\ue000f\U000e0041 漢字 e\u0301 \U0001f469\u200d\U0001f527"
    assert pdf(replace(CALM, title=strange, foot=strange)).startswith(b"%PDF-1.7")
