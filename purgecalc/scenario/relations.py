"""Conditions that numbers of one table must meet together, or that a plain number must meet alone.

Each stands here once: the scenario model refuses a table that breaks one, and tables of many designs and sweeps are
held to the same, element by element.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from purgecalc.formulas.sensor_fall import longest_tail
from purgecalc.scenario.fields import wrong
from purgecalc.scenario.toml_text import LARGEST
from purgecalc.units import Measure
from purgecalc.wording import quoted
from purgecalc.working import Given


@dataclass(frozen=True)
class Relation:
    """``broken`` takes the values (SI) of ``fields`` of ``table``; ``text`` shows what was written of them, in order.

    ``about`` is the field the message points at. With ``same_state`` it speaks only of pressures all stated alike.
    """

    table: str
    fields: tuple[str, ...]
    broken: Callable[..., Any]
    text: str
    about: str = ""
    same_state: bool = False

    def ids(self) -> tuple[str, ...]:
        """Ids of the inputs compared."""
        return tuple(f"{self.table}.{field}" for field in self.fields)


def _count(table: str, field: str, least: float, most: float, allowed: str) -> Relation:
    text = f"{field} = {{0}} is out of range; allowed: {allowed}"
    return Relation(table, (field,), lambda v: np.logical_not((v >= least) & (v <= most)), text, field)


TAILS = (("t90", "t95"), ("t90", "t98"), ("t90", "t99"), ("t95", "t98"), ("t95", "t99"), ("t98", "t99"))
_TINY = 5e-324  # "more than 0" as a least value

RELATIONS = (
    _count("valve", "kv", 0.001, 100, "at least 0.001 and at most 100"),
    _count("valve", "cv", 0.001, 100, "at least 0.001 and at most 100"),
    Relation(
        "hose",
        ("outside_diameter", "wall"),
        lambda od, wall: od - 2 * wall < 0.5e-3,
        'outside_diameter "{0}" less two walls of "{1}" leaves no bore',
        "wall",
    ),
    _count("head", "holes", 1, 1000, "at least 1 and at most 1000"),
    Relation("head", ("deepest", "depth"), np.less, 'deepest "{0}" cannot be less than depth "{1}"', "deepest"),
    Relation("head", ("shallowest", "depth"), np.greater, 'shallowest "{0}" cannot be more than depth "{1}"', "shallowest"),
    Relation("head", ("wetted_length", "depth"), np.less, 'wetted_length "{0}" cannot be less than depth "{1}"', "wetted_length"),
    Relation(
        "probe", ("jet_floor", "jet_ceiling"), np.greater_equal, 'jet_floor "{0}" is not below jet_ceiling "{1}"', "jet_floor"
    ),
    Relation("probe", ("dead_time", "t90"), np.greater_equal, 'dead_time "{0}" must be shorter than t90 "{1}"', "dead_time"),
    *(Relation("probe", (b, a), np.less_equal, f'{b} "{{0}}" must be longer than {a} "{{1}}"', b) for a, b in TAILS),
    *(
        Relation(
            "probe",
            (id, "t90", "slow_share"),
            lambda t_x, t_90, s, x=x: t_x >= 0.999 * t_90 * longest_tail(s, x),
            f'{id} "{{0}}" is longer than a slow share of {{2}} allows beside t90 "{{1}}"; state a smaller slow_share',
            id,
        )
        for id, x in (("t95", 0.95), ("t98", 0.98), ("t99", 0.99))
    ),
    Relation(
        "schedule",
        ("blast", "hold_off", "interval", "hold_lead"),
        lambda b, h, T, lead: lead + b + h >= T,
        'blast "{0}" and hold_off "{1}" together do not fit in interval "{2}"; lengthen the interval or shorten them',
    ),
    Relation("source", ("cut_in", "cut_out"), np.greater_equal, 'cut_in "{0}" must be below cut_out "{1}"', "cut_in", True),
    Relation(
        "source",
        ("cut_out", "dead_head"),
        np.greater_equal,
        'cut_out "{0}" is never reached: the compressor stops delivering at dead_head "{1}"',
        "",
        True,
    ),
    _count("source", "starts_per_hour", _TINY, 1000, "more than 0 and at most 1000"),
    Relation(
        "supply",
        ("plate_voltage_to", "plate_voltage"),
        np.less,
        'plate_voltage_to "{0}" cannot be below plate_voltage "{1}"',
        "plate_voltage_to",
    ),
    _count("upkeep", "valve_life", 1, np.inf, "at least 1"),
)


def refuse_broken(table: str, part: Any) -> None:
    """Raise for the first relation that a validated table breaks."""
    for relation in RELATIONS:
        if relation.table != table:
            continue
        given = [_measure(getattr(part, field)) for field in relation.fields]
        if all(given) and _applies(relation, given) and np.any(relation.broken(*(m.value for m in given if m))):
            raise wrong(relation.text.format(*given), relation.about)


def broken_among(values: Mapping[str, Given]) -> Iterator[tuple[Relation, NDArray[np.bool_]]]:
    """Every relation whose numbers are all there, with where it is broken."""
    for relation in RELATIONS:
        given = [values.get(id) for id in relation.ids()]
        if all(given) and _applies(relation, given):
            yield relation, np.asarray(relation.broken(*(g.value for g in given if g)))


def _applies(relation: Relation, given: list[Any]) -> bool:
    return not relation.same_state or len({m.state for m in given}) == 1


def _measure(value: Any) -> Measure | None:
    if value is None or isinstance(value, Measure):
        return value
    number = float(value) if abs(value) < LARGEST else np.inf
    return Measure(number, "ratio", f"{value:g}" if isinstance(value, float) else quoted(value))
