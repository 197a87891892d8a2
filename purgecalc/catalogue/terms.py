"""Terms, each with its one meaning, and the names that are kept out of texts."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files


@dataclass(frozen=True)
class Term:
    """A term and its meaning. ``synonyms`` are regular expressions of names that no text uses for it."""

    term: str
    means: str
    synonyms: tuple[str, ...] = ()


@lru_cache(maxsize=1)
def terms() -> tuple[Term, ...]:
    """All terms, in the order of the alphabet."""
    data = tomllib.loads((files("purgecalc.catalogue") / "terms.toml").read_text("utf-8"))
    return tuple(Term(t["term"], t["means"], tuple(t.get("not", ()))) for t in data["term"])
