"""What a figure rests on, by a letter on screens, and the one line that explains the letters used there.

JSON and the note have the full words.
"""

from __future__ import annotations

import re

from purgecalc.references import UNPUBLISHED, Basis, Citation, basis_of
from purgecalc.reports.page import Page, hanging

_WORDS = {Basis.P: "common practice(?:, no source)?", Basis.J: "our judgement", Basis.MEMORY: "(?:quoted )?from memory"}
"""What the letter says in place of the words; "measured" stays, because it belongs to the sentence it stands in."""


def mark(basis: Basis) -> str:
    """The letter as it stands in a text: "[P]"."""
    return f"[{basis.letter}]"


def cited(cite: Citation) -> str:
    """A citation with its letter before it."""
    work = () if cite.source in UNPUBLISHED else (cite.source.work,)
    return " ".join(filter(None, (mark(cite.basis), ", ".join(filter(None, (*work, cite.place))))))


def explained(origin: str) -> str:
    """The origin of a default with its letter before it; in brackets where no letter says what it rests on."""
    basis = basis_of(origin)
    if basis is None:
        return f"({origin})"
    rest = re.sub(rf"[:;,]?\s*\b({_WORDS[basis]})\b", "", origin, count=1) if basis in _WORDS else origin
    return f"{mark(basis)} {rest.lstrip(':;, ')}".rstrip()


def print_legend(page: Page) -> None:
    """What the letters on the page stand for; nothing where there is none."""
    text = page.plain()
    used = [f"{basis.letter} {basis.value}" for basis in Basis if mark(basis) in text]
    if used:
        page.print()
        hanging(page, f"Basis: {'; '.join(used)}", "")
