"""Kinds of probe: one file each, every figure with its range and where it comes from.

``probe_kind("optical-oxygen").t90.value`` is a ``Measure`` in SI. A file that is incomplete or contradicts itself is
refused as a whole, because a default that is silently missing would be computed with.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

from purgecalc.errors import PurgecalcError
from purgecalc.units import Measure, UnitProblem, parse
from purgecalc.wording import nearest, quoted

PROBE_TIMES = ("t90", "clear_time", "mix_time")
FIELDS = (*PROBE_TIMES, "tolerance")
SIGNS = ("high", "low", "either")
FALL_FACTORS = ("settling", "falling")
"""How the fall of an oxygen sensor differs from one lag of its t90; of other kinds no bump is worked out."""
_KEYS = {"title", "parameter", "advice", "jet", *FIELDS, "bump", "fouling"}


@dataclass(frozen=True)
class Figure:
    """A usual value, and the range met."""

    value: Measure
    low: Measure
    high: Measure
    origin: str


@dataclass(frozen=True)
class Tolerance:
    """Bias allowed at release: ``of`` says absolute or share of the reading; ``label`` names a unit that has no symbol."""

    value: Measure
    of: str
    label: str
    origin: str


@dataclass(frozen=True)
class JetRange:
    """Jet thrust ratios between which a jet cleans and does no harm."""

    floor: Measure
    ceiling: Measure
    origin: str


@dataclass(frozen=True)
class Remark:
    """A statement and where it comes from."""

    text: str
    origin: str


@dataclass(frozen=True)
class ProbeKind:
    """A kind of probe of the catalogue. ``bump`` is the direction a blast moves the reading, ``fouling`` that of fouling."""

    name: str
    title: str
    parameter: str
    t90: Figure
    clear_time: Figure
    mix_time: Figure
    tolerance: Tolerance
    bump: Remark
    fouling: Remark
    advice: str
    jet: JetRange
    settling: Figure | None = None
    falling: Figure | None = None


def figures(kind: ProbeKind) -> dict[str, Figure | Tolerance]:
    """The figures of a kind, by name."""
    found = {name: getattr(kind, name) for name in (*FIELDS, *FALL_FACTORS)}
    return {name: figure for name, figure in found.items() if figure is not None}


def _figure(entry: dict[str, Any]) -> Figure:
    value, low, high = (parse(entry[key], entry.get("kind", "time")) for key in ("value", "low", "high"))
    if not 0 < low.value <= value.value <= high.value:
        raise ValueError(f"{value.text} is outside its own range {low.text} to {high.text}")
    return Figure(value, low, high, _origin(entry))


def _tolerance(entry: dict[str, Any]) -> Tolerance:
    value = parse(entry["value"], entry["kind"])
    if value.value <= 0 or entry["of"] not in ("absolute", "reading"):
        raise ValueError(f"tolerance {value.text} of {entry['of']}")
    return Tolerance(value, entry["of"], entry.get("label", ""), _origin(entry))


def _jet(entry: dict[str, Any]) -> JetRange:
    floor, ceiling = (parse(entry[key], "ratio") for key in ("floor", "ceiling"))
    if not 0 < floor.value < ceiling.value:
        raise ValueError(f"jet from {floor.text} to {ceiling.text}")
    return JetRange(floor, ceiling, _origin(entry))


def _origin(entry: dict[str, Any]) -> str:
    origin = str(entry["origin"])
    if not origin.strip():
        raise ValueError("an origin is empty")
    return origin


def read_kind(name: str, text: str) -> ProbeKind:
    """One kind from the text of its file. Raises ``PurgecalcError`` naming the kind and the fault."""
    import tomllib  # only here: it is needed when the catalogue is, not at every start

    try:
        data = tomllib.loads(text)
        factors = FALL_FACTORS if data.get("parameter") == "oxygen" else ()
        if set(data) != _KEYS.union(factors):
            raise ValueError(f"keys missing or unknown: {', '.join(sorted(set(data) ^ _KEYS.union(factors)))}")
        if data["fouling"]["sign"] not in SIGNS:
            raise ValueError(f"fouling sign {data['fouling']['sign']!r}; allowed: {', '.join(SIGNS)}")
        return ProbeKind(
            name,
            data["title"],
            data["parameter"],
            _figure(data["t90"]),
            _figure(data["clear_time"]),
            _figure(data["mix_time"]),
            _tolerance(data["tolerance"]),
            Remark(data["bump"]["direction"], _origin(data["bump"])),
            Remark(data["fouling"]["sign"], _origin(data["fouling"])),
            data["advice"],
            _jet(data["jet"]),
            *(_figure(data[name]) for name in factors),
        )
    except (KeyError, TypeError, ValueError) as fault:
        raise PurgecalcError(f"probe kind {name!r} of the catalogue: {fault}") from fault


@lru_cache(maxsize=1)
def probes() -> dict[str, ProbeKind]:
    """All kinds by name."""
    files = sorted((Path(__file__).parent / "probes").glob("*.toml"))
    return {file.stem: read_kind(file.stem, file.read_text(encoding="utf-8")) for file in files}


def probe_kind(name: str) -> ProbeKind:
    """One kind; raises ``UnitProblem`` naming those known."""
    known = probes()
    if name not in known:
        near = nearest(name, known)
        hint = f'did you mean "{near[0]}"? ' if near else ""
        raise UnitProblem(f"{quoted(name)} is not a kind of probe of the catalogue; {hint}known: {', '.join(known)}")
    return known[name]
