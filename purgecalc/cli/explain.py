"""``purgecalc explain``."""

from __future__ import annotations

import re
import sys
from collections.abc import Sequence
from pathlib import Path

from purgecalc.cli.console import call, show_page, tell, width_of
from purgecalc.design import Design, design_all
from purgecalc.design.corners import NORMAL
from purgecalc.errors import UsageError
from purgecalc.reports.explain import print_quantities, print_work
from purgecalc.reports.page import Page
from purgecalc.scenario import load
from purgecalc.studies.checked import at_corner, line_called, node_of


def run_explain(file: str, quantity: str, everything: bool, line: str, settings: list[str], at: str = "") -> None:
    """List the quantities of a line, or work one of them."""
    if settings and not quantity and file not in ("", "-") and Path(file).suffix != ".toml" and not Path(file).exists():
        file, quantity = "", file  # the only word is a quantity: settings over the built-in reference need no scenario
    if not quantity and _an_id(file):
        raise UsageError(f"{file} is a quantity, not a file: purgecalc explain SCENARIO {file}; with --set no scenario is needed")
    design = at_corner(chosen(design_all(load(file, settings).lines, corners=at not in ("", NORMAL)), line), at)
    page = Page(width_of(sys.stdout))
    if not quantity and not everything:
        print_quantities(page, design)
    else:
        if quantity:
            node_of(design, quantity, f"List them: {call('explain', file, settings)}")
        print_work(page, design, quantity, everything=everything)
    show_page(page)


def _an_id(text: str) -> bool:
    """Whether it reads like the id of a quantity and is no file."""
    return re.fullmatch(r"[a-z_]+(\.[a-z0-9_]+)+", text) is not None and not text.endswith(".toml") and not Path(text).exists()


def chosen(designs: Sequence[Design], name: str) -> Design:
    """The line called ``name``, or the first, which is then said."""
    if not name:
        if len(designs) > 1:
            others = ", ".join(repr(d.inputs.line) for d in designs[1:])
            tell(f"line {designs[0].inputs.line!r}; for another say --line: {others}")
        return designs[0]
    return line_called(designs, name)
