"""Chains of formulas for the cases that one formula alone cannot answer. SI in, SI out; one function per case or group."""

from __future__ import annotations

import math
from typing import Any

import fluids
from scipy.optimize import brentq

from purgecalc.formulas import air, blast, bubble, duty, fanno, fouling, hose, oxygen, reading, receiver, sensor, site, valve
from purgecalc.formulas import head as hd
from tests.transient.cases import emptying, time_to_empty

Results = dict[str, float]
R = air.R_AIR.value
GAMMA = air.GAMMA.value
RATE_OF_CHLORINITY = 1.80655  # salinity over chlorinity, both in g/kg


def same_rt(R_gas: float, T: float) -> float:
    """The temperature at which air has the R T of another gas, so that a gas of another R can be put through."""
    return R_gas * T / float(R)


def _temperature_at_choking(M: float) -> float:
    """T/T* of a Fanno line: what flows is the same, so u/u* is M sqrt(T/T*) and p/p* is sqrt(T/T*)/M."""
    return (M * float(fanno.pressure_ratio(M))) ** 2


def fanno_line(M: float) -> Results:
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
    T_star = T / _temperature_at_choking(M)
    p_star = p / float(fanno.pressure_ratio(M))
    before, after = p * _stagnation_over_static(M), p_star / hd.CRITICAL_RATIO.value
    stagnation_T = T * _stagnation_over_static(M) ** ((GAMMA - 1) / GAMMA)
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
    return float(brentq(lambda M: M * math.sqrt(1 + (GAMMA - 1) / 2 * M * M) - wanted, 1e-4, 2.0, xtol=1e-14))


def receiver_and_pipe(p_0: float, T_0: float, D: float, p_a: float, p_b: float, L_ab: float, p_end: float) -> Results:
    A = float(hose.bore_area(D))
    m = float(hd.mass_flow(1.0, A, p_0, p_a, T_0))
    at_a, at_b, at_end = (float(fanno.length(_mach_at(m, A, p, T_0))) for p in (p_a, p_b, p_end))
    f = (at_a - at_b) * D / L_ab
    return {"f_fanning": f / 4, "length": (at_a - at_end) * D / f, "mass_flow": m}


def tube_drawn_by_vacuum(p_0: float, T_0: float, D: float, p_1: float, T_2: float) -> Results:
    M_1 = float(hd.isentropic_mach(p_0, p_1))
    M_2 = math.sqrt(2 / (GAMMA - 1) * (T_0 / T_2 - 1))
    return {"mass_flow": float(hd.mass_flow(1.0, float(hose.bore_area(D)), p_0, p_1, T_0)), "M_1": M_1, "M_2": M_2}


def _hose_flow(A: float, p_in: float, p_out: float, T: float, N: float) -> float:
    """The flow for which the pressure ahead of the hose is ``p_in``."""
    sonic = p_out * A / math.sqrt(R * T)
    return float(brentq(lambda m: float(hose.inlet_pressure(m, A, p_out, T, N)) - p_in, 0.0, sonic, xtol=1e-16, rtol=1e-14))


def isothermal_without_logarithm(R_gas: float, T: float, m: float, L: float, f_fanning: float, p_1: float, p_2: float) -> Results:
    """The logarithm is left out by giving it to the fittings with the other sign."""
    T, log = same_rt(R_gas, T), 2 * math.log(p_1 / p_2)

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
    return float(hose.length_for_flow(D, 4 * f_fanning, p_1, p_2, m, float(hose.bore_area(D)), same_rt(R_gas, T), 0.0))


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
    return float(hose.mach(m, A, float(hose.choking_pressure(m, A, T)), T))


def isothermal_choking_speed(M_molar: float, T: float, R_molar: float) -> float:
    T, m, A = same_rt(R_molar / M_molar, T), 1.0, 1.0
    return m / (A * float(air.density(float(hose.choking_pressure(m, A, T)), T)))


def hose_chart(Q: float, p_free: float, T: float, D: float, L: float, p_1: float, eps: float) -> float:
    m = Q * float(air.density(p_free, T))
    N, A = float(hose.resistance(_friction(m, D, eps, T), L, D, 0.0)), float(hose.bore_area(D))
    p_2 = float(brentq(lambda p: float(hose.inlet_pressure(m, A, p, T, N)) - p_1, 0.8 * p_1, p_1, xtol=1e-6))
    return float(hose.pressure_drop(p_1, p_2))


def free_discharge(d: float, C_d: float, p_1: float, p_back: float, T: float, rho_free: float) -> float:
    """Free air through a round hole."""
    return float(hd.mass_flow(C_d, float(hd.hole_area(1, d)), p_1, p_back, T)) / rho_free


def choked_constant(R_gas: float) -> float:
    """W sqrt(T)/(A p) of a choked nozzle."""
    T = same_rt(R_gas, 300.0)
    return float(hd.mass_flow(1.0, 1.0, 1e5, 1e4, T)) * math.sqrt(300.0) / 1e5


def hole(d: float, C_d: float, p_1: float, p_back: float, T: float) -> float:
    return float(hd.mass_flow(C_d, float(hd.hole_area(1, d)), p_1, p_back, T))


def nozzle(A: float, p_0: float, T_0: float, p_back: float) -> Results:
    return {"M": float(hd.isentropic_mach(p_0, p_back)), "mass_flow": float(hd.mass_flow(1.0, A, p_0, p_back, T_0))}


def isentropic_row(M: float) -> Results:
    r = 1 / _stagnation_over_static(M)
    choked, here = (float(hd.mass_flow(1.0, 1.0, 1.0, p, 300.0)) for p in (0.1, r))
    speed = float(hd.jet_velocity(1.0, r, 300.0))
    t_ratio = 1 - (GAMMA - 1) / (2 * GAMMA) * speed**2 / (R * 300.0)
    return {"p_ratio": r, "T_ratio": t_ratio, "A_ratio": choked / here, "M": speed / float(air.sound_speed(300.0 * t_ratio))}


def conductance_of_nozzle(S: float) -> float:
    """By its definition: choked flow over upstream pressure and reference density, at the reference temperature."""
    return float(hd.mass_flow(1.0, S, 1e5, 0.0, valve.T_ANR.value)) / (1e5 * air.RHO_ANR.value)


def conductance_of_hole(d: float) -> float:
    return conductance_of_nozzle(float(hd.hole_area(1, d)))


def ellipse(b: float, p_1: float, p_2: float) -> float:
    """ISO 6358 flow over choked flow between two pressures: the flows for which the pressure ahead is ``p_1``."""

    def flow(p: float) -> float:
        return float(brentq(lambda m: float(valve.inlet_pressure(m, 1e-8, b, p, 293.15)) - p_1, 0.0, 1.0, xtol=1e-16))

    return flow(p_2) / flow(1e-3 * p_1)


def ellipse_and_nozzle(b: float, r: float) -> Results:
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


def tank_to_unchoking(V: float, d: float, T: float, p_1: float, p_atm: float) -> Results:
    p_2 = p_atm / hd.CRITICAL_RATIO.value
    S = float(hd.hole_area(1, d))
    return {
        "p_unchoked": p_2,
        "p_exit": float(hd.exit_pressure(p_2, p_atm)),
        "time": time_to_empty(emptying(V, S, p_1, T, math.inf), p_2)[0],
    }


def density_fall(share: float) -> float:
    """Coefficient of V/(A sqrt(R T)) for the density of an isothermal tank to fall by a share."""
    V, A, T = 0.01, 7e-6, 300.0
    t, _ = time_to_empty(emptying(V, A, 8e5, T, math.inf), (1 - share) * 8e5)
    return t * A * math.sqrt(R * T) / V


def blowdown(V: float, d: float, C_d: float, T: float, p_1: float, p_2: float) -> Results:
    S = C_d * float(hd.hole_area(1, d))
    isothermal, T_held = time_to_empty(emptying(V, S, p_1, T, math.inf), p_2)
    adiabatic, T_end = time_to_empty(emptying(V, S, p_1, T, 0.0), p_2)
    return {"isothermal": isothermal, "T_held": T_held, "adiabatic": adiabatic, "T_end": T_end}


def receiver_size(t: float, Q_out: float, Q_in: float, p_max: float, p_min: float, p_free: float, T: float) -> float:
    """Volume that bridges a demand above the supply: the refilling time read backwards."""
    m = (Q_out - Q_in) * float(air.density(p_free, T))
    return t / float(receiver.recovery_time(1.0, p_min, p_max, T, m))


def flow(Q: float, p: float, T: float, p_free: float, T_free: float) -> float:
    return Q * float(air.density(p, T)) / float(air.density(p_free, T_free))


def reference_density() -> float:
    return float(air.RHO_ANR.value)


def humid_air(T: float) -> Results:
    return {"sound": float(air.sound_speed(T)), "gamma": GAMMA, "viscosity": float(air.viscosity(T))}


def sea_level(T: float) -> Results:
    return {"viscosity": float(air.viscosity(T)), "sound": float(air.sound_speed(T))}


def geometric_pressure(z: float) -> float:
    return float(site.atmospheric_pressure(float(site.geopotential_altitude(z))))


def oxygen_at_chloride(T: float, chloride: float) -> float:
    """``chloride`` in kg/m3, counted as chlorinity in g/kg as the table does."""
    return float(oxygen.saturation_at_standard_pressure(T, RATE_OF_CHLORINITY * chloride * 1e-3))


def oxygen_per_kilogram(T: float, S: float) -> float:
    """Moles of oxygen per kilogram of sea water."""
    return float(oxygen.saturation_at_standard_pressure(T, S)) / 31.9988e-3 / float(site.water_density(T, S))


def oxygen_at_pressure(T: float, p: float) -> Results:
    C_0 = float(oxygen.saturation_at_standard_pressure(T, 0.0))
    C = float(oxygen.saturation(C_0, p, float(oxygen.vapour_pressure(T)), float(oxygen.theta(T))))
    return {"C": C, "ratio": C / (C_0 * p / air.P_STANDARD.value)}


def salinity_slope(T: float, S: float) -> float:
    """Mean fall of saturation per unit of salinity."""
    fresh, salt = (float(oxygen.saturation_at_standard_pressure(T, s)) for s in (0.0, S))
    return (fresh - salt) / S


def bubbles_at_depth(T: float, h: float, rho_w: float) -> Results:
    p = float(site.back_pressure(air.P_STANDARD.value, rho_w, h))
    C = oxygen_at_pressure(T, p)["C"]
    return {"C": C, "ratio": C / float(oxygen.saturation_at_standard_pressure(T, 0.0))}


def single_lag(tau: float) -> Results:
    t_90 = tau * math.log(10)
    out = {f"t{share}": t_90 / float(reading.t90_of_fraction(1.0, share / 100)) for share in (50, 90, 95, 99)}
    out["t63"] = t_90 / float(reading.t90_of_fraction(1.0, 1 - math.exp(-1)))
    out["tau"] = float(reading.time_constant(t_90))
    out["reached_in_tau"] = float(reading.bump(1.0, tau, tau))
    return out


def response_terms(t_d: float, t_90: float) -> Results:
    tau = float(sensor.dead_time_constant(t_90, t_d))
    lag, rise = t_d + tau * math.log(10 / 9), tau * math.log(9)
    return {
        "response": lag + rise,
        "at_lag": float(sensor.dead_time_step(lag, t_d, tau)),
        "at_response": float(sensor.dead_time_step(lag + rise, t_d, tau)),
    }


def two_lags(t_90: float) -> Results:
    tau = float(sensor.two_lag_time_constant(t_90))
    lag = float(brentq(lambda x: (1 + x) * math.exp(-x) - 0.9, 0.1, 2.0, xtol=1e-14)) * tau
    return {"tau": tau, "at_lag": float(sensor.two_lag_step(lag, tau)), "at_response": float(sensor.two_lag_step(t_90, tau))}


def bias_decay(b_0: float, tol: float, t_90: float) -> Results:
    tau = float(reading.time_constant(t_90))
    t = float(reading.hold_off_needed(0.0, 0.0, tau, b_0, tol))
    return {
        "tau": tau,
        "time": t,
        "time_after_long_blast": float(reading.hold_off_needed(0.0, 0.0, tau, reading.bump(b_0, 1e6, tau), tol)),
        "left": float(reading.residual(b_0, t, 0.0, 0.0, tau)),
    }


def rest_of_duty(CDF: float, t_run: float) -> float:
    """Rest that gives a cyclic duration factor."""
    return float(brentq(lambda rest: float(duty.duty_fraction(t_run, t_run + rest)) - CDF, 0.0, 1e6, xtol=1e-9))


def hose_wave(L: float, c: float) -> Results:
    return {"transit": float(blast.wave_time(L, c)), "quarter_wave": 4 * float(blast.wave_time(L, c))}


def friction_smooth_plastic(Re: float) -> float:
    f = hose.turbulent_friction(Re, 0.0, 1.0)
    return float(hose.friction_factor(hose.laminar_friction(Re), f, Re))


def contaminated_bubble(d: float, rho_w: float, rho_a: float, mu: float, sigma: float) -> float:
    Eo, Mo = bubble.eotvos(d, rho_w, rho_a, sigma), bubble.morton(rho_w, rho_a, mu, sigma)
    return float(bubble.contaminated(d, rho_w, mu, Eo, Mo))


def logistic(X_0: float, mu: float) -> Results:
    t = math.log(9) / mu
    return {"at_ln9": float(fouling.growth(X_0, mu, t)), "at_2ln9": float(fouling.growth(X_0, mu, 2 * t))}
