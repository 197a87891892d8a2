"""Discharge through holes, nozzles and valves: chains of formulas where one formula alone does not answer a case. In SI."""

from __future__ import annotations

import math
from typing import Any

import fluids
from scipy.optimize import brentq

from purgecalc.formulas import air, blast, valve
from purgecalc.formulas import head as hd
from purgecalc.published.pipes import _same_rt, _stagnation_over_static
from purgecalc.published.states import flow

Results = dict[str, float]
R = air.R_AIR.value
_gamma = air.GAMMA.value


def free_discharge(d: float, C_d: float, p_1: float, p_back: float, T: float, rho_free: float) -> float:
    """Free air through a round hole."""
    return float(hd.mass_flow(C_d, float(hd.hole_area(1, d)), p_1, p_back, T)) / rho_free


def choked_constant(R_gas: float) -> float:
    """W sqrt(T)/(A p) of a choked nozzle."""
    T = _same_rt(R_gas, 300.0)
    return float(hd.mass_flow(1.0, 1.0, 1e5, 1e4, T)) * math.sqrt(300.0) / 1e5


def hole(d: float, C_d: float, p_1: float, p_back: float, T: float) -> float:
    """Mass flow of a round hole."""
    return float(hd.mass_flow(C_d, float(hd.hole_area(1, d)), p_1, p_back, T))


def nozzle(A: float, p_0: float, T_0: float, p_back: float) -> Results:
    """Mach number and mass flow of a nozzle."""
    return {"M": float(hd.isentropic_mach(p_0, p_back)), "mass_flow": float(hd.mass_flow(1.0, A, p_0, p_back, T_0))}


def isentropic_row(M: float) -> Results:
    """What an isentropic table prints in the row of a Mach number."""
    r = 1 / _stagnation_over_static(M)
    choked, here = (float(hd.mass_flow(1.0, 1.0, 1.0, p, 300.0)) for p in (0.1, r))
    speed = float(hd.jet_velocity(1.0, r, 300.0))
    t_ratio = 1 - (_gamma - 1) / (2 * _gamma) * speed**2 / (R * 300.0)
    return {"p_ratio": r, "T_ratio": t_ratio, "A_ratio": choked / here, "M": speed / float(air.sound_speed(300.0 * t_ratio))}


def conductance_of_nozzle(S: float) -> float:
    """By its definition: choked flow over upstream pressure and reference density, at the reference temperature."""
    return float(hd.mass_flow(1.0, S, 1e5, 0.0, valve.T_ANR.value)) / (1e5 * air.RHO_ANR.value)


def conductance_of_hole(d: float) -> float:
    """The same of a round hole."""
    return conductance_of_nozzle(float(hd.hole_area(1, d)))


def ellipse(b: float, p_1: float, p_2: float) -> float:
    """ISO 6358 flow over choked flow between two pressures: the flows for which the pressure ahead is ``p_1``."""

    def flow(p: float) -> float:
        return float(brentq(lambda m: float(valve.inlet_pressure(m, 1e-8, b, p, 293.15)) - p_1, 0.0, 1.0, xtol=1e-16))

    return flow(p_2) / flow(1e-3 * p_1)


def ellipse_and_nozzle(b: float, r: float) -> Results:
    """Flow over choked flow at a pressure ratio, by ISO 6358 and by an ideal nozzle."""
    full, here = (float(hd.mass_flow(1.0, 1e-5, 1e5, p, 293.15)) for p in (0.0, r * 1e5))
    return {"ellipse": ellipse(b, 1e5, r * 1e5), "nozzle": here / full}


def coefficients(rho_w: float) -> Results:
    """Flow coefficients against each other and against the orifice equation."""
    flow = float(blast.water_flow(1.0, 1e-6, 1e5, rho_w))
    return {
        "Kv_of_Cv": float(valve.kv_of_cv(1.0)),
        "Cv_of_Kv": 1 / float(valve.kv_of_cv(1.0)),
        "library_Kv_of_Cv": float(fluids.Cv_to_Kv(1.0)),
        "area_of_Kv": 1 / 3600 / flow * 1e-6,
    }


def library_gas_valve(
    T: float, M_molar: float, k: float, Z: float, p_1: float, p_2: float, Q: float, **valve_data: float
) -> float:
    """Kv by the library's IEC 60534 gas sizing, on which conversions of flow coefficients lean.

    The viscosity does not enter at these Reynolds numbers, but the library asks for it.
    """
    names = {"D_1": "D1", "D_2": "D2", "d": "d", "F_L": "FL", "x_T": "xT", "F_d": "Fd"}
    data: dict[str, Any] = {names[n]: v for n, v in valve_data.items()}
    kv = fluids.size_control_valve_g(T=T, MW=M_molar, mu=1.4665e-4, gamma=k, Z=Z, P1=p_1, P2=p_2, Q=Q, **data)
    assert isinstance(kv, float)
    return kv


def library_air_valve(Q: float, p_free: float, T_free: float, T: float, p_1: float, p_2: float, x_T: float) -> float:
    """Cv by the library's IEC 60534 gas sizing."""
    normal = flow(Q, p_free, T_free, air.P_STANDARD.value, 273.15)
    kv = fluids.size_control_valve_g(T=T, MW=28.9647, mu=1.8e-5, gamma=1.4, Z=1.0, P1=p_1, P2=p_2, Q=normal, xT=x_T)
    assert isinstance(kv, float)
    return float(fluids.Kv_to_Cv(kv))
