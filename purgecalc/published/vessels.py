"""Vessels that empty, and what fills them: chains of formulas where one formula alone does not answer a case. In SI."""

from __future__ import annotations

import math

import numpy as np
from scipy.optimize import brentq

from purgecalc.formulas import air, duty, receiver
from purgecalc.formulas import head as hd
from purgecalc.published.openings import conductance_of_nozzle
from purgecalc.transient import Blast, Head, Hose, Source, Valve, frictionless, simulate

Results = dict[str, float]
R = air.R_AIR.value


def _emptying(volume: float, area: float, pressure: float, temperature: float, wall_conductance: float) -> Blast:
    """A vessel emptying through an ideal nozzle into a hose so wide that the nozzle stays choked."""
    return Blast(
        source=Source(volume=volume, pressure=pressure, wall_conductance=wall_conductance, wall_temperature=temperature),
        valve=Valve(conductance=conductance_of_nozzle(area), critical_ratio=0.5, opening=1e-3),
        hose=Hose(bore=0.03, length=0.5, fittings=5.0),
        head=Head(hole_area=5e-4),
        back_pressure=air.P_STANDARD.value,
        duration=25.0,
        tail=0.1,
        temperature=temperature,
        gas_constant=R,
        friction=frictionless,
    )


def _time_to_empty(blast: Blast, pressure: float) -> tuple[float, float]:
    """When the receiver has fallen to ``pressure``, less half the valve's opening, and its temperature then."""
    trace = simulate(blast, branches=4, tolerance=1e-4, keep_history=True).trace
    assert trace is not None
    t = float(np.interp(-np.log(pressure), -np.log(trace.p_source), trace.t))
    return t - 0.5e-3, float(np.interp(t, trace.t, trace.T_source))


def tank_to_unchoking(V: float, d: float, T: float, p_1: float, p_atm: float) -> Results:
    """Pressures at which a hole unchokes, and the time until then."""
    p_2 = p_atm / hd.CRITICAL_RATIO.value
    S = float(hd.hole_area(1, d))
    return {
        "p_unchoked": p_2,
        "p_exit": float(hd.exit_pressure(p_2, p_atm)),
        "time": _time_to_empty(_emptying(V, S, p_1, T, math.inf), p_2)[0],
    }


def density_fall(share: float) -> float:
    """Coefficient of V/(A sqrt(R T)) for the density of an isothermal tank to fall by a share."""
    V, A, T = 0.01, 7e-6, 300.0
    t, _ = _time_to_empty(_emptying(V, A, 8e5, T, math.inf), (1 - share) * 8e5)
    return t * A * math.sqrt(R * T) / V


def blowdown(V: float, d: float, C_d: float, T: float, p_1: float, p_2: float) -> Results:
    """Times to empty and temperatures left, the wall at one temperature and without heat from it."""
    S = C_d * float(hd.hole_area(1, d))
    isothermal, T_held = _time_to_empty(_emptying(V, S, p_1, T, math.inf), p_2)
    adiabatic, T_end = _time_to_empty(_emptying(V, S, p_1, T, 0.0), p_2)
    return {"isothermal": isothermal, "T_held": T_held, "adiabatic": adiabatic, "T_end": T_end}


def receiver_size(t: float, Q_out: float, Q_in: float, p_max: float, p_min: float, p_free: float, T: float) -> float:
    """Volume that bridges a demand above the supply: the refilling time read backwards."""
    m = (Q_out - Q_in) * float(air.density(p_free, T))
    return t / float(receiver.recovery_time(1.0, p_min, p_max, T, m))


def rest_of_duty(CDF: float, t_run: float) -> float:
    """Rest that gives a duty."""
    return float(brentq(lambda rest: float(duty.duty_fraction(t_run, t_run + rest)) - CDF, 0.0, 1e6, xtol=1e-9))
