"""Is a purge worth having? Bias, air, labour and energy of five ways to keep a probe clean, and the two-wipe test.

Growth of the bias is taken as steady here, up to a full film, because that is what two wipes can measure. Labour and
energy are added in one currency-free measure: what an hour of labour costs, expressed in electrical energy.
"Not needed" is a usual verdict.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from purgecalc.formulas.duty import YEAR
from purgecalc.formulas.loop import over_aeration
from purgecalc.references import DERIVED, OUR_JUDGEMENT
from purgecalc.working import ConcentrationRate, Joule, KgPerCubicMetre, Num, Ratio, Second, Watt, constant, formula

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


@formula(
    "justify.break_even_rate",
    symbol="r",
    title="Growth of the bias at which a purge pays",
    kind="concentration rate",
    shown="max((E_fixed_purge - E_fixed_wipe)*(C_star - C)/(P_blower*year*(W/2 - T*(1/eta - 1/2))),"
    " 0*E_fixed_wipe*(C_star - C)/(P_blower*year*W))",
    cite=DERIVED.at("totals set equal, over-aeration to first order, purge in the long run"),
    valid="unlimited where the purge holds the bias no lower than the wipes do",
    unpublished="derived; the two totals agree at it",
)
def break_even_rate(
    E_fixed_purge: Joule, E_fixed_wipe: Joule, P_blower: Watt, C_star: KgPerCubicMetre, C: KgPerCubicMetre, W: Second,
    T: Second, eta: Ratio,
) -> ConcentrationRate:  # fmt: skip
    """``E_fixed``: purge energy and labour of each way, expressed as energy. Zero where the purge costs less anyway."""
    gained = np.asarray(P_blower * YEAR.value / (C_star - C) * (W / 2 - T * (1 / eta - 0.5)))
    extra = np.maximum(E_fixed_purge - E_fixed_wipe, 0.0)
    better = gained > 0
    return np.where(better, extra / np.where(better, gained, 1.0), np.inf)[()]


@formula(
    "justify.rate_of_wipe",
    symbol="r",
    title="Growth of the bias from one wipe",
    kind="concentration rate",
    shown="(before - after)/t",
    cite=DERIVED.at("the wipe removes the bias grown since the last"),
    valid="process steady over the minutes of the wipe; reading settled before and after",
    unpublished="a quotient",
)
def rate_of_wipe(before: KgPerCubicMetre, after: KgPerCubicMetre, t: Second) -> ConcentrationRate:
    """Signed: negative where film makes the probe read low."""
    return (before - after) / t


@dataclass(frozen=True)
class WipeTest:
    """Two-wipe test: jump at each wipe, time since the wipe before, rate through them, and its standard error."""

    jumps: NDArray[np.float64]
    elapsed: NDArray[np.float64]
    rate: float
    error: float


def wipe_test(days: list[float], before: list[float], after: list[float]) -> WipeTest:
    """Rate of the bias from readings (kg/m3) before and after wipes at ``days`` after a first clean start.

    Least squares through the origin; the standard error is NaN for a single wipe. Raises ``ValueError`` for days that
    do not rise or lists that do not match.
    """
    elapsed = np.diff([0.0, *days]) * 86400
    if not days or not len(days) == len(before) == len(after) or np.any(elapsed <= 0):
        raise ValueError("the test wants rising days, and a reading before and after the wipe on each")
    jumps = np.asarray(before, dtype=float) - np.asarray(after, dtype=float)
    weight = float(np.sum(elapsed**2))
    rate = float(np.sum(jumps * elapsed)) / weight
    left = float(np.sum((jumps - rate * elapsed) ** 2))
    error = (left / (len(days) - 1) / weight) ** 0.5 if len(days) > 1 else float("nan")
    return WipeTest(jumps, elapsed, rate, error)


@dataclass(frozen=True)
class Case:
    """What the comparison needs, in SI: growth of the bias and its end, loop, labour, purge.

    ``r`` kg/m3/s signed, ``b_full``, ``C_star``, ``C``, ``tol`` kg/m3, ``P_blower`` W, ``t_visit`` s a wipe, ``P_labour``
    W (energy an hour of labour would buy, per hour), ``T`` s, ``eta``, ``E_purge`` J a year, ``t_service`` s a year,
    ``E_standing`` J: a year's share of the purchase, as the energy it would buy.
    """

    r: Num
    b_full: Num
    C_star: Num
    C: Num
    tol: Num
    P_blower: Num
    t_visit: Num
    P_labour: Num
    T: Num
    eta: Num
    E_purge: Num
    t_service: Num
    E_standing: Num = 0.0


@dataclass(frozen=True)
class Way:
    """One way to keep the probe clean: mean bias, bias at the next wipe, energies and labour of a year, total as energy."""

    name: str
    mean_bias: Num
    bias_at_wipe: Num
    E_bias: Num
    E_purge: Num
    t_labour: Num
    total: Num


def ways(case: Case) -> list[Way]:
    """None, weekly, fortnightly and monthly wipe, and last the purge with a monthly wipe."""
    found, zero = [], 0.0 * np.asarray(case.E_purge)
    for name, W in WIPES.items():
        end = np.sign(case.r) * np.minimum(np.abs(case.r) * W, case.b_full)
        visits = 0.0 * np.asarray(case.t_visit) if name == "none" else labour(case.t_visit, W, 0.0)
        found.append(_way(case, name, mean_bias_wiped(case.r, W, case.b_full), end, (zero, zero), visits))
    n = np.maximum(np.floor(MONTH / np.asarray(case.T)), 1.0)
    mean = mean_bias_purged(case.r, case.T, case.eta, n)
    end = case.r * case.T * -np.expm1(n * np.log1p(-np.asarray(case.eta))) / case.eta
    full = np.asarray(case.b_full)
    mean, end = np.clip(mean, -full, full), np.clip(end, -full, full)
    hours = labour(case.t_visit, MONTH, case.t_service)
    return [*found, _way(case, "purge and monthly wipe", mean, end, (case.E_purge, case.E_standing), hours)]


def _way(case: Case, name: str, mean: Num, end: Num, spent: tuple[Num, Num], t_labour: Num) -> Way:
    E_bias = bias_energy(over_aeration(mean, case.C_star, case.C), case.P_blower)
    return Way(name, mean, end, E_bias, spent[0], t_labour, total(E_bias, *spent, t_labour, case.P_labour))


def verdict(found: list[Way], tol: Num) -> NDArray[np.str_]:
    """``not needed``, ``justified`` or ``another method``, element by element.

    A way will do if its bias at the next wipe stays within ``tol``. The purge is justified if it will do and every other
    way that will do costs at least as much; the mean of ``verdict == "justified"`` over a sample is how likely it pays.
    """
    *others, purge = found
    cheapest = np.minimum.reduce([np.where(np.abs(w.bias_at_wipe) <= tol, w.total, np.inf) for w in others])
    purge_does = np.abs(purge.bias_at_wipe) <= tol
    justified = purge_does & (np.asarray(purge.total) < cheapest)
    return np.where(justified, "justified", np.where(np.isfinite(cheapest), "not needed", "another method"))
