"""The named inputs one purge line's calculation starts from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from math import nan

from purgecalc.si import Num
from purgecalc.watched import WatchedInputs
from purgecalc.working import Given, Node, Origin, Word, symbol_of

SHARED_TABLES = ("site", "water", "source", "supply", "moisture", "pressure", "upkeep", "uncertainty")
"""Tables of a scenario that stand once, for all its lines."""


_UNSAID = Origin("default", "not stated")


@dataclass(frozen=True, repr=False)
class Inputs:
    """Everything one purge line's calculation starts from.

    ``values`` holds dimensioned inputs by id (``hose.length``), ``choices`` the words (``source.kind``), ``curve`` the
    points of a measured source, ``fittings`` names and counts.
    """

    title: str
    line: str
    values: Mapping[str, Given]
    choices: Mapping[str, str]
    curve: tuple[tuple[Given, Given], ...] = ()
    fittings: Mapping[str, int] = field(default_factory=dict)
    origins: Mapping[str, Origin] = field(default_factory=dict)
    """Where each word of the tables came from; numbers carry theirs themselves."""

    def __repr__(self) -> str:
        return f"<Inputs of {self.line!r}, {len(self.values)} values>"

    def __getitem__(self, id: str) -> Given:
        return self.values[id]

    def get(self, id: str) -> Given | None:
        return self.values.get(id)

    def __contains__(self, id: object) -> bool:
        return id in self.values

    def choice(self, id: str) -> str:
        return self.choices[id]

    def words(self, *ids: str) -> dict[str, Node]:
        """Those of the words that the scenario has, as nodes a step can name."""
        said = [id for id in ids if id in self.choices]
        return {symbol_of(id): Word(id, id, "word", nan, self.origins.get(id, _UNSAID), self.choices[id]) for id in said}

    def defaults(self) -> list[Given]:
        """Inputs nobody gave, in order."""
        return [g for g in self.values.values() if g.origin.how == "default"]

    def changed(self, new: Mapping[str, Num], why: str = "varied") -> Inputs:
        """The same line with other numbers (SI, arrays allowed): what sweeps, sizing and uncertainty call.

        A figure nobody gave that was taken from one of them follows it.
        """
        values = dict(self.values)
        for id, value in new.items():
            values[id] = replace(values[id], value=value, origin=Origin("override", why), text="")
        for id, given in self.values.items():
            for symbol, source in given.read.items():
                if source.id in new and id not in new and given.origin.how == "default":
                    values[id] = replace(given, value=new[source.id], text="", read={symbol: values[source.id]})
        return replace(self, values=values)

    def with_given(self, given: Given) -> Inputs:
        return replace(self, values={**self.values, given.id: given})

    def watched(self, seen: dict[str, Node]) -> Inputs:
        """The same inputs, with every number fetched remembered in ``seen``: what an iterative solve was given."""
        return replace(self, values=WatchedInputs(self.values, seen))
