"""Lines of text with styles, collected for whoever paints them: a terminal in colour, a pipe or a file without."""

from __future__ import annotations

import html
import itertools
import re
import textwrap
import unicodedata

from purgecalc.visible import visible

Span = tuple[int, int, str]
STYLE_SHEET = {
    "bold": "font-weight: bold",
    "dim": "opacity: 0.6",
    "cyan": "color: #006a80",
    "reverse": "color: Canvas; background-color: CanvasText",
    "color(32)": "color: #0087d7",
    "color(101)": "color: #87875f",
    "color(166)": "color: #d75f00",
}
"""What the words of a style come to on a page of HTML."""


class Text:
    """One line, and which parts of it are to be painted how."""

    def __init__(self, plain: str = "", style: str = "") -> None:
        self.plain = visible(plain)
        self.spans: list[Span] = [(0, len(self.plain), style)] if style else []

    def append(self, plain: str, style: str = "") -> None:
        """Add to the end of the line."""
        plain = visible(plain)
        if style:
            self.spans.append((len(self.plain), len(self.plain) + len(plain), style))
        self.plain += plain

    def stylize(self, style: str, start: int, end: int) -> None:
        """Paint a part of the line."""
        if style:
            self.spans.append((start, end, style))

    def rstrip(self) -> None:
        """Take blanks off the end."""
        self.plain = self.plain.rstrip()

    @property
    def cell_len(self) -> int:
        """Columns the line takes: wide characters take two, combining ones none."""
        wide = sum(unicodedata.east_asian_width(c) in "WF" for c in self.plain)
        return len(self.plain) + wide - sum(unicodedata.combining(c) > 0 for c in self.plain)

    def __add__(self, other: Text) -> Text:
        both = Text(self.plain + other.plain)
        shift = len(self.plain)
        both.spans = self.spans + [(a + shift, b + shift, style) for a, b, style in other.spans]
        return both


class Page:
    """Lines for a screen of a given width, in order."""

    def __init__(self, width: int) -> None:
        self.width = width
        self.lines: list[Text] = []

    def print(self, text: Text | None = None) -> None:
        """Add a line; without one, an empty line."""
        self.lines.append(text or Text())

    def plain(self) -> str:
        """The page without paint."""
        return "".join(f"{line.plain}\n" for line in self.lines)


def as_markup(page: Page) -> str:
    """The page as a piece of HTML, painted, its columns kept."""
    return f'<pre style="line-height: 1.25">{"".join(map(_line_of_markup, page.lines))}</pre>'


def _line_of_markup(line: Text) -> str:
    marks = sorted({0, len(line.plain), *(place for start, end, _ in line.spans for place in (start, end))})
    out = ""
    for start, end in itertools.pairwise(marks):
        words = [word for a, b, style in line.spans if a <= start < b for word in style.split()]
        css = "; ".join(STYLE_SHEET[word] for word in dict.fromkeys(words))
        part = html.escape(line.plain[start:end])
        out += f'<span style="{css}">{part}</span>' if css else part
    return out + "\n"


def folded(text: str, width: int, first: str = "", rest: str = "") -> list[str]:
    """Text folded at a width; a number stays with its unit."""
    tied = re.sub(r"(?<=\d) (?=[A-Za-z%])", "\u00a0", visible(text))
    wrapper = textwrap.TextWrapper(
        width, initial_indent=first, subsequent_indent=rest, break_long_words=False, break_on_hyphens=False
    )
    return [line.replace("\u00a0", " ") for line in wrapper.wrap(tied)] or [first]


def hanging(page: Page, text: str, first: str, rest: str | None = None) -> None:
    """A paragraph folded at the width, its later lines indented."""
    if text:
        for line in folded(text, page.width, first, first if rest is None else rest):
            page.print(Text(line))


def cut(text: str, width: int) -> str:
    """Text in one row, cut at a word where it is longer."""
    if Text(text).cell_len <= width:
        return text
    kept = text
    while kept and Text(kept).cell_len > width - 4:
        kept = kept[:-1]
    at = kept.rfind(" ")
    return f"{(kept[:at] if at > width // 2 else kept).rstrip(' ,;(')} ..."
