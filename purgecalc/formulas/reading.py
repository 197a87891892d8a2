"""What a blast does to the reading, how long until it may be released, and how much of the cycle is live."""

from __future__ import annotations

import numpy as np

from purgecalc.references import COMMON_PRACTICE, DERIVED, ISO_15839, OUR_JUDGEMENT
from purgecalc.si import KgPerCubicMetre, Num, Ratio, Second
from purgecalc.working import formula


@formula(
    "reading.t90_of_fraction",
    symbol="t_90",
    title="Response time t90 from another response time",
    kind="time",
    takes="t_x: time to show the share x of a step; x: that share",
    shown="t_x*ln(10)/ln(1/(1 - x))",
    cite=ISO_15839.at("response of a single lag"),
    valid="one lag, no dead time; 0 < x < 1",
)
def t90_of_fraction(t_x: Second, x: Ratio) -> Second:
    """A data sheet's t63, t95 or t98 as t90."""
    return t_x * np.log(10) / -np.log1p(-np.asarray(x))[()]


@formula(
    "reading.time_constant",
    symbol="tau",
    title="Time constant of the sensor",
    kind="time",
    takes="t_90: time to show nine tenths of a step",
    shown="t_90/ln(10)",
    cite=DERIVED.at("single lag"),
    valid="one lag, no dead time",
)
def time_constant(t_90: Second) -> Second:
    """Lag of the same t90."""
    return t_90 / np.log(10)


def _quickest_fall(k: Num) -> Num:
    """x = exposure/tau at which a lag takes longest to fall from its bump to 1/k of the driving difference.

    A slower lag has the longer tail but the smaller bump. The root of ln(k (1 - exp(-x))) = x/(exp(x) - 1), by bisection.
    """
    low = -np.log1p(-1 / k)
    high = low + 60.0
    for _ in range(70):
        x = (low + high) / 2
        short = np.log(k * -np.expm1(-x)) < x / np.expm1(x)
        low, high = np.where(short, x, low), np.where(short, high, x)
    return high


def longest_fall(k: Num, exposure: Num) -> Num:
    """Longest time (s) any single lag takes from clean water at the face until the bump is 1/k of what drove it."""
    x = _quickest_fall(np.asarray(k, float))
    return exposure / x * np.log(k * -np.expm1(-x))


@formula(
    "reading.t90_of_fall",
    symbol="t_90",
    title="Response time t90 from a fall timed by hand",
    kind="time",
    takes="t_fall: time from air off until the reading was back, as timed; t_clear: time for the bubbles to leave the face; "
    "t_mix: time for the water to mix; dC: difference the bubbles drive the reading through; t_blast: length of the blast; tol: "
    "tolerance of the reading",
    shown="t_fall = t_clear + t_mix + t_90/ln(10)*ln(abs(dC)*(1 - exp(-ln(10)*(t_blast + t_clear + t_mix)/t_90))/tol)",
    cite=DERIVED.at("the lag whose hold-off needed is the time found with the stopwatch; the quicker of two"),
    valid="one lag; a bump above the tolerance, a fall longer than clearing and mixing",
    unpublished="derived; checked by putting the root back",
)
def t90_of_fall(
    t_fall: Second, t_clear: Second, t_mix: Second, dC: KgPerCubicMetre, t_blast: Second, tol: KgPerCubicMetre
) -> Second:
    """nan where no lag falls so slowly, or so fast, after that blast."""
    seen, left = t_blast + t_clear + t_mix, np.asarray(t_fall - t_clear - t_mix, float)
    k = np.abs(dC) / np.asarray(tol, float)
    told = (k > 1) & (left > 0)
    k, g = np.where(told, k, 2.0), np.where(told, left, 1.0) / seen
    low, high = _quickest_fall(k), np.log(k) / g
    told = told & (np.log(k * -np.expm1(-low)) >= g * low)
    for _ in range(70):
        x = (low + high) / 2
        slow = np.log(k * -np.expm1(-x)) > g * x
        low, high = np.where(slow, x, low), np.where(slow, high, x)
    return np.where(told, np.log(10) * seen / ((low + high) / 2), np.nan)[()]


@formula(
    "reading.driving_difference",
    symbol="dC",
    title="Difference the bubbles drive the reading through",
    kind="concentration",
    takes="phi: share of the face that sees water saturated by bubbles; C_b: oxygen of that water; C: oxygen of the process",
    shown="phi*(C_b - C)",
    cite=OUR_JUDGEMENT.at("the face sees bubble-saturated water for a share phi"),
    valid="phi 0.3 to 1; take 1 unless fitted from a logged bump",
    unpublished="our own exposure model",
)
def driving_difference(phi: Ratio, C_b: KgPerCubicMetre, C: KgPerCubicMetre) -> KgPerCubicMetre:
    """Negative where the process is above bubble saturation."""
    return phi * (C_b - C)


@formula(
    "reading.bump",
    symbol="A",
    title="Height of the bump in the raw reading",
    kind="concentration",
    takes="dC: difference the bubbles drive the reading through; t_blast: time the face is in bubbles; tau: time constant of "
    "the sensor",
    shown="dC*(1 - exp(-t_blast/tau))",
    cite=DERIVED.at("step response of a single lag"),
    valid="one lag; t_blast is the time the face is in bubbles",
)
def bump(dC: KgPerCubicMetre, t_blast: Second, tau: Second) -> KgPerCubicMetre:
    """Rise of the raw reading by the time the face is in clean water again."""
    return dC * -np.expm1(-t_blast / tau)


@formula(
    "reading.hold_off_needed",
    symbol="t_off",
    title="Hold-off needed",
    kind="time",
    takes="t_clear: time for the bubbles to leave the face; t_mix: time for the water to mix; tau: time constant the reading "
    "falls with; A: height of the bump; tol: tolerance of the reading",
    shown="t_clear + t_mix + tau*ln(max(abs(A)/tol, 1 + 0*abs(A)/tol))",
    cite=DERIVED.at("decay of a single lag to the tolerance"),
    valid="one lag; never less than bubbles and mixing need",
)
def hold_off_needed(t_clear: Second, t_mix: Second, tau: Second, A: KgPerCubicMetre, tol: KgPerCubicMetre) -> Second:
    """Time from air off until the bias is within ``tol``."""
    return t_clear + t_mix + tau * np.log(np.maximum(np.abs(A) / tol, 1.0))


@formula(
    "reading.residual",
    symbol="b",
    title="Bias left when the output is released",
    kind="concentration",
    takes="A: height of the bump; t_hold: hold-off; t_clear: time for the bubbles to leave the face; t_mix: time for the water "
    "to mix; tau: time constant the reading falls with",
    shown="A*exp(-max(t_hold - t_clear - t_mix, 0*t_hold)/tau)",
    cite=DERIVED.at("decay of a single lag"),
    valid="one lag; no decay counted until bubbles have gone and the water has mixed",
)
def residual(A: KgPerCubicMetre, t_hold: Second, t_clear: Second, t_mix: Second, tau: Second) -> KgPerCubicMetre:
    """Signed bias at release."""
    return A * np.exp(-np.maximum(t_hold - t_clear - t_mix, 0.0) / tau)


@formula(
    "reading.hold_time",
    symbol="t_held",
    title="Time held in each cycle",
    kind="time",
    takes="t_lead: time held before the blast; t_blast: length of the blast; t_hold: hold-off",
    shown="t_lead + t_blast + t_hold",
    cite=DERIVED.at("hold lead, blast and hold-off follow one another"),
    valid="any",
    unpublished="a sum",
)
def hold_time(t_lead: Second, t_blast: Second, t_hold: Second) -> Second:
    """From holding the output to its release."""
    return t_lead + t_blast + t_hold


@formula(
    "reading.live_share",
    symbol="live",
    title="Share of the time the reading is live",
    kind="fraction",
    takes="t_held: time held in each cycle; t_interval: interval between blasts",
    shown="1 - t_held/t_interval",
    cite=DERIVED.at("one cycle"),
    valid="any",
    unpublished="a ratio",
)
def live_share(t_held: Second, t_interval: Second) -> Ratio:
    """Live share of one interval."""
    return 1 - t_held / t_interval


@formula(
    "reading.settle_time",
    symbol="t_off",
    title="Hold-off needed, the height of the bump not known",
    kind="time",
    takes="t_clear: time for the bubbles to leave the face; t_mix: time for the water to mix; t_90: time to show nine tenths of "
    "a step",
    shown="t_clear + t_mix + t_90",
    cite=OUR_JUDGEMENT.at("where the height of the bump is not known: until nine tenths of it are gone"),
    valid="parameters other than oxygen",
    unpublished="our own rule",
)
def settle_time(t_clear: Second, t_mix: Second, t_90: Second) -> Second:
    """Hold-off for a probe whose bump cannot be worked out."""
    return t_clear + t_mix + t_90


@formula(
    "reading.settle_timed",
    symbol="t_off",
    title="Hold-off needed, as timed",
    kind="time",
    takes="t_fall: time from air off until the reading was back, as timed",
    shown="t_fall",
    cite=DERIVED.at("the stopwatch has seen bubbles, mixing and sensor together"),
    valid="the blast it was timed after; parameters other than oxygen, whose bump has no other measure",
    unpublished="a reading",
)
def settle_timed(t_fall: Second) -> Second:
    """Hold-off for a probe whose return was timed by hand."""
    return np.asarray(t_fall, float)[()]


@formula(
    "reading.lead_needed",
    symbol="t_lead",
    title="Hold lead needed",
    kind="time",
    takes="t_scan: time between two samples of the reading; t_filter: filter time of the transmitter",
    shown="t_scan + t_filter",
    cite=COMMON_PRACTICE.at("one scan and one filter time, so that no bubble is in the held value"),
    valid="any",
    unpublished="a sum",
)
def lead_needed(t_scan: Second, t_filter: Second) -> Second:
    """Before air on."""
    return t_scan + t_filter


@formula(
    "reading.longest_hold_allowed",
    symbol="t_max",
    title="Longest hold that still tells a fault from a blast",
    kind="time",
    takes="t_held: time held in each cycle",
    shown="2*t_held",
    cite=COMMON_PRACTICE.at("twice the hold"),
    valid="any",
    unpublished="our own margin",
)
def longest_hold_allowed(t_held: Second) -> Second:
    """Beyond it the reading is stuck, not held."""
    return 2 * t_held


@formula(
    "loop.held_low",
    symbol="held",
    title="Value held by chance a tolerance below the set point",
    kind="concentration",
    takes="C: set point of the oxygen; tol: tolerance of the reading",
    shown="C - tol",
    cite=OUR_JUDGEMENT.at("an error of the size of the tolerance"),
    valid="any",
    unpublished="a difference",
)
def held_low(C: KgPerCubicMetre, tol: KgPerCubicMetre) -> KgPerCubicMetre:
    """An error that then stands for the whole hold."""
    return C - tol
