"""The receiver: recovery, stored energy, heat from its wall."""

from __future__ import annotations

import numpy as np

from purgecalc.formulas.air import GAMMA, R_AIR
from purgecalc.references import BLOW_DOWN, DERIVED, OUR_JUDGEMENT
from purgecalc.si import CubicMetre, Joule, Kelvin, KgPerSecond, Kilogram, Pascal, Ratio, Second, WattPerKelvin
from purgecalc.working import constant, formula

_G = GAMMA.value
FILM = constant(
    "h_film",
    10.0,
    "W/m**2/K",
    "film coefficient inside the receiver",
    BLOW_DOWN.at("vessel of 16 L: 5 to 15 meet its pressure within 1 %"),
)


TOO_COLD = constant(
    "dT_gas",
    15.0,
    "K",
    "by how much the air of a receiver may come out too cold",
    BLOW_DOWN.at("241 K worked out, 256 K measured"),
)


@formula(
    "source.coldest_air",
    symbol="T_air",
    title="Air in the receiver at the end of a blast, 15 K put on for what it comes out too cold",
    kind="temperature",
    takes="T: temperature of the air at the end of the blast, as followed in time; T_wall: temperature of the wall",
    shown="min(T_wall, T + dT_gas)",
    cite=BLOW_DOWN.at("lowest temperature of the air"),
    valid="receivers of some litres; the thermometer of the test was slow",
)
def coldest_air(T: Kelvin, T_wall: Kelvin) -> Kelvin:
    """Never above the wall's."""
    return np.minimum(T_wall, T + TOO_COLD.value)


@formula(
    "receiver.fall",
    symbol="dp",
    title="Fall of the receiver pressure",
    kind="pressure difference",
    takes="p_1: pressure before the blast; p_2: pressure after it",
    shown="p_1 - p_2",
    cite=DERIVED.at("difference of two readings of one gauge"),
    valid="any",
    unpublished="a difference",
)
def fall(p_1: Pascal, p_2: Pascal) -> Pascal:
    """By one gauge."""
    return p_1 - p_2


@formula(
    "source.band_share",
    symbol="k_band_share",
    title="Switch band as a share of cut-out",
    kind="fraction",
    takes="p_1: cut-in pressure; p_2: cut-out pressure; p_atm: pressure of the atmosphere",
    shown="(p_2 - p_1)/(p_2 - p_atm)",
    cite=DERIVED.at("gauge pressures, as a switch is set"),
    valid="p_1 cut-in below p_2 cut-out",
    unpublished="a ratio",
)
def band_share(p_1: Pascal, p_2: Pascal, p_atm: Pascal) -> Ratio:
    """Between the two settings of one switch, both absolute."""
    return (p_2 - p_1) / (p_2 - p_atm)


@formula(
    "receiver.recovery_time",
    symbol="t_rec",
    title="Time to refill the receiver",
    kind="time",
    takes="V: volume of the receiver; p_1: pressure filled from; p_2: pressure filled to; T: temperature of the wall; m: mean "
    "mass flow between them",
    shown="V*(p_2 - p_1)/(R_air*T*m)",
    cite=DERIVED.at("isothermal filling at mean flow"),
    valid="m is the mean compressor flow over the range",
)
def recovery_time(V: CubicMetre, p_1: Pascal, p_2: Pascal, T: Kelvin, m: KgPerSecond) -> Second:
    """From ``p_1`` to ``p_2`` (absolute) at the mean mass flow between them."""
    return V * (p_2 - p_1) / (R_AIR.value * T * m)


@formula(
    "receiver.pressure_left",
    symbol="p_left",
    title="Pressure a blast leaves, once settled",
    kind="pressure",
    takes="p_1: pressure before the blast; m_blast: mass of air of the blast; V: volume of the receiver; T: temperature of the "
    "wall; p_least: pressure no receiver falls below, of the water or of the atmosphere",
    shown="max(p_1 - m_blast*R_air*T/V, p_least)",
    cite=DERIVED.at("ideal gas at the temperature of the wall"),
    valid="no compressor running: a lower end",
    unpublished="mass balance",
)
def pressure_left(p_1: Pascal, m_blast: Kilogram, V: CubicMetre, T: Kelvin, p_least: Pascal) -> Pascal:
    """Absolute pressures; no receiver falls below ``p_least``, that of the water or of the atmosphere."""
    return np.maximum(p_1 - m_blast * R_AIR.value * T / V, p_least)


@formula(
    "receiver.time_sum",
    symbol="t",
    title="Time to fill a receiver along several pieces of a curve",
    kind="time",
    takes="a: time for one piece; b: time for the next",
    shown="a + b",
    cite=DERIVED.at("one piece after another"),
    valid="any",
    unpublished="a sum",
)
def time_sum(a: Second, b: Second) -> Second:
    """Two times, one after the other."""
    return a + b


@formula(
    "source.start_share",
    symbol="share",
    title="Pressure after the other lines' blasts over cut-in",
    kind="fraction",
    takes="p_left: gauge pressure the other lines' blasts leave; p_in: gauge pressure of cut-in",
    shown="p_left/p_in",
    cite=DERIVED.at("gauge pressures"),
    valid="lines that share a receiver",
    unpublished="a ratio",
)
def start_share(p_left: Pascal, p_in: Pascal) -> Ratio:
    """Gauge pressures."""
    return p_left / p_in


@formula(
    "receiver.stored_energy",
    symbol="E",
    title="Energy the stored air can release",
    kind="energy",
    takes="p: pressure of the receiver; V: its volume; p_atm: pressure of the atmosphere",
    shown="p*V*(ln(p/p_atm) - 1 + p_atm/p)",
    cite=DERIVED.at("isothermal availability against the atmosphere"),
    valid="reversible isothermal expansion",
)
def stored_energy(p: Pascal, V: CubicMetre, p_atm: Pascal) -> Joule:
    """Usable part; absolute pressures."""
    return p * V * (np.log(p / p_atm) - 1 + p_atm / p)


@formula(
    "source.wall_conductance",
    symbol="hA",
    title="Heat passed from the receiver wall to its air",
    kind="heat conductance",
    takes="V: volume of the receiver",
    shown="h_film*5/2*pi*(2*V/pi)**(2/3)",
    cite=OUR_JUDGEMENT.at("cylinder twice as long as wide"),
    valid="an estimate; what no heat and all heat would give stands beside it",
)
def wall_conductance(V: CubicMetre) -> WattPerKelvin:
    """Film coefficient times the inside of a cylinder of volume ``V``."""
    return FILM.value * 2.5 * np.pi * (2 * V / np.pi) ** (2 / 3)


@formula(
    "source.start_pressure",
    symbol="p_start",
    title="Pressure the blast starts from, behind the regulator",
    kind="pressure",
    takes="p: pressure of the receiver; p_reg: pressure the regulator is set to",
    shown="min(p, p_reg)",
    cite=DERIVED.at("a regulator passes no more than its set pressure"),
    valid="regulator of ample flow",
    unpublished="the smaller of two",
)
def behind_regulator(p: Pascal, p_reg: Pascal) -> Pascal:
    """Receiver pressure held down to the set pressure."""
    return np.minimum(p, p_reg)


@formula(
    "source.recovery_reserve",
    symbol="reserve",
    title="Time to the next blast over recovery time",
    kind="ratio",
    takes="T: interval between blasts; t_blast: length of the blast; t_rec: time to refill the receiver",
    shown="(T - t_blast)/max(t_rec, 1e-3*t_blast)",
    cite=DERIVED.at("recovery must end before the next blast"),
    valid="blasts at equal intervals",
    unpublished="a ratio",
)
def recovery_reserve(T: Second, t_blast: Second, t_rec: Second) -> Ratio:
    """How many times the recovery fits before the next blast; 0 where it never recovers."""
    return (T - t_blast) / np.maximum(t_rec, 1e-3 * t_blast)
