"""A document as a tagged PDF for the archive (PDF/A-2a, PDF/UA-1). The only module that imports typst."""

from __future__ import annotations

import dataclasses
import json
import re
from pathlib import Path
from typing import Any

from purgecalc.reports.blocks import Document
from purgecalc.reports.plain_text import breakable, fit_document

TEMPLATE = Path(__file__).parent / "templates" / "note.typ"
_SPACE_OF_NO_WIDTH = "\u200b"
_UNCUT = ("svg", "alt", "head")
"""Not set in lines: drawings, words for readers who cannot see them, and what only the form of readings needs."""


def pdf(document: Document) -> bytes:
    """The whole file. The same document gives the same bytes: no clock and no font of the machine goes into it."""
    import typst

    data = json.dumps(_data(fit_document(document)), ensure_ascii=False)
    try:
        return _compiled(TEMPLATE.read_bytes(), data)
    except typst.TypstError:
        shown = _without_strange_signs(data)
        if shown == data:
            raise
        return _compiled(TEMPLATE.read_bytes(), shown)


def _data(thing: Any) -> Any:
    """What the template reads: a document as tables and lists. Blocks say of which kind they are.

    Its longest words have places at which a line may end: asking the template for them takes a third longer.
    """
    if isinstance(thing, str):
        return breakable(thing, _SPACE_OF_NO_WIDTH)
    if dataclasses.is_dataclass(thing):
        parts = {f.name: getattr(thing, f.name) for f in dataclasses.fields(thing)}
        return {"kind": type(thing).__name__, **{name: v if name in _UNCUT else _data(v) for name, v in parts.items()}}
    return [_data(each) for each in thing] if isinstance(thing, tuple) else thing


def _compiled(template: bytes, data: str) -> bytes:
    import typst

    return typst.compile(
        template,
        format="pdf",
        sys_inputs={"document": data},
        pdf_standards=["a-2a", "ua-1"],
        ignore_system_fonts=True,
        timestamp=0,
    )


def _without_strange_signs(data: str) -> str:
    """Signs that the fonts of the file do not have, by their number: an archive must not hold a sign nobody can see."""
    strange = {sign for sign in set(re.findall(r"[^\x00-\x7f]", data)) if not _can_be_set(sign)}
    return "".join(f"[U+{ord(sign):04X}]" if sign in strange else sign for sign in data)


def _can_be_set(sign: str) -> bool:
    import typst

    try:
        _compiled(_TRIAL, sign)
    except typst.TypstError:
        return False
    return True


_TRIAL = b"""#set document(title: "x")
#set text(lang: "en", font: ("Libertinus Serif", "DejaVu Sans Mono", "New Computer Modern Math"))
#sys.inputs.document"""
