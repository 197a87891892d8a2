"""What the screen says of contact, supply, moisture, upkeep and of where else to look."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from purgecalc.design import Design
from purgecalc.design.pressure import passed_pointers
from purgecalc.reports.page import Page, Text

if TYPE_CHECKING:  # every check comes through here, and only --detail needs these
    from purgecalc.formulas.upkeep import Due
    from purgecalc.studies.contact_table import TruthTable


def where_to_look(designs: Sequence[Design]) -> tuple[str, ...]:
    """Pointers to the rules on receivers under the regime stated."""
    regime = designs[0].inputs.choices.get("pressure.regime", "")
    return tuple(f"{regime}: {p.text} ({p.cite})" for p in passed_pointers(designs[0].sheet, designs[0].inputs))


def print_truth(page: Page, line: str, table: TruthTable) -> None:
    """Whether air flows, by wiring and condition; the scenario's wiring is marked."""
    heads = [f"{head}{' *' if i == table.chosen else ''}" for i, head in enumerate(table.heads)]
    wide = max(len(h) for h in heads)
    label = max(len(condition) for condition, _ in table.rows)
    page.print()
    page.print(Text(f"Does air flow? {line}, {table.load}; * as wired here"))
    columns = [range(len(heads))] if page.width >= label + 2 + len(heads) * (wide + 2) else [range(0, 2), range(2, 4)]
    for part in columns:
        page.print(Text((f"  {'':<{label}}" + "".join(f"  {heads[i]:<{wide}}" for i in part)).rstrip()))
        for condition, flows in table.rows:
            cells = "".join(f"  {'runs' if flows[i] else 'no':<{wide}}" for i in part)
            page.print(Text(f"  {condition:<{label}}{cells}".rstrip()))


def print_plan(page: Page, dates: Iterable[Due]) -> None:
    """First date of every task of upkeep."""
    page.print()
    page.print(Text("Upkeep, first dates"))
    for due in dates:
        page.print(Text(f"  {due.on.isoformat()}  {due.name}"))
        if due.earliest != due.latest:
            page.print(Text(f"              ({due.earliest.isoformat()} to {due.latest.isoformat()})"))
