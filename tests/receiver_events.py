"""Receivers followed event by event: an independent account of how long their compressors run, for tests.

The air of the vessel as one mass at one temperature, its wall at another, the compressor on its curve, and every line on
its own steady flow against the pressure of the vessel. Valves open and shut at once, and hoses hold no air.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from purgecalc.design import Design
from purgecalc.design.line import airway
from purgecalc.formulas import head as hd
from purgecalc.formulas import operating_point

R_AIR, GAMMA = 287.05287, 1.4
GRID = 160
Array = NDArray[np.float64]


@dataclass(frozen=True)
class FlowCurve:
    """Steady flow of one line against the pressure of the vessel, a column a design."""

    low: Array
    high: Array
    flow: Array

    @classmethod
    def of(cls, d: Design, size: int) -> FlowCurve:
        """By the steady solver, at pressures from the atmosphere to above cut-out."""
        low, high = np.asarray(d.value("site.pressure"), float), 1.3 * np.asarray(d.value("source.cut_out_absolute"), float)
        p = low + (high - low) * np.linspace(0, 1, GRID)[:, None]
        held = d.value("source.regulator_absolute") if "source.regulator_absolute" in d else np.inf
        point = operating_point.solve(airway(d.sheet, d.inputs), operating_point.Supply(pressure=np.minimum(p, held)))
        m = hd.mass_flow(
            C_d=d.value("head.discharge_coefficient"),
            A_h=d.value("head.hole_area"),
            p_h=point.head,
            p_b=d.value("water.back_pressure"),
            T=d.value("site.air_temperature"),
        )
        return cls(low, high, np.broadcast_to(np.nan_to_num(m), (GRID, size)))

    def at(self, p: Array) -> Array:
        place = np.clip((p - self.low) / (self.high - self.low) * (GRID - 1), 0, GRID - 1 - 1e-9)
        row, column = place.astype(int), np.arange(p.shape[1])
        share = place - row
        return self.flow[row, column] * (1 - share) + self.flow[row + 1, column] * share


@dataclass(frozen=True)
class Vessel:
    """Vessel, switch and compressor, a column a design. ``heat`` W/K from the wall; None keeps the air at its temperature."""

    volume: Array
    T: Array
    cut_in: Array
    cut_out: Array
    heat: Array | None
    curve: tuple[tuple[Array, Array], ...]
    run_up: Array

    @classmethod
    def of(cls, d: Design, size: int, isothermal: bool = False) -> Vessel:
        def wide(value: Any) -> Array:
            return np.broadcast_to(np.asarray(value, float), (size,))

        curve = tuple((wide(p.pressure.value), wide(p.flow.value)) for p in d.supply.points)
        volume, T, low, high = (
            wide(d.value(id))
            for id in ("source.volume", "site.air_temperature", "source.cut_in_absolute", "source.cut_out_absolute")
        )
        heat = None if isothermal else wide(d.value("source.wall_conductance"))
        return cls(volume, T, low, high, heat, curve, wide(d.value("source.run_up")))

    def made(self, p: Array) -> Array:
        """Flow of the compressor, straight between the points of its curve and constant outside."""
        flow = self.curve[0][1] + 0 * p
        for (p_a, m_a), (p_b, m_b) in zip(self.curve, self.curve[1:], strict=False):
            flow = flow + (m_b - m_a) * np.clip((p - p_a) / (p_b - p_a), 0, 1)
        return np.maximum(flow, 0)


def running(
    vessel: Vessel,
    curves: Sequence[FlowCurve],
    blasts: Sequence[Array],
    intervals: Sequence[Array],
    starts: Array,
    horizon: float,
    dt: float = 0.25,
    phases: Sequence[Array] | None = None,
) -> NDArray[np.bool_]:
    """Whether the compressor is on, by time (steps of ``dt``), case and design.

    ``starts`` are shares of the switch band the cases begin at, ``phases`` when each line first blows in each case.
    """
    share = np.asarray(starts, float)[:, None]
    p = vessel.cut_in + (vessel.cut_out - vessel.cut_in) * share
    mass, T, on, since = p * vessel.volume / (R_AIR * vessel.T), vessel.T + 0 * p, p <= vessel.cut_in * (1 + 1e-9), 0 * p
    out = np.zeros((int(horizon / dt), *p.shape), bool)
    first = phases if phases is not None else [0 * p] * len(curves)
    for step in range(len(out)):
        t = step * dt
        ages = [np.where(t >= ph - 1e-9, np.mod(t - ph + 1e-9, T_i), np.inf) for ph, T_i in zip(first, intervals, strict=True)]
        opening = [np.clip((blast - age) / dt, 0, 1) for blast, age in zip(blasts, ages, strict=True)]
        ramp = np.clip((t - since + 0.5 * dt) / np.maximum(vessel.run_up, 1e-9), 0, 1) * on

        def rates(p: Array, mass: Array, T: Array, ramp: Array = ramp, opening: list[Array] = opening) -> tuple[Array, Array]:
            taken = sum(o * curve.at(p) for o, curve in zip(opening, curves, strict=True))
            made = vessel.made(p) * ramp
            if vessel.heat is None:
                return made - taken, 0 * T
            warming = (GAMMA * vessel.T - T) * made - (GAMMA - 1) * T * taken + vessel.heat * (GAMMA - 1) / R_AIR * (vessel.T - T)
            return made - taken, warming / mass

        k_1 = rates(p, mass, T)
        ahead, warm = mass + dt * k_1[0], T + dt * k_1[1]
        k_2 = rates(ahead * R_AIR * warm / vessel.volume, ahead, warm)
        mass, T = mass + 0.5 * dt * (k_1[0] + k_2[0]), T + 0.5 * dt * (k_1[1] + k_2[1])
        p = mass * R_AIR * T / vessel.volume
        out[step] = on
        begins, ends = ~on & (p <= vessel.cut_in), on & (p >= vessel.cut_out)
        since = np.where(begins, t + dt, since)
        on = (on | begins) & ~ends
    return out


def worst_window(on: NDArray[np.bool_], W: float, dt: float = 0.25) -> Array:
    """Most running time of any window of ``W`` seconds, by case and design."""
    sums = np.concatenate([np.zeros((1, *on.shape[1:])), np.cumsum(on, axis=0)]) * dt
    width = min(round(W / dt), len(on))
    return (sums[width:] - sums[:-width]).max(axis=0)
