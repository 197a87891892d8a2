"""The blast valve by ISO 6358: sonic conductance and critical pressure ratio, and what other coefficients amount to."""

from __future__ import annotations

import numpy as np

from purgecalc.formulas.air import R_AIR, RHO_ANR
from purgecalc.references import DERIVED, IEC_60534, ISO_6358
from purgecalc.si import Kelvin, KgPerSecond, Num, Pascal, Ratio, SonicConductance
from purgecalc.working import constant, formula

T_ANR = constant("T_ANR", 293.15, "K", "temperature of the ISO 8778 state", ISO_6358.at("clause 4"))
KV_UNIT = constant(
    "K_v1", 1.0 / 3600 / np.sqrt(1e5), "m**3/s/Pa**0.5", "1 m3/h of water at 1 bar", DERIVED.at("definition of Kv")
)
RHO_WATER_KV = constant("rho_Kv", 1000.0, "kg/m**3", "density of the water Kv is defined with", IEC_60534.at("clause 3"))


def inlet_pressure_from(k: Num, b: Num, p_2: Num) -> Num:
    """Upstream pressure for a reduced flow k = m/(C rho_ANR sqrt(T_ANR/T)); k = 0 stands for no valve."""
    s = (k * (1 - b)) ** 2
    subsonic = (p_2**2 + s) / (b * p_2 + np.sqrt(np.maximum((b * p_2) ** 2 + (1 - 2 * b) * (p_2**2 + s), 0.0)))
    out: Num = np.where(k * b >= p_2, k, subsonic)
    return out


@formula(
    "valve.inlet_pressure",
    symbol="p_1",
    title="Pressure ahead of the valve",
    kind="pressure",
    takes="m: mass flow; C: sonic conductance of the valve; b: its critical pressure ratio; p_2: pressure behind it; T: "
    "temperature of the air",
    shown="m = C*p_1*rho_ANR*sqrt(T_ANR/T)*sqrt(1 - (max(p_2/p_1 - b, 0*b)/(1 - b))**2)",
    cite=ISO_6358.at("clause 5, eqs. 1-2, solved for the upstream pressure"),
    valid="b between 0 and 0.6",
)
def inlet_pressure(m: KgPerSecond, C: SonicConductance, b: Ratio, p_2: Pascal, T: Kelvin) -> Pascal:
    """Absolute pressure upstream of a valve passing ``m`` into ``p_2``."""
    return inlet_pressure_from(m / (C * RHO_ANR.value * np.sqrt(T_ANR.value / T)), b, p_2)


@formula(
    "valve.conductance_of_kv",
    symbol="C",
    title="Sonic conductance of a flow coefficient",
    kind="sonic conductance",
    takes="K_v: metric flow coefficient, in m3/h of water at 1 bar; x_T: pressure-drop ratio at which it chokes",
    shown="2/3*K_v*K_v1*sqrt(x_T*rho_Kv/(R_air*T_ANR))/rho_ANR",
    cite=IEC_60534.at("choked gas flow, Y = 2/3, specific-heat factor 1"),
    valid="x_T 0.6 to 0.8; a small valve's x_T is seldom printed",
)
def conductance_of_kv(K_v: Ratio, x_T: Ratio) -> SonicConductance:
    """Metric flow coefficient (m3/h of water at 1 bar) to sonic conductance."""
    per_unit = KV_UNIT.value * np.sqrt(x_T * RHO_WATER_KV.value / (R_AIR.value * T_ANR.value)) / RHO_ANR.value
    return 2 / 3 * K_v * per_unit


@formula(
    "valve.kv_of_cv",
    symbol="K_v",
    title="Metric flow coefficient of a US one",
    kind="ratio",
    takes="C_v: US flow coefficient, in gal/min of water at 1 psi",
    shown="0.8649775*C_v",
    cite=IEC_60534.at("US gal/min at 1 psi against m3/h at 1 bar"),
    valid="any",
)
def kv_of_cv(C_v: Ratio) -> Ratio:
    """US flow coefficient Cv to metric Kv."""
    return 0.8649775 * C_v


@formula(
    "valve.choked",
    symbol="choked",
    title="Valve choked",
    kind="flag",
    takes="p_1: pressure ahead of the valve; p_2: pressure behind it; b: its critical pressure ratio",
    shown="floor(min(b*p_1/p_2, 1))",
    cite=ISO_6358.at("clause 5, critical pressure ratio"),
    valid="1 where p_2/p_1 is at or below b, else 0",
    unpublished="a comparison of pressures",
)
def chokes(p_1: Pascal, p_2: Pascal, b: Ratio) -> Ratio:
    """1 where the valve, not the head, sets the flow; absolute pressures ahead of it and behind."""
    return np.floor(np.minimum(b * p_1 / p_2, 1.0))
