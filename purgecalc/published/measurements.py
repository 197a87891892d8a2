"""Procedures for what was measured: ours beside the experiment's points. SI in, SI out; one function per kind of experiment."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from scipy.interpolate import PchipInterpolator

from purgecalc.catalogue.probes import probe_kind
from purgecalc.formulas import head as hd
from purgecalc.formulas import hose, receiver, sensor
from purgecalc.published.openings import conductance_of_nozzle
from purgecalc.transient import Blast, Head, Hose, Source, Trace, Valve, simulate

Results = dict[str, float]


def _friction_ratios(Re: list[float], f: list[float], eps: float, D: float) -> np.ndarray:
    re = np.array(Re)
    ours = hose.friction_factor(hose.laminar_friction(re), hose.turbulent_friction(re, eps, D), re)
    return np.asarray(np.asarray(ours) / np.array(f))


def friction_points(Re: list[float], f: list[float], eps: float, D: float) -> Results:
    """Ours over the measured factor: mean, and the worst point."""
    ratio = _friction_ratios(Re, f, eps, D)
    return {"mean": float(ratio.mean()), "worst": float(ratio[np.argmax(np.abs(ratio - 1))])}


def friction_bins(Re: list[float], f: list[float], edges: list[float]) -> Results:
    """Means of ours over the measured factor in bins of Reynolds number, and over all points; smooth pipe."""
    ratio, re = _friction_ratios(Re, f, 0.0, 1.0), np.array(Re)
    bins = {f"{a:.0f} to {b:.0f}": (re >= a) & (re < b) for a, b in pairwise(edges)}
    return {name: float(ratio[inside].mean()) for name, inside in bins.items()} | {"all": float(ratio.mean())}


def _blow_down(V: float, p: float, T: float, d: float, C_d: float, p_atm: float, end: float) -> Trace:
    """A vessel that empties through a hole, entered as the valve: behind a hose the air would be warm again at the hole."""
    hole = C_d * np.pi * d**2 / 4
    blast = Blast(
        source=Source(volume=V, pressure=p, wall_conductance=float(receiver.wall_conductance(V)), wall_temperature=T),
        valve=Valve(conductance=conductance_of_nozzle(hole), critical_ratio=hd.CRITICAL_RATIO.value),
        hose=Hose(bore=0.05, length=1.0),
        head=Head(hole_area=1.5e-3),
        back_pressure=p_atm,
        atmosphere=p_atm,
        duration=end,
    )
    trace = simulate(blast, tolerance=1e-4, keep_history=True).trace
    assert trace is not None
    return trace


def blow_down(V: float, p: float, T: float, d: float, C_d: float, p_atm: float, t: list[float], until: float) -> Results:
    """Pressure of the vessel at every time it was read."""
    trace = _blow_down(V, p, T, d, C_d, p_atm, until)
    log_p = PchipInterpolator(trace.t, np.log(trace.p_source))  # steps are seconds apart, and the fall is no straight line
    return {f"{at:g} s": float(p) for at, p in zip(t, np.exp(log_p(t)), strict=True)}


def coldest_gas(V: float, p: float, T: float, d: float, C_d: float, p_atm: float, until: float) -> float:
    """Lowest temperature of the gas in the vessel, and what it is said to come out too cold."""
    return float(receiver.coldest_air(_blow_down(V, p, T, d, C_d, p_atm, until).T_source.min(), T))


def step_response(t_90: float, t: list[float]) -> Results:
    """Share of a step that one lag of the stated t90 has followed at each of these times."""
    tau = float(sensor.dead_time_constant(t_90, 0.0))
    return {f"{at:g} s": float(sensor.dead_time_step(at, 0.0, tau)) for at in t}


def settling(t_90: float, step: float, tol: float) -> float:
    """Time to come within ``tol`` of a step, by the catalogue's optical face."""
    k = probe_kind("optical-oxygen").settling
    assert k is not None
    return float(k.value.value * sensor.dead_time_settling(step, 0.0, sensor.dead_time_constant(t_90, 0.0), tol))


def holes_of_wall(wall: float, d: float, r: list[float]) -> Results:
    """Discharge coefficient of holes in a wall, at every pressure ratio."""
    w = hd.thinness(wall, d)
    return {f"{at:g}": float(hd.coefficient_of_wall(w, at)) for at in r}
