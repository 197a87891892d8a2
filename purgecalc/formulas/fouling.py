"""Fouling on the probe between blasts and wipes, the bias it makes, and the intervals that keep it down.

``X`` is the fouling as a share of its full thickness. It grows logistically at rate ``mu`` (Verhulst 1838); a blast takes
the share ``eta`` off it. Bias is "reading minus truth",
its sign given by the user, because fouling makes some probes read low and others high.
"""

from __future__ import annotations

import numpy as np

from purgecalc.references import COMMON_PRACTICE, DERIVED, OUR_JUDGEMENT, Work
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
    "fouling.signed_rate",
    symbol="r",
    title="Growth of the bias, signed",
    kind="concentration rate",
    takes="sign: 1 where fouling makes the probe read high, -1 where low; r_size: growth rate of the bias between wipes, "
    "without sign",
    shown="sign*r_size",
    cite=DERIVED.at("bias is reading minus truth: negative where fouling makes the probe read low"),
    valid="sign 1 or -1",
    unpublished="a sign",
)
def signed_rate(sign: Ratio, r_size: ConcentrationRate) -> ConcentrationRate:
    """From the size given and its direction: the rate between wipes, without a purge."""
    return sign * r_size


@formula(
    "fouling.signed_bias",
    symbol="b_full",
    title="Bias under full fouling, signed",
    kind="concentration",
    takes="sign: 1 where fouling makes the probe read high, -1 where low; b_size: bias under full fouling, without sign",
    shown="sign*b_size",
    cite=DERIVED.at("bias is reading minus truth: negative where fouling makes the probe read low"),
    valid="sign 1 or -1",
    unpublished="a sign",
)
def signed_bias(sign: Ratio, b_size: KgPerCubicMetre) -> KgPerCubicMetre:
    """From the size given and its direction."""
    return sign * b_size


@formula(
    "fouling.blasts_between_wipes",
    symbol="n",
    title="Blasts between two wipes",
    kind="count",
    takes="W: time from wipe to wipe; T: interval between blasts",
    shown="floor(W/T*(1 + 1e-12))",
    cite=DERIVED.at("whole blasts, the first one interval after a wipe"),
    valid="none where the wipe comes before the first blast",
    unpublished="counting",
)
def blasts_between_wipes(W: Second, T: Second) -> Ratio:
    """The last of them may fall on the wipe itself."""
    return np.floor(W / T * (1 + 1e-12))


@formula(
    "fouling.after_last_blast",
    symbol="t_rest",
    title="Time from the last blast to the wipe",
    kind="time",
    takes="W: time from wipe to wipe; n: number of blasts between two wipes; T: interval between blasts",
    shown="max(W - n*T, 0*W)",
    cite=DERIVED.at("what is left of the time between wipes"),
    valid="n blasts between wipes",
    unpublished="a difference",
)
def after_last_blast(W: Second, n: Ratio, T: Second) -> Second:
    """Fouling grows in it and nothing takes it off: the whole time between wipes where no blast falls into it."""
    return np.maximum(W - n * T, 0.0)


@formula(
    "fouling.larger_bias",
    symbol="b",
    title="Bias at the next wipe",
    kind="concentration",
    takes="b_steady: bias by steady growth; b_logistic: bias by logistic growth",
    shown="max(abs(b_steady), abs(b_logistic))",
    cite=OUR_JUDGEMENT.at("the worse of the two accounts of the fouling"),
    valid="size without sign",
    unpublished="a maximum",
)
def larger_bias(b_steady: KgPerCubicMetre, b_logistic: KgPerCubicMetre) -> KgPerCubicMetre:
    """Steady growth sees the blasts one by one, the logistic fouling sees whether it dies out."""
    return np.maximum(np.abs(b_steady), np.abs(b_logistic))


@formula(
    "fouling.removal_of_length",
    symbol="eta",
    title="Share of the fouling a blast of another length takes off",
    kind="fraction",
    takes="eta_now: share of the fouling a blast of t_now takes off; t_useful: useful seconds of the other blast; t_now: useful "
    "seconds that eta_now belongs to",
    shown="1 - (1 - eta_now)**min(t_useful/t_now, 1)",
    cite=OUR_JUDGEMENT.at("removal in proportion to useful seconds; no credit for longer blasts, since nothing is published"),
    valid="0 < eta_now < 1",
    unpublished="our assumption; no figure is published",
)
def removal_of_length(eta_now: Ratio, t_useful: Second, t_now: Second) -> Ratio:
    """No credit for a longer blast."""
    return 1 - (1 - eta_now) ** np.minimum(t_useful / t_now, 1.0)
