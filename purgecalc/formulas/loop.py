"""What the aeration loop does while the reading is held, and what a bias does to it afterwards.

A bias is "reading minus truth": negative where the probe reads low. ``C_star`` is the saturation effective in the tank
(salts, depth of the diffusers). Airflow shares refer to the airflow at the start, and kLa is taken as proportional to
airflow. A share of 0.1 is 10 %; the controller gain is such a share per concentration.
"""

from __future__ import annotations

from typing import Annotated, TypeAlias

import numpy as np

from purgecalc.references import DERIVED
from purgecalc.si import ConcentrationRate, KgPerCubicMetre, Num, PerSecond, Ratio, Second, Unit
from purgecalc.working import formula

ControllerGain: TypeAlias = Annotated[Num, Unit("m**3/kg")]


@formula(
    "loop.kla",
    symbol="kLa",
    title="Oxygen transfer coefficient of the tank",
    kind="rate",
    takes="OUR: steady oxygen uptake rate of the tank; C_star: effective oxygen saturation; C: oxygen in the tank",
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
    title="Move of the oxygen while the reading is held",
    kind="concentration",
    takes="s: step of the load, as a share of the uptake; OUR: oxygen uptake rate before the hold; kLa: oxygen transfer "
    "coefficient through the hold; t_held: time held; C: oxygen at the start of the hold",
    shown="min(s*OUR/kLa*(1 - exp(-kLa*t_held)), C)",
    cite=DERIVED.at("oxygen balance of a mixed tank, airflow held, load stepped"),
    valid="uptake independent of oxygen until it has run out",
    unpublished="derived; checked against the simulated cycle",
)
def excursion(s: Ratio, OUR: ConcentrationRate, kLa: PerSecond, t_held: Second, C: KgPerCubicMetre) -> KgPerCubicMetre:
    """Over one hold, for a step up of the load as it begins."""
    return np.minimum(s * OUR / kLa * -np.expm1(-kLa * t_held), C)


@formula(
    "loop.time_to_zero",
    symbol="t_0",
    title="Time until oxygen runs out if the air stops",
    kind="time",
    takes="C: oxygen as the air stops; OUR: oxygen uptake rate from that time on",
    shown="C/OUR",
    cite=DERIVED.at("oxygen balance without transfer"),
    valid="uptake independent of oxygen, so on the safe side below 0.5 mg/L",
    unpublished="a quotient",
)
def time_to_zero(C: KgPerCubicMetre, OUR: ConcentrationRate) -> Second:
    """Air off altogether, from then on; ``OUR`` is the uptake at that time."""
    return C / OUR


@formula(
    "loop.substitute_step",
    symbol="q_sub",
    title="Step of the airflow when the output is set to a substitute",
    kind="fraction",
    takes="K_c: gain of the controller, as a share of the airflow per concentration; C: value before the substitute; "
    "substitute: value put in its place",
    shown="K_c*(C - substitute)",
    cite=DERIVED.at("proportional action on the step of the value"),
    valid="loop left live, value C before the substitute; share of airflow",
    unpublished="a product",
)
def substitute_step(K_c: ControllerGain, C: KgPerCubicMetre, substitute: KgPerCubicMetre) -> Ratio:
    """At once, and back again at release."""
    return K_c * (C - substitute)


@formula(
    "loop.integrator_ramp",
    symbol="q_ramp",
    title="Move of the airflow by integral action in the hold",
    kind="fraction",
    takes="K_c: gain of the controller, as a share of the airflow per concentration; set_point: oxygen aimed at; held: value "
    "held; t_held: time held; T_i: integral time of the controller",
    shown="K_c*(set_point - held)*t_held/T_i",
    cite=DERIVED.at("integral of a constant error"),
    valid="controller working on a held or substituted value, output not at its limit",
    unpublished="a product",
)
def integrator_ramp(K_c: ControllerGain, set_point: KgPerCubicMetre, held: KgPerCubicMetre, t_held: Second, T_i: Second) -> Ratio:
    """Over one hold; what tracking prevents."""
    return K_c * (set_point - held) * t_held / T_i


@formula(
    "loop.live_ramp",
    symbol="q_ramp",
    title="Move of the airflow by integral action in the hold",
    kind="fraction",
    takes="K_c: gain of the controller, as a share of the airflow per concentration; dC: difference the bubbles drive the "
    "reading through; t_seen: time it stood on the face; tau: time constant of the sensor; b_lag: bias all its lags together "
    "hold at the end; T_i: integral time",
    shown="-K_c*(dC*t_seen - tau*b_lag)/T_i",
    cite=DERIVED.at("integral of the bump from air on to the end of the hold-off"),
    valid="reading left live, hold-off longer than clearing and mixing; the oxygen itself taken as not yet moved",
    unpublished="derived; checked against an integrated loop",
)
def live_ramp(
    K_c: ControllerGain, dC: KgPerCubicMetre, t_seen: Second, tau: Second, b_lag: KgPerCubicMetre, T_i: Second
) -> Ratio:
    """A lag has passed on what it was given but for what it still holds: ``b_lag`` at the end, all its lags together.

    ``dC`` stood on the face for ``t_seen``.
    """
    return -K_c * (dC * t_seen - tau * b_lag) / T_i


@formula(
    "loop.in_one_lag",
    symbol="b_lag",
    title="Bias that the lag of the sensor holds at release, its slower fall counted",
    kind="concentration",
    takes="b: bias left at release; A: height of the bump; k: times the fall is stretched",
    shown="k*b - (k - 1)*A",
    cite=DERIVED.at("a fall stretched k times passes on k times what it would have"),
    valid="one lag, with or without dead time, over by release",
    unpublished="derived; checked against an integrated loop",
)
def in_one_lag(b: KgPerCubicMetre, A: KgPerCubicMetre, k: Ratio) -> KgPerCubicMetre:
    """The bias left, where the fall is not stretched."""
    return k * b - (k - 1) * A


@formula(
    "loop.in_both_lags",
    symbol="b_lag",
    title="Bias that both lags of the sensor hold at release, together",
    kind="concentration",
    takes="b: bias left at release; dC: difference the bubbles drive the reading through; t_seen: time it stood on the face, "
    "from air on; tau: time constant of each lag; t_blast: length of the blast; t_hold: hold-off; k: times the fall is "
    "stretched",
    shown="k*(b + dC*(1 - exp(-t_seen/tau))*exp(-max(t_blast + t_hold - t_seen, 0*t_hold)/(k*tau)))"
    " - (k - 1)*dC*(2 - (2 + t_seen/tau)*exp(-t_seen/tau))",
    cite=DERIVED.at("second lag as it reads, first lag as a single one"),
    valid="two equal lags; b the bias left at release",
    unpublished="derived; checked against an integrated loop",
)
def in_both_lags(
    b: KgPerCubicMetre, dC: KgPerCubicMetre, t_seen: Second, tau: Second, t_blast: Second, t_hold: Second, k: Ratio
) -> KgPerCubicMetre:
    """At the end of the hold-off, the fall stretched."""
    x = t_seen / tau
    first = dC * -np.expm1(-x) * np.exp(-np.maximum(t_blast + t_hold - t_seen, 0.0) / (k * tau))
    return k * (b + first) - (k - 1) * dC * (2 - (2 + x) * np.exp(-x))


@formula(
    "loop.in_both_shares",
    symbol="b_lag",
    title="Bias that quick and slow share hold at release, as the quick one would",
    kind="concentration",
    takes="dC: difference the bubbles drive the reading through; t_seen: time it stood on the face, from air on; tau: time "
    "constant of the quick share; tau_s: time constant of the slow share; s: slow share; t_blast: length of the blast; t_hold: "
    "hold-off; k: times the fall is stretched",
    shown="(1 - s)*dC*(1 - exp(-t_seen/tau))*(k*exp(-max(t_blast + t_hold - t_seen, 0*t_hold)/(k*tau)) - (k - 1))"
    " + s*tau_s/tau*dC*(1 - exp(-t_seen/tau_s))*(k*exp(-max(t_blast + t_hold - t_seen, 0*t_hold)/(k*tau_s)) - (k - 1))",
    cite=DERIVED.at("each share as a single lag; the slow one counts by its time constant"),
    valid="quick and slow lag side by side",
    unpublished="derived; checked against an integrated loop",
)
def in_both_shares(
    dC: KgPerCubicMetre, t_seen: Second, tau: Second, tau_s: Second, s: Ratio, t_blast: Second, t_hold: Second, k: Ratio
) -> KgPerCubicMetre:
    """At the end of the hold-off, the fall stretched."""
    t = np.maximum(t_blast + t_hold - t_seen, 0.0) / k
    quick = (1 - s) * -np.expm1(-t_seen / tau) * (k * np.exp(-t / tau) - (k - 1))
    return dC * (quick + s * tau_s / tau * -np.expm1(-t_seen / tau_s) * (k * np.exp(-t / tau_s) - (k - 1)))


@formula(
    "loop.live_furthest",
    symbol="q_live",
    title="Furthest move of the airflow while the controller follows the bump",
    kind="fraction",
    takes="K_c: gain of the controller, as a share of the airflow per concentration; dC: difference the bubbles drive the "
    "reading through; t_seen: time it stood on the face; T_i: integral time; A: height of the bump; tau: time constant of the "
    "sensor; tau_f: time constant it falls back with",
    shown="max(-K_c*(dC*t_seen/T_i + A*max(1 - tau/T_i, 3*(tau_f - tau)/T_i)), -1)",
    cite=DERIVED.at("proportional and integral action on the bump, at its worst moment"),
    valid="reading left live, oxygen taken as not yet moved; an upper end with two lags, two shares or T_i below 1.5 tau",
    unpublished="derived; checked against an integrated loop",
)
def live_furthest(
    K_c: ControllerGain, dC: KgPerCubicMetre, t_seen: Second, T_i: Second, A: KgPerCubicMetre, tau: Second, tau_f: Second
) -> Ratio:
    """At the height ``A`` of the bump with a quick sensor, when all of it has passed with a slow one; no less than no air.

    A slower fall passes on more: by what the lags hold at the height, which is less than three times ``A`` with two of them.
    """
    return np.maximum(-K_c * (dC * t_seen / T_i + A * np.maximum(1 - tau / T_i, 3 * (tau_f - tau) / T_i)), -1.0)


@formula(
    "loop.kick",
    symbol="q_kick",
    title="Step of the airflow at release",
    kind="fraction",
    takes="K_c: gain of the controller, as a share of the airflow per concentration; held: value held; C: true oxygen at "
    "release; b: bias left at release; tracked: 1 for a controller that tracked while held, else 0",
    shown="K_c*(held - C - b)*(1 - tracked)",
    cite=DERIVED.at("proportional action on the step of the value: from the one held to the truth and the bias left"),
    valid="controller working on the value held, or tracked (1): then it takes over without a step",
    unpublished="a product",
)
def kick(K_c: ControllerGain, held: KgPerCubicMetre, C: KgPerCubicMetre, b: KgPerCubicMetre, tracked: Ratio) -> Ratio:
    """At the moment of release: down for a reading still too high, the step of the substitute taken back."""
    return K_c * (held - C - b) * (1 - tracked) + 0.0  # no step is not a step down


@formula(
    "loop.kick_integral",
    symbol="q_tail",
    title="Move of the airflow that remains once the bias has died away",
    kind="fraction",
    takes="K_c: gain of the controller, as a share of the airflow per concentration; b: bias left at release; tau: time "
    "constant of the sensor's fall; T_i: integral time; tracked: 1 for a controller that tracked while held, else 0",
    shown="K_c*b*(tracked - tau/T_i)",
    cite=DERIVED.at("integral of a bias that decays as a single lag; tracked, the bias left is taken for the set point at first"),
    valid="from release on; one lag; the oxygen itself taken as not yet moved",
    unpublished="derived; checked against the simulated cycle",
)
def kick_integral(K_c: ControllerGain, b: KgPerCubicMetre, tau: Second, T_i: Second, tracked: Ratio) -> Ratio:
    """Until the loop works it off. A controller that tracked goes the other way: it answers the fall of the bias."""
    return K_c * b * (tracked - tau / T_i)


@formula(
    "loop.furthest",
    symbol="q_far",
    title="Furthest move of the airflow after release",
    kind="fraction",
    takes="q_kick: step of the airflow at release, as a share; q_tail: move that remains as the bias dies away, as a share; "
    "tracked: 1 for a controller that tracked while held, else 0",
    shown="q_kick + tracked*q_tail",
    cite=DERIVED.at("the step, or where there is none what builds up as the bias dies away"),
    valid="integral time longer than the sensor's time constant; the oxygen itself taken as not yet moved",
    unpublished="derived; checked against the simulated cycle",
)
def furthest(q_kick: Ratio, q_tail: Ratio, tracked: Ratio) -> Ratio:
    """The step, or what builds up where there is none."""
    return q_kick + tracked * q_tail


@formula(
    "loop.moved",
    symbol="dC",
    title="Oxygen moved by a step of the airflow",
    kind="concentration",
    takes="q: step of the airflow, as a share; C_star: effective oxygen saturation; C: oxygen before the step; kLa: oxygen "
    "transfer coefficient in the steady state before; t: time the step lasts",
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
    takes="b: bias of the reading, negative where it is low; C_star: effective oxygen saturation; C: set point",
    shown="-b/(C_star - C + b)",
    cite=DERIVED.at("transfer at the true oxygen C - b against that at the set point"),
    valid="loop holds the reading at C; kLa proportional to airflow",
    unpublished="derived; checked against the balance of transfer",
)
def over_aeration(b: KgPerCubicMetre, C_star: KgPerCubicMetre, C: KgPerCubicMetre) -> Ratio:
    """Positive where the probe reads low (b negative)."""
    return -b / (C_star - C + b)
