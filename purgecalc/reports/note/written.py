"""The note or the field card as the content of a file."""

from __future__ import annotations

from pathlib import Path

from purgecalc.errors import UsageError
from purgecalc.reports.blocks import Document
from purgecalc.studies.commissioning import Commissioning

NOTE_FORMS = (".html", ".pdf", ".md")


def form_of(file: str, said: str = "") -> str:
    """The form a file's name asks for. Raises ``UsageError``, which repeats the name with what was ``said`` ahead of it."""
    form = Path(file).suffix.lower()
    if form not in NOTE_FORMS:
        raise UsageError(f"{said}{file}: note writes {', '.join(NOTE_FORMS)}")
    return form


def written(c: Commissioning, form: str, *, card: bool = False) -> str | bytes:
    """The note, or with ``card`` one page for the kiosk door; bytes where it is a PDF."""
    document = _document(c, form, card=card)
    if form == ".pdf":
        from purgecalc.reports.as_pdf import pdf

        return pdf(document)
    if form == ".html":
        from purgecalc.reports.as_html import html

        return html(document)
    from purgecalc.reports.as_markdown import markdown

    return markdown(document)


def _document(c: Commissioning, form: str, *, card: bool) -> Document:
    if card:
        from purgecalc.reports.note.card import field_card

        return field_card(c)
    from purgecalc.reports.note import commissioning_note
    from purgecalc.reports.note.pictures import pictures

    return commissioning_note(c, tuple(pictures(c, drawn=form != ".md")))
