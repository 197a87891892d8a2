"""Film on the probe between blasts and wipes, the bias it makes, and the intervals that keep it down.

``X`` is the film as a share of its full thickness. It grows logistically at rate ``mu`` (Verhulst 1838); a blast takes
the share ``eta`` off it. Bias is "reading minus truth",
its sign given by the user, because film makes some probes read low and others high.
"""

from __future__ import annotations

import numpy as np

from purgecalc.references import COMMON_PRACTICE, DERIVED, IEC_60034, OUR_JUDGEMENT
from purgecalc.working import ConcentrationRate, KgPerCubicMetre, PerSecond, Ratio, Second, formula


@formula(
    "fouling.linear_bias",
    symbol="b",
    title="Bias after a time without cleaning, steady growth",
    kind="concentration",
    shown="r*t",
    cite=COMMON_PRACTICE.at("r 0.02 to 0.2 mg/L a day; measure it with two wipes"),
    valid="well before the film is full",
    unpublished="a product",
)
def linear_bias(r: ConcentrationRate, t: Second) -> KgPerCubicMetre:
    """Signed like ``r``."""
    return r * t


@formula(
    "fouling.critical_interval",
    symbol="T_crit",
    title="Longest interval at which blasts still win against the film",
    kind="time",
    shown="-ln(1 - eta)/mu",
    cite=DERIVED.at("growth of a thin film over one interval equal to one removal"),
    valid="0 < eta < 1",
    unpublished="derived; checked against the equilibrium film",
)
def critical_interval(eta: Ratio, mu: PerSecond) -> Second:
    """Below it the film dies out; above it one stays."""
    return -np.log1p(-np.asarray(eta))[()] / mu


@formula(
    "fouling.equilibrium",
    symbol="X_eq",
    title="Film before a blast, in the long run",
    kind="fraction",
    shown="max((1 - eta - exp(-mu*T))/((1 - eta)*(1 - exp(-mu*T))), 0*eta)",
    cite=DERIVED.at("fixed point of one cycle of growth and removal"),
    valid="0 < eta < 1; none at or below the critical interval",
    unpublished="derived; checked by running the cycles",
)
def equilibrium(eta: Ratio, mu: PerSecond, T: Second) -> Ratio:
    """Where growth over an interval makes good one blast."""
    grown = -np.expm1(-mu * T)
    return np.maximum((grown - eta) / ((1 - eta) * grown), 0.0)


@formula(
    "fouling.film_bias",
    symbol="b",
    title="Bias of the film",
    kind="concentration",
    shown="b_full*X",
    cite=OUR_JUDGEMENT.at("bias in proportion to the film"),
    valid="b_full: bias under a full film, signed",
    unpublished="our own model; measure it with two wipes",
)
def film_bias(b_full: KgPerCubicMetre, X: Ratio) -> KgPerCubicMetre:
    """Signed like ``b_full``."""
    return b_full * X


@formula(
    "fouling.linear_bias_purged",
    symbol="b",
    title="Bias before a blast, n blasts after a wipe, steady growth",
    kind="concentration",
    shown="r*T*(1 - (1 - eta)**n)/eta",
    cite=DERIVED.at("geometric sum of growth and removal"),
    valid="0 < eta < 1; in the long run r*T/eta",
    unpublished="derived; checked by running the cycles",
)
def linear_bias_purged(r: ConcentrationRate, T: Second, eta: Ratio, n: Ratio) -> KgPerCubicMetre:
    """Just before the n-th blast."""
    return r * T * -np.expm1(n * np.log1p(-np.asarray(eta))) / eta


@formula(
    "fouling.longest_interval",
    symbol="T_max",
    title="Longest interval for the film",
    kind="time",
    shown="0.7*T_crit",
    cite=OUR_JUDGEMENT.at("margin of three tenths on a poorly known limit"),
    valid="any",
    unpublished="our own margin",
)
def longest_interval(T_crit: Second) -> Second:
    """With margin."""
    return 0.7 * T_crit


@formula(
    "fouling.shortest_for_live",
    symbol="T_min",
    title="Shortest interval for the live share",
    kind="time",
    shown="t_blind/(1 - live_min)",
    cite=DERIVED.at("live share solved for the interval"),
    valid="live_min below 1",
    unpublished="a quotient",
)
def shortest_for_live(t_blind: Second, live_min: Ratio) -> Second:
    """Blind time at most the share ``1 - live_min``."""
    return t_blind / (1 - live_min)


@formula(
    "fouling.shortest_for_duty",
    symbol="T_min",
    title="Shortest interval for the duty of the source",
    kind="time",
    shown="max(t_run, (W - (t_allowed - floor(t_allowed/t_run)*t_run))/floor(t_allowed/t_run))",
    cite=IEC_60034.at("duty type S3; worst window opened at the start of a run"),
    valid="t_run at most t_allowed, the running time allowed in any window W; unlimited otherwise",
    unpublished="counting; checked against the running time in a window",
)
def shortest_for_duty(t_run: Second, t_allowed: Second, W: Second) -> Second:
    """The window may hold the whole runs that fit the allowance and a part run of what is left."""
    whole = np.asarray(np.floor(t_allowed / t_run * (1 + 1e-12)))
    some = whole >= 1
    least = (W - np.maximum(t_allowed - whole * t_run, 0.0)) / np.where(some, whole, 1.0)
    return np.where(some, np.maximum(t_run, least), np.inf)[()]


@formula(
    "fouling.shortest_for_loop",
    symbol="T_min",
    title="Shortest interval for the loop",
    kind="time",
    shown="t_blind + t_recover",
    cite=DERIVED.at("the loop works off one blind window before the next"),
    valid="excursion within its limit; no interval helps otherwise",
    unpublished="a sum",
)
def shortest_for_loop(t_blind: Second, t_recover: Second) -> Second:
    """``t_recover``: time the loop needs to settle, e.g. three integral times."""
    return t_blind + t_recover
