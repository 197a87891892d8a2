"""The page as text: well formed, in order, self-contained, and text of users is text. What only a browser can tell is elsewhere."""

import re
from dataclasses import replace
from html.parser import HTMLParser
from xml.etree import ElementTree

import pytest

from purgecalc.reports.as_html import html
from purgecalc.reports.blocks import Chart, Document, Equation, Heading, Measurements, Signatures, Table
from purgecalc.reports.svg import inline_svg
from tests.reports.note_sample import CALM, EMOJI, HOSTILE, RIGHT_TO_LEFT, SVG, TURNED_BACK, WILD

VOID = {"meta", "link", "input", "br", "wbr"}


class Page(HTMLParser):
    """Elements with their attributes and texts; refuses a tag closed out of turn."""

    def __init__(self, text: str) -> None:
        super().__init__(convert_charrefs=True)
        self.open: list[tuple[str, list[str]]] = []
        self.elements: list[tuple[str, dict[str, str | None]]] = []
        self.texts: list[tuple[str, str]] = []
        self.feed(text)
        self.close()
        assert not self.open

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, dict(attrs)))
        if tag == "br":
            self.handle_data("\n")
        if tag not in VOID:
            self.open.append((tag, []))

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        name, parts = self.open.pop()
        assert name == tag
        self.texts.append((tag, "".join(parts)))
        if self.open:
            self.open[-1][1].extend(parts)

    def handle_data(self, data: str) -> None:
        if self.open:
            self.open[-1][1].append(data)

    def all(self, tag: str) -> list[dict[str, str | None]]:
        return [attrs for name, attrs in self.elements if name == tag]

    def said(self, tag: str) -> list[str]:
        return [text for name, text in self.texts if name == tag]


CALM_PAGE, WILD_PAGE = Page(html(CALM)), Page(html(WILD))


@pytest.mark.parametrize("page", [CALM_PAGE, WILD_PAGE], ids=["calm", "wild"])
def test_the_frame_of_the_page(page: Page) -> None:
    assert page.all("html") == [{"lang": "en"}]
    for tag in ("title", "h1", "header", "main", "nav", "footer", "script", "style"):
        assert len(page.all(tag)) == 1 + (len(page.all("svg")) if tag in ("title", "style") else 0), tag
    levels = [int(tag[1]) for tag, _ in page.elements if re.fullmatch("h[1-6]", tag)]
    assert all(after <= before + 1 for before, after in zip(levels, levels[1:], strict=False))
    ids = [attrs["id"] for _, attrs in page.elements if "id" in attrs]
    assert len(ids) == len(set(ids))
    targets = {a["href"] for a in page.all("a")} | {u["href"] for u in page.all("use")}
    assert targets <= {f"#{i}" for i in ids}


@pytest.mark.parametrize(("document", "page"), [(CALM, CALM_PAGE), (WILD, WILD_PAGE)], ids=["calm", "wild"])
def test_nothing_is_lost_and_nothing_is_added(document: Document, page: Page) -> None:
    of = lambda *kind: sum(isinstance(b, kind) for b in document.blocks)  # noqa: E731
    assert len(page.all("table")) == len(page.all("caption")) == of(Table, Measurements, Signatures)
    assert len(page.all("figure")) == len(page.all("svg")) == len(page.all("figcaption")) == of(Chart)
    assert len(page.all("pre")) == of(Equation)
    assert sum(len(page.all(f"h{n}")) for n in (2, 3)) == of(Heading)
    assert all("scope" in th for th in page.all("th"))


@pytest.mark.parametrize("text", [*HOSTILE, TURNED_BACK, EMOJI, RIGHT_TO_LEFT])
def test_text_survives_word_for_word(text: str) -> None:
    for tag, times in {
        "p": 3,
        "strong": 2,
        "caption": 2,
        "th": 3,
        "td": 3,
        "dt": 2,
        "dd": 1,
        "span": 3,
        "figcaption": 1,
        "li": 2,
        "b": 1,
        "desc": 1,
    }.items():
        assert WILD_PAGE.said(tag).count(text) >= times, tag
    assert f"{text}\n" * 3 + text in WILD_PAGE.said("pre")
    assert any(row.get("data-id") == text and row["data-unit"] == text for row in WILD_PAGE.all("tr"))


def test_no_element_and_no_handler_comes_from_text() -> None:
    assert {tag for tag, _ in WILD_PAGE.elements} == {tag for tag, _ in CALM_PAGE.elements} | {"br", "wbr"}
    assert not [name for _, attrs in WILD_PAGE.elements for name in attrs if name.startswith("on")]
    assert not re.search("[\u202a-\u202e\u2066-\u2069]", html(WILD))


def test_nothing_is_fetched_from_elsewhere() -> None:
    for page in (CALM_PAGE, WILD_PAGE):
        for _, attrs in page.elements:
            for name in ("src", "href", "data", "action"):
                assert (attrs.get(name) or "#").startswith(("#", "data:,")), attrs
    style = CALM_PAGE.said("style")[0]
    assert "@import" not in style
    assert "url(" not in style


def test_status_is_painted_by_grade_and_said_in_words() -> None:
    for grade in ("pass", "care", "draft", "fix", "stop"):
        text = html(replace(CALM, grade=grade))
        assert f'<p class="status {grade}">{CALM.status}</p>' in text
        assert f".status.{grade} {{" in text


def test_a_drawing_keeps_its_links_under_its_own_names() -> None:
    out = inline_svg(SVG, "chart-7", "A < B", "falls & rises")
    root = ElementTree.fromstring(out)
    assert out.startswith("<svg ")
    assert "xmlns" not in out
    assert "metadata" not in out
    assert [e.get("href") for e in root.iter("use")] == ["#chart-7-mark"] * 2
    assert [e.get("clip-path") for e in root.iter("g")] == ["url(#chart-7-plot)"]
    assert {e.get("id") for e in root.iter() if e.get("id")} == {
        "chart-7",
        "chart-7-title",
        "chart-7-desc",
        "chart-7-plot",
        "chart-7-mark",
    }
    assert (root[0].text, root[1].text) == ("A < B", "falls & rises")
    assert root.get("viewBox") == "0 0 540 200"
    assert "width" not in root.attrib


def test_a_drawing_without_a_view_box_gets_one() -> None:
    assert 'viewBox="0 0 30 20"' in inline_svg(
        '<svg xmlns="http://www.w3.org/2000/svg" width="30pt" height="20pt"/>', "c", "t", "d"
    )


def test_an_empty_document_is_a_whole_page() -> None:
    page = Page(html(Document("T", "", "PASS", "pass", "", "", "", ())))
    assert page.said("h1") == ["T"]
    assert not page.all("nav")
    assert not page.all("footer")
