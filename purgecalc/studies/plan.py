"""Dates of upkeep, counted from the start date of the scenario."""

from __future__ import annotations

from datetime import date

from purgecalc.design import Design
from purgecalc.formulas.upkeep import Due, due_with_band, plan
from purgecalc.references import OUR_JUDGEMENT

SPREAD = 0.3
"""Share of a life it may be off either way, our judgement."""
ELEMENT = "change the sensing element"
DRAIN = "drain the reservoir, look for water"


def upkeep_plan(design: Design) -> tuple[Due, ...]:
    """First dates of all tasks, soonest first; empty where no start date is stated."""
    said = design.inputs.choices.get("upkeep.start")
    if said is None:
        return ()
    start, cite = date.fromisoformat(said), OUR_JUDGEMENT.at("life of the scenario, 30 % either way")
    lives = {
        "change the compressor's seal": design.get("upkeep.seal_lasts"),
        "change the blast valve": design.get("upkeep.valve_lasts"),
        f"{ELEMENT} (maker's life)": design.get("upkeep.element_life"),
    }
    wear = [due_with_band(name, start, float(n.value), SPREAD, cite) for name, n in lives.items() if n is not None]
    left_out = {ELEMENT: 0} if lives[f"{ELEMENT} (maker's life)"] is not None else {}
    if design.inputs.choice("source.kind") == "direct":
        left_out[DRAIN] = 0
    return plan(start, left_out, tuple(due for due in wear if due is not None))
