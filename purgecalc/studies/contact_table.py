"""Does air flow? Every way of wiring the stated load, in every condition."""

from __future__ import annotations

from dataclasses import dataclass

from purgecalc.design import Design
from purgecalc.design.contact import wiring_of
from purgecalc.formulas.contact import Condition, every_wiring, judge


@dataclass(frozen=True)
class TruthTable:
    """``heads`` names the wirings, ``chosen`` is the column of the scenario, ``rows`` say by condition whether air flows."""

    load: str
    heads: tuple[str, ...]
    chosen: int
    rows: tuple[tuple[str, tuple[bool, ...]], ...]


def truth_table(design: Design) -> TruthTable | None:
    """The table for this line's load; None where its wiring is not stated."""
    mine = wiring_of(design.inputs)
    if mine is None:
        return None
    ways = [w for w in every_wiring() if w.load is mine.load]
    facts = [judge(w) for w in ways]
    heads = tuple(f"{w.terminal.value}, coil {'on' if w.coil_on_at_rest else 'off'}" for w in ways)
    rows = tuple((c.value, tuple(f.flows[c] for f in facts)) for c in Condition)
    return TruthTable(mine.load.value, heads, ways.index(mine), rows)
