"""Which hose: the longest of each stock bore at which every rule still passes, and the smallest bore for a length.

Tight valves (``valve-share``) and the usual 7.6 m do not decide how long a hose may be: a longer hose does not clear the
one and the other is compared.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from purgecalc.catalogue.hoses import STOCK_BORES
from purgecalc.design.corners import greatest_depth
from purgecalc.formulas.hose_ends import bore_of_tube
from purgecalc.inputs import Inputs
from purgecalc.studies.grades import Graded, Subject
from purgecalc.studies.search import Array, Key, find_edge
from purgecalc.units import parse
from purgecalc.working import Given, Origin

NOT_BY_HOSE = ("hose-length", "valve-share", "lines-apart", "transition", "delivery-sharp")
"""The usual 7.6 m is compared with what is found and does not decide it; a tight valve, or lines that take each other's air, are
not cleared by a longer hose; friction that is less well known forbids none."""
HOSE_GROUPS = ("head", "hose")
"""Groups of rules that are the hose's doing even where they fail with every hose."""
SHORTEST, LONGEST = 0.5, 1000.0
USUAL = 7.6
ROUND_LENGTHS = (3.0, 7.6, 15.0, 30.0, 60.0, 100.0)


@dataclass(frozen=True)
class HoseRow:
    """Longest hose of a bore (m; nan where no length will do, inf where none is too long) and the rule that ends it.

    ``shortest`` is above the least length looked at where a short hose lets too much through.
    """

    bore: float
    shortest: float
    longest: float
    limit: str
    fitted: bool


@dataclass(frozen=True)
class HoseTable:
    """The table of one line, and the rules that fail whatever the hose."""

    rows: tuple[HoseRow, ...]
    fitted_length: float
    apart: tuple[Key, ...]
    start: float = SHORTEST
    """Shortest length looked at: a hose reaches down to the head."""

    def smallest(self, length: float) -> HoseRow | None:
        """The smallest bore that may be this long."""
        return next((row for row in self.rows if row.shortest <= length <= row.longest), None)

    def lengths(self) -> tuple[tuple[float, HoseRow | None], ...]:
        """Smallest bore for the present length and some others."""
        wanted = sorted({*ROUND_LENGTHS, self.fitted_length})
        return tuple((length, self.smallest(length)) for length in wanted if length >= self.start)

    @property
    def fitted(self) -> HoseRow:
        return next(row for row in self.rows if row.fitted)


def bore_given(inputs: Inputs) -> Given:
    """The bore as an input that can be varied, also where the scenario gives outside diameter and wall."""
    if "hose.bore" in inputs:
        return inputs["hose.bore"]
    bore = bore_of_tube(inputs["hose.outside_diameter"].value, inputs["hose.wall"].value)
    return Given("hose.bore", "inside diameter", "length", bore, Origin("other", "outside diameter less two walls"))


def given_of(inputs: Inputs, id: str) -> Given | None:
    """An input as it can be varied."""
    return bore_given(inputs) if id == "hose.bore" else inputs.get(id)


def hose_table(subject: Subject, bores: Sequence[float] = ()) -> HoseTable:
    """Work the table out for the line of ``subject``, for these bores (m) or for those in stock and its own."""
    inputs = subject.inputs
    given, fitted = bore_given(inputs), float(inputs["hose.length"].value)
    own = float(given.value)
    stock = bores or [parse(text, "length").value for text in STOCK_BORES]
    known = any(math.isclose(own, b, rel_tol=1e-9) for b in stock)
    rising = np.array(sorted(stock if known else {*stock, own}))

    def grade(length: Array, rows: NDArray[np.int_], *, unsteady: bool) -> Graded:
        bore = Given(given.id, given.title, given.kind, rising[rows, None], Origin("override", "varied"))
        return subject.grade({"hose.bore": bore, "hose.length": length}, unsteady)

    start = max(SHORTEST, float(greatest_depth(inputs).value))
    edge = find_edge(
        grade, np.full(len(rising), start), np.full(len(rising), LONGEST), HOSE_GROUPS, NOT_BY_HOSE, (*ROUND_LENGTHS, fitted)
    )
    rows = tuple(
        HoseRow(float(b), float(first), math.inf if last >= LONGEST else float(last), limit, math.isclose(b, own, rel_tol=1e-9))
        for b, first, last, limit in zip(rising, edge.first, edge.last, edge.limit, strict=True)
    )
    return HoseTable(rows, fitted, edge.apart, start)
