"""``purgecalc compare``."""

from __future__ import annotations

import json
import sys

from purgecalc.cli.console import say, show_page, width_of
from purgecalc.errors import UsageError
from purgecalc.reports.compare import as_data, print_comparison
from purgecalc.reports.page import Page
from purgecalc.scenario import load
from purgecalc.studies.checked import Checked
from purgecalc.studies.compare import compare


def run_compare(a: str, b: str, settings: list[str], system: str, as_json: bool) -> None:
    """Two scenarios side by side; settings are put over both."""
    if a == b == "-":
        raise UsageError("standard input can be read once: give a file for A or for B")
    one, two = (Checked.of(load(file, settings), system) for file in (a, b))
    found = compare(one, two)
    if as_json:
        say(json.dumps(as_data(found), indent=1))
        return
    page = Page(width_of(sys.stdout))
    names = (f"A {a}: {one.scenario.title}", f"B {b}: {two.scenario.title}")
    print_comparison(page, found, names, system, ("A", "B"))
    show_page(page)
