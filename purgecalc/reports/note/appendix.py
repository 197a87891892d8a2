"""Every formula of the sheet with its numbers: a reviewer works any figure by hand from here."""

from __future__ import annotations

from collections.abc import Iterator

from purgecalc.reports.blocks import Block, Equation, Heading, Paragraph
from purgecalc.reports.explain import came_from, constants_in, plain, put_in, si_text
from purgecalc.shown import text_of
from purgecalc.studies.commissioning import Commissioning
from purgecalc.working import Step


def appendix(c: Commissioning) -> Iterator[Block]:
    """One block a step, in working order."""
    yield Heading("Calculation", "calculation", on_new_page=True)
    yield Paragraph("SI units, absolute pressures unless the name says gauge. Each figure names what it was worked out from.")
    for i, d in enumerate(c.designs, 1):
        if c.many:
            yield Heading(d.inputs.line, f"calculation-{i}", 2)
        for step in d.sheet.steps():
            yield _equation(step)


def _equation(step: Step) -> Equation:
    result = f"{si_text(step)} ({text_of(step)})"
    if step.formula is None:
        rests_on = tuple(f"{n.title} = {si_text(n)} ({came_from(n)})" for n in (*step.inputs.values(), *step.read.values()))
        return Equation(step.id, step.title, "", rests_on, result, step.note)
    f = step.formula
    shown = plain(f.shown)
    equation = shown if "=" in shown else f"{f.symbol} = {shown}"
    numbers = [put_in(step)]
    for name, node in step.inputs.items():
        numbers.append(f"{name} = {si_text(node)}: {node.title} ({came_from(node)})")
    numbers += [f"decided by {n.title} = {si_text(n)} ({came_from(n)})" for n in step.read.values()]
    numbers += [f"{k.symbol} = {si_text(k)}: {k.title} ({k.cite})" for k in constants_in(step)]
    source = f"{f.cite}. Valid: {f.valid}." + (f" {step.note}." if step.note else "")
    return Equation(step.id, step.title, equation, tuple(numbers), result, source)
