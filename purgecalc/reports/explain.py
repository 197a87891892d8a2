"""Any number worked by hand: equation, numbers put in, result, source, and where the inputs came from."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from purgecalc.design import Design
from purgecalc.reports.page import Page, hanging
from purgecalc.reports.removal import NOT_MEASURED, REMOVAL
from purgecalc.shown import text_of
from purgecalc.units import digits
from purgecalc.working import CONSTANTS, Constant, Given, Node, Step, Word

_SYMBOL = re.compile(r"[A-Za-z_][A-Za-z_0-9]*(?!\w*\()")


def plain(shown: str) -> str:
    """The equation without the zeros that only carry a unit: "max(x, 0*t)" reads "max(x, 0)"."""
    name = r"(?:abs\([^()]*\)|[A-Za-z_]\w*)(?:/[A-Za-z_]\w*)?"
    return re.sub(rf"\b0\*{name}", "0", re.sub(rf" \+ 0\*{name}", "", shown))


def si_text(node: Node) -> str:
    """The value as the equation uses it: SI, six figures."""
    if isinstance(node, Word):
        return node.word
    number = digits(node.number, 6)
    return f"{number} {_pretty(node.unit)}" if node.unit else number


def came_from(node: Node) -> str:
    """Where a number or a word that a step rests on is from: the scenario, a work, or an earlier step."""
    if isinstance(node, Given | Word):
        return str(node.origin)
    return str(node.cite) if isinstance(node, Constant) else node.id


def _pretty(unit: str) -> str:
    return unit.replace("**", "").replace("*", " ")


def constants_in(step: Step) -> list[Constant]:
    """Constants the printed equation names."""
    names = _SYMBOL.findall(step.formula.shown) if step.formula else []
    return [CONSTANTS[n] for n in dict.fromkeys(names) if n not in step.inputs and n in CONSTANTS]


def put_in(step: Step) -> str:
    """The right-hand side with numbers in place of names."""
    assert step.formula is not None
    values = {**step.inputs} | {c.symbol: c for c in constants_in(step)}
    if "=" in step.formula.shown:
        values[step.formula.symbol] = step

    def number(match: re.Match[str]) -> str:
        node = values.get(match[0])
        if node is None:
            return match[0]
        text = digits(float(node.value), 6)
        return f"({text})" if text.startswith("-") else text

    return _SYMBOL.sub(number, plain(step.formula.shown))


def print_work(page: Page, design: Design, id: str = "", *, everything: bool = False) -> None:
    """One quantity worked, or all of them in order; with ``everything`` all it rests on follows."""
    for text in work(design, id, deep=everything) if id else (t for node in design.sheet for t in work(design, node.id)):
        indent = " " * (len(text) - len(text.lstrip()))
        hanging(page, text.lstrip(), indent, f"{indent}    ")


def print_quantities(page: Page, design: Design) -> None:
    """Every quantity with its value and title."""
    width = max(len(n.id) for n in design.sheet)
    beside = page.width >= width + 50
    for node in design.sheet:
        if beside:
            hanging(page, f"{node.id:<{width}}  {text_of(node):>16}  {node.title}", "", " " * (width + 20))
        else:
            hanging(page, f"{node.id} = {text_of(node)}", "", "    ")
            hanging(page, node.title, "    ")


def work(design: Design, id: str, *, deep: bool = False) -> Iterator[str]:
    """Lines of text that work one quantity; with ``deep`` everything it rests on follows."""
    todo, seen = [design[id]], {id}
    while todo:
        node = todo.pop(0)
        yield from _one(node, design)
        yield ""
        if deep and isinstance(node, Step):
            for inner in (*node.inputs.values(), *node.read.values()):
                if isinstance(inner, Step) and inner.id not in seen:
                    seen.add(inner.id)
                    todo.append(inner)


def _one(node: Node, design: Design) -> Iterator[str]:
    yield f"{node.id}: {node.title}"
    if isinstance(node, Given):
        yield f"  = {text_of(node)}" + (f" ({node.state})" if node.state else "")
        yield f"  from {node.origin}"
        if node.id == REMOVAL:
            yield f"  {NOT_MEASURED}"
        return
    if not isinstance(node, Step):
        yield f"  = {si_text(node)}"
        return
    if node.formula is None:
        yield f"  = {si_text(node)}  ({text_of(node)})"
        yield f"  method: {node.note}"
        yield from _rests_on(node, {})
        yield from _beside(node.id, design)
        return
    f = node.formula
    if "=" in f.shown:
        left, right = put_in(node).split("=")
        yield f"  {plain(f.shown)}"
        yield f"  {left.strip()} = {right.strip()}"
        yield f"  holds for {f.symbol} = {si_text(node)}  ({text_of(node)})"
    else:
        yield f"  {f.symbol} = {plain(f.shown)}"
        yield f"  {' ' * len(f.symbol)} = {put_in(node)}"
        yield f"  {' ' * len(f.symbol)} = {si_text(node)}  ({text_of(node)})"
    yield from _rests_on(node, {c.symbol: c for c in constants_in(node)})
    yield f"  source: {f.cite}"
    yield f"  valid:  {f.valid}"
    yield f"  code:   {f.place()}"
    if node.note:
        yield f"  note:   {node.note}"


def _rests_on(step: Step, constants: Mapping[str, Node]) -> Iterator[str]:
    """A line for each number that went in, and for each word that decided how."""
    named = {**step.inputs, **constants}
    width = max((len(n) for n in named), default=1)
    for name, inner in named.items():
        origin = f"from {came_from(inner)}" if isinstance(inner, Given) else came_from(inner)
        yield f"    {name:<{width}} = {si_text(inner):<22} {inner.title}; {origin}"
        if inner.id == REMOVAL:
            yield f"    {NOT_MEASURED}"
    for inner in step.read.values():
        told = f"{inner.id} = {si_text(inner)}" if isinstance(inner, Word) else f"{inner.title} = {si_text(inner)}"
        yield f"    decided by {told}; {came_from(inner)}"


BESIDE = {
    "head.pressure": (
        "to check it, march upstream from here: each line follows from the one above, and the last must equal the flow",
        (
            "line.mass_flow",
            "hose.outlet_pressure",
            "hose.inlet_pressure",
            "source.pressure",
            "source.mass_flow",
            "source.flow_mismatch",
        ),
    ),
    "blast.delivery_time": (
        'the same by hand, in series; "purgecalc trace" shows the blast in time',
        ("blast.delivery_time_estimate",),
    ),
    "blast.air_mass": ("steady flow times the blast, which leaves out filling and venting", ("line.mass_flow",)),
}
"""What a reader can hold a solved figure against: words and lines of the sheet, by id."""


def _beside(id: str, design: Design) -> Iterator[str]:
    words, ids = BESIDE.get(id, ("", ()))
    if words:
        yield f"  check:  {words}"
    for other in (i for i in ids if i in design.sheet):
        node = design[other]
        yield f"    {other} = {si_text(node)}  ({text_of(node)}); {node.title}"
