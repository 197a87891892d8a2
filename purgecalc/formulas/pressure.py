"""Pressure that can hurt: ratings, relief, blocked and dead-ended heads, stored energy, and the force of a jet on the face.

The pressure-equipment pointers of each country are data and only say where to look; they draw no legal conclusion.
Impact pressure and shear are orders of magnitude (a factor of three either way) and of gas into gas.

Regimes (EU, UK, US, other) choose pointers to read, never a verdict on the law; the one level they move is that of
``dead-end``.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, TypeAlias

import numpy as np

from purgecalc.references import COMMON_PRACTICE, DERIVED, ISO_2398, OUR_JUDGEMENT, Citation, Work
from purgecalc.si import CubicMetre, Joule, Kelvin, Metre, Newton, Num, Pascal, Ratio, SquareMetre, Unit
from purgecalc.working import constant, formula

PerKelvin: TypeAlias = Annotated[Num, Unit("1/K")]

OSHA_242 = Work("29 CFR 1910.242", "US 29 CFR 1910.242 Hand and portable powered tools", checked=True)
OSHA_169 = Work("29 CFR 1910.169", "US 29 CFR 1910.169 Air receivers")
ASME_VIII = Work("ASME VIII-1", "ASME Boiler and Pressure Vessel Code, Section VIII Division 1")
EU_2014_29 = Work("2014/29/EU", "Directive 2014/29/EU Simple pressure vessels", checked=True)
EU_2014_68 = Work("2014/68/EU", "Directive 2014/68/EU Pressure equipment")
UK_PSSR = Work("PSSR 2000", "UK Pressure Systems Safety Regulations 2000 (SI 2000/128)")
UK_SPVR = Work("UK SI 2016/1092", "UK Simple Pressure Vessels (Safety) Regulations 2016 (SI 2016/1092)")
FREE_JET = Work("round jet", "far field of a turbulent round jet, decay constant 6.2")

OSHA_DEAD_END = constant("p_OSHA", 206842.72, "Pa", "dead-end pressure of cleaning air, gauge", OSHA_242.at("(b), 30 psi"))
RELIEF_RISE = constant("k_relief", 0.10, "", "rise above the set pressure of a relief valve", COMMON_PRACTICE.at("10 %"))
BURST_RATIO = constant("k_burst", 4.0, "", "burst over working pressure of an air hose", ISO_2398.at("4:1; 3:1 is met"))
HOSE_REFERENCE = constant("T_hose", 293.15, "K", "temperature a hose is rated at", COMMON_PRACTICE.at("20 degC"))
HOSE_LOSS = constant("k_hose", 0.01, "1/K", "rating a plastic hose loses per kelvin", OUR_JUDGEMENT.at("ask the maker's table"))
TUBE_FACTORS = Work("DIN 73378", "DIN 73378 Polyamide tubes, factors of the working pressure by temperature")
PIPE_FACTORS = Work("ISO 4427-1", "ISO 4427-1 Polyethylene pipes, factors of the pressure by temperature")
MAKERS = Work("makers' tables", "makers' tables of pressure by temperature, which differ by a factor of two")
RATING_LOSSES = {
    "polyamide": constant("k_PA", 0.014, "1/K", "rating a polyamide tube loses per kelvin", TUBE_FACTORS.at("72 % at 40 degC")),
    "polyethylene": constant(
        "k_PE", 0.013, "1/K", "rating a polyethylene tube loses per kelvin", PIPE_FACTORS.at("74 % at 40 degC")
    ),
    "polyurethane": constant("k_PU", 0.014, "1/K", "rating a polyurethane tube loses per kelvin", MAKERS.at("72 % at 40 degC")),
    "pvc": constant("k_PVC", 0.016, "1/K", "rating a braided PVC hose loses per kelvin", MAKERS.at("half at 50 degC")),
    "rubber": constant("k_rubber", 0.0, "1/K", "rating a rubber hose loses per kelvin", OUR_JUDGEMENT.at("nil to 70 degC")),
}
"""What is known of the materials of the catalogue; ``HOSE_LOSS`` where nobody has said what the hose is of."""
BAR_LITRE = constant("bar_L", 100.0, "J", "one bar litre", DERIVED.at("unit"))
JET_CONSTANT = constant("k_jet", 24.5, "", "2 B^2/pi of a round jet", FREE_JET.at("B = 6.2; 5.8 to 6.2 gives 21 to 24.5"))
ORDER_OF_MAGNITUDE = 3.0  # impact pressure and shear: divide and multiply by this


@formula(
    "pressure.hose_rating",
    symbol="p_hot",
    title="Pressure the hose is good for when warm",
    kind="gauge pressure",
    takes="p_rated: gauge pressure the hose is rated for at 20 degC; k_T: share of it that a kelvin more takes; T: temperature "
    "of the hose at its warmest",
    shown="p_rated*max(1 - k_T*max(T - T_hose, 0*T), 0*T/T)",
    cite=OUR_JUDGEMENT.at("straight line from 20 degC, by material; 1 %/K where it is not known; a maker's table goes first"),
    valid="20 to 60 degC; no gain below 20 degC",
    unpublished="our judgement; makers' tables differ by a factor of two",
)
def hose_rating(p_rated: Pascal, k_T: PerKelvin, T: Kelvin) -> Pascal:
    """Gauge. Where nobody has said how warm the hose gets, the air of the site counts."""
    return p_rated * np.maximum(1 - k_T * np.maximum(T - HOSE_REFERENCE.value, 0.0), 0.0)


@formula(
    "pressure.relief_pressure",
    symbol="p_rel",
    title="Highest pressure with the relief valve blowing",
    kind="gauge pressure",
    takes="p_set: gauge pressure the relief valve is set to",
    shown="p_set*(1 + k_relief)",
    cite=COMMON_PRACTICE.at("full lift at 10 % above the set pressure"),
    valid="a valve sized for the whole flow and proved",
    unpublished="a definition",
)
def relief_pressure(p_set: Pascal) -> Pascal:
    """Gauge."""
    return p_set * (1 + RELIEF_RISE.value)


@formula(
    "pressure.highest_pressure",
    symbol="p_high",
    title="Highest pressure the source can put on the line",
    kind="gauge pressure",
    takes="p_dead: gauge pressure of the dead-head; p_rel: gauge pressure with the relief valve blowing",
    shown="min(p_dead, p_rel)",
    cite=DERIVED.at("the lower of dead-head and relief"),
    valid="without a relief valve the dead-head alone counts",
    unpublished="a comparison",
)
def highest_pressure(p_dead: Pascal, p_rel: Pascal) -> Pascal:
    """Gauge pressures."""
    return np.minimum(p_dead, p_rel)


@formula(
    "pressure.highest_alone",
    symbol="p_high",
    title="Highest pressure the source can put on the line",
    kind="gauge pressure",
    takes="p: gauge pressure of the relief valve blowing, or of the dead-head",
    shown="p",
    cite=DERIVED.at("a pressure switch can stick, so that relief valve or dead-head is what counts"),
    valid="a receiver with one of them known",
    unpublished="a definition",
)
def highest_alone(p: Pascal) -> Pascal:
    """Gauge: whichever of the two is known."""
    return 1 * p


@formula(
    "head.open_area",
    symbol="A_open",
    title="Area of the holes still open",
    kind="area",
    takes="A_h: area of all the holes; n_open: number of holes open; n: number of holes",
    shown="A_h*n_open/n",
    cite=DERIVED.at("equal holes"),
    valid="1 <= n_open <= n",
    unpublished="geometry",
)
def open_area(A_h: SquareMetre, n_open: Ratio, n: Ratio) -> SquareMetre:
    """With ``n_open = 1`` the worst face pressure: all but one hole blocked. Feed it to the same operating point."""
    return A_h * n_open / n


@formula(
    "head.coverage",
    symbol="cover",
    title="Share of the holes that are open",
    kind="fraction",
    takes="n_open: number of holes open; n: number of holes",
    shown="n_open/n",
    cite=DERIVED.at("equal holes, each serving its part of the face"),
    valid="any",
    unpublished="a ratio",
)
def coverage(n_open: Ratio, n: Ratio) -> Ratio:
    """Pressure and thrust can rise while this falls."""
    return n_open / n


@formula(
    "pressure.dead_end_pressure",
    symbol="p_end",
    title="Pressure of a blocked head",
    kind="gauge pressure",
    takes="p_high: highest gauge pressure the source can put on the line; p_crack: pressure difference the check valve takes, 0 "
    "for the cautious figure",
    shown="max(p_high - p_crack, 0*p_high)",
    cite=DERIVED.at("no flow, no friction: only the check valve holds back"),
    valid="every hole closed; head lifted out of the water",
    unpublished="statics",
)
def dead_end_pressure(p_high: Pascal, p_crack: Pascal) -> Pascal:
    """Gauge, in air. Take ``p_crack = 0`` for the cautious figure."""
    return np.maximum(p_high - p_crack, 0 * p_high)


@formula(
    "pressure.pressure_volume",
    symbol="PSV",
    title="Pressure times volume, in bar litres",
    kind="ratio",
    takes="PS: greatest gauge pressure of the receiver; V: volume of one receiver",
    shown="PS*V/bar_L",
    cite=EU_2014_29.at("PS in bar, V in litres"),
    valid="PS the greatest gauge pressure of the receiver, V of one receiver",
    unpublished="a product",
)
def pressure_volume(PS: Pascal, V: CubicMetre) -> Ratio:
    """The plain number of bar litres."""
    return PS * V / BAR_LITRE.value


@formula(
    "pressure.stored_energy_upper",
    symbol="E_max",
    title="Energy of the stored air, upper bound",
    kind="energy",
    takes="p: pressure of the receiver; V: its volume; p_atm: pressure of the atmosphere",
    shown="p*V*ln(p/p_atm)",
    cite=DERIVED.at("reversible isothermal expansion, work on the atmosphere included"),
    valid="absolute pressures, p >= p_atm",
    unpublished="closed form; checked by quadrature",
)
def stored_energy_upper(p: Pascal, V: CubicMetre, p_atm: Pascal) -> Joule:
    """The usable part, less the work of pushing the atmosphere back, is ``receiver.stored_energy``."""
    return p * V * np.log(p / p_atm)


@formula(
    "pressure.jet_impact",
    symbol="p_face",
    title="Pressure of one jet on the probe face, order of magnitude",
    kind="pressure difference",
    takes="F_1: thrust of one hole, not of the head; x: distance from hole to face; p_h: pressure ahead of the holes; p_b: "
    "pressure of the water at the head",
    shown="min(k_jet*F_1/x**2, p_h - p_b)",
    cite=FREE_JET.at("momentum of the jet kept; capped at the pressure behind the hole"),
    valid="beyond about 6 hole diameters; gas in gas; within a factor of three",
    unpublished="order of magnitude; no printed case of air from small holes under water",
)
def jet_impact(F_1: Newton, x: Metre, p_h: Pascal, p_b: Pascal) -> Pascal:
    """Of one hole, not of the head."""
    return np.minimum(JET_CONSTANT.value * F_1 / x**2, p_h - p_b)


@dataclass(frozen=True)
class Pointer:
    """Where to look once a receiver passes ``above`` bar litres at more than ``above_pressure`` pascal gauge."""

    above: float
    above_pressure: float
    text: str
    cite: Citation


REGIMES: dict[str, tuple[Pointer, ...]] = {
    "EU": (
        Pointer(0, 0.5e5, "simple vessel above 0.5 bar: in scope, look at its plate and papers", EU_2014_29.at("scope")),
        Pointer(50, 0.5e5, "above 50 bar litres: essential requirements, CE marking of the receiver", EU_2014_29.at("PS x V")),
        Pointer(50, 0.5e5, "not a simple vessel: category by PS x V, group 2 gas", EU_2014_68.at("annex II, table 2")),
        Pointer(200, 0.5e5, "above 200 bar litres: next category; inspection in service is national", EU_2014_68.at("annex II")),
    ),
    "UK": (
        Pointer(0, 0.5e5, "above 0.5 bar a relevant fluid: safe limits, protection, upkeep", UK_PSSR.at("reg. 2")),
        Pointer(50, 0.5e5, "above 50 bar litres: essential requirements and marking of the receiver", UK_SPVR.at("schedule 1")),
        Pointer(250, 0.5e5, "above 250 bar litres: written scheme of examination", UK_PSSR.at("regs. 8 and 9")),
    ),
    "US": (
        Pointer(0, 0.0, "air receivers: gauge, relief valve and drain; built to the code", OSHA_169.at("(a), (b)")),
        Pointer(0, 103421.0, "above 15 psi: the code's scope depends on the bore (6 in), not on PS x V", ASME_VIII.at("U-1(c)")),
    ),
    "other": (Pointer(0, 0.0, "pressure vessels are national law: ask the authority or the insurer", OUR_JUDGEMENT.at()),),
}


def ladder_of(regime: str) -> tuple[Pointer, ...]:
    """All pointers of a regime; an unknown one is treated as ``other``."""
    return REGIMES.get(regime, REGIMES["other"])


def pointers(regime: str, bar_litres: float, p_gauge: float) -> tuple[Pointer, ...]:
    """The pointers a receiver has passed; none is a legal conclusion."""
    return tuple(p for p in ladder_of(regime) if bar_litres > p.above and p_gauge > p.above_pressure)


WITHIN = constant("k_order", ORDER_OF_MAGNITUDE, "", "order of magnitude: either way", OUR_JUDGEMENT.at("a factor of three"))


@formula(
    "head.all_but_one",
    symbol="n_left",
    title="Holes left when one is blocked",
    kind="count",
    takes="n: number of holes",
    shown="n - 1",
    cite=DERIVED.at("count"),
    valid="n of 1 and more",
    unpublished="a count",
)
def all_but_one(n: Ratio) -> Ratio:
    """Nil for a head with one hole."""
    return n - 1


@formula(
    "pressure.face_pressure_worst",
    symbol="p_worst",
    title="Highest pressure the face may see",
    kind="pressure difference",
    takes="p_face: pressure of one jet on the face, a difference; p_h: pressure ahead of the holes; p_b: pressure of the water "
    "at the head",
    shown="min(k_order*p_face, p_h - p_b)",
    cite=OUR_JUDGEMENT.at("upper end of an order of magnitude, never above the pressure behind the hole"),
    valid="as the pressure of one jet",
    unpublished="a band about an order of magnitude",
)
def face_pressure_worst(p_face: Pascal, p_h: Pascal, p_b: Pascal) -> Pascal:
    """For judging a probe whose maker states a limit."""
    return np.minimum(WITHIN.value * p_face, p_h - p_b)
