"""Dates of upkeep, counted from the start date of the scenario."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from purgecalc.design import Design
from purgecalc.formulas.upkeep import Due, due_with_band, plan
from purgecalc.references import OUR_JUDGEMENT

SPREAD = 0.3
"""Share of a life it may be off either way, our judgement."""
VALVE = "change the blast valve"
ELEMENT = "change the sensing element"
DRAIN = "drain the receiver, look for water"


def upkeep_plan(designs: Sequence[Design]) -> tuple[Due, ...]:
    """First dates of all tasks of a source and its lines, soonest first; empty where no start date is stated."""
    said = designs[0].inputs.choices.get("upkeep.start")
    if said is None:
        return ()
    start, cite = date.fromisoformat(said), OUR_JUDGEMENT.at("life of the scenario, 30 % either way")
    d = designs[0]  # of the source, and of all probes alike
    lives = {
        "change the compressor's seal": d.get("upkeep.seal_lasts"),
        f"{ELEMENT} (maker's life)": d.get("upkeep.element_life"),
    }
    left_out = {ELEMENT: 0} if lives[f"{ELEMENT} (maker's life)"] is not None else {}
    for line in designs:  # a valve wears as often as its own line blows
        lives[f"{VALVE}{f', {line.inputs.line}' if len(designs) > 1 else ''}"] = line.get("upkeep.valve_lasts")
    wear = [due_with_band(name, start, float(n.value), SPREAD, cite) for name, n in lives.items() if n is not None]
    if d.inputs.choice("source.kind") == "direct":
        left_out[DRAIN] = 0
    return plan(start, left_out, tuple(due for due in wear if due is not None))
