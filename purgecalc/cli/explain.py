"""``purgecalc explain``."""

from __future__ import annotations

import re
import sys
from collections.abc import Sequence
from pathlib import Path

from purgecalc.cli.console import call, show_page, tell, width_of
from purgecalc.design import Design, design_all
from purgecalc.design.corners import CORNERS, NORMAL
from purgecalc.errors import UsageError
from purgecalc.renamed import now_called
from purgecalc.reports.explain import work
from purgecalc.reports.page import Page, hanging
from purgecalc.scenario import load
from purgecalc.shown import text_of
from purgecalc.studies.checked import line_called
from purgecalc.wording import nearest


def run_explain(file: str, quantity: str, everything: bool, line: str, settings: list[str], at: str = "") -> None:
    """List the quantities of a line, or work one of them."""
    if settings and not quantity and file not in ("", "-") and Path(file).suffix != ".toml" and not Path(file).exists():
        file, quantity = "", file  # the only word is a quantity: settings over the built-in reference need no scenario
    if not quantity and _an_id(file):
        raise UsageError(f"{file} is a quantity, not a file: purgecalc explain SCENARIO {file}; with --set no scenario is needed")
    design = _at(chosen(design_all(load(file, settings).lines, corners=at not in ("", NORMAL)), line), at)
    if not quantity and not everything:
        _list(design)
        return
    if quantity and quantity not in design:
        if now := now_called("quantities", quantity):
            raise UsageError(f"{quantity!r} {now}")
        known = [n.id for n in design.sheet]
        word = quantity.replace("-", "_").rsplit(".", 1)[-1]
        near = nearest(quantity, known, 3) or [id for id in known if word in id][:3]
        hint = f"; did you mean {', '.join(near)}?" if near else "."
        raise UsageError(f"{quantity!r} is not a quantity of this line{hint} List them: {call('explain', file, settings)}")
    lines = work(design, quantity, deep=everything) if quantity else (t for node in design.sheet for t in work(design, node.id))
    page = Page(width_of(sys.stdout))
    for text in lines:
        indent = " " * (len(text) - len(text.lstrip()))
        hanging(page, text.lstrip(), indent, f"{indent}    ")
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


def _at(design: Design, corner: str) -> Design:
    """The line at one of its depths; the normal one where none is named."""
    if corner in ("", NORMAL):
        return design
    if corner not in CORNERS:
        raise UsageError(f"--at {corner}: there is {', '.join([NORMAL, *CORNERS][:-1])} and {[*CORNERS][-1]}")
    if corner not in design.corners:
        raise UsageError(f"--at {corner}: the scenario names no line.head.{corner} that differs from line.head.depth")
    return design.corners[corner]


def _list(design: Design) -> None:
    page = Page(width_of(sys.stdout))
    width = max(len(n.id) for n in design.sheet)
    beside = page.width >= width + 50
    for node in design.sheet:
        if beside:
            hanging(page, f"{node.id:<{width}}  {text_of(node):>16}  {node.title}", "", " " * (width + 20))
        else:
            hanging(page, f"{node.id} = {text_of(node)}", "", "    ")
            hanging(page, node.title, "    ")
    show_page(page)
