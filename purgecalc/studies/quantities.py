"""Quantities asked of many designs: found by id, with the unit each is to be told in."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from purgecalc.design import Design, design_all
from purgecalc.errors import UsageError
from purgecalc.inputs import Inputs
from purgecalc.kinds import KINDS
from purgecalc.renamed import now_called
from purgecalc.scenario.keys import UNCONVERTED, name_and_unit
from purgecalc.si import Num
from purgecalc.units import Conversion, UnitProblem, shown_in, si_label
from purgecalc.wording import nearest, shortened

DEFAULT = ("head.jet_thrust_ratio", "hose.pressure_drop", "blast.delivery_time", "blast.air_volume")
"""What is told unless something else is asked."""


@dataclass(frozen=True)
class Asked:
    """One quantity and its unit; ``head`` names both, as a column of a table."""

    id: str
    title: str
    kind: str
    unit: str
    writes: Conversion

    @property
    def head(self) -> str:
        return f"{self.id} [{self.unit}]" if self.unit else self.id

    def of(self, design: Design) -> Num:
        """The figures in SI; nan where this design has no such quantity."""
        node = design.get(self.id)
        return np.nan if node is None else node.value

    def written(self, si: Num) -> Num:
        """The figures in the unit asked for."""
        return si if self.writes == UNCONVERTED else (si - self.writes.offset) / self.writes.factor


def asked(of: Sequence[str], lines: Iterable[Inputs], line: str) -> tuple[tuple[Asked, ...], bool]:
    """Look the quantities up on the line called ``line``; ``of`` may give a unit, e.g. ``hose.pressure_drop [mbar]``.

    Also whether one of them is worked out for information only. Raises ``UsageError`` for a quantity or unit that is not there.
    """
    of = [*of] or list(DEFAULT)
    # as an array of one, so that a base which cannot blow has its quantities all the same
    probe = [inputs.changed({"water.temperature": np.array([inputs["water.temperature"].value])}) for inputs in lines]
    place = next(i for i, inputs in enumerate(probe) if inputs.line == line)
    ids = [_split(text)[0] for text in of]
    for unsteady, aside in ((False, False), (False, True), (True, True)):  # the cheapest that has them all
        found = design_all(probe, unsteady=unsteady, aside=aside, corners=False)[place]
        if all(id in found for id in ids):
            break
    return tuple(_asked(text, found) for text in of), aside


def _split(text: str) -> tuple[str, str | None]:
    return name_and_unit(text) or (text, None)


def _asked(text: str, design: Design) -> Asked:
    id, unit = _split(text)
    node = design.get(id)
    if node is None:
        if now := now_called("quantities", id):
            raise UsageError(f"{shortened(id, 100)!r} {now}")
        near = nearest(id, (n.id for n in design.sheet), 3)
        hint = f"; did you mean {', '.join(near)}?" if near else ""
        raise UsageError(f"{shortened(id, 100)!r} is not a quantity of this line{hint} List them: purgecalc explain SCENARIO")
    state = getattr(node, "state", "")
    kind = "gauge pressure" if (node.kind, state) == ("pressure", "gauge") else node.kind
    if unit is None:
        return Asked(id, node.title, kind, si_label(kind), UNCONVERTED)
    try:
        return Asked(id, node.title, kind, unit.strip(), shown_in(unit.strip(), kind, state))
    except UnitProblem as problem:
        name = KINDS[kind].name
        raise UsageError(
            f"--of {shortened(text, 100)}: {str(problem).replace(f'1 {unit}', unit, 1)} ({id} is a {name})"
        ) from None
