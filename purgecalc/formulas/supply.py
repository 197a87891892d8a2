"""The electrical supply of the source: does its class match the name plate, does it arrive, can the motor start?

Voltages are those the percentage is counted on: line to neutral in a three-phase supply, the whole voltage in a
single-phase one. The cable alone is counted, not the feed ahead of it.
"""

from __future__ import annotations

from typing import Annotated, TypeAlias

import numpy as np

from purgecalc.references import COMMON_PRACTICE, DERIVED, IEC_60034, Work
from purgecalc.si import Metre, Num, Ratio, SquareMetre, Unit
from purgecalc.working import constant, formula

Volt: TypeAlias = Annotated[Num, Unit("V")]
Ampere: TypeAlias = Annotated[Num, Unit("A")]
Hertz: TypeAlias = Annotated[Num, Unit("Hz")]
OhmMetre: TypeAlias = Annotated[Num, Unit("ohm*m")]
OhmPerMetre: TypeAlias = Annotated[Num, Unit("ohm/m")]

IEC_60364 = Work("IEC 60364-5-52", "IEC 60364-5-52 Low-voltage installations, wiring systems, Annex G", checked=True)
IEC_60038 = Work("IEC 60038", "IEC 60038 Standard voltages", checked=True)

RHO_COPPER = constant("rho_Cu", 2.25e-8, "ohm*m", "resistivity of copper in normal service", IEC_60364.at("0.0225 ohm mm2/m"))
RHO_ALUMINIUM = constant("rho_Al", 3.6e-8, "ohm*m", "resistivity of aluminium in normal service", IEC_60364.at("0.036 ohm mm2/m"))
REACTANCE = constant("lambda_x", 8e-5, "ohm/m", "reactance of a cable conductor", IEC_60364.at("0.08 mohm/m if unknown"))
COS_PHI = constant("cos_phi_0", 0.8, "", "power factor in running, if unknown", IEC_60364.at("0.8 if unknown"))
SINGLE_PHASE = constant("b_1", 2.0, "", "go and return of a single-phase circuit", IEC_60364.at("b = 2"))
THREE_PHASE = constant("b_3", 1.0, "", "one line of a balanced three-phase circuit", IEC_60364.at("b = 1"))
INRUSH = constant("k_start", 6.0, "", "starting over running current, if unknown", COMMON_PRACTICE.at("5 to 7"))
RUN_LIMIT = constant("drop_run", 0.05, "", "running drop allowed from a public supply", IEC_60364.at("other uses: 5 %"))
RUN_LIMIT_PRIVATE = constant("drop_own", 0.08, "", "running drop allowed, own transformer", IEC_60364.at("other uses: 8 %"))
START_LIMIT = constant("drop_start", 0.10, "", "starting dip allowed unless the maker says", COMMON_PRACTICE.at())
PLATE_BAND = constant("tol_plate", 0.05, "", "voltage a motor bears about its rated range", IEC_60034.at("zone A, 5 %"))
PLATE_HERTZ = constant("tol_hertz", 0.02, "", "frequency a motor bears about its rating", IEC_60034.at("zone A, 2 %"))


@formula(
    "supply.voltage_drop",
    symbol="dV",
    title="Voltage lost along the cable",
    kind="voltage",
    takes="b: 2 single phase, 1 three phase; rho_c: resistivity of the conductor at service temperature; x_c: reactance of a "
    "length of it; L: length of the route, not of the loop; S: area of one conductor; cos_phi: power factor; I: current",
    shown="b*(rho_c*L/S*cos_phi + x_c*L*sqrt(1 - cos_phi**2))*I",
    cite=IEC_60364.at("formula for the voltage drop"),
    valid="b 2 single phase, 1 three phase (line to neutral); conductor at service temperature; one conductor size throughout",
)
def voltage_drop(b: Ratio, rho_c: OhmMetre, x_c: OhmPerMetre, L: Metre, S: SquareMetre, cos_phi: Ratio, I: Ampere) -> Volt:
    """The part in phase with the supply."""
    return b * (rho_c * L / S * cos_phi + x_c * L * np.sqrt(1 - cos_phi**2)) * I


@formula(
    "supply.start_current",
    symbol="I_start",
    title="Current while the motor starts",
    kind="current",
    takes="k: starting over running current; I: running current",
    shown="k*I",
    cite=COMMON_PRACTICE.at("5 to 7 times the running current"),
    valid="at full voltage; with I in running",
    unpublished="a product",
)
def start_current(k: Ratio, I: Ampere) -> Ampere:
    """A motor at rest draws several times its running current."""
    return k * I


@formula(
    "supply.drop_share",
    symbol="du",
    title="Voltage lost as a share of the supply",
    kind="fraction",
    takes="dV: voltage lost along the cable; U: nominal voltage, line to neutral in three phases",
    shown="dV/U",
    cite=IEC_60364.at("drop in per cent of the nominal voltage"),
    valid="U line to neutral in a three-phase supply",
)
def drop_share(dV: Volt, U: Volt) -> Ratio:
    """Of the nominal voltage."""
    return dV / U


@formula(
    "supply.cross_drop",
    symbol="dV_x",
    title="Voltage across the cable at right angles to the supply",
    kind="voltage",
    takes="b: 2 single phase, 1 three phase; rho_c: resistivity of the conductor at service temperature; x_c: reactance of a "
    "length of it; L: length of the route, not of the loop; S: area of one conductor; cos_phi: power factor; I: current",
    shown="b*(x_c*L*cos_phi - rho_c*L/S*sqrt(1 - cos_phi**2))*I",
    cite=DERIVED.at("the other part of the product of impedance and lagging current"),
    valid="as supply.voltage_drop, which is the part in phase; negative where the resistance rules",
    unpublished="the voltages drawn as arrows",
)
def cross_drop(b: Ratio, rho_c: OhmMetre, x_c: OhmPerMetre, L: Metre, S: SquareMetre, cos_phi: Ratio, I: Ampere) -> Volt:
    """Hardly moves the voltage at a small drop, and counts at a start of low power factor."""
    return b * (x_c * L * cos_phi - rho_c * L / S * np.sqrt(1 - cos_phi**2)) * I


@formula(
    "supply.start_voltage",
    symbol="U_load",
    title="Voltage left at the source in starting",
    kind="voltage",
    takes="U: voltage of the supply; dV: voltage lost in phase with it at the starting current; dV_x: voltage across the cable "
    "at right angles to it at that current",
    shown="U**2/sqrt((U + dV)**2 + dV_x**2)",
    cite=DERIVED.at("voltage divider of cable and standing motor, whose impedance is that of its current at full voltage"),
    valid="dV, dV_x of the starting current at full voltage; impedance of the feed ahead of the cable not counted",
    unpublished="a voltage divider; checked with complex impedances",
)
def start_voltage(U: Volt, dV: Volt, dV_x: Volt) -> Volt:
    """A motor that stands is an impedance: on a sagging supply it draws less than at full voltage."""
    return U**2 / np.sqrt((U + dV) ** 2 + dV_x**2)


@formula(
    "supply.start_share",
    symbol="du",
    title="Share of the voltage lost in starting",
    kind="fraction",
    takes="U: voltage at rest; U_load: voltage left while the motor still stands",
    shown="(U - U_load)/U",
    cite=DERIVED.at("dip in per cent of the voltage at rest"),
    valid="cable alone",
    unpublished="a share",
)
def start_share(U: Volt, U_load: Volt) -> Ratio:
    """While the motor still stands."""
    return (U - U_load) / U


@formula(
    "supply.voltage_at_load",
    symbol="U_load",
    title="Voltage left at the source",
    kind="voltage",
    takes="U: voltage of the supply; dV: voltage lost along the cable",
    shown="U - dV",
    cite=DERIVED.at("difference"),
    valid="any",
    unpublished="a difference",
)
def voltage_at_load(U: Volt, dV: Volt) -> Volt:
    """Supply voltage less what the cable takes."""
    return U - dV


@formula(
    "supply.conductor_needed",
    symbol="S_min",
    title="Conductor area that keeps the starting dip to a share of the supply",
    kind="area",
    takes="b: 2 single phase, 1 three phase; rho_c: resistivity of the conductor at service temperature; x_c: reactance of a "
    "length of it; L: length of the route; cos_phi: power factor in starting; I: starting current at full voltage; du: share of "
    "the voltage that may be lost; U: voltage of the supply",
    shown="b*rho_c*L*I/U/(sqrt(cos_phi**2 + 1/(1 - du)**2 - 1 - (b*x_c*L*I/U)**2"
    " - 2*b*x_c*L*I/U*sqrt(1 - cos_phi**2)) - cos_phi)",
    cite=DERIVED.at("voltage divider of cable and standing motor, solved for the resistance of the cable"),
    valid="while the reactance alone leaves something of the allowance; unlimited beyond",
    unpublished="inverse of the dip; the round trip is a property test",
)
def conductor_needed(
    b: Ratio, rho_c: OhmMetre, x_c: OhmPerMetre, L: Metre, cos_phi: Ratio, I: Ampere, du: Ratio, U: Volt
) -> SquareMetre:
    """Before rounding up to a conductor that is sold."""
    z = b * x_c * L * I / U
    inside = np.asarray(cos_phi**2 + 1 / (1 - du) ** 2 - 1 - z**2 - 2 * z * np.sqrt(1 - cos_phi**2), dtype=float)
    left = np.sqrt(np.maximum(inside, 0.0)) - cos_phi
    return np.where(left > 0, b * rho_c * L * I / U / np.where(left > 0, left, 1.0), np.inf)[()]


@formula(
    "supply.longest_cable",
    symbol="L_max",
    title="Longest cable of this conductor",
    kind="length",
    takes="b: 2 single phase, 1 three phase; rho_c: resistivity of the conductor at service temperature; x_c: reactance of a "
    "length of it; S: area of one conductor; cos_phi: power factor in starting; I: starting current at full voltage; du: share "
    "of the voltage that may be lost; U: voltage of the supply",
    shown="U/(b*I)*(sqrt((rho_c/S*cos_phi + x_c*sqrt(1 - cos_phi**2))**2 + (1/(1 - du)**2 - 1)*((rho_c/S)**2 + x_c**2))"
    " - rho_c/S*cos_phi - x_c*sqrt(1 - cos_phi**2))/((rho_c/S)**2 + x_c**2)",
    cite=DERIVED.at("voltage divider of cable and standing motor, solved for the length of the cable"),
    valid="as the starting dip",
    unpublished="inverse of the dip; the round trip is a property test",
)
def longest_cable(
    b: Ratio, rho_c: OhmMetre, x_c: OhmPerMetre, S: SquareMetre, cos_phi: Ratio, I: Ampere, du: Ratio, U: Volt
) -> Metre:
    """Length at which the starting dip reaches its allowance."""
    r, along = rho_c / S, rho_c / S * cos_phi + x_c * np.sqrt(1 - cos_phi**2)
    size = r**2 + x_c**2
    return U / (b * I) * (np.sqrt(along**2 + (1 / (1 - du) ** 2 - 1) * size) - along) / size


@formula(
    "supply.voltage_departure",
    symbol="off_U",
    title="How far the supply lies outside the name plate's voltage range",
    kind="fraction",
    takes="U: voltage at the unit, at rest; U_low: lowest voltage of the name plate; U_high: highest voltage of the name plate",
    shown="max(U_low - U, 0*U)/U_low + max(U - U_high, 0*U)/U_high",
    cite=DERIVED.at("distance to the range; a motor bears 5 % of its rated voltage (IEC 60034-1, zone A)"),
    valid="voltage at the unit, at rest; U_low = U_high for a single rated voltage",
    unpublished="a distance",
)
def voltage_departure(U: Volt, U_low: Volt, U_high: Volt) -> Ratio:
    """Nil inside the range; outside, the share of the rated voltage ``U_low`` or ``U_high`` that is nearer."""
    return np.maximum(U_low - U, 0 * U) / U_low + np.maximum(U - U_high, 0 * U) / U_high


@formula(
    "supply.frequency_departure",
    symbol="off_f",
    title="How far the supply frequency lies from the name plate's",
    kind="fraction",
    takes="f: frequency of the supply; f_plate: frequency of the name plate, the nearer of two",
    shown="abs(f - f_plate)/f_plate",
    cite=DERIVED.at("distance; a motor bears 2 % (IEC 60034-1, zone A)"),
    valid="for a plate with two frequencies, take the nearer",
    unpublished="a distance",
)
def frequency_departure(f: Hertz, f_plate: Hertz) -> Ratio:
    """Nil where they agree."""
    return np.abs(f - f_plate) / f_plate


@formula(
    "supply.contact_load",
    symbol="load_contact",
    title="Starting current over the motor rating of the contact",
    kind="ratio",
    takes="I_start: current while the motor starts; I_rated: current the contact is rated to make for a motor",
    shown="I_start/I_rated",
    cite=DERIVED.at("a motor rating counts; a resistive or coil rating does not"),
    valid="I_rated for motor duty, as a making current",
    unpublished="a ratio",
)
def contact_load(I_start: Ampere, I_rated: Ampere) -> Ratio:
    """Above one, the contact may weld."""
    return I_start / I_rated
