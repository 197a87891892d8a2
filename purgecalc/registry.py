"""Find what a package holds by importing its modules; refuse duplicate names."""

from __future__ import annotations

import importlib
import pkgutil
from collections.abc import Iterator
from types import ModuleType
from typing import Generic, TypeVar

T = TypeVar("T")


def discover(package: ModuleType) -> list[ModuleType]:
    """Import every module directly inside ``package``, in name order."""
    names = sorted(m.name for m in pkgutil.iter_modules(package.__path__))
    return [importlib.import_module(f"{package.__name__}.{name}") for name in names]


class Registry(Generic[T]):
    """Entries by id, in the order they were added. Adding an id twice is an error, not an overwrite."""

    def __init__(self, what: str) -> None:
        self._what = what
        self._entries: dict[str, T] = {}

    def add(self, key: str, entry: T) -> None:
        if key in self._entries:
            raise ValueError(f"two {self._what}s are called {key!r}")
        self._entries[key] = entry

    def __getitem__(self, key: str) -> T:
        return self._entries[key]

    def __contains__(self, key: object) -> bool:
        return key in self._entries

    def __iter__(self) -> Iterator[str]:
        return iter(self._entries)

    def __len__(self) -> int:
        return len(self._entries)

    def values(self) -> list[T]:
        return list(self._entries.values())

    def get(self, key: str) -> T | None:
        return self._entries.get(key)
