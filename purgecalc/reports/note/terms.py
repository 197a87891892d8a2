"""What the words of the note mean."""

from __future__ import annotations

from collections.abc import Iterator

from purgecalc.catalogue.terms import terms
from purgecalc.reports.blocks import Block, Facts, Heading
from purgecalc.studies.commissioning import Commissioning


def glossary(c: Commissioning) -> Iterator[Block]:
    """The last page: every term and its meaning."""
    yield Heading("Terms", "terms", on_new_page=True)
    yield Facts(tuple((t.term, t.means) for t in terms()))
