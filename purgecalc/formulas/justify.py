"""Is a purge worth having? Bias, air, labour and energy of five ways to keep a probe clean.

Growth of the bias is taken as steady here, up to a full film, because that is what two wipes can measure. Labour and
energy are added in one currency-free measure: what an hour of labour costs, expressed in electrical energy.
"Not needed" is a usual verdict.
"""

from __future__ import annotations

import numpy as np

from purgecalc.formulas.duty import YEAR
from purgecalc.references import DERIVED, OUR_JUDGEMENT
from purgecalc.working import ConcentrationRate, Joule, KgPerCubicMetre, Ratio, Second, Watt, constant, formula

HOUR = constant("hour", 3600.0, "s", "one hour", DERIVED.at("definition"))

WEEK = 7 * 86400.0
MONTH = YEAR.value / 12
# the monthly wipe without a purge is there so that the purge is not credited with fewer wipes alone
WIPES = {"none": YEAR.value, "weekly wipe": WEEK, "fortnightly wipe": 2 * WEEK, "monthly wipe": MONTH}


@formula(
    "justify.mean_bias_wiped",
    symbol="b",
    title="Mean bias between wipes",
    kind="concentration",
    shown="min(abs(r)*W, b_full)*(1 - min(abs(r)*W, b_full)/(2*abs(r)*W))*r/abs(r)",
    cite=DERIVED.at("mean of a steady rise up to the bias of a full film"),
    valid="r not zero in the printed form; b_full positive",
    unpublished="derived; checked against a numerical mean",
)
def mean_bias_wiped(r: ConcentrationRate, W: Second, b_full: KgPerCubicMetre) -> KgPerCubicMetre:
    """Signed like ``r``. Zero at each wipe."""
    ramp = np.abs(r) * W
    top = np.minimum(ramp, b_full)
    return np.sign(r) * top * (1 - top / np.where(ramp > 0, 2 * ramp, 1.0))


@formula(
    "justify.mean_bias_purged",
    symbol="b",
    title="Mean bias with a purge, between wipes",
    kind="concentration",
    shown="r*T*((1 - eta)/eta*(1 - (1 - (1 - eta)**n)/(n*eta)) + 1/2)",
    cite=DERIVED.at("mean over n cycles of growth and removal after a wipe"),
    valid="0 < eta < 1; n whole; film never near full",
    unpublished="derived; checked by running the cycles",
)
def mean_bias_purged(r: ConcentrationRate, T: Second, eta: Ratio, n: Ratio) -> KgPerCubicMetre:
    """In the long run r T (1/eta - 1/2)."""
    left = -np.expm1(n * np.log1p(-np.asarray(eta)))
    return (r * T * ((1 - eta) / eta * (1 - left / (n * eta)) + 0.5))[()]


@formula(
    "justify.full_bias_assumed",
    symbol="b_full",
    title="Bias under a full film, assumed because nobody has measured it",
    kind="concentration",
    shown="min(C, (C_star - C)/2)",
    cite=OUR_JUDGEMENT.at("as much as the set point, and no more than half the deficit"),
    valid="C below C_star",
    unpublished="our own assumption",
)
def full_bias_assumed(C_star: KgPerCubicMetre, C: KgPerCubicMetre) -> KgPerCubicMetre:
    """Without an end a probe that is never wiped would cost more air than there is."""
    return np.minimum(C, (C_star - C) / 2)


@formula(
    "justify.capped_bias",
    symbol="b",
    title="Bias, no more than that of a full film",
    kind="concentration",
    shown="min(max(b_grown, -b_full), b_full)",
    cite=DERIVED.at("a film has an end"),
    valid="b_full positive",
    unpublished="a limit",
)
def capped_bias(b_grown: KgPerCubicMetre, b_full: KgPerCubicMetre) -> KgPerCubicMetre:
    """Signed like ``b_grown``."""
    return np.clip(b_grown, -b_full, b_full)


@formula(
    "justify.bias_energy",
    symbol="E_bias",
    title="Energy the bias costs a year",
    kind="electrical energy",
    shown="dQ_Q*P_blower*year",
    cite=DERIVED.at("blower power taken as proportional to airflow"),
    valid="blower power at the mean airflow; negative where the bias starves the tank, which is no saving",
    unpublished="a product",
)
def bias_energy(dQ_Q: Ratio, P_blower: Watt) -> Joule:
    """Over-aeration as energy."""
    return dQ_Q * P_blower * YEAR.value


@formula(
    "justify.labour",
    symbol="t_labour",
    title="Labour a year",
    kind="time",
    shown="t_visit*year/W + t_service",
    cite=DERIVED.at("visits and service"),
    valid="t_visit: one wipe with travel; t_service: care of the purge a year",
    unpublished="a sum",
)
def labour(t_visit: Second, W: Second, t_service: Second) -> Second:
    """Of wiping every ``W`` and looking after a purge."""
    return t_visit * YEAR.value / W + t_service


@formula(
    "justify.labour_power",
    symbol="P_labour",
    title="Energy an hour of labour would buy, per hour",
    kind="power",
    shown="E_hour/hour",
    cite=DERIVED.at("labour counted at the energy its cost would buy"),
    valid="any",
    unpublished="a quotient",
)
def hour_as_power(E_hour: Joule) -> Watt:
    """As a power, so that it can be multiplied by labour time."""
    return E_hour / HOUR.value


@formula(
    "justify.total",
    symbol="E_total",
    title="Total of a year, expressed as energy",
    kind="electrical energy",
    shown="abs(E_bias) + E_purge + E_standing + t_labour*P_labour",
    cite=DERIVED.at("labour counted at the energy its cost would buy"),
    valid="P_labour: energy an hour of labour would buy, per hour; a reading that is too high counts as much as one too low",
    unpublished="a sum",
)
def total(E_bias: Joule, E_purge: Joule, E_standing: Joule, t_labour: Second, P_labour: Watt) -> Joule:
    """One measure without a currency. ``E_standing``: purchase spread over its life, as the energy it would buy."""
    return np.abs(E_bias) + E_purge + E_standing + t_labour * P_labour
