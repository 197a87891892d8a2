"""Lines of text with styles, collected for whoever paints them: a terminal in colour, a pipe or a file without."""

from __future__ import annotations

import re
import textwrap
import unicodedata

from purgecalc.visible import visible

Span = tuple[int, int, str]


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
