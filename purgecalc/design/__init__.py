"""THE calculation of one purge line, top to bottom: the page a checking engineer reads first.

Each line of the sheet calls one formula. Inputs may be arrays (a sweep, a sample, a table of designs): the same lines
then give arrays. ``line`` holds site and geometry, ``flow`` the steady flow, ``blast`` time and air, ``reading`` what
the blast does to the reading; which source feeds the line is settled in ``purgecalc.air_sources``.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from purgecalc import air_sources
from purgecalc.design.acceptance import acceptance
from purgecalc.design.blast import air_used, delivery_estimate
from purgecalc.design.contact import contact_logic
from purgecalc.design.corners import CORNERS, NORMAL, corners_of
from purgecalc.design.derating import motor_derating
from purgecalc.design.flow import (
    adiabatic_hose,
    jets,
    kept_in_hose,
    pressure_budget,
    rated_pressures,
    refuse_if_no_flow,
    steady_flow,
)
from purgecalc.design.interval import intervals
from purgecalc.design.lifting import lifting
from purgecalc.design.line import hose_and_head, site_and_water
from purgecalc.design.loop import control_loop
from purgecalc.design.moisture import moisture
from purgecalc.design.noise import compressor_noise, noise_in_air
from purgecalc.design.pressure import pressure
from purgecalc.design.reach import longest_hose, strongest_flow
from purgecalc.design.reading import reading
from purgecalc.design.supply import electrical_supply
from purgecalc.design.upkeep import upkeep
from purgecalc.design.worth import purge_or_wipe
from purgecalc.inputs import Inputs
from purgecalc.si import Num
from purgecalc.units import show
from purgecalc.working import Given, Node, Sheet

if TYPE_CHECKING:
    from purgecalc.cycle import Cycle


@dataclass(frozen=True, repr=False)
class Design:
    """One line, calculated: the inputs it started from and the sheet of everything worked out."""

    inputs: Inputs
    sheet: Sheet
    supply: air_sources.LineSupply
    cycle: Cycle | None = None
    """The simulated cycle, for drawing; single designs of oxygen probes only."""
    corner: str = NORMAL
    corners: Mapping[str, Design] = field(default_factory=dict)
    """The same line at the other depths its scenario names, by ``corners.CORNERS``."""

    def __repr__(self) -> str:
        return f"<Design of {self.inputs.line!r}, {self.corner} depth, {len([*self.sheet])} quantities>"

    def __getitem__(self, id: str) -> Node:
        return self.sheet[id] if id in self.sheet else self.inputs[id]

    def get(self, id: str) -> Node | None:
        return self.sheet.get(id) or self.inputs.get(id)

    def __contains__(self, id: object) -> bool:
        return id in self.sheet or id in self.inputs

    def value(self, id: str) -> Num:
        value: Num = self[id].value
        return value

    def number(self, id: str) -> float:
        """The value of a single design."""
        return float(self[id].value)

    @property
    def has_receiver(self) -> bool:
        """Whether the compressor fills a receiver, or blows into the hose itself."""
        return self.inputs.choice("source.kind") == "receiver"

    @property
    def highest_pressure(self) -> Node:
        """Highest pressure (gauge) the source can put on the line, as far as anybody has stated what limits it."""
        return self.get("pressure.highest_pressure") or self["source.highest_gauge"]

    @property
    def where(self) -> str:
        """The corner in words; empty at the normal depth."""
        if self.corner == NORMAL:
            return ""
        depth = self.inputs["head.depth"]
        return f"{CORNERS[self.corner]}, {depth.text or show(float(depth.value), 'length')}"

    def most(self, id: str) -> Node:
        """The quantity of a single design at the corner where it is greatest."""
        return max((d[id] for d in (self, *self.corners.values())), key=lambda node: float(node.value))

    def least(self, id: str) -> Node:
        """The quantity of a single design at the corner where it is least."""
        return min((d[id] for d in (self, *self.corners.values())), key=lambda node: float(node.value))

    def given(self, id: str) -> Given | None:
        return self.inputs.get(id)


def design(inputs: Inputs, *, unsteady: bool = True, aside: bool = True) -> Design:
    """Work out one purge line that has its source to itself.

    ``unsteady=False`` leaves the integrated blast out and keeps the hand estimate of delivery; ``aside=False`` leaves out what
    is for information only and judged by no rule. Raises ``NoPhysicalAnswer`` where a single design cannot blow at all; in
    arrays such designs come out as nan.
    """
    return design_all([inputs], unsteady=unsteady, aside=aside)[0]


def design_all(lines: Iterable[Inputs], *, unsteady: bool = True, aside: bool = True, corners: bool = True) -> list[Design]:
    """Work out every line on one source, whose duty counts them all: at the normal depth and (``corners``) at the others."""
    lines = list(lines)
    designs = _at_one_depth(lines, unsteady=unsteady, aside=aside)
    for corner, moved in corners_of(lines) if corners else ():
        there = [replace(d, corner=corner) for d in _at_one_depth(moved, unsteady=unsteady, aside=aside)]
        designs = [replace(d, corners={**d.corners, corner: c}) for d, c in zip(designs, there, strict=True)]
    return designs


def _at_one_depth(lines: Sequence[Inputs], *, unsteady: bool, aside: bool) -> list[Design]:
    designs = [_one_line(inputs, unsteady=unsteady, aside=aside) for inputs in lines]
    for this in designs:
        others = [d.sheet for d in designs if d is not this]
        source = air_sources.of(this.inputs.choice("source.kind"))
        source.duty(this.sheet, this.inputs, others)
        intervals(this.sheet, this.inputs)
        purge_or_wipe(this.sheet, this.inputs)
        compressor_noise(this.sheet, this.inputs, source, others)
        upkeep(this.sheet, this.inputs)
        if aside:
            acceptance(this.sheet, this.inputs)
    return designs


def _one_line(inputs: Inputs, *, unsteady: bool, aside: bool) -> Design:
    sheet = Sheet()
    source = air_sources.of(inputs.choice("source.kind"))
    site_and_water(sheet, inputs)
    hose_and_head(sheet, inputs)
    supply = source.supply(sheet, inputs)
    refuse_if_no_flow(sheet, inputs, supply.highest)
    steady_flow(sheet, inputs, supply)
    rated_pressures(sheet, inputs, supply)
    pressure_budget(sheet, inputs)
    jets(sheet, inputs)
    longest_hose(sheet, inputs, supply)
    if aside:
        adiabatic_hose(sheet, inputs)
        kept_in_hose(sheet, inputs)
    delivery_estimate(sheet, inputs)
    if not unsteady and supply.law.pressure is not None:
        strongest_flow(sheet, inputs, supply)
    source.blast(sheet, inputs, supply, unsteady=unsteady)
    contact_logic(sheet, inputs)
    air_used(sheet, inputs)
    reading(sheet, inputs)
    control_loop(sheet, inputs)
    electrical_supply(sheet, inputs)
    moisture(sheet, inputs, supply)
    pressure(sheet, inputs, supply)
    motor_derating(sheet, inputs)
    noise_in_air(sheet, inputs, supply)
    lifting(sheet, inputs)
    if not unsteady:
        return Design(inputs, sheet, supply)
    from purgecalc.design.simulated import released  # tables and sweeps start sooner without it

    return Design(inputs, sheet, supply, released(sheet, inputs))
