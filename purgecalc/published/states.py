"""States of air, water and sensor: chains of formulas where one formula alone does not answer a case. In SI."""

from __future__ import annotations

import math

from scipy.optimize import brentq

from purgecalc.formulas import air, bubble, fouling, oxygen, reading, sensor, site

Results = dict[str, float]
RATE_OF_CHLORINITY = 1.80655  # salinity over chlorinity, both in g/kg
_gamma = air.GAMMA.value


def flow(Q: float, p: float, T: float, p_free: float, T_free: float) -> float:
    """A flow of air in another state."""
    return Q * float(air.density(p, T)) / float(air.density(p_free, T_free))


def reference_density() -> float:
    """Density of air in the reference state."""
    return float(air.RHO_ANR.value)


def humid_air(T: float) -> Results:
    """Speed of sound, ratio of heats and viscosity, to compare with air that is moist."""
    return {"sound": float(air.sound_speed(T)), "gamma": _gamma, "viscosity": float(air.viscosity(T))}


def sea_level(T: float) -> Results:
    """Viscosity and speed of sound."""
    return {"viscosity": float(air.viscosity(T)), "sound": float(air.sound_speed(T))}


def geometric_pressure(z: float) -> float:
    """Pressure of the atmosphere at a geometric altitude."""
    return float(site.atmospheric_pressure(float(site.geopotential_altitude(z))))


def oxygen_at_chloride(T: float, chloride: float) -> float:
    """``chloride`` in kg/m3, counted as chlorinity in g/kg as the table does."""
    return float(oxygen.saturation_at_standard_pressure(T, RATE_OF_CHLORINITY * chloride * 1e-3))


def oxygen_per_kilogram(T: float, S: float) -> float:
    """Moles of oxygen per kilogram of sea water."""
    return float(oxygen.saturation_at_standard_pressure(T, S)) / 31.9988e-3 / float(site.water_density(T, S))


def oxygen_at_pressure(T: float, p: float) -> Results:
    """Saturation at a pressure, and over what the pressure alone would make it."""
    C_0 = float(oxygen.saturation_at_standard_pressure(T, 0.0))
    C = float(oxygen.saturation(C_0, p, float(oxygen.vapour_pressure(T)), float(oxygen.theta(T))))
    return {"C": C, "ratio": C / (C_0 * p / air.P_STANDARD.value)}


def salinity_slope(T: float, S: float) -> float:
    """Mean fall of saturation per unit of salinity."""
    fresh, salt = (float(oxygen.saturation_at_standard_pressure(T, s)) for s in (0.0, S))
    return (fresh - salt) / S


def bubbles_at_depth(T: float, h: float, rho_w: float) -> Results:
    """Saturation for bubbles at a depth, and over that at the surface."""
    p = float(site.back_pressure(air.P_STANDARD.value, rho_w, h))
    C = oxygen_at_pressure(T, p)["C"]
    return {"C": C, "ratio": C / float(oxygen.saturation_at_standard_pressure(T, 0.0))}


def single_lag(tau: float) -> Results:
    """Times of one lag to several shares of a step."""
    t_90 = tau * math.log(10)
    out = {f"t{share}": t_90 / float(reading.t90_of_fraction(1.0, share / 100)) for share in (50, 90, 95, 99)}
    out["t63"] = t_90 / float(reading.t90_of_fraction(1.0, 1 - math.exp(-1)))
    out["tau"] = float(reading.time_constant(t_90))
    out["reached_in_tau"] = float(reading.bump(1.0, tau, tau))
    return out


def response_terms(t_d: float, t_90: float) -> Results:
    """Response time put together from dead time, lag and rise."""
    tau = float(sensor.dead_time_constant(t_90, t_d))
    lag, rise = t_d + tau * math.log(10 / 9), tau * math.log(9)
    return {
        "response": lag + rise,
        "at_lag": float(sensor.dead_time_step(lag, t_d, tau)),
        "at_response": float(sensor.dead_time_step(lag + rise, t_d, tau)),
    }


def two_lags(t_90: float) -> Results:
    """Time constant of two equal lags, and where they stand at the lag and at the response time."""
    tau = float(sensor.two_lag_time_constant(t_90))
    lag = float(brentq(lambda x: (1 + x) * math.exp(-x) - 0.9, 0.1, 2.0, xtol=1e-14)) * tau
    return {"tau": tau, "at_lag": float(sensor.two_lag_step(lag, tau)), "at_response": float(sensor.two_lag_step(t_90, tau))}


def bias_decay(b_0: float, tol: float, t_90: float) -> Results:
    """Time for a bias to fall within a tolerance."""
    tau = float(reading.time_constant(t_90))
    t = float(reading.hold_off_needed(0.0, 0.0, tau, b_0, tol))
    return {
        "tau": tau,
        "time": t,
        "time_after_long_blast": float(reading.hold_off_needed(0.0, 0.0, tau, reading.bump(b_0, 1e6, tau), tol)),
        "left": float(reading.residual(b_0, t, 0.0, 0.0, tau)),
    }


def contaminated_bubble(d: float, rho_w: float, rho_a: float, mu: float, sigma: float) -> float:
    """Rise of a bubble in water that is not clean."""
    Eo, Mo = bubble.eotvos(d, rho_w, rho_a, sigma), bubble.morton(rho_w, rho_a, mu, sigma)
    return float(bubble.contaminated(d, rho_w, mu, Eo, Mo))


def logistic(X_0: float, mu: float) -> Results:
    """Growth after ln 9 growth times and after twice that."""
    t = math.log(9) / mu
    return {"at_ln9": float(fouling.growth(X_0, mu, t)), "at_2ln9": float(fouling.growth(X_0, mu, 2 * t))}
