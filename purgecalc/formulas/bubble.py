"""Bubbles at the head: how large they leave it, how fast they rise, and when the last have left the face.

Tank water is never clean, so bubbles rise as with an immobile skin: small ones like rigid spheres, middling ones by the
correlation for contaminated liquids, large ones as caps. The last bubbles to leave are the small ones, so the
clearing time wants the smallest size that matters (1 to 2 mm), not the size at the head.

Bubbles are given the longer of the catalogue's clearing time and the time a 2 mm bubble needs to rise past the face.
"""

from __future__ import annotations

from typing import Annotated, TypeAlias

import numpy as np

from purgecalc.formulas.air import G
from purgecalc.formulas.site import ICE, ONE_KELVIN  # noqa: F401  (named in printed equations)
from purgecalc.references import DERIVED, OUR_JUDGEMENT, Work
from purgecalc.si import Kelvin, KgPerCubicMetre, Metre, MetrePerSecond, Num, PascalSecond, Ratio, Second, Unit
from purgecalc.working import constant, formula

SurfaceTension: TypeAlias = Annotated[Num, Unit("N/m")]

CLIFT = Work("Clift, Grace & Weber", "R. Clift, J. R. Grace and M. E. Weber, Bubbles, Drops and Particles (1978)", checked=True)
HOLLAND_BRAGG = Work("Holland & Bragg", "F. A. Holland and R. Bragg, Fluid Flow for Chemical Engineers, 2nd ed.", checked=True)
DAVIES_TAYLOR = Work("Davies & Taylor", "R. M. Davies and G. I. Taylor, Proc. R. Soc. A 200 (1950) 375", checked=True)
SCHILLER_NAUMANN = Work("Schiller & Naumann", "L. Schiller and A. Naumann, Z. VDI 77 (1933) 318")
KESTIN = Work("Kestin et al.", "J. Kestin, M. Sokolov and W. A. Wakeham, J. Phys. Chem. Ref. Data 7 (1978) 941")
IAPWS = Work("IAPWS", "IAPWS Release on Surface Tension of Ordinary Water Substance (1994)")

MU_20 = constant("mu_20", 1.002e-3, "Pa*s", "viscosity of water at 20 degC", KESTIN.at())
MU_CGW = constant("mu_ref", 0.9e-3, "Pa*s", "viscosity the correlation for contaminated bubbles refers to", CLIFT.at("eq. 7-7"))
SIGMA_WATER = constant("sigma_w", 0.0728, "N/m", "surface tension of clean water at 20 degC", IAPWS.at("table 1"))
PLUME = constant(
    "L_plume", 0.5, "m", "height the last bubbles rise to be clear of the face", OUR_JUDGEMENT.at("half a metre of plume")
)
LAST_BUBBLE = constant("d_last", 2e-3, "m", "size of the last bubbles to leave", OUR_JUDGEMENT.at("1 to 2 mm"))
STICKS = constant("t_stick", 2.0, "s", "time bubbles cling to the face", OUR_JUDGEMENT.at())


@formula(
    "bubble.water_viscosity",
    symbol="mu",
    title="Viscosity of the water",
    kind="viscosity",
    takes="T: temperature of the water",
    shown="mu_20*exp(ln(10)*(20 - (T - T_ice)/kelvin)/((T - T_ice)/kelvin + 96)*(1.2364 - 1.37e-3*(20 - (T - T_ice)/kelvin)"
    " + 5.7e-6*(20 - (T - T_ice)/kelvin)**2))",
    cite=KESTIN.at("correlation along one atmosphere"),
    valid="fresh water, 0 to 40 degC; sea water is 7 to 8 % above",
)
def water_viscosity(T: Kelvin) -> PascalSecond:
    """Of liquid water at one atmosphere."""
    t = T - 273.15
    x = 20 - t
    return MU_20.value * 10 ** (x / (t + 96) * (1.2364 + x * (-1.37e-3 + x * 5.7e-6)))


@formula(
    "bubble.stokes",
    symbol="U",
    title="Rise of a very small bubble",
    kind="speed",
    takes="d: diameter of the bubble; rho_w: density of the water; rho_a: density of the air in the bubble; mu: viscosity of "
    "the water",
    shown="g*d**2*(rho_w - rho_a)/(18*mu)",
    cite=HOLLAND_BRAGG.at("table 7.1, region 1"),
    valid="Reynolds number below 0.5",
)
def stokes(d: Metre, rho_w: KgPerCubicMetre, rho_a: KgPerCubicMetre, mu: PascalSecond) -> MetrePerSecond:
    """Creeping flow round a rigid sphere."""
    return G.value * d**2 * (rho_w - rho_a) / (18 * mu)


@formula(
    "bubble.rigid_sphere",
    symbol="U",
    title="Rise of a small bubble with an immobile skin",
    kind="speed",
    takes="d: diameter of the bubble; rho_w: density of the water; rho_a: density of the air in the bubble; mu: viscosity of "
    "the water",
    shown="U = g*d**2*(rho_w - rho_a)/(18*mu*(1 + 0.15*(rho_w*U*d/mu)**0.687))",
    cite=SCHILLER_NAUMANN.at("drag of a sphere, solved by Newton"),
    valid="Reynolds number below 800; beyond it bubbles are no longer spheres and rise slower",
    unpublished="checked against other drag correlations of a library",
)
def rigid_sphere(d: Metre, rho_w: KgPerCubicMetre, rho_a: KgPerCubicMetre, mu: PascalSecond) -> MetrePerSecond:
    """Drag of a sphere with skin friction; tends to Stokes' law for small bubbles."""
    target = np.asarray(rho_w * stokes(d, rho_w, rho_a, mu) * d / mu)
    re = np.maximum(target / (1 + 0.15 * target**0.4), 1e-300)
    # re (1 + 0.15 re^0.687) = target: rising and convex, so Newton comes down from the right after its first step
    for _ in range(60):
        change = (re * (1 + 0.15 * re**0.687) - target) / (1 + 0.25305 * re**0.687)
        re = np.maximum(re - change, 1e-300)
        if np.all(np.abs(change) <= 1e-14 * re):
            break
    return (re * mu / (rho_w * d))[()]


@formula(
    "bubble.eotvos",
    symbol="Eo",
    title="Eotvos number",
    kind="ratio",
    takes="d: diameter of the bubble; rho_w: density of the water; rho_a: density of the air in the bubble; sigma: surface "
    "tension of the water",
    shown="g*(rho_w - rho_a)*d**2/sigma",
    cite=CLIFT.at("definition"),
    valid="any",
    unpublished="a definition",
)
def eotvos(d: Metre, rho_w: KgPerCubicMetre, rho_a: KgPerCubicMetre, sigma: SurfaceTension) -> Ratio:
    """Buoyancy against surface tension."""
    return G.value * (rho_w - rho_a) * d**2 / sigma


@formula(
    "bubble.morton",
    symbol="Mo",
    title="Morton number",
    kind="ratio",
    takes="rho_w: density of the water; rho_a: density of the air in the bubble; mu: viscosity of the water; sigma: surface "
    "tension of the water",
    shown="g*mu**4*(rho_w - rho_a)/(rho_w**2*sigma**3)",
    cite=CLIFT.at("definition"),
    valid="any",
    unpublished="a definition",
)
def morton(rho_w: KgPerCubicMetre, rho_a: KgPerCubicMetre, mu: PascalSecond, sigma: SurfaceTension) -> Ratio:
    """The liquid alone; 2.6e-11 for water at 20 degC."""
    return G.value * mu**4 * (rho_w - rho_a) / (rho_w**2 * sigma**3)


@formula(
    "bubble.contaminated",
    symbol="U",
    title="Rise of a bubble in contaminated water",
    kind="speed",
    takes="d: diameter of the bubble; rho_w: density of the water; mu: viscosity of the water; Eo: Eotvos number; Mo: Morton "
    "number",
    shown="mu/(rho_w*d)*Mo**(-0.149)*(min(0.94*(4/3*Eo*Mo**(-0.149)*(mu/mu_ref)**(-0.14))**0.757,"
    " 3.42*(4/3*Eo*Mo**(-0.149)*(mu/mu_ref)**(-0.14))**0.441) - 0.857)",
    cite=CLIFT.at("eqs. 7-3 to 7-7"),
    valid="Mo below 1e-3, Eo below 40, Reynolds number above 0.1; water: about 0.7 to 17 mm",
)
def contaminated(d: Metre, rho_w: KgPerCubicMetre, mu: PascalSecond, Eo: Ratio, Mo: Ratio) -> MetrePerSecond:
    """The two branches cross where the source changes from one to the other, so the lower is the right one."""
    h = 4 / 3 * Eo * Mo**-0.149 * (mu / MU_CGW.value) ** -0.14
    return mu / (rho_w * d) * Mo**-0.149 * (np.minimum(0.94 * h**0.757, 3.42 * h**0.441) - 0.857)


@formula(
    "bubble.cap",
    symbol="U",
    title="Rise of a large bubble (spherical cap)",
    kind="speed",
    takes="d: diameter of a sphere of the bubble's volume",
    shown="0.711*sqrt(g*d)",
    cite=DAVIES_TAYLOR.at("in the form of Kunii and Levenspiel"),
    valid="Eo above 40: water, above 17 mm",
)
def cap(d: Metre) -> MetrePerSecond:
    """Neither viscosity nor surface tension counts."""
    return 0.711 * np.sqrt(G.value * d)


@formula(
    "bubble.rise",
    symbol="U",
    title="Rise of the bubble",
    kind="speed",
    takes="U_sphere: speed as a rigid sphere; U_contaminated: speed in contaminated water; U_cap: speed as a spherical cap",
    shown="min(U_sphere, max(U_contaminated, U_cap))",
    cite=OUR_JUDGEMENT.at("each correlation where it holds: sphere, contaminated, cap"),
    valid="0.01 to 100 mm in water",
    unpublished="our own joining of published pieces",
)
def rise(U_sphere: MetrePerSecond, U_contaminated: MetrePerSecond, U_cap: MetrePerSecond) -> MetrePerSecond:
    """The sphere governs small bubbles, the cap large ones."""
    return np.minimum(U_sphere, np.maximum(U_contaminated, U_cap))


@formula(
    "bubble.clearance_time",
    symbol="t_clear",
    title="Time for the bubbles to leave the face",
    kind="time",
    takes="t_stick: how long bubbles cling to the face, from the catalogue; L_plume: height from the lowest bubble to above the "
    "face; U: speed of rise",
    shown="t_stick + L_plume/U",
    cite=DERIVED.at("the last bubble rises past the face after it has come loose"),
    valid="L_plume: height from the lowest bubble to above the face; still water between the bubbles, so on the safe side",
    unpublished="a quotient and a sum",
)
def clearance_time(t_stick: Second, L_plume: Metre, U: MetrePerSecond) -> Second:
    """Bubbles let go of the face, then rise past it."""
    return t_stick + L_plume / np.asarray(U)[()]
