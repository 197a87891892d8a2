"""Sizing and sweeps as the door gives them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, SupportsFloat, TypeAlias

import numpy as np
from numpy.typing import NDArray

from purgecalc.door.shown import WIDTH, Shown
from purgecalc.errors import UsageError
from purgecalc.inputs import SHARED_TABLES
from purgecalc.reports.page import Page, Text
from purgecalc.reports.size import print_size
from purgecalc.reports.sweep import print_sweep
from purgecalc.rules import Finding
from purgecalc.scenario.keys import name_and_unit
from purgecalc.studies.size import Sized
from purgecalc.studies.sweep import Sweep

Varied: TypeAlias = str | Sequence[str] | Sequence[SupportsFloat] | NDArray[Any]
"""Values of one figure: ``"3:60:40 m"``, ``"4,6,8 mm"``, ``["4 mm", "6 mm"]``, or numbers with the unit behind the key."""


@dataclass(frozen=True, eq=False, repr=False)
class Sizing(Shown):
    """What ``size`` says of one line.

    >>> s = r.size(free="hose.length")
    >>> s.changes, s.left
    ({}, ())
    """

    title: str
    sized: Sized
    place: int
    """Number of the line, from 1; 0 where it is the only one."""

    @property
    def changes(self) -> dict[str, str | int]:
        """Proposed values by scenario key, ready for ``check(..., set=sizing.changes)``; empty where nothing need change."""
        return {
            self._key(c.lever.id): int(c.given.value) if c.given.kind == "count" else c.text for c in self.sized.proposal.changes
        }

    def _key(self, id: str) -> str:
        if id.split(".")[0] in SHARED_TABLES:
            return id
        return f"line.{self.place}.{id}" if self.place else f"line.{id}"

    @property
    def left(self) -> tuple[Finding, ...]:
        """Findings that no figure clears."""
        return self.sized.proposal.left

    def page(self, width: int = WIDTH) -> Page:
        """The screen of ``purgecalc size``, laid out for ``width`` columns."""
        page = Page(width)
        page.print(Text(f"{self.title}, {self.sized.line}", style="bold"))
        print_size(page, self.sized, "si")
        return page

    def __repr__(self) -> str:
        return f"<Sizing of {self.sized.line!r}: {len(self.changes)} changes, {len(self.left)} findings left>"


@dataclass(frozen=True, eq=False, repr=False)
class Grid(Shown):
    """What ``sweep`` gives. Arrays have one axis for each figure varied, in the order given.

    >>> g = r.sweep({"line.hose.length": "3,6,60 m"}, of=["hose.pressure_drop"])
    >>> g.verdict.shape, g.values["hose.pressure_drop"].shape
    ((3,), (3,))
    """

    done: Sweep

    @property
    def axes(self) -> dict[str, NDArray[np.float64]]:
        """Values of each figure varied by its key and unit, e.g. ``line.hose.length [m]``, in rising order."""
        return {a.column.head: a.values for a in self.done.axes}

    @property
    def verdict(self) -> NDArray[Any]:
        """Verdict of every design: PASS, WATCH, FIX, STOP or IMPOSSIBLE."""
        return self.done.verdict

    @property
    def worst_rule(self) -> NDArray[Any]:
        """Id of the rule behind the worst finding of every design; empty where nothing fails."""
        return self.done.worst_rule

    @property
    def values(self) -> dict[str, NDArray[np.float64]]:
        """The quantities asked, by id, in SI."""
        return self.done.values

    def to_dict(self) -> dict[str, list[Any]]:
        """Columns of a table with one design a row, for ``pandas.DataFrame`` and the like."""
        return {head: column.tolist() for head, column in self.done.rows(0, self.verdict.size).items()}

    def page(self, width: int = WIDTH) -> Page:
        """The screen of ``purgecalc sweep``, laid out for ``width`` columns."""
        page = Page(width)
        print_sweep(page, self.done, plain=True)
        return page

    def __repr__(self) -> str:
        sizes = " x ".join(str(n) for n in self.verdict.shape)
        return f"<Grid of {sizes} designs over {', '.join(self.axes)}; {self.done.how}>"


def axis_text(key: str, values: Varied) -> str:
    """One figure varied, as the command line writes it. Raises ``UsageError``."""
    if isinstance(values, str):
        return f"{key}={values}"
    one, each = name_and_unit(key), list(values)
    if one is not None and one[1] is not None:
        try:
            return f"{one[0]}={','.join(repr(float(v)) for v in each)}[{one[1]}]"
        except (TypeError, ValueError):
            raise UsageError(f"{key} has its unit behind it, so its values are plain numbers") from None
    if not all(isinstance(v, str) for v in each):
        raise UsageError(f'{key}: numbers need a unit; write "{key} [m]" with the unit in brackets, or texts such as "6 m"')
    parts = [str(v).strip().partition(" ") for v in each]
    units = {unit.strip() for _, _, unit in parts}
    if len(units) != 1:
        raise UsageError(f'{key}: values of one figure are written in one unit, with a blank before it: ["4 mm", "6 mm"]')
    return f"{key}={','.join(number for number, _, _ in parts)}[{units.pop()}]"


def texts_of(vary: Mapping[str, Varied]) -> list[str]:
    """All figures varied, as the command line writes them. Raises ``UsageError``."""
    if not vary:
        raise UsageError('nothing is varied; say what, e.g. sweep({"line.hose.length": "3:60:40 m"})')
    return [axis_text(key, values) for key, values in vary.items()]
