"""Steady flow of air through the purge hose: isothermal, compressible, with friction, fittings and acceleration.

The friction factor between Reynolds 2000 and 3000 is a straight line between laminar and Colebrook, so that loss rises
steadily with flow and the operating point exists everywhere. Measured pipes scatter about it by 15 %: a line that works
there is sampled with its friction off by so much, put on the fittings' losses.
"""

from __future__ import annotations

import math

import numpy as np

from purgecalc.formulas.air import GAMMA, R_AIR
from purgecalc.references import COLEBROOK, DERIVED, MASSEY, OUR_JUDGEMENT, PIPE_TESTS, SHAPIRO, WHITE
from purgecalc.si import CubicMetre, Kelvin, KgPerSecond, Metre, Num, Pascal, PascalSecond, Ratio, SquareMetre
from purgecalc.working import constant, formula

RE_LAMINAR = constant("Re_lam", 2000.0, "", "end of laminar flow as used here", OUR_JUDGEMENT.at("usual lower end of transition"))
RE_TURBULENT = constant(
    "Re_turb", 3000.0, "", "begin of turbulent flow as used here", PIPE_TESTS.at("the pipes measured are through by then")
)


@formula(
    "hose.bore_area",
    symbol="A",
    title="Bore area of the hose",
    kind="area",
    takes="D: bore",
    shown="pi*D**2/4",
    cite=DERIVED.at("circle"),
    valid="round bore",
    unpublished="geometry",
)
def bore_area(D: Metre) -> SquareMetre:
    """Cross-section of the bore."""
    return np.pi * D**2 / 4


@formula(
    "hose.volume",
    symbol="V",
    title="Volume of the hose",
    kind="volume",
    takes="A: area of the bore; L: length of the hose",
    shown="A*L",
    cite=DERIVED.at("cylinder"),
    valid="any",
    unpublished="geometry",
)
def volume(A: SquareMetre, L: Metre) -> CubicMetre:
    """Air space of a hose of length ``L``."""
    return A * L


@formula(
    "hose.reynolds",
    symbol="Re",
    title="Reynolds number in the hose",
    kind="ratio",
    takes="m: mass flow; D: bore; mu: viscosity of the air",
    shown="4*m/(pi*D*mu)",
    cite=MASSEY.at("section 5.5, with the mean velocity from the mass flow"),
    valid="any flow",
    unpublished="a definition; the friction cases use it",
)
def reynolds(m: KgPerSecond, D: Metre, mu: PascalSecond) -> Ratio:
    """Constant along an isothermal hose, since viscosity does not depend on pressure."""
    return 4 * m / (np.pi * D * mu)


@formula(
    "hose.laminar_friction",
    symbol="f_lam",
    title="Darcy friction factor if laminar",
    kind="ratio",
    takes="Re: Reynolds number",
    shown="64/Re",
    cite=WHITE.at("eq. 6.13"),
    valid="Re < 2000",
)
def laminar_friction(Re: Ratio) -> Ratio:
    """Hagen-Poiseuille."""
    return 64 / np.maximum(Re, 1e-9)


LN10_2 = 2 / math.log(10)  # a plain number, which leaves arrays of single precision what they are


def colebrook_step(x: Num, rough: Num, Re: Num) -> Num:
    """One Newton step for x = 1/sqrt(f); ``rough`` is eps/(3.7 D)."""
    inside = rough + 2.51 * x / Re
    slope = 1 + LN10_2 * 2.51 / (Re * inside)
    return x - (x + LN10_2 * np.log(inside)) / slope


@formula(
    "hose.turbulent_friction",
    symbol="f_turb",
    title="Darcy friction factor if turbulent",
    kind="ratio",
    takes="Re: Reynolds number; eps: roughness of the wall; D: bore",
    shown="1/sqrt(f_turb) = -2*log10(eps/(3.7*D) + 2.51/(Re*sqrt(f_turb)))",
    cite=COLEBROOK.at("eq. 16, as White eq. 6.48"),
    valid="Re >= 4000, eps/D <= 0.05",
)
def turbulent_friction(Re: Ratio, eps: Metre, D: Metre) -> Ratio:
    """Colebrook-White, solved by Newton steps to round-off."""
    Re = np.maximum(Re, 1.0)
    rough = eps / (3.7 * D)
    x = np.maximum(-2 * np.log10(rough + 12 / Re), 1.0)  # within 1 or so: x is 3 to 8 in most hoses
    for _ in range(4):
        x = colebrook_step(x, rough, Re)
    return x**-2.0


@formula(
    "hose.friction_factor",
    symbol="f",
    title="Darcy friction factor of the hose",
    kind="ratio",
    takes="f_lam: Darcy friction factor if laminar; f_turb: Darcy friction factor if turbulent; Re: Reynolds number",
    shown="f_lam + (f_turb - f_lam)*max(0*Re, min(1 + 0*Re, (Re - Re_lam)/(Re_turb - Re_lam)))",
    cite=OUR_JUDGEMENT.at("straight line between laminar flow at Re 2000 and Colebrook at Re 3000, fitted to pipe tests"),
    valid="any Re; between 2000 and 3000 measured pipes scatter by 15 %",
)
def friction_factor(f_lam: Ratio, f_turb: Ratio, Re: Ratio) -> Ratio:
    """Laminar, turbulent, or the line between, so that pressure loss rises steadily with flow."""
    weight = np.clip((Re - RE_LAMINAR.value) / (RE_TURBULENT.value - RE_LAMINAR.value), 0.0, 1.0)
    return f_lam + (f_turb - f_lam) * weight


def friction_step(re: Num, rough: Num, x: Num) -> tuple[Num, Num, Num]:
    """Friction factor, its slope in ln Re, and the improved x = 1/sqrt(f) of turbulent flow."""
    per_re = 2.51 / np.maximum(re, 500.0)  # below, laminar flow alone counts
    inside = rough + per_re * x
    pull = LN10_2 * per_re / inside
    x = (x * pull - LN10_2 * np.log(inside)) / (1 + pull)
    turbulent, laminar = 1 / (x * x), 64 / np.maximum(re, 1e-9)
    width = RE_TURBULENT.value - RE_LAMINAR.value
    w = np.minimum(np.maximum((re - RE_LAMINAR.value) / width, 0.0), 1.0)
    between = turbulent - laminar
    slope = -w * turbulent * 2 * pull / (1 + pull) - (1 - w) * laminar + np.where(w * (1 - w) > 0, between * re / width, 0.0)
    return laminar + between * w, slope, x


@formula(
    "hose.resistance",
    symbol="N",
    title="Resistance of hose and fittings in velocity heads",
    kind="ratio",
    takes="f: Darcy friction factor; L: length of the hose; D: bore; K: loss coefficient of all fittings",
    shown="f*L/D + K",
    cite=MASSEY.at("section 7.6, losses in series"),
    valid="fittings spread along the hose",
    unpublished="a definition; the isothermal flow cases use it",
)
def resistance(f: Ratio, L: Metre, D: Metre, K: Ratio) -> Ratio:
    """Friction plus fittings."""
    return f * L / D + K


def squared_pressure_ratio(c: Num, N: Num) -> Num:
    """q = (p_in/p_out)**2 from q = 1 + c (N + ln q), where c = G**2 R T/p_out**2 <= 1, to round-off.

    With ln q taken as 2 (q - 1)/(q + 1) it is a quadratic, right for small and for large N and at most 8 % off between;
    three Newton steps then close it.
    """
    half = 0.5 * c * N + c - 1
    root = np.sqrt(half * half + 2 * c * N)
    rise = np.where(half > 0, half + root, 2 * c * N / (root - np.minimum(half, 0.0) + 1e-300))
    for _ in range(3):
        rise = np.maximum(rise - (rise - c * (N + np.log1p(rise))) / (1 - c / (1 + rise) + 1e-15), 0.0)
    return 1 + rise


@formula(
    "hose.inlet_pressure",
    symbol="p_in",
    title="Pressure at the source end of the hose",
    kind="pressure",
    takes="m: mass flow; A: area of the bore; p_out: pressure at the head end of the hose; T: temperature of the air; N: "
    "resistance of hose and fittings in velocity heads",
    shown="p_in**2 - p_out**2 = (m/A)**2*R_air*T*(N + 2*ln(p_in/p_out))",
    cite=MASSEY.at("eq. 11.62, isothermal flow with friction"),
    valid="isothermal, exit Mach below 0.845",
)
def inlet_pressure(m: KgPerSecond, A: SquareMetre, p_out: Pascal, T: Kelvin, N: Ratio) -> Pascal:
    """Pressure needed upstream to push ``m`` out at ``p_out``. Pressures absolute."""
    c = np.minimum((m / (A * p_out)) ** 2 * R_AIR.value * T, 1.0)
    return p_out * np.sqrt(squared_pressure_ratio(c, N))


@formula(
    "hose.pressure_drop",
    symbol="dp",
    title="Hose pressure drop",
    kind="pressure difference",
    takes="p_in: pressure at the source end of the hose; p_out: pressure at its head end",
    shown="p_in - p_out",
    cite=DERIVED.at("difference of the end pressures"),
    valid="any",
    unpublished="a difference",
)
def pressure_drop(p_in: Pascal, p_out: Pascal) -> Pascal:
    """Pressure lost between the ends of the hose."""
    return p_in - p_out


@formula(
    "hose.choking_pressure",
    symbol="p_star",
    title="Outlet pressure at which the hose end chokes",
    kind="pressure",
    takes="m: mass flow; A: area of the bore; T: temperature of the air",
    shown="m/A*sqrt(R_air*T)",
    cite=SHAPIRO.at("section 6.8, isothermal limit M = 1/sqrt(gamma)"),
    valid="isothermal; adiabatic choking passes 0.5 to 4 % more",
)
def choking_pressure(m: KgPerSecond, A: SquareMetre, T: Kelvin) -> Pascal:
    """Lowest outlet pressure at which ``m`` can still leave the hose."""
    return m / A * np.sqrt(R_AIR.value * T)


@formula(
    "hose.mach",
    symbol="M",
    title="Mach number in the hose",
    kind="ratio",
    takes="m: mass flow; A: area of the bore; p: static pressure at that place; T: temperature of the air",
    shown="m/(A*p)*sqrt(R_air*T/gamma)",
    cite=DERIVED.at("velocity from the mass flow over the speed of sound"),
    valid="isothermal",
)
def mach(m: KgPerSecond, A: SquareMetre, p: Pascal, T: Kelvin) -> Ratio:
    """Mach number where the static pressure is ``p``."""
    return m / (A * p) * np.sqrt(R_AIR.value * T / GAMMA.value)


@formula(
    "hose.length_for_flow",
    symbol="L",
    title="Length at which a hose takes a given flow from one pressure to another",
    kind="length",
    takes="D: bore; f: Darcy friction factor; p_in: pressure at the source end; p_out: pressure at the head end; m: mass flow; "
    "A: area of the bore; T: temperature of the air; K: loss coefficient of all fittings",
    shown="D/f*((max(p_in, p_out)**2 - p_out**2)/((m/A)**2*R_air*T) - K - 2*ln(max(p_in, p_out)/p_out))",
    cite=MASSEY.at("eq. 11.62, solved for the length"),
    valid="isothermal; none where even no hose at all loses too much",
)
def length_for_flow(
    D: Metre, f: Ratio, p_in: Pascal, p_out: Pascal, m: KgPerSecond, A: SquareMetre, T: Kelvin, K: Ratio
) -> Metre:
    """Inverse of ``hose.inlet_pressure`` in the length: without end where nothing flows."""
    start = np.maximum(p_in, p_out)
    with np.errstate(divide="ignore", invalid="ignore"):
        L = D / f * ((start**2 - p_out**2) / ((m / A) ** 2 * R_AIR.value * T) - K - 2 * np.log(start / p_out))
    return np.where(L >= 0, L, np.nan)[()]
