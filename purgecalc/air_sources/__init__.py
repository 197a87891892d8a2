"""Air sources: one module a kind, each saying how it chains the formulas. Found by the registry, no list to edit."""

from __future__ import annotations

from functools import lru_cache

from purgecalc.air_sources._base import AirSource, LineSupply
from purgecalc.air_sources._blast import BLAST_BRANCHES, BLAST_TOLERANCE, Followed
from purgecalc.registry import Registry, discover

__all__ = ["BLAST_BRANCHES", "BLAST_TOLERANCE", "AirSource", "Followed", "LineSupply", "kinds", "of"]


@lru_cache(maxsize=1)
def kinds() -> Registry[AirSource]:
    """Every kind of air source by name."""
    import purgecalc.air_sources as package

    found: Registry[AirSource] = Registry("air source")
    for module in discover(package):
        source = getattr(module, "SOURCE", None)
        if source is not None:
            found.add(source.kind, source)
    return found


def of(kind: str) -> AirSource:
    """The air source of this kind."""
    return kinds()[kind]
