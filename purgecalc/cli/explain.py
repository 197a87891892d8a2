"""``purgecalc explain``."""

from __future__ import annotations

import difflib
from pathlib import Path

from purgecalc.cli.console import call, say
from purgecalc.design import Design, design_all
from purgecalc.errors import UsageError
from purgecalc.reports.explain import work
from purgecalc.reports.summary import text_of
from purgecalc.scenario import load


def run_explain(file: str, quantity: str, everything: bool, line: str, settings: list[str]) -> None:
    """List the quantities of a line, or work one of them."""
    if settings and not quantity and file not in ("", "-") and Path(file).suffix != ".toml" and not Path(file).exists():
        file, quantity = "", file  # the only word is a quantity: settings over the built-in reference need no scenario
    design = chosen(design_all(load(file, settings).lines), line)
    if not quantity and not everything:
        _list(design)
        return
    if quantity and quantity not in design:
        known = [n.id for n in design.sheet]
        near = difflib.get_close_matches(quantity, known, n=3)
        hint = f"; did you mean {', '.join(near)}?" if near else ""
        raise UsageError(f"{quantity!r} is not a quantity of this line{hint} List them: {call('explain', file, settings)}")
    if quantity:
        say("\n".join(work(design, quantity, everything)).rstrip())
    else:
        for node in design.sheet:
            say("\n".join(work(design, node.id)))


def chosen(designs: list[Design], name: str) -> Design:
    """The line called ``name``, or the first."""
    if not name:
        return designs[0]
    for design in designs:
        if design.inputs.line == name:
            return design
    raise UsageError(f"no line is called {name!r}; lines: {', '.join(repr(d.inputs.line) for d in designs)}")


def _list(design: Design) -> None:
    width = max(len(n.id) for n in design.sheet)
    for node in design.sheet:
        say(f"{node.id:<{width}}  {text_of(node):>16}  {node.title}")
