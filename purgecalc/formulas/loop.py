"""What the aeration loop does while the probe is blind, and what a bias does to it afterwards.

A bias is "reading minus truth": negative where the probe reads low. ``C_star`` is the saturation effective in the tank
(salts, depth of the diffusers). Airflow shares refer to the airflow at the start, and kLa is taken as proportional to
airflow. A share of 0.1 is 10 %; the controller gain is such a share per concentration.
"""

from __future__ import annotations

from typing import Annotated, TypeAlias

import numpy as np

from purgecalc.references import DERIVED
from purgecalc.working import ConcentrationRate, KgPerCubicMetre, Num, PerSecond, Ratio, Second, Unit, formula

ControllerGain: TypeAlias = Annotated[Num, Unit("m**3/kg")]


@formula(
    "loop.kla",
    symbol="kLa",
    title="Oxygen transfer coefficient of the tank",
    kind="rate",
    shown="OUR/(C_star - C)",
    cite=DERIVED.at("oxygen balance of a mixed tank at rest"),
    valid="steady state, C below C_star, flow through the tank not counted",
    unpublished="a balance",
)
def kla(OUR: ConcentrationRate, C_star: KgPerCubicMetre, C: KgPerCubicMetre) -> PerSecond:
    """Transfer that just covers the uptake."""
    return OUR / (C_star - C)


@formula(
    "loop.excursion",
    symbol="dev",
    title="Move of the oxygen while the loop is blind",
    kind="concentration",
    shown="min(s*OUR/kLa*(1 - exp(-kLa*t_blind)), C)",
    cite=DERIVED.at("oxygen balance of a mixed tank, airflow frozen, load stepped"),
    valid="uptake independent of oxygen until it has run out",
    unpublished="derived; checked against the simulated cycle",
)
def excursion(s: Ratio, OUR: ConcentrationRate, kLa: PerSecond, t_blind: Second, C: KgPerCubicMetre) -> KgPerCubicMetre:
    """Fall from ``C`` over one blind time ``t_blind``, for a load step up by the share ``s`` at its beginning."""
    return np.minimum(s * OUR / kLa * -np.expm1(-kLa * t_blind), C)


@formula(
    "loop.time_to_zero",
    symbol="t_0",
    title="Time until oxygen runs out if the air stops",
    kind="time",
    shown="C/OUR",
    cite=DERIVED.at("oxygen balance without transfer"),
    valid="uptake independent of oxygen, so on the safe side below 0.5 mg/L",
    unpublished="a quotient",
)
def time_to_zero(C: KgPerCubicMetre, OUR: ConcentrationRate) -> Second:
    """Air off altogether."""
    return C / OUR


@formula(
    "loop.parked_step",
    symbol="q_park",
    title="Step of the airflow when the output is parked",
    kind="fraction",
    shown="K_c*(C - park)",
    cite=DERIVED.at("proportional action on the step of the value"),
    valid="loop left live, value C before parking; share of airflow",
    unpublished="a product",
)
def parked_step(K_c: ControllerGain, C: KgPerCubicMetre, park: KgPerCubicMetre) -> Ratio:
    """At once, and back again at release."""
    return K_c * (C - park)


@formula(
    "loop.integrator_ramp",
    symbol="q_ramp",
    title="Move of the airflow by integral action in the blind time",
    kind="fraction",
    shown="K_c*(set_point - held)*t_blind/T_i",
    cite=DERIVED.at("integral of a constant error"),
    valid="loop left live on a held or parked value, output not at its limit",
    unpublished="a product",
)
def integrator_ramp(
    K_c: ControllerGain, set_point: KgPerCubicMetre, held: KgPerCubicMetre, t_blind: Second, T_i: Second
) -> Ratio:
    """What tracking prevents. ``T_i`` is the integral time."""
    return K_c * (set_point - held) * t_blind / T_i


@formula(
    "loop.kick",
    symbol="q_kick",
    title="Step of the airflow at release",
    kind="fraction",
    shown="-K_c*b",
    cite=DERIVED.at("proportional action on the bias left"),
    valid="loop live from release; value before release equal to the truth",
    unpublished="a product",
)
def kick(K_c: ControllerGain, b: KgPerCubicMetre) -> Ratio:
    """Down for a reading still too high."""
    return -K_c * b


@formula(
    "loop.kick_integral",
    symbol="q_tail",
    title="Move of the airflow by integral action while the bias dies away",
    kind="fraction",
    shown="-K_c*b*tau/T_i",
    cite=DERIVED.at("integral of a bias that decays as a single lag"),
    valid="one lag; the oxygen itself taken as not yet moved",
    unpublished="derived; checked against the simulated cycle",
)
def kick_integral(K_c: ControllerGain, b: KgPerCubicMetre, tau: Second, T_i: Second) -> Ratio:
    """Remains after the bias has gone, until the loop works it off."""
    return -K_c * b * tau / T_i


@formula(
    "loop.moved",
    symbol="dC",
    title="Oxygen moved by a step of the airflow",
    kind="concentration",
    shown="q*(C_star - C)/(1 + q)*(1 - exp(-kLa*(1 + q)*t))",
    cite=DERIVED.at("oxygen balance of a mixed tank, airflow stepped from rest"),
    valid="q above -1, held for the time t; uptake unchanged",
    unpublished="derived; checked against the simulated cycle",
)
def moved(q: Ratio, C_star: KgPerCubicMetre, C: KgPerCubicMetre, kLa: PerSecond, t: Second) -> KgPerCubicMetre:
    """Signed like ``q``."""
    # written without dividing by 1 + q, so that airflow stopped (q = -1) keeps its limit
    rate = np.asarray(kLa * (1 + q))
    x = rate * t
    still = np.abs(x) < 1e-12
    share = np.where(still, 1.0, -np.expm1(-np.where(still, 1.0, x)) / np.where(still, 1.0, x))
    return (q * (C_star - C) * kLa * t * share)[()]


@formula(
    "loop.over_aeration",
    symbol="dQ_Q",
    title="Airflow above need because the probe is biased",
    kind="fraction",
    shown="-b/(C_star - C + b)",
    cite=DERIVED.at("transfer at the true oxygen C - b against that at the set point"),
    valid="loop holds the reading at C; kLa proportional to airflow",
    unpublished="derived; checked against the balance of transfer",
)
def over_aeration(b: KgPerCubicMetre, C_star: KgPerCubicMetre, C: KgPerCubicMetre) -> Ratio:
    """Positive where the probe reads low (b negative)."""
    return -b / (C_star - C + b)
