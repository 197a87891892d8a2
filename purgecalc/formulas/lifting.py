"""What a person has to lift: probe, pole, hose and the water in it, and at arm's length."""

from __future__ import annotations

from dataclasses import dataclass

from purgecalc.formulas.air import G
from purgecalc.references import DERIVED, Work
from purgecalc.si import KgPerCubicMetre, Kilogram, Metre, Newton, Ratio, SquareMetre
from purgecalc.working import constant, formula

INDG143 = Work("INDG143", "UK Health and Safety Executive, INDG143 Manual handling at work, a brief guide")

NEWTON_METRE = constant("N_m", 1.0, "N*m", "one newton metre", DERIVED.at("unit"))


@formula(
    "lifting.mass_of_length",
    symbol="m_L",
    title="Mass of a length of pole, hose or water column",
    kind="mass",
    takes="rho: density of the material or water; A: area of its section, the wall of a tube or the bore; L: length",
    shown="rho*A*L",
    cite=DERIVED.at("volume times density"),
    valid="even section",
    unpublished="a product",
)
def mass_of_length(rho: KgPerCubicMetre, A: SquareMetre, L: Metre) -> Kilogram:
    """Of a tube, or of the water in it."""
    return rho * A * L


@formula(
    "lifting.total_mass",
    symbol="m_lift",
    title="Mass to be lifted",
    kind="mass",
    takes="m_probe: mass of the probe; m_pole: of the pole; m_hose: of the hose; m_water: of the water in the hose; m_inside: "
    "of the water in the pole; m_rag: of rag and growth",
    shown="m_probe + m_pole + m_hose + m_water + m_inside + m_rag",
    cite=DERIVED.at("sum"),
    valid="everything that comes up with the probe",
    unpublished="a sum",
)
def total_mass(
    m_probe: Kilogram, m_pole: Kilogram, m_hose: Kilogram, m_water: Kilogram, m_inside: Kilogram, m_rag: Kilogram
) -> Kilogram:
    """Rag and water are nil only on a clean, drained rig."""
    return m_probe + m_pole + m_hose + m_water + m_inside + m_rag


@formula(
    "lifting.weight",
    symbol="F_air",
    title="Weight in air",
    kind="force",
    takes="m_lift: mass to be lifted",
    shown="m_lift*g",
    cite=DERIVED.at("weight"),
    valid="any",
    unpublished="a product",
)
def weight(m_lift: Kilogram) -> Newton:
    """Once everything is out of the water."""
    return m_lift * G.value


@formula(
    "lifting.reach_moment",
    symbol="M_reach",
    title="Moment of the load about the shoulder, in newton metres",
    kind="ratio",
    takes="F: weight held; a: horizontal reach from the shoulder",
    shown="F*a/N_m",
    cite=DERIVED.at("force times arm"),
    valid="load held still; a jerk doubles it",
    unpublished="a product",
)
def reach_moment(F: Newton, a: Metre) -> Ratio:
    """A plain number of newton metres."""
    return F * a / NEWTON_METRE.value


@dataclass(frozen=True)
class LiftFilter:
    """A load below which a lift needs no closer look, by height and reach: (held close, at arm's length), in kg."""

    height: str
    men: tuple[float, float]
    women: tuple[float, float]


# Guideline filter of INDG143, from memory: check before a figure is quoted. Not limits, and for good posture and footing.
LIFT_FILTERS = (
    LiftFilter("head height", (10.0, 5.0), (7.0, 3.0)),
    LiftFilter("shoulder height", (20.0, 10.0), (13.0, 7.0)),
    LiftFilter("elbow height", (25.0, 15.0), (16.0, 10.0)),
    LiftFilter("knuckle height", (20.0, 10.0), (13.0, 7.0)),
    LiftFilter("lower leg", (10.0, 5.0), (7.0, 3.0)),
)
FILTER_CITE = INDG143.at("lifting and lowering risk filter")


def filter_load(height: str, *, at_arms_length: bool) -> float:
    """The lower of the two figures, since a rota does not ask who is on shift. Kilograms."""
    for line in LIFT_FILTERS:
        if line.height == height:
            return min(line.men[at_arms_length], line.women[at_arms_length])
    raise KeyError(f"no such height: {height}; there are: {', '.join(f.height for f in LIFT_FILTERS)}")
