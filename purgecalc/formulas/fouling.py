"""Fouling on the probe between blasts and wipes, the bias it makes, and the intervals that keep it down.

``X`` is the fouling as a share of its full thickness. It grows logistically at rate ``mu`` (Verhulst 1838); a blast takes
the share ``eta`` off it. Bias is "reading minus truth",
its sign given by the user, because fouling makes some probes read low and others high.
"""

from __future__ import annotations

import numpy as np

from purgecalc.references import COMMON_PRACTICE, DERIVED, IEC_60034, OUR_JUDGEMENT, Work
from purgecalc.si import ConcentrationRate, KgPerCubicMetre, PerSecond, Ratio, Second
from purgecalc.working import constant, formula

VERHULST = Work("Verhulst", "P. F. Verhulst, Corresp. math. phys. 10 (1838) 113 (logistic growth)")

FOULING_LEFT = constant("X_wiped", 0.05, "", "fouling when wiped, and a wipe leaves of it what a blast would", OUR_JUDGEMENT.at())


@formula(
    "fouling.linear_bias",
    symbol="b",
    title="Bias after a time without cleaning, steady growth",
    kind="concentration",
    takes="r: growth rate of the bias between wipes, signed, without any cleaning; t: time since a wipe",
    shown="r*t",
    cite=COMMON_PRACTICE.at("r 0.02 to 0.2 mg/L a day; measure it with two wipes"),
    valid="well before the fouling is full",
    unpublished="a product",
)
def linear_bias(r: ConcentrationRate, t: Second) -> KgPerCubicMetre:
    """Signed like the rate."""
    return r * t


@formula(
    "fouling.growth",
    symbol="X",
    title="Fouling after a time without cleaning",
    kind="fraction",
    takes="X_0: fouling at the start, as a share of its full thickness; mu: rate at which thin fouling grows between blasts; t: "
    "time without a blast",
    shown="X_0/(X_0 + (1 - X_0)*exp(-mu*t))",
    cite=VERHULST.at("logistic growth"),
    valid="0 < X_0 <= 1",
)
def growth(X_0: Ratio, mu: PerSecond, t: Second) -> Ratio:
    """Logistic: it levels off towards full."""
    return X_0 / (X_0 + (1 - X_0) * np.exp(-mu * t))


@formula(
    "fouling.after_blast",
    symbol="X",
    title="Fouling left by a blast",
    kind="fraction",
    takes="X_before: fouling just before the blast, as a share of its full thickness; eta: share of it that the blast takes off",
    shown="(1 - eta)*X_before",
    cite=OUR_JUDGEMENT.at("detachment in proportion to the fouling; eta 0.05 to 0.3, no published figure for probe faces"),
    valid="soft fouling; not scale, shell or grease",
    unpublished="our own cleaning model",
)
def after_blast(X_before: Ratio, eta: Ratio) -> Ratio:
    """The share ``eta`` goes."""
    return (1 - eta) * X_before


@formula(
    "fouling.critical_interval",
    symbol="T_crit",
    title="Longest interval at which blasts still win against the fouling",
    kind="time",
    takes="eta: share of the fouling a blast takes off; mu: rate at which thin fouling grows between blasts",
    shown="-ln(1 - eta)/mu",
    cite=DERIVED.at("growth of thin fouling over one interval equal to one removal"),
    valid="0 < eta < 1",
    unpublished="derived; checked against the equilibrium fouling",
)
def critical_interval(eta: Ratio, mu: PerSecond) -> Second:
    """An interval below it lets the fouling die out; above it one stays. ``mu`` is the rate of thin fouling between blasts."""
    return -np.log1p(-np.asarray(eta))[()] / mu


@formula(
    "fouling.equilibrium",
    symbol="X_eq",
    title="Fouling before a blast, in the long run",
    kind="fraction",
    takes="eta: share of the fouling a blast takes off; mu: rate at which thin fouling grows between blasts; T: interval "
    "between blasts",
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
    "fouling.before_blast",
    symbol="X",
    title="Fouling before a blast, n blasts after a wipe",
    kind="fraction",
    takes="X_0: fouling before the first blast, as a share of its full thickness; mu: rate at which thin fouling grows between "
    "blasts; eta: share of it a blast takes off; T: interval between blasts; n: number of blasts from then on",
    shown="1/((exp(-mu*T)/(1 - eta))**n/X_0 + (1 - exp(-mu*T))*(1 - (exp(-mu*T)/(1 - eta))**n)/(1 - exp(-mu*T)/(1 - eta)))",
    cite=DERIVED.at("cycle of logistic growth and removal, linear in 1/X"),
    valid="X_0: fouling before the first blast; T not exactly critical in the printed form",
    unpublished="derived; checked by running the cycles",
)
def fouling_before_blast(X_0: Ratio, mu: PerSecond, eta: Ratio, T: Second, n: Ratio) -> Ratio:
    """A growing share 1/X is dying fouling."""
    log_k = np.asarray(-mu * T - np.log1p(-np.asarray(eta)))
    critical = np.abs(log_k) < 1e-12
    safe = np.where(critical, 1.0, log_k)
    # beyond any fouling that could be seen: keeps exp from overflowing where the fouling has died out
    power = np.minimum(n * log_k, 690.0)
    terms = np.where(critical, n, np.expm1(np.minimum(n * safe, 690.0)) / np.expm1(safe))
    return (1 / (np.exp(power) / X_0 + -np.expm1(-mu * T) * terms))[()]


@formula(
    "fouling.larger",
    symbol="X",
    title="Largest fouling up to the wipe",
    kind="fraction",
    takes="X_a: fouling at one moment, as a share of its full thickness; X_b: fouling at another",
    shown="max(X_a, X_b)",
    cite=DERIVED.at("just before the last blast, or at the wipe itself"),
    valid="any",
    unpublished="a comparison",
)
def larger_fouling(X_a: Ratio, X_b: Ratio) -> Ratio:
    """Shares of full fouling at two moments."""
    return np.maximum(X_a, X_b)


@formula(
    "fouling.bias",
    symbol="b",
    title="Bias of the fouling",
    kind="concentration",
    takes="b_full: bias under full fouling, signed; X: fouling as a share of its full thickness",
    shown="b_full*X",
    cite=OUR_JUDGEMENT.at("bias in proportion to the fouling"),
    valid="b_full: bias under full fouling, signed",
    unpublished="our own model; measure it with two wipes",
)
def bias_of_fouling(b_full: KgPerCubicMetre, X: Ratio) -> KgPerCubicMetre:
    """Signed like ``b_full``."""
    return b_full * X


@formula(
    "fouling.linear_bias_purged",
    symbol="b",
    title="Bias before a blast, n blasts after a wipe, steady growth",
    kind="concentration",
    takes="r: growth rate of the bias between wipes, signed, without any cleaning; T: interval between blasts; eta: share of "
    "the fouling a blast takes off; n: number of the blast since the wipe",
    shown="r*T*(1 - (1 - eta)**n)/eta",
    cite=DERIVED.at("geometric sum of growth and removal"),
    valid="0 < eta < 1; in the long run r*T/eta",
    unpublished="derived; checked by running the cycles",
)
def linear_bias_purged(r: ConcentrationRate, T: Second, eta: Ratio, n: Ratio) -> KgPerCubicMetre:
    """Just before the n-th blast after a wipe, fouling never full; nothing where there is none."""
    return r * T * -np.expm1(n * np.log1p(-np.asarray(eta))) / eta


@formula(
    "fouling.bias_at_end",
    symbol="b",
    title="Bias at the end of the time between wipes, steady growth",
    kind="concentration",
    takes="b_blast: bias just before the last blast; eta: share of the fouling it takes off; r: growth rate of the bias between "
    "wipes, signed; t_rest: time from the last blast to the wipe",
    shown="(1 - eta)*b_blast + r*t_rest",
    cite=DERIVED.at("what the last blast left, and growth since"),
    valid="b_blast just before the last blast, t_rest from it to the wipe; fouling never full",
    unpublished="derived; checked by running the cycles",
)
def bias_at_end(b_blast: KgPerCubicMetre, eta: Ratio, r: ConcentrationRate, t_rest: Second) -> KgPerCubicMetre:
    """Just before the wipe; ``r*W`` where no blast came between (``b_blast`` nothing, ``t_rest`` all of it)."""
    return (1 - eta) * b_blast + r * t_rest


@formula(
    "fouling.longest_interval",
    symbol="T_max",
    title="Longest interval for the fouling",
    kind="time",
    takes="T_crit: longest interval at which blasts still win",
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
    takes="t_held: time held in each cycle; live_min: least share of the time the reading has to be live",
    shown="t_held/(1 - live_min)",
    cite=DERIVED.at("live share solved for the interval"),
    valid="live_min below 1",
    unpublished="a quotient",
)
def shortest_for_live(t_held: Second, live_min: Ratio) -> Second:
    """Hold at most the share ``1 - live_min``."""
    return t_held / (1 - live_min)


@formula(
    "fouling.shortest_for_duty",
    symbol="T_min",
    title="Shortest interval for the duty of the source",
    kind="time",
    takes="t_run: running time for one blast; t_allowed: running time allowed in any window; W: length of the window",
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
    takes="t_held: time held in each cycle; t_recover: time the loop needs to settle",
    shown="t_held + t_recover",
    cite=DERIVED.at("the loop works off one hold before the next"),
    valid="excursion within its limit; no interval helps otherwise",
    unpublished="a sum",
)
def shortest_for_loop(t_held: Second, t_recover: Second) -> Second:
    """``t_recover``: time the loop needs to settle, e.g. three integral times."""
    return t_held + t_recover
