"""Is a purge worth having? Bias, air, labour and energy of five ways to keep a probe clean.

Growth of the bias is taken as steady here, up to full fouling, because that is what two wipes can measure. Labour and
energy are added in one currency-free measure: what an hour of labour costs, expressed in electrical energy.
"Not needed" is a usual verdict.
"""

from __future__ import annotations

import numpy as np

from purgecalc.formulas.duty import YEAR
from purgecalc.references import DERIVED, OUR_JUDGEMENT
from purgecalc.si import ConcentrationRate, Joule, KgPerCubicMetre, Ratio, Second, Watt
from purgecalc.working import constant, formula

HOUR = constant("hour", 3600.0, "s", "one hour", DERIVED.at("definition"))

WEEK = 7 * 86400.0
MONTH = YEAR.value / 12
# the monthly wipe without a purge is there so that the purge is not credited with fewer wipes alone
WIPES = {"none": YEAR.value, "weekly wipe": WEEK, "fortnightly wipe": 2 * WEEK, "monthly wipe": MONTH}


@formula(
    "worth.mean_bias_wiped",
    symbol="b",
    title="Mean bias between wipes",
    kind="concentration",
    takes="r: growth rate of the bias between wipes, signed; W: time from wipe to wipe; b_full: bias under full fouling, "
    "without sign",
    shown="min(abs(r)*W, b_full)*(1 - min(abs(r)*W, b_full)/(2*abs(r)*W))*r/abs(r)",
    cite=DERIVED.at("mean of a steady rise up to the bias of full fouling"),
    valid="r not zero in the printed form; b_full positive",
    unpublished="derived; checked against a numerical mean",
)
def mean_bias_wiped(r: ConcentrationRate, W: Second, b_full: KgPerCubicMetre) -> KgPerCubicMetre:
    """Signed like ``r``. Zero at each wipe."""
    ramp = np.abs(r) * W
    top = np.minimum(ramp, b_full)
    return np.sign(r) * top * (1 - top / np.where(ramp > 0, 2 * ramp, 1.0))


@formula(
    "worth.mean_bias_purged",
    symbol="b",
    title="Mean bias with a purge, between wipes",
    kind="concentration",
    takes="r: growth rate of the bias between wipes, without any cleaning; T: interval between blasts; eta: share of the "
    "fouling a blast takes off; n: number of intervals after the wipe",
    shown="r*T*((1 - eta)/eta*(1 - (1 - (1 - eta)**n)/(n*eta)) + 1/2)",
    cite=DERIVED.at("mean over n cycles of growth and removal after a wipe"),
    valid="0 < eta < 1; n whole, of 1 and more; fouling not full",
    unpublished="derived; checked by running the cycles",
)
def mean_bias_purged(r: ConcentrationRate, T: Second, eta: Ratio, n: Ratio) -> KgPerCubicMetre:
    """Over the first ``n`` intervals after a wipe; in the long run r T (1/eta - 1/2)."""
    left = -np.expm1(n * np.log1p(-np.asarray(eta)))
    return (r * T * ((1 - eta) / eta * (1 - left / (np.maximum(n, 1.0) * eta)) + 0.5))[()]


@formula(
    "worth.long_run_bias",
    symbol="b_top",
    title="Bias just before a blast, in the long run",
    kind="concentration",
    takes="r: growth rate of the bias between wipes, without sign; T: interval between blasts; eta: share of the fouling a "
    "blast takes off; b_full: bias under full fouling, without sign",
    shown="min(r*T/eta, b_full)",
    cite=DERIVED.at("growth of an interval equal to what a blast takes off, or full fouling"),
    valid="sizes without sign",
    unpublished="derived; checked by running the cycles",
)
def long_run_bias(r: ConcentrationRate, T: Second, eta: Ratio, b_full: KgPerCubicMetre) -> KgPerCubicMetre:
    """What the saw-tooth of growth and blasts climbs to, wiped or not."""
    return np.minimum(r * T / eta, b_full)


@formula(
    "worth.blasts_to_full",
    symbol="n_1",
    title="Intervals after a wipe before the fouling is full",
    kind="count",
    takes="n: number of intervals between wipes; eta: share of the fouling a blast takes off; b_top: bias just before a blast "
    "in the long run; r: growth rate of the bias between wipes, without sign; T: interval between blasts",
    shown="min(n, floor(ln(max(1 - eta*b_top/(r*T), 1e-300))/ln(1 - eta)))",
    cite=DERIVED.at("bias before the n-th blast, solved for n"),
    valid="whole intervals that end at no more than b_top; no more than n",
    unpublished="derived; checked by running the cycles",
)
def blasts_to_full(n: Ratio, eta: Ratio, b_top: KgPerCubicMetre, r: ConcentrationRate, T: Second) -> Ratio:
    """Where the fouling never gets full: so many that the rest cannot be told from the long run."""
    grown = np.maximum(1 - eta * b_top / (r * T), 1e-300)
    return np.minimum(n, np.floor(np.log(grown) / np.log1p(-np.asarray(eta))))


@formula(
    "worth.bias_left",
    symbol="b",
    title="Bias left by a blast",
    kind="concentration",
    takes="b_blast: bias just before the blast; eta: share of the fouling the blast takes off",
    shown="(1 - eta)*b_blast",
    cite=OUR_JUDGEMENT.at("detachment in proportion to the fouling"),
    valid="b_blast just before it",
    unpublished="our own cleaning model",
)
def bias_left(b_blast: KgPerCubicMetre, eta: Ratio) -> KgPerCubicMetre:
    """Just after the blast."""
    return (1 - eta) * b_blast


@formula(
    "worth.mean_of_ramp",
    symbol="b_mean",
    title="Mean of a bias that grows until the fouling is full",
    kind="concentration",
    takes="b_0: bias at the start; b_top: bias it grows to at most; r: growth rate of the bias between wipes, without sign; t: "
    "time the mean is taken over",
    shown="b_0 + r*min(t, (b_top - b_0)/r)/2 + (b_top - b_0)/2*(1 - (b_top - b_0)/r/max(t, (b_top - b_0)/r))",
    cite=DERIVED.at("a straight rise, then level"),
    valid="sizes without sign; b_0 at the start, no more than b_top; over the time t",
    unpublished="derived; checked against a numerical mean",
)
def mean_of_ramp(b_0: KgPerCubicMetre, b_top: KgPerCubicMetre, r: ConcentrationRate, t: Second) -> KgPerCubicMetre:
    """The mean is taken of what is clipped: clipping the mean of what is not says too much. ``b_0`` over no time at all."""
    full = (b_top - b_0) / r
    longer = np.maximum(t, full)
    level = np.where(longer > 0, 1 - full / np.where(longer > 0, longer, 1.0), 0.0)
    return (b_0 + r * np.minimum(t, full) / 2 + (b_top - b_0) / 2 * level)[()]


@formula(
    "worth.mean_of_parts",
    symbol="b_mean",
    title="Mean bias with a purge, without sign",
    kind="concentration",
    takes="n: number of intervals between wipes; n_1: of them, intervals before the fouling is full; T: interval between "
    "blasts; t_rest: time from the last blast to the wipe; b_1: mean bias of the n_1 intervals; b_2: mean bias of the next; "
    "b_3: mean bias of those after; b_4: mean bias over t_rest",
    shown="(n_1*T*b_1 + max(min(n - n_1, 1), 0)*T*b_2 + max(n - n_1 - 1, 0)*T*b_3 + t_rest*b_4)/(n*T + t_rest)",
    cite=DERIVED.at("mean over the time between two wipes, part by part"),
    valid="means b_1 of n_1 intervals before the fouling is full, b_2 of the next, b_3 of those after, b_4 of t_rest",
    unpublished="a weighted mean; checked by running the cycles",
)
def mean_of_parts(
    n: Ratio,
    n_1: Ratio,
    T: Second,
    t_rest: Second,
    b_1: KgPerCubicMetre,
    b_2: KgPerCubicMetre,
    b_3: KgPerCubicMetre,
    b_4: KgPerCubicMetre,
) -> KgPerCubicMetre:
    """Weighed by how long each lasts, from wipe to wipe."""
    second, later = np.clip(n - n_1, 0.0, 1.0), np.maximum(n - n_1 - 1, 0.0)
    return (n_1 * T * b_1 + second * T * b_2 + later * T * b_3 + t_rest * b_4) / (n * T + t_rest)


@formula(
    "worth.full_bias_assumed",
    symbol="b_full",
    title="Bias under full fouling, assumed because nobody has measured it",
    kind="concentration",
    takes="C_star: effective oxygen saturation; C: set point",
    shown="min(C, (C_star - C)/2)",
    cite=OUR_JUDGEMENT.at("as much as the set point, and no more than half the deficit"),
    valid="C below C_star",
    unpublished="our own assumption",
)
def full_bias_assumed(C_star: KgPerCubicMetre, C: KgPerCubicMetre) -> KgPerCubicMetre:
    """Without an end a probe that is never wiped would cost more air than there is."""
    return np.minimum(C, (C_star - C) / 2)


@formula(
    "worth.capped_bias",
    symbol="b",
    title="Bias, no more than that of full fouling",
    kind="concentration",
    takes="b_grown: bias by growth alone, signed; b_full: bias under full fouling, without sign",
    shown="min(max(b_grown, -b_full), b_full)",
    cite=DERIVED.at("fouling has an end"),
    valid="b_full positive",
    unpublished="a limit",
)
def capped_bias(b_grown: KgPerCubicMetre, b_full: KgPerCubicMetre) -> KgPerCubicMetre:
    """Signed like ``b_grown``."""
    return np.clip(b_grown, -b_full, b_full)


@formula(
    "worth.bias_energy",
    symbol="E_bias",
    title="Energy the bias costs a year",
    kind="electrical energy",
    takes="dQ_Q: airflow above need, as a share; P_blower: power of the blower at the mean airflow",
    shown="dQ_Q*P_blower*year",
    cite=DERIVED.at("blower power taken as proportional to airflow"),
    valid="blower power at the mean airflow; negative where the bias starves the tank, which is no saving",
    unpublished="a product",
)
def bias_energy(dQ_Q: Ratio, P_blower: Watt) -> Joule:
    """Over-aeration as energy."""
    return dQ_Q * P_blower * YEAR.value


@formula(
    "worth.labour",
    symbol="t_labour",
    title="Labour a year",
    kind="time",
    takes="t_visit: time of one wipe with travel; W: time from wipe to wipe; t_service: time a year for the care of the purge",
    shown="t_visit*year/W + t_service",
    cite=DERIVED.at("visits and service"),
    valid="t_visit: one wipe with travel; t_service: care of the purge a year",
    unpublished="a sum",
)
def labour(t_visit: Second, W: Second, t_service: Second) -> Second:
    """Wiping, and looking after a purge."""
    return t_visit * YEAR.value / W + t_service


@formula(
    "worth.labour_power",
    symbol="P_labour",
    title="Energy an hour of labour would buy, per hour",
    kind="power",
    takes="E_hour: energy an hour of labour would buy",
    shown="E_hour/hour",
    cite=DERIVED.at("labour counted at the energy its cost would buy"),
    valid="any",
    unpublished="a quotient",
)
def hour_as_power(E_hour: Joule) -> Watt:
    """As a power, so that it can be multiplied by labour time."""
    return E_hour / HOUR.value


@formula(
    "worth.total",
    symbol="E_total",
    title="Total of a year, expressed as energy",
    kind="electrical energy",
    takes="E_bias: energy the bias costs a year; E_purge: energy of the purge a year; E_standing: energy that the purchase, "
    "spread over its life, would buy a year; t_labour: labour a year; P_labour: power that the cost of labour would buy",
    shown="abs(E_bias) + E_purge + E_standing + t_labour*P_labour",
    cite=DERIVED.at("labour counted at the energy its cost would buy"),
    valid="P_labour: energy an hour of labour would buy, per hour; a reading that is too high counts as much as one too low",
    unpublished="a sum",
)
def total(E_bias: Joule, E_purge: Joule, E_standing: Joule, t_labour: Second, P_labour: Watt) -> Joule:
    """One measure without a currency."""
    return np.abs(E_bias) + E_purge + E_standing + t_labour * P_labour
