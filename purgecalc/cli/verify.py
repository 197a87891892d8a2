"""``purgecalc verify``."""

from __future__ import annotations

import sys
from pathlib import Path

from purgecalc.cli.console import show_page, width_of
from purgecalc.cli.output import Target
from purgecalc.errors import FindingsAtOrAbove, UsageError
from purgecalc.reports.page import Page
from purgecalc.reports.verify import FORMS, print_verification
from purgecalc.studies.verify import verify


def run_verify(output: str, force: bool) -> None:
    """Compare, show, and write where a file is named; ends with 5 where something does not agree."""
    form = FORMS.get(Path(output).suffix.lower())
    if output and form is None:
        raise UsageError(f"-o {output}: verify writes {', '.join(FORMS)}")
    target = Target(output, force) if output else None
    found = verify()
    page = Page(width_of(sys.stdout))
    print_verification(page, found)
    show_page(page)
    if target and form:
        target.write(form(found))
    if not found.agrees:
        raise FindingsAtOrAbove("")
