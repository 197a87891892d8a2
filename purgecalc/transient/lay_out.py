"""Columns of numbers made from a blast: the hose cut into branches, source, valve and head at its ends."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from purgecalc.formulas import air, hose
from purgecalc.formulas import head as hd
from purgecalc.formulas.valve import T_ANR
from purgecalc.si import Num
from purgecalc.transient.blast import Blast, Hose
from purgecalc.transient.designs import Designs, Layout
from purgecalc.transient.laws import Array

NO_VALVE = 10.0
"""Conductance that stands for no valve, in bore areas at the speed of sound: costs below 0.1 % of pressure at Mach 0.3."""
FAST_WALL = 1e6
"""Infinite wall conductance, as 1/s of heat capacity of the air: keeps the air within 1e-6 of the wall's temperature."""
CV_OVER_R = 1 / (air.GAMMA.value - 1)


def share_branches(elements: tuple[Hose, ...], branches: int) -> list[int]:
    """Branches per element: by length, averaged over the designs, two at least."""
    lengths = np.array([float(np.mean(e.length)) for e in elements])
    wanted = np.maximum(np.round(branches * lengths / lengths.sum()), 2 if len(elements) > 1 else 1)
    return [int(w) for w in wanted]


def _flat(value: Num, shape: tuple[int, ...]) -> Array:
    out: Array = np.array(np.broadcast_to(np.asarray(value, float), shape).reshape(-1))
    return out


def _curve(value: Num | Sequence[float], shape: tuple[int, ...]) -> Array:
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

    def flat(value: Num) -> Array:
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


def _ends(blast: Blast, flat: Callable[[Num], Array], shape: tuple[int, ...], area: Array, a: Array) -> dict[str, Array]:
    s, v = blast.source, blast.valve
    R, p_source, volume, T_wall = flat(blast.gas_constant), flat(s.pressure), flat(s.volume), flat(s.wall_temperature)
    mass = p_source * volume / (R * T_wall)
    bore_wide = NO_VALVE * area[0] / a * np.sqrt(flat(blast.temperature))
    conductance = flat(v.conductance) * air.RHO_ANR.value * np.sqrt(T_ANR.value)
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
        "t_blast": t_blast,
        "t_end": t_blast + np.maximum(flat(blast.tail), t_close),
        "useful": flat(blast.useful_head),
        "order": np.arange(t_blast.size, dtype=float),
        **_outlet(blast, flat, area[-1], a),
    }


def _outlet(blast: Blast, flat: Callable[[Num], Array], bore: Array, a: Array) -> dict[str, Array]:
    """The head, and the water at it."""
    h, D = blast.head, flat(blast.elements[-1].bore)
    p_back, p_atm = flat(blast.back_pressure), flat(blast.atmosphere)
    nu_w = flat(blast.water_viscosity) / flat(blast.water_density)
    still = flat(h.hole_area) + hd.thin_coefficient(1.0) * flat(h.thin_area)  # water is not compressed ahead of a hole
    return {
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
    }
