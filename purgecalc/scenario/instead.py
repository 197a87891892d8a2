"""What a new value stands in place of: figures stated for a thing go when another thing takes its place."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from purgecalc.catalogue.probes import probe_kind
from purgecalc.units import UnitProblem

SENSOR = (
    "t90", "t63", "t95", "t98", "sensor", "dead_time", "filter", "clear_time", "face_limit",
)  # fmt: skip
"""Keys of ``probe`` that describe the sensor itself."""
READING = ("set_point", "tolerance")
"""Keys of ``probe`` that are amounts of what it measures."""
TIMES = ("t90", "t63", "t95", "t98")
INSTEAD_OF = {"hose.bore": ("outside_diameter", "wall")} | {
    f"probe.{one}": tuple(other for other in TIMES if other != one) for one in TIMES
}


def replaced(table: Mapping[str, Any], id: str, value: Any) -> tuple[str, ...]:
    """Keys of ``table`` that no longer hold once input ``id``, which it belongs to, becomes ``value``.

    Another kind of probe is another probe: its times, and what its face bears, are not those of the one it replaces; where it
    measures something else, neither are set point and tolerance.
    """
    old = table.get("kind")
    if id != "probe.kind" or old == value:
        return tuple(key for key in INSTEAD_OF.get(id, ()) if key in table)
    try:
        same = probe_kind(str(old)).parameter == probe_kind(str(value)).parameter
    except UnitProblem:  # one of them is unknown, which is said where the scenario is read
        return ()
    return tuple(key for key in (*SENSOR, *(() if same else READING)) if key in table)


def kinds_first(settings: Iterable[str]) -> list[str]:
    """Settings in the order to apply them: a probe first, what is said of it afterwards."""
    return sorted(settings, key=lambda s: not s.partition("=")[0].strip().endswith("probe.kind"))
