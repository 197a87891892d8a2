"""The electrical supply of the source: does its class match the name plate, does it arrive, can the motor start?

Voltages are those the percentage is counted on: line to neutral in a three-phase supply, the whole voltage in a
single-phase one. The cable alone is counted, not the feed ahead of it.
"""

from __future__ import annotations

from typing import Annotated, TypeAlias

import numpy as np

from purgecalc.references import COMMON_PRACTICE, DERIVED, IEC_60034, Source
from purgecalc.working import Metre, Num, Ratio, SquareMetre, Unit, constant, formula

Volt: TypeAlias = Annotated[Num, Unit("V")]
Ampere: TypeAlias = Annotated[Num, Unit("A")]
Hertz: TypeAlias = Annotated[Num, Unit("Hz")]
OhmMetre: TypeAlias = Annotated[Num, Unit("ohm*m")]
OhmPerMetre: TypeAlias = Annotated[Num, Unit("ohm/m")]

IEC_60364 = Source("IEC 60364-5-52", "IEC 60364-5-52 Low-voltage installations, wiring systems, Annex G", checked=True)
IEC_60038 = Source("IEC 60038", "IEC 60038 Standard voltages", checked=True)

RHO_COPPER = constant("rho_Cu", 2.25e-8, "ohm*m", "resistivity of copper in normal service", IEC_60364.at("0.0225 ohm mm2/m"))
RHO_ALUMINIUM = constant("rho_Al", 3.6e-8, "ohm*m", "resistivity of aluminium in normal service", IEC_60364.at("0.036 ohm mm2/m"))
REACTANCE = constant("lambda_x", 8e-5, "ohm/m", "reactance of a cable core", IEC_60364.at("0.08 mohm/m if unknown"))
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
    shown="b*(rho_c*L/S*cos_phi + x_c*L*sqrt(1 - cos_phi**2))*I",
    cite=IEC_60364.at("formula for the voltage drop"),
    valid="b 2 single phase, 1 three phase (line to neutral); core at service temperature; one core size throughout",
)
def voltage_drop(b: Ratio, rho_c: OhmMetre, x_c: OhmPerMetre, L: Metre, S: SquareMetre, cos_phi: Ratio, I: Ampere) -> Volt:  # noqa: E741
    """``L`` is the length of the route, not of the loop; ``S`` the area of one core."""
    return b * (rho_c * L / S * cos_phi + x_c * L * np.sqrt(1 - cos_phi**2)) * I


@formula(
    "supply.start_current",
    symbol="I_start",
    title="Current while the motor starts",
    kind="current",
    shown="k*I",
    cite=COMMON_PRACTICE.at("5 to 7 times the running current"),
    valid="at full voltage; with I in running",
    unpublished="a product",
)
def start_current(k: Ratio, I: Ampere) -> Ampere:  # noqa: E741
    """``k`` starting over running current."""
    return k * I


@formula(
    "supply.drop_share",
    symbol="du",
    title="Voltage lost as a share of the supply",
    kind="fraction",
    shown="dV/U",
    cite=IEC_60364.at("drop in per cent of the nominal voltage"),
    valid="U line to neutral in a three-phase supply",
)
def drop_share(dV: Volt, U: Volt) -> Ratio:
    """Share of the nominal voltage ``U``."""
    return dV / U


@formula(
    "supply.start_dip_least",
    symbol="du_least",
    title="Starting dip if the standing motor acts as an impedance",
    kind="fraction",
    shown="du/(1 + du)",
    cite=DERIVED.at("voltage divider, cable and motor at the same angle"),
    valid="lower bound; du from the current at full voltage is the upper",
    unpublished="a voltage divider",
)
def start_dip_least(du: Ratio) -> Ratio:
    """A motor at standstill draws less from a sagging supply."""
    return du / (1 + du)


@formula(
    "supply.voltage_at_load",
    symbol="U_load",
    title="Voltage left at the source",
    kind="voltage",
    shown="U - dV",
    cite=DERIVED.at("difference"),
    valid="any",
    unpublished="a difference",
)
def voltage_at_load(U: Volt, dV: Volt) -> Volt:
    """Supply voltage less what the cable takes."""
    return U - dV


@formula(
    "supply.core_needed",
    symbol="S_min",
    title="Core area that keeps the drop to a share of the supply",
    kind="area",
    shown="b*rho_c*L*cos_phi*I/(du*U - b*x_c*L*sqrt(1 - cos_phi**2)*I)",
    cite=IEC_60364.at("formula for the voltage drop, solved for the area"),
    valid="while the reactance alone leaves something of the allowance; unlimited beyond",
    unpublished="inverse of the drop formula; the round trip is a property test",
)
def core_needed(
    b: Ratio, rho_c: OhmMetre, x_c: OhmPerMetre, L: Metre, cos_phi: Ratio, I: Ampere, du: Ratio, U: Volt  # noqa: E741
) -> SquareMetre:  # fmt: skip
    """Before rounding up to a core that is sold; ``du`` the share allowed."""
    left = np.asarray(du * U - b * x_c * L * np.sqrt(1 - cos_phi**2) * I, dtype=float)
    return np.where(left > 0, b * rho_c * L * cos_phi * I / np.where(left > 0, left, 1.0), np.inf)[()]


@formula(
    "supply.longest_cable",
    symbol="L_max",
    title="Longest cable of this core",
    kind="length",
    shown="du*U/(b*(rho_c/S*cos_phi + x_c*sqrt(1 - cos_phi**2))*I)",
    cite=IEC_60364.at("formula for the voltage drop, solved for the length"),
    valid="as the drop formula",
    unpublished="inverse of the drop formula; the round trip is a property test",
)
def longest_cable(
    b: Ratio, rho_c: OhmMetre, x_c: OhmPerMetre, S: SquareMetre, cos_phi: Ratio, I: Ampere, du: Ratio, U: Volt  # noqa: E741
) -> Metre:  # fmt: skip
    """Length at which the drop reaches the share ``du``."""
    return du * U / (b * (rho_c / S * cos_phi + x_c * np.sqrt(1 - cos_phi**2)) * I)


@formula(
    "supply.voltage_departure",
    symbol="off_U",
    title="How far the supply lies outside the name plate's voltage range",
    kind="fraction",
    shown="(max(U_low - U, 0*U) + max(U - U_high, 0*U))/U",
    cite=DERIVED.at("distance to the range; a motor bears 5 % (IEC 60034-1, zone A)"),
    valid="nominal voltages; U_low = U_high for a single rated voltage",
    unpublished="a distance",
)
def voltage_departure(U: Volt, U_low: Volt, U_high: Volt) -> Ratio:
    """Nil inside the range."""
    return (np.maximum(U_low - U, 0 * U) + np.maximum(U - U_high, 0 * U)) / U


@formula(
    "supply.frequency_departure",
    symbol="off_f",
    title="How far the supply frequency lies from the name plate's",
    kind="fraction",
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
    shown="I_start/I_rated",
    cite=DERIVED.at("a motor rating counts; a resistive or coil rating does not"),
    valid="I_rated for motor duty, as a making current",
    unpublished="a ratio",
)
def contact_load(I_start: Ampere, I_rated: Ampere) -> Ratio:
    """Above one, the contact may weld."""
    return I_start / I_rated
