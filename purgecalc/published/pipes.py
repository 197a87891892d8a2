"""Flow with friction in pipes: chains of formulas where one formula alone does not answer a case. In SI."""

from __future__ import annotations

import math

from scipy.optimize import brentq

from purgecalc.formulas import air, blast, fanno, hose
from purgecalc.formulas import head as hd

Results = dict[str, float]
R = air.R_AIR.value
_gamma = air.GAMMA.value


def _same_rt(R_gas: float, T: float) -> float:
    """The temperature at which air has the R T of another gas, so that a gas of another R can be put through."""
    return R_gas * T / float(R)


def _temperature_at_choking(M: float) -> float:
    """T/T* of a Fanno line: what flows is the same, so u/u* is M sqrt(T/T*) and p/p* is sqrt(T/T*)/M."""
    return (M * float(fanno.pressure_ratio(M))) ** 2


def fanno_line(M: float) -> Results:
    """What a Fanno table prints in the row of a Mach number."""
    t_ratio = _temperature_at_choking(M)
    return {
        "p_star_over_p": 1 / float(fanno.pressure_ratio(M)),
        "u_over_u_star": M * math.sqrt(t_ratio),
        "T_over_T_star": t_ratio,
        "fL_over_D": float(fanno.length(M)),
    }


def _stagnation_over_static(M: float) -> float:
    """p_0/p: the root of ``head.mach``."""
    return float(brentq(lambda x: float(hd.isentropic_mach(x, 1.0)) - M, 1 + 1e-9, 20.0, xtol=1e-14))


def choked_smooth_duct(D: float, M: float, T: float, p: float, f: float) -> Results:
    """Length to choking, the state there, and what is lost of the stagnation pressure."""
    T_star = T / _temperature_at_choking(M)
    p_star = p / float(fanno.pressure_ratio(M))
    before, after = p * _stagnation_over_static(M), p_star / hd.CRITICAL_RATIO.value
    stagnation_T = T * _stagnation_over_static(M) ** ((_gamma - 1) / _gamma)
    return {
        "length": float(fanno.length(M)) * D / f,
        "T_star": T_star,
        "p_star": p_star,
        "speed": float(air.sound_speed(T_star)),
        "speed_by_nozzle": float(hd.jet_velocity(after, 0.1 * after, stagnation_T)),
        "stagnation_loss": 1 - after / before,
    }


def _mach_at(m: float, A: float, p: float, T_0: float) -> float:
    """Adiabatic Mach number where the static pressure is ``p``."""
    wanted = float(hose.mach(m, A, p, T_0))
    return float(brentq(lambda M: M * math.sqrt(1 + (_gamma - 1) / 2 * M * M) - wanted, 1e-4, 2.0, xtol=1e-14))


def receiver_and_pipe(p_0: float, T_0: float, D: float, p_a: float, p_b: float, L_ab: float, p_end: float) -> Results:
    """Friction factor of a pipe from two pressures along it, then its length to a third, and the flow."""
    A = float(hose.bore_area(D))
    m = float(hd.mass_flow(1.0, A, p_0, p_a, T_0))
    at_a, at_b, at_end = (float(fanno.length(_mach_at(m, A, p, T_0))) for p in (p_a, p_b, p_end))
    f = (at_a - at_b) * D / L_ab
    return {"f_fanning": f / 4, "length": (at_a - at_end) * D / f, "mass_flow": m}


def tube_drawn_by_vacuum(p_0: float, T_0: float, D: float, p_1: float, T_2: float) -> Results:
    """Flow and Mach numbers at both ends of a tube."""
    M_1 = float(hd.isentropic_mach(p_0, p_1))
    M_2 = math.sqrt(2 / (_gamma - 1) * (T_0 / T_2 - 1))
    return {"mass_flow": float(hd.mass_flow(1.0, float(hose.bore_area(D)), p_0, p_1, T_0)), "M_1": M_1, "M_2": M_2}


def _hose_flow(A: float, p_in: float, p_out: float, T: float, N: float) -> float:
    """The flow for which the pressure ahead of the hose is ``p_in``."""
    sonic = p_out * A / math.sqrt(R * T)
    return float(brentq(lambda m: float(hose.inlet_pressure(m, A, p_out, T, N)) - p_in, 0.0, sonic, xtol=1e-16, rtol=1e-14))


def isothermal_without_logarithm(R_gas: float, T: float, m: float, L: float, f_fanning: float, p_1: float, p_2: float) -> Results:
    """The logarithm is left out by giving it to the fittings with the other sign."""
    T, log = _same_rt(R_gas, T), 2 * math.log(p_1 / p_2)

    def missing(D: float) -> float:
        N = float(hose.resistance(4 * f_fanning, L, D, -log))
        return _hose_flow(float(hose.bore_area(D)), p_1, p_2, T, N) - m

    D = float(brentq(missing, 0.02, 0.1, xtol=1e-12))
    A = float(hose.bore_area(D))
    N_half = float(hose.resistance(4 * f_fanning, L / 2, D, 0.0))
    middle = math.sqrt(p_2**2 + (m / A) ** 2 * R * T * N_half)
    return {
        "D": D,
        "M_1": float(hose.mach(m, A, p_1, T)),
        "M_2": float(hose.mach(m, A, p_2, T)),
        "p_middle": middle,
        "L": float(hose.length_for_flow(D, 4 * f_fanning, p_1, p_2, m, A, T, -log)),
    }


def isothermal_with_logarithm(R_gas: float, T: float, m: float, D: float, f_fanning: float, p_1: float, p_2: float) -> float:
    """Length of a pipe for a flow, acceleration counted."""
    return float(hose.length_for_flow(D, 4 * f_fanning, p_1, p_2, m, float(hose.bore_area(D)), _same_rt(R_gas, T), 0.0))


def _friction(m: float, D: float, eps: float, T: float) -> float:
    re = hose.reynolds(m, D, air.viscosity(T))
    return float(hose.friction_factor(hose.laminar_friction(re), hose.turbulent_friction(re, eps, D), re))


def open_ended_pipe(
    p_1: float, p_2: float, T: float, L: float, D: float, eps: float, K: float, p_free: float, T_free: float
) -> float:
    """Free-air flow of a pipe that ends in the open."""
    m, A = 1e-2, float(hose.bore_area(D))
    for _ in range(50):
        N = float(hose.resistance(_friction(m, D, eps, T), L, D, K))
        m = _hose_flow(A, p_1, p_2, T, N)
    return m / float(air.density(p_free, T_free))


def long_pipe_of_other_gas(rho: float, f: float, L: float, D: float, p_1: float, p_2: float) -> Results:
    """Flow of a pipe, where it chokes, and the pressure ahead of it worked back."""
    T = p_1 / rho / R  # only R T enters, and that is p/rho at the inlet
    A, N = float(hose.bore_area(D)), float(hose.resistance(f, L, D, 0.0))
    p_choke = p_1 / math.sqrt(float(hose.squared_pressure_ratio(1.0, N)))
    m_choke = _hose_flow(A, p_1, p_choke, T, N)
    return {
        "mass_flow": _hose_flow(A, p_1, p_2, T, N),
        "choking_pressure": float(hose.choking_pressure(m_choke, A, T)),
        "p_in_again": float(hose.inlet_pressure(_hose_flow(A, p_1, p_2, T, N), A, p_2, T, N)),
    }


def isothermal_choking_mach(m: float, A: float, T: float) -> float:
    """Mach number at the end of a choked isothermal pipe."""
    return float(hose.mach(m, A, float(hose.choking_pressure(m, A, T)), T))


def isothermal_choking_speed(M_molar: float, T: float, R_molar: float) -> float:
    """Speed of another gas there."""
    T, m, A = _same_rt(R_molar / M_molar, T), 1.0, 1.0
    return m / (A * float(air.density(float(hose.choking_pressure(m, A, T)), T)))


def hose_chart(Q: float, p_free: float, T: float, D: float, L: float, p_1: float, eps: float) -> float:
    """Pressure drop of a hose at a flow of free air."""
    m = Q * float(air.density(p_free, T))
    N, A = float(hose.resistance(_friction(m, D, eps, T), L, D, 0.0)), float(hose.bore_area(D))
    p_2 = float(brentq(lambda p: float(hose.inlet_pressure(m, A, p, T, N)) - p_1, 0.8 * p_1, p_1, xtol=1e-6))
    return float(hose.pressure_drop(p_1, p_2))


def hose_wave(L: float, c: float) -> Results:
    """Time of a wave along a hose, and of its four passages."""
    return {"transit": float(blast.wave_time(L, c)), "quarter_wave": 4 * float(blast.wave_time(L, c))}


def friction_smooth_plastic(Re: float) -> float:
    """Friction factor of a smooth tube at any Reynolds number."""
    f = hose.turbulent_friction(Re, 0.0, 1.0)
    return float(hose.friction_factor(hose.laminar_friction(Re), f, Re))
