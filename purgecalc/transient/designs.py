"""The blast as rows of numbers, one column per design: what the time steps read.

The unsteady solver wants some air between source and water: at most 98 % of the hose counts as flooded.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from functools import cached_property
from types import SimpleNamespace

import numpy as np
from numpy.typing import NDArray

from purgecalc.transient.blast import Control
from purgecalc.transient.laws import Array, FrictionLaw


@dataclass(eq=False)
class Designs:
    """Columns of numbers; the last axis runs over designs, a first axis over branches, nodes or curve points."""

    volume: Array
    p_source: Array
    control: Array
    curve_p: Array
    curve_m: Array
    run_up: Array
    cut_in: Array
    cut_out: Array
    wall: Array  # hA/cv, kg/s
    T_wall: Array
    T_in: Array
    rv: Array  # R/V of the receiver
    R: Array
    valve_c: Array  # kg/(s Pa) sqrt(K)
    b: Array
    t_open: Array
    t_close: Array
    regulated: Array
    crack_in: Array  # kept by a check valve behind the blast valve
    area: Array  # (branches, designs)
    inertia: Array  # area / branch length
    re_per_flow: Array
    roughness: Array
    per_flux: Array  # a/area
    wall_drag: Array  # times f Re, over the sum of a branch's end pressures: 1/s
    minor_drag: Array  # the same, times |flow|
    cap: Array  # (nodes, designs) node volume / a^2
    a: Array
    bore_inlet: Array  # A/a of the first branch
    bore_outlet: Array
    head_s: Array
    head_thin: Array
    crack: Array
    p_back: Array
    p_atm: Array
    p_close: Array
    p_start: Array
    wet: Array
    added: Array
    rho_w: Array
    water_head: Array
    water_re: Array  # Reynolds number per velocity
    water_loss: Array  # exit loss and fittings, velocity heads
    water_minor: Array  # fittings per length
    water_wall: Array  # nu_w/D^2, times f Re
    t_blast: Array
    t_end: Array
    useful: Array
    order: Array  # place in the caller's array

    @property
    def size(self) -> int:
        return int(self.t_blast.size)

    @cached_property
    def spread(self) -> Designs:
        """Views with an axis for the substeps between the rows and the designs."""
        return Designs(*(v[:, None] if v.ndim == 2 else v for v in (getattr(self, f.name) for f in fields(self))))

    @cached_property
    def plain(self) -> SimpleNamespace:
        """The first design as plain numbers, and lists of them."""
        numbers = {f.name: getattr(self, f.name)[..., 0].squeeze().tolist() for f in fields(self)}
        return SimpleNamespace(**numbers, thin=numbers["head_thin"] or None)

    @cached_property
    def thin(self) -> Array | None:
        """What thin holes add to ``head_s``; None if there are none."""
        return self.head_thin if self.head_thin.any() else None

    @cached_property
    def flow_scale(self) -> Array:
        """Flow of a wave of one atmosphere in every branch: the impedance of the bore."""
        out: Array = self.area * (self.p_atm / self.a)
        return out

    @cached_property
    def t_shut(self) -> Array:
        """When the valve is shut."""
        out: Array = self.t_blast + self.t_close
        return out

    @cached_property
    def floods(self) -> bool:
        """Whether water stands in any of the hoses at the start."""
        return bool(self.wet.any())

    @cached_property
    def switched(self) -> NDArray[np.bool_] | None:
        """Which compressors a pressure switch stops; None if there is none."""
        out: NDArray[np.bool_] = (self.control == Control.SWITCH) | (self.control == Control.COMMANDED)
        return out if out.any() else None

    def take(self, where: NDArray[np.int_ | np.bool_]) -> Designs:
        """The columns at an index or mask, copied."""
        return Designs(*(getattr(self, f.name)[..., where] for f in fields(self)))

    def put(self, where: NDArray[np.int_ | np.bool_], other: Designs) -> None:
        """Other designs into the columns ``where``."""
        for f in fields(self):
            getattr(self, f.name)[..., where] = getattr(other, f.name)
        for worked_out in ("switched", "flow_scale", "t_shut", "floods", "thin"):  # the others are views
            self.__dict__.pop(worked_out, None)


@dataclass(frozen=True)
class Layout:
    """Rows of the state: receiver mass and pressure, node pressures, branch flows, slug velocity and length, totals.

    The last node row holds pressure times its volume over its dry volume: that product is what mass conservation speaks
    about while a slug makes the node grow. ``last`` counts the branches of the hose's last element, the only one if
    ``uniform``.
    """

    branches: int
    last: int
    uniform: bool
    friction: FrictionLaw

    @cached_property
    def nodes(self) -> slice:
        return slice(2, self.branches + 3)

    @cached_property
    def end(self) -> int:
        return self.branches + 2

    @cached_property
    def flows(self) -> slice:
        return slice(self.branches + 3, 2 * self.branches + 3)

    @cached_property
    def slug(self) -> int:
        """Row of the slug's velocity; its length, then air made and discharged follow."""
        return 2 * self.branches + 3

    @cached_property
    def rows(self) -> int:
        return 2 * self.branches + 7
