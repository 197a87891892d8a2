"""Text made fit to stand in a document: nothing in it can reorder a line, break a file or vanish unseen."""

from __future__ import annotations

import dataclasses
import re
from typing import Any, TypeVar

from purgecalc.reports.blocks import Document

# embeddings, overrides and isolates turn the order of everything after them; letters of right-to-left scripts need none of them
_TURNING = re.compile("[\u202a-\u202e\u2066-\u2069]")
# no file of text may hold these: control characters, halves of surrogate pairs, byte order marks, noncharacters
_UNFIT = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\ud800-\udfff\ufdd0-\ufdef\ufeff\ufff9-\ufffb\ufffe\uffff]")
_NEW_LINE = re.compile("\r\n?|[\x0b\x0c\x85\u2028\u2029]")
_LONG, _STEP = re.compile(r"\S{25,}"), 8
_AS_THEY_ARE = {"svg", "head"}  # files of other forms, made by this program

T = TypeVar("T")


def fit(text: str) -> str:
    """``text`` without marks that turn the direction of a line; what no file can hold is shown as U+FFFD."""
    if text.isascii() and text.replace("\n", "").isprintable():
        return text
    return _UNFIT.sub("\ufffd", _TURNING.sub("", _NEW_LINE.sub("\n", text)))


def breakable(text: str, mark: str) -> str:
    """``text`` with ``mark`` in its longest words, where they may go on in the next line."""
    return _LONG.sub(lambda found: mark.join(found[0][i : i + _STEP] for i in range(0, len(found[0]), _STEP)), text)


def fit_document(document: Document) -> Document:
    """``document`` with every text in it made fit."""
    return _walk(document)


def _walk(thing: T) -> T:
    out: Any = thing
    if isinstance(thing, str):
        out = fit(thing)
    elif isinstance(thing, tuple):
        out = tuple(_walk(t) for t in thing)
    elif dataclasses.is_dataclass(thing) and not isinstance(thing, type):
        names = [f.name for f in dataclasses.fields(thing) if f.name not in _AS_THEY_ARE]
        out = dataclasses.replace(thing, **{n: _walk(getattr(thing, n)) for n in names})
    return out  # type: ignore[no-any-return]
