"""The blast as rows of numbers, one column per design: what the time steps read.

The unsteady solver wants some air between source and water: at most 98 % of the hose counts as flooded.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from functools import cached_property
from types import SimpleNamespace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from purgecalc.formulas import air, hose
from purgecalc.formulas import head as hd
from purgecalc.formulas.valve import T_ANR
from purgecalc.transient.blast import Blast, Control, Hose
from purgecalc.transient.laws import Array, FrictionLaw

NO_VALVE = 10.0
"""Conductance that stands for no valve, in bore areas at the speed of sound: costs below 0.1 % of pressure at Mach 0.3."""
FAST_WALL = 1e6
"""Infinite wall conductance, as 1/s of heat capacity of the air: keeps the air within 1e-6 of the wall's temperature."""
CV_OVER_R = 1 / (air.GAMMA.value - 1)


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

    def take(self, where: NDArray[Any]) -> Designs:
        """The columns at an index or mask, copied."""
        return Designs(*(getattr(self, f.name)[..., where] for f in fields(self)))

    def put(self, where: NDArray[Any], other: Designs) -> None:
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


def share_branches(elements: tuple[Hose, ...], branches: int) -> list[int]:
    """Branches per element: by length, averaged over the designs, two at least."""
    lengths = np.array([float(np.mean(e.length)) for e in elements])
    wanted = np.maximum(np.round(branches * lengths / lengths.sum()), 2 if len(elements) > 1 else 1)
    return [int(w) for w in wanted]


def _flat(value: Any, shape: tuple[int, ...]) -> Array:
    out: Array = np.array(np.broadcast_to(np.asarray(value, float), shape).reshape(-1))
    return out


def _curve(value: Any, shape: tuple[int, ...]) -> Array:
    points = np.asarray(value, float)
    if points.ndim == 1:
        points = points.reshape((-1,) + (1,) * len(shape))
    return np.stack([_flat(row, shape) for row in points])


def lay_out(blast: Blast, branches: int) -> tuple[Designs, Layout]:
    """Rows of ``branches`` branches for every design of the blast.

    Raises ValueError where a slug is longer than the last element of the hose, or a size is not positive.
    """
    shape, elements, tail = blast.shape(), blast.elements, blast.elements[-1]
    share = share_branches(elements, branches)
    layout = Layout(sum(share), share[-1], len(elements) == 1, blast.friction)

    def flat(value: Any) -> Array:
        return _flat(value, shape)

    T, R = flat(blast.temperature), flat(blast.gas_constant)
    a = np.sqrt(R * T)
    mu = flat(air.viscosity(blast.temperature) if blast.viscosity is None else blast.viscosity)
    wet = flat(blast.head.wetted_length)
    if np.any(wet >= flat(tail.length)):
        raise ValueError("the water column must be shorter than the last element of the hose")
    lengths = [flat(e.length) - (wet if e is tail else 0.0) for e in elements]
    dx = np.concatenate([np.tile(length / n, (n, 1)) for length, n in zip(lengths, share, strict=True)])

    def per_branch(name: str) -> Array:
        return np.concatenate([np.tile(flat(getattr(e, name)), (n, 1)) for e, n in zip(elements, share, strict=True)])

    bore = per_branch("bore")
    minor = np.concatenate([np.tile(flat(e.fittings) / flat(e.length), (n, 1)) for e, n in zip(elements, share, strict=True)])
    if np.any(dx <= 0) or np.any(bore <= 0) or np.any(flat(blast.source.volume) <= 0):
        raise ValueError("hose length, bore and source volume must be positive")
    area = np.asarray(hose.bore_area(bore))
    geometry = {
        "area": area,
        "inertia": area / dx,
        "re_per_flow": 4 / (np.pi * bore * mu),
        "roughness": per_branch("roughness") / bore,
        "wall_drag": mu * (a / bore) ** 2,
        "minor_drag": minor * a**2 / area,
        "per_flux": a / area,
        "cap": node_volumes(area * dx) / a**2,
        "bore_inlet": area[0] / a,
        "bore_outlet": area[-1] / a,
        "a": a,
        "R": R,
        "water_minor": 0.5 * minor[-1],
    }
    return Designs(**geometry, **_ends(blast, flat, shape, area, a)), layout


def node_volumes(branch: Array) -> Array:
    """Half of each neighbouring branch: the end nodes then sit exactly at valve and head."""
    out: Array = np.zeros((branch.shape[0] + 1, branch.shape[1]))
    out[:-1] += 0.5 * branch
    out[1:] += 0.5 * branch
    return out


def _ends(blast: Blast, flat: Any, shape: tuple[int, ...], area: Array, a: Array) -> dict[str, Array]:
    s, v, h, tail = blast.source, blast.valve, blast.head, blast.elements[-1]
    R, p_source, volume, T_wall = flat(blast.gas_constant), flat(s.pressure), flat(s.volume), flat(s.wall_temperature)
    mass = p_source * volume / (R * T_wall)
    bore_wide = NO_VALVE * area[0] / a * np.sqrt(flat(blast.temperature))
    conductance = flat(v.conductance) * air.RHO_ANR.value * np.sqrt(T_ANR.value)
    p_back, p_atm, bore, D = flat(blast.back_pressure), flat(blast.atmosphere), area[-1], flat(tail.bore)
    nu_w = flat(blast.water_viscosity) / flat(blast.water_density)
    still = flat(h.hole_area) + hd.thin_coefficient(1.0) * flat(h.thin_area)  # water is not compressed ahead of a hole
    t_blast = flat(blast.duration)
    quick = 1e-4 * np.minimum(1.0, t_blast)  # a ramp of no length would leave the first step without a scale
    t_open, t_close = np.maximum(flat(v.opening), quick), np.maximum(flat(v.closing), quick)
    return {
        "volume": volume,
        "p_source": p_source,
        "control": flat(s.control),
        "run_up": flat(s.run_up),
        "cut_in": flat(s.cut_in),
        "curve_p": _curve(s.curve_pressure, shape),
        "curve_m": _curve(s.curve_flow, shape),
        "cut_out": flat(s.cut_out),
        "wall": np.minimum(flat(s.wall_conductance) / (CV_OVER_R * R), FAST_WALL * mass),
        "T_wall": T_wall,
        "T_in": T_wall if s.inlet_temperature is None else flat(s.inlet_temperature),
        "rv": R / volume,
        "valve_c": np.minimum(conductance, bore_wide),
        "b": flat(v.critical_ratio),
        "t_open": t_open,
        "t_close": t_close,
        "regulated": flat(v.regulated),
        "crack_in": flat(v.crack),
        "crack": flat(h.crack),
        "head_s": flat(h.hole_area) / a,
        "head_thin": flat(h.thin_area) / a,
        "p_back": p_back,
        "p_atm": p_atm,
        "p_close": p_back + flat(h.crack),
        "p_start": p_atm if blast.start_pressure is None else flat(blast.start_pressure),
        "wet": flat(h.wetted_length),
        "added": flat(h.added_length),
        "rho_w": flat(blast.water_density),
        "water_head": p_back - p_atm,
        "water_re": D / nu_w,
        "water_loss": (bore / still) ** 2,
        "water_wall": nu_w / (2 * D**2),
        "t_blast": t_blast,
        "t_end": t_blast + np.maximum(flat(blast.tail), t_close),
        "useful": flat(blast.useful_head),
        "order": np.arange(t_blast.size, dtype=float),
    }
