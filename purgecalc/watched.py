"""Sheet and inputs seen through: whatever is fetched is remembered, so that an iterative solve can say what it was given."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from purgecalc.working import Given, Node, Sheet, symbol_of


class WatchedSheet(Sheet):
    """The same sheet, with everything fetched through it remembered in ``seen``: what an iterative solve was given."""

    def __init__(self, sheet: Sheet, seen: dict[str, Node]) -> None:
        self._nodes = sheet._nodes
        self.seen = seen

    def __getitem__(self, id: str) -> Node:
        node = super().__getitem__(id)
        self.seen[symbol_of(id)] = node
        return node

    def get(self, id: str) -> Node | None:
        return self[id] if id in self._nodes else None


class WatchedInputs(Mapping[str, Given]):
    """Inputs by id, with every one fetched remembered in ``seen``."""

    def __init__(self, values: Mapping[str, Given], seen: dict[str, Node]) -> None:
        self.values_, self.seen = values, seen

    def __getitem__(self, id: str) -> Given:
        given = self.values_[id]
        self.seen[symbol_of(id)] = given
        return given

    def __contains__(self, id: object) -> bool:
        return id in self.values_

    def __iter__(self) -> Iterator[str]:
        return iter(self.values_)

    def __len__(self) -> int:
        return len(self.values_)
