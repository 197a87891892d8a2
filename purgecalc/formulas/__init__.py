"""Pure functions on SI floats and arrays, each with its record. ``load()`` imports them all."""

from __future__ import annotations


def load() -> None:
    """Import every formula module, so that the registry is complete."""
    import purgecalc.formulas as package
    from purgecalc.registry import discover

    discover(package)
