"""What a number of the result is in: its unit, the unit's UCUM code, gauge or absolute, and the state its air is counted at."""

from __future__ import annotations

from typing import Any

from purgecalc.kinds import KINDS, UCUM
from purgecalc.working import Node

AIR_STATES = {
    "line.flow_anr": "ANR",
    "source.flow_anr": "ANR",
    "source.displacement": "inlet",
    "source.flow_of_displacement": "inlet",
    "line.flow_inlet": "inlet",
    "blast.air_volume": "ANR",
    "blast.air_volume_actual": "inlet",
    "blast.air_volume_normal": "normal",
    "blast.air_of_interval": "ANR",
    "blast.air_of_interval_actual": "inlet",
    "blast.air_per_day": "ANR",
    "blast.air_per_day_actual": "inlet",
    "blast.air_per_year": "ANR",
}
"""Volumes and flows of air by id, with the key of ``kinds.FLOW_STATES``. A flow that a scenario states brings its own."""

PLAIN_NUMBERS = {
    "noise.power_level": "dB",
    "noise.level_at": "dB[SPL]",
    "noise.in_air_upper": "dB[SPL]",
    "noise.compressor_level": "dB[SPL]",
    "noise.compressor_at_ear": "dB[SPL]",
    "noise.daily_exposure": "dB[SPL]",
    "noise.action_value": "dB[SPL]",
    "pressure.pressure_volume": "bar.L",
    "source.starts_per_hour": "/h",
    "valve.kv": "m3/h",
    "valve.cv": "[gal_us]/min",
    "uncertainty.temperature": "K",
}
"""Numbers the sheet carries without a unit though they have one. UCUM knows no A-weighting; the titles tell it."""


def unit_fields(kind: str, id: str, state: str = "") -> dict[str, Any]:
    """The fields that stand beside a value; ``state`` is what the scenario's text said of it."""
    si = KINDS[kind].si
    return {"unit": si, "ucum": _ucum(kind, id), "reference": _reference(kind, state), "air_state": _air_state(kind, id, state)}


def of_node(node: Node) -> dict[str, Any]:
    """The same for a line of the sheet."""
    return unit_fields(node.kind, node.id, getattr(node, "state", ""))


def _ucum(kind: str, id: str) -> str | None:
    if kind == "flag":
        return None
    if kind == "ratio" and id in PLAIN_NUMBERS:
        return PLAIN_NUMBERS[id]
    return UCUM[KINDS[kind].si]


def _reference(kind: str, state: str) -> str | None:
    if kind == "pressure":
        return "gauge" if state == "gauge" else "absolute"
    return "gauge" if kind == "gauge pressure" else None


def _air_state(kind: str, id: str, state: str) -> str | None:
    if kind == "air flow" and state:
        return state
    return AIR_STATES.get(id)
