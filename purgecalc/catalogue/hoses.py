"""Hose materials: one file each, with the roughness of the bore and where the figure comes from."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from purgecalc.units import Measure, UnitProblem, parse
from purgecalc.wording import nearest, quoted

STOCK_BORES = ("3.2 mm", "4 mm", "5 mm", "6.3 mm", "8 mm", "10 mm", "12.5 mm", "16 mm")
STOCK_ORIGIN = (
    "ISO 4397 series, quoted from memory; the sizes of ISO 1307:2006 are the same, seen in a table that reproduces them"
)
DEFAULT_ROUGHNESS = "5 um"
DEFAULT_ROUGHNESS_ORIGIN = "smooth hose; published tables give 1.5 to 7 um for plastic, quoted as seen"
DEFAULT_LOSS = "4"
DEFAULT_LOSS_ORIGIN = "common practice, no source: 2 to 8 for a few couplings and bends"


@dataclass(frozen=True)
class HoseMaterial:
    """A hose material of the catalogue."""

    name: str
    title: str
    roughness: Measure
    range: str
    origin: str


@lru_cache(maxsize=1)
def hose_materials() -> dict[str, HoseMaterial]:
    """All materials by name."""
    found = {}
    for file in sorted((Path(__file__).parent / "hoses").glob("*.toml")):
        data = tomllib.loads(file.read_text(encoding="utf-8"))
        roughness = parse(data["roughness"], "length")
        found[file.stem] = HoseMaterial(file.stem, data["title"], roughness, data["range"], data["origin"])
    return found


def hose_material(name: str) -> HoseMaterial:
    """One material; raises ``UnitProblem`` naming those known."""
    known = hose_materials()
    if name not in known:
        near = nearest(name, known)
        hint = f'did you mean "{near[0]}"? ' if near else ""
        raise UnitProblem(f"{quoted(name)} is not a hose material of the catalogue; {hint}known: {', '.join(known)}")
    return known[name]
