"""What a document is made of. Blocks say what is said, in which order; renderers decide how it looks and compute nothing.

The PDF gets the document as data and never as template text. Marks that turn the direction
of writing are taken out.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias


@dataclass(frozen=True)
class Heading:
    """A section (level 1) or a part of one (level 2). ``id`` is plain letters and hyphens, for links.

    ``on_new_page`` where there are pages: what is taken to the site, filled in or put aside by itself.
    """

    text: str
    id: str
    level: int = 1
    on_new_page: bool = False


@dataclass(frozen=True)
class Paragraph:
    """Text; ``strong`` for the one sentence that must not be missed."""

    text: str
    strong: bool = False


@dataclass(frozen=True)
class Facts:
    """Labels and values. An empty value is a line to be filled in by hand."""

    rows: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Table:
    """A table with a caption and column heads. ``numbers`` are the columns set to the right."""

    caption: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    numbers: tuple[int, ...] = ()


@dataclass(frozen=True)
class Equation:
    """One step of the calculation: the equation as text, the numbers put in, the result, where the equation is from."""

    id: str
    title: str
    equation: str
    numbers: tuple[str, ...]
    result: str
    source: str


@dataclass(frozen=True)
class Chart:
    """A picture as SVG, with a caption and the text that stands in for it."""

    svg: str
    caption: str
    alt: str


@dataclass(frozen=True)
class Checklist:
    """Things to be done and ticked."""

    items: tuple[str, ...]


@dataclass(frozen=True)
class Cautions:
    """Warnings, set apart from other text."""

    items: tuple[str, ...]


@dataclass(frozen=True)
class Measurement:
    """One line of the table of measured against expected.

    ``id`` and ``unit`` are those of the readings file; ``measured`` is empty until a reading is given, ``judged`` too.
    ``low`` and ``high`` are the ends of the pass band in ``unit``, for a page that judges what is typed in; None: no test.
    """

    id: str
    quantity: str
    how: str
    expected: str
    band: str
    passes: str
    unit: str
    hint: str = ""
    measured: str = ""
    judged: str = ""
    low: float | None = None
    high: float | None = None


@dataclass(frozen=True)
class Measurements:
    """The table of measured against expected. ``head`` is what the readings file must begin with (TOML text)."""

    caption: str
    rows: tuple[Measurement, ...]
    head: str


@dataclass(frozen=True)
class Signatures:
    """Who signs, by role; name, date and signature are left blank."""

    roles: tuple[str, ...]


Block: TypeAlias = Heading | Paragraph | Facts | Table | Equation | Chart | Checklist | Cautions | Measurements | Signatures


@dataclass(frozen=True)
class Document:
    """A whole document. ``status`` is the line under its title; ``foot`` stands on every page."""

    title: str
    subtitle: str
    status: str
    grade: str
    """pass, care, draft, fix or stop: how the status line is painted; the words say it without paint."""
    foot: str
    date: str
    author: str
    blocks: tuple[Block, ...]
