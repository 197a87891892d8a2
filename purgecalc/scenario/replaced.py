"""What a new value stands in place of: figures stated for a thing go when another thing takes its place.

Another kind of probe set over a scenario is another probe: times and face limit stated for the old one go, set point
and tolerance too where it measures something else.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from purgecalc.catalogue.probes import probe_kind
from purgecalc.scenario.positions import number_of_line
from purgecalc.scenario.toml_text import TomlProblem, parse_toml
from purgecalc.units import UnitProblem

SENSOR = (
    "t90",
    "t63",
    "t95",
    "t98",
    "t99",
    "t90_of",
    "settling_factor",
    "slow_share",
    "timed_fall",
    "timed_blast",
    "sensor",
    "dead_time",
    "filter",
    "clear_time",
    "jet_floor",
    "jet_ceiling",
    "face_limit",
)
"""Keys of ``probe`` that describe the sensor itself."""
READING = ("set_point", "tolerance")
"""Keys of ``probe`` that are amounts of what it measures."""
LAGS = ("t90", "t63", "t95", "t98", "t99")
BESIDE_T90 = ("t95", "t98", "t99")
"""Response times that may stand beside t90, and replace one another no more than they replace it."""
TIMED = ("timed_fall", "timed_blast")


def _together(one: str, other: str) -> bool:
    return all(time == "t90" or time in BESIDE_T90 for time in (one, other))


INSTEAD_OF = {"hose.bore": ("outside_diameter", "wall"), "probe.timed_fall": (*LAGS, "t90_of", "settling_factor")} | {
    f"probe.{one}": (*(other for other in LAGS if other != one and not _together(one, other)), *TIMED) for one in LAGS
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


def superseded(table: Any, setting: str, settings: Sequence[str]) -> tuple[str, ...]:
    """Keys of ``table`` that a setting stands in place of; what the settings state themselves is left to be judged."""
    key, _, value = setting.partition("=")
    parts = parts_of(key)
    if not isinstance(table, Mapping):
        return ()
    stated = [parts_of(other.partition("=")[0]) for other in settings]
    gone = replaced(table, ".".join(parts[-2:]), literal(value.strip()))
    return tuple(old for old in gone if not any(_same([*parts[:-1], old], other) for other in stated))


def parts_of(key: str) -> list[str]:
    """A key taken apart at its dots."""
    return [part.strip() for part in key.split(".")]


def _same(a: list[str], b: list[str]) -> bool:
    """Whether two keys may name one value: a line without a number is every line."""
    (plain_a, line_a), (plain_b, line_b) = (
        (p[:1] + p[2:], p[1]) if p[1:2] and number_of_line(p[1]) is not None else (p, "") for p in (a, b)
    )
    return plain_a == plain_b and (line_a == line_b or not line_a or not line_b)


def literal(text: str) -> Any:
    """A value of ``--set``: TOML where it is TOML, otherwise the text itself (shells take the quotes away)."""
    try:
        return parse_toml(f"x = {text}")["x"]
    except TomlProblem:
        return text
