"""The air source: flow against pressure, and what altitude does to it.

A flow given without a state is air at the site's inlet. Dead-head on a plate falls with the atmosphere unless a
relief valve sets it.
"""

from __future__ import annotations

import numpy as np

from purgecalc.formulas.air import P_STANDARD
from purgecalc.references import DERIVED, ISO_1217, OUR_JUDGEMENT
from purgecalc.si import CubicMetrePerSecond, KgPerCubicMetre, KgPerSecond, Num, Pascal, Ratio
from purgecalc.working import formula


@formula(
    "source.inlet_mass_flow",
    symbol="m",
    title="Mass flow of a volume of air taken in",
    kind="mass flow",
    takes="Q: volume flow of the air; rho: density it is counted at",
    shown="Q*rho",
    cite=ISO_1217.at("the flow is counted at the inlet state"),
    valid="any",
    unpublished="a definition",
)
def inlet_mass_flow(Q: CubicMetrePerSecond, rho: KgPerCubicMetre) -> KgPerSecond:
    """Volume flow at density ``rho`` as mass flow."""
    return Q * rho


@formula(
    "source.dead_head",
    symbol="p_max",
    title="Highest pressure the source reaches at this site",
    kind="gauge pressure",
    takes="p_plate: gauge pressure of the dead-head on the name plate, at sea level; p_atm: pressure of the atmosphere at the "
    "site",
    shown="p_plate*p_atm/p_0",
    cite=OUR_JUDGEMENT.at("the pressure ratio of a positive-displacement machine is fixed by its clearance volume"),
    valid="only where clearance sets the dead-head; a relief valve or switch keeps its gauge pressure",
    unpublished="ideal-gas similarity",
)
def dead_head_at_site(p_plate: Pascal, p_atm: Pascal) -> Pascal:
    """Dead-head gauge pressure of the name plate (sea level) carried to the site's atmosphere."""
    return p_plate * p_atm / P_STANDARD.value


def curve(p: Num, points: Num, flows: Num) -> tuple[Num, Num]:
    """Piecewise-linear flow at ``p`` and its slope; points and flows run along axis 0.

    Written as a sum of clipped ramps, so that it works on arrays of designs; constant outside the points.
    """
    flow = flows[0] + 0.0 * p  # type: ignore[index]
    slope = 0.0 * flow
    for i in range(len(points) - 1):  # type: ignore[arg-type]
        width = points[i + 1] - points[i]  # type: ignore[index]
        rate = (flows[i + 1] - flows[i]) / width  # type: ignore[index]
        flow = flow + rate * np.clip(p - points[i], 0.0, width)  # type: ignore[index]
        slope = np.where((p >= points[i]) & (p < points[i + 1]), rate, slope)  # type: ignore[index]
    return np.maximum(flow, 0.0), slope


@formula(
    "source.mass_flow",
    symbol="m",
    title="Mass flow the source delivers against a pressure",
    kind="mass flow",
    takes="p: pressure delivered against; p_a: pressure at one point of the curve; p_b: pressure at the other; m_a: mass flow "
    "at p_a; m_b: mass flow at p_b",
    shown="max(m_a + (m_b - m_a)*(p - p_a)/(p_b - p_a), 0*m_a)",
    cite=OUR_JUDGEMENT.at("straight line between the stated points of the source"),
    valid="between the points a and b, nothing beyond the dead-head; a measured curve is better than two points",
    unpublished="linear interpolation",
)
def flow_between(p: Pascal, p_a: Pascal, p_b: Pascal, m_a: KgPerSecond, m_b: KgPerSecond) -> KgPerSecond:
    """Flow at ``p`` on the line through two points of the source. Pressures absolute."""
    return np.maximum(m_a + (m_b - m_a) * (p - p_a) / (p_b - p_a), 0.0)


@formula(
    "source.within",
    symbol="p_held",
    title="Pressure held between two points of the source's curve",
    kind="pressure",
    takes="p: pressure wanted; p_a: lower pressure of the two points; p_b: higher pressure of the two",
    shown="min(max(p, p_a), p_b)",
    cite=DERIVED.at("the part of a run that belongs to one straight piece of the curve"),
    valid="p_a below p_b",
    unpublished="a comparison",
)
def within(p: Pascal, p_a: Pascal, p_b: Pascal) -> Pascal:
    """Absolute pressures."""
    return np.minimum(np.maximum(p, p_a), p_b)


@formula(
    "source.mean_flow",
    symbol="m_mean",
    title="Mean flow of the compressor over the run",
    kind="mass flow",
    takes="m_a: mass flow at the lowest pressure of the run; m_b: mass flow at the highest",
    shown="(m_a - m_b)/ln(m_a/m_b)",
    cite=DERIVED.at("time to fill a receiver with a flow that falls evenly with its pressure"),
    valid="m_a >= m_b, straight line between them; their common value where they are equal",
    unpublished="logarithmic mean; checked against quadrature",
)
def mean_flow(m_a: KgPerSecond, m_b: KgPerSecond) -> KgPerSecond:
    """Logarithmic mean, as the flow falls in a straight line with the pressure."""
    with np.errstate(divide="ignore", invalid="ignore"):
        apart = np.asarray(np.divide(m_a, m_b))
        near = np.abs(apart - 1) < 1e-6
        mean = (m_a - m_b) / np.log(np.where(near, 2.0, apart))
        return np.where(near, 0.5 * (m_a + m_b), np.where(np.isinf(apart), 0.0, mean))[()]


@formula(
    "source.flow_of_displacement",
    symbol="Q",
    title="Flow delivered at the inlet state, from swept displacement",
    kind="air flow",
    takes="Q_swept: volume flow the pistons sweep; eta_v: volumetric efficiency",
    shown="Q_swept*eta_v",
    cite=OUR_JUDGEMENT.at("small oil-free pistons deliver 0.5 to 0.75 of displacement; 0.6 taken"),
    valid="a guess until a receiver fill time is measured",
    unpublished="a rule of thumb",
)
def flow_of_displacement(Q_swept: CubicMetrePerSecond, eta_v: Ratio) -> CubicMetrePerSecond:
    """Displacement times volumetric efficiency."""
    return Q_swept * eta_v


@formula(
    "line.mismatch",
    symbol="miss",
    title="Mismatch between source and head, relative",
    kind="ratio",
    takes="m_source: mass flow the source delivers; m_head: mass flow the head passes",
    shown="(m_source - m_head)/m_head",
    cite=DERIVED.at("steady flow: what enters leaves"),
    valid="should be below 1e-9",
    unpublished="a check of the solution",
)
def mismatch(m_source: KgPerSecond, m_head: KgPerSecond) -> Ratio:
    """How well the steady flow closes."""
    return (m_source - m_head) / m_head
