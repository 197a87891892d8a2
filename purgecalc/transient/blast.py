"""What a blast is, in SI units and absolute pressures. Every number may be an array; all broadcast against each other."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, fields, is_dataclass
from enum import IntEnum
from typing import Any

import numpy as np

from purgecalc.formulas import air
from purgecalc.si import Num
from purgecalc.transient.laws import FrictionLaw, blended


class Control(IntEnum):
    """Who switches the compressor."""

    NONE = 0
    BLAST = 1
    """Runs while the blast lasts and feeds the hose directly; ``volume`` is then the dead volume ahead of the valve."""
    SWITCH = 2
    """A pressure switch: on at cut-in, off at cut-out. Stands still at the start unless the pressure is below cut-in."""
    COMMANDED = 3
    """Started with every blast and runs on until the pressure rises through cut-out, so a receiver that stands at cut-out
    when the blast begins has it running from the start; the pressure switch may start it again."""


@dataclass(frozen=True, kw_only=True)
class Source:
    """Receiver, or the dead volume of a compressor that feeds the hose directly.

    ``volume`` m3; ``pressure`` Pa at the start; ``curve_pressure`` Pa and ``curve_flow`` kg/s: the compressor's mass flow
    against the pressure it works into, points along axis 0 in rising order, straight lines between, constant outside;
    ``run_up`` s in which the flow rises linearly after each start; ``cut_in``, ``cut_out`` Pa; ``wall_conductance`` W/K
    from wall to air (0 adiabatic, infinite isothermal), ``wall_temperature`` K, also that of the air at the start;
    ``inlet_temperature`` K of the air the compressor delivers (None: the wall's).
    """

    volume: Num
    pressure: Num
    control: Num = Control.NONE
    curve_pressure: Num | Sequence[float] = (0.0, 1e7)
    curve_flow: Num | Sequence[float] = (0.0, 0.0)
    run_up: Num = 0.0
    cut_in: Num = 0.0
    cut_out: Num = np.inf
    wall_conductance: Num = np.inf
    wall_temperature: Num = 293.15
    inlet_temperature: Num | None = None


@dataclass(frozen=True, kw_only=True)
class Valve:
    """``conductance`` m3/(s Pa), infinite where there is no valve; ``critical_ratio`` b; linear ramps ``opening`` and
    ``closing`` s; ``regulated`` Pa: highest pressure a regulator ahead of the valve lets through; ``crack`` Pa kept by a
    check valve between it and the hose, through which nothing flows back (0: there is none)."""

    conductance: Num = np.inf
    critical_ratio: Num = 0.3
    opening: Num = 0.02
    closing: Num = 0.02
    regulated: Num = np.inf
    crack: Num = 0.0


@dataclass(frozen=True, kw_only=True)
class Hose:
    """One element of the hose: ``bore``, ``length``, ``roughness`` m; ``fittings`` sum of loss coefficients, spread along it."""

    bore: Num
    length: Num
    roughness: Num = 1.5e-6
    fittings: Num = 0.0


@dataclass(frozen=True, kw_only=True)
class Head:
    """``hole_area`` m2 effective (discharge coefficient included), beside it ``thin_area`` m2 of holes in a thin plate, whose
    coefficient follows the pressure; ``crack`` Pa kept by the check valve at the head.

    Without a check valve water stands in the hose end: ``wetted_length`` m of hose filled with water at the start,
    ``added_length`` m the further column moved along outside, which keeps the inertia finite at the end.
    """

    hole_area: Num
    crack: Num = 0.0
    wetted_length: Num = 0.0
    added_length: Num = 0.01
    thin_area: Num = 0.0


@dataclass(frozen=True, kw_only=True)
class Blast:
    """One blast, or many.

    ``hose`` one element or several in series from the valve to the head. ``back_pressure`` Pa of the water at the head,
    ``atmosphere`` Pa; ``duration`` s from opening to the start of closing, ``tail`` s followed after that;
    ``start_pressure`` Pa in the hose (None: atmosphere). ``temperature`` K of the air in the hose, ``viscosity`` Pa s
    (None: of air at that temperature); ``gas_constant`` J/(kg K); ``water_density`` kg/m3, ``water_viscosity`` Pa s.
    ``friction`` is the friction law. ``useful_head`` Pa: head pressure (absolute, ahead of the holes) above which time
    counts as useful.

    The hose is isothermal: delivery comes out 0.1 to 1.5 % early against a hose with wall heat transfer, the first puff of
    air up to 15 % late. Not modelled: water running back into the hose afterwards, elastic hose walls, moisture.
    """

    source: Source
    valve: Valve
    hose: Hose | tuple[Hose, ...]
    head: Head
    back_pressure: Num
    duration: Num
    atmosphere: Num = 101325.0
    tail: Num = 5.0
    start_pressure: Num | None = None
    temperature: Num = 293.15
    viscosity: Num | None = None
    gas_constant: Num = air.R_AIR.value
    water_density: Num = 998.2
    water_viscosity: Num = 1.002e-3
    useful_head: Num = np.inf
    friction: FrictionLaw = field(default=blended)

    @property
    def elements(self) -> tuple[Hose, ...]:
        return self.hose if isinstance(self.hose, tuple) else (self.hose,)

    def shape(self) -> tuple[int, ...]:
        """Common shape of all designs; raises ValueError where the fields do not broadcast."""
        return np.broadcast_shapes(*(np.shape(value)[is_curve(name) :] for name, value in leaves(self) if is_number(value)))


def leaves(part: Any) -> Iterator[tuple[str, Any]]:
    """Everything in a blast that is no part of it, by name and in a fixed order."""
    for f in fields(part):
        value = getattr(part, f.name)
        for each in value if is_series(value) else (value,):
            if is_dataclass(each):
                yield from leaves(each)
            else:
                yield f.name, each


def is_series(value: Any) -> bool:
    """Whether a field holds elements of the hose one after another."""
    return isinstance(value, tuple) and any(map(is_dataclass, value))


def is_number(value: Any) -> bool:
    """Whether a leaf is a number or an array of them, and not left open or a law."""
    return value is not None and not callable(value)


def is_curve(name: str) -> bool:
    """Whether the first axis of a leaf runs over points of a curve."""
    return name.startswith("curve_")
