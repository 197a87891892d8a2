"""How a sensor follows a blast: two equal lags, or dead time and a lag, and the terms data sheets use for it.

The single lag has its closed forms in ``reading``; ``sensor_models`` puts all three behind one face. A bias is "reading
minus truth". The blast is a step of height ``dC`` that lasts ``t_blast``; time then runs from air off. Where the face
may stay in bubbles until they have cleared and the water has mixed, pass ``exposure`` as ``t_blast``.
"""

from __future__ import annotations

import numpy as np

from purgecalc.references import DERIVED, ISO_15839, Work
from purgecalc.si import KgPerCubicMetre, Num, Ratio, Second
from purgecalc.working import constant, formula

BSM1 = Work("BSM1", "Benchmark Simulation Model no. 1 (IWA task group), as in its public implementations", checked=True)

K_90 = constant(
    "k_90", 3.889720169867429, "", "t90 of two equal lags over one of them", DERIVED.at("root of (1 + x) exp(-x) = 0.1")
)


@formula(
    "sensor.two_lag_time_constant",
    symbol="tau",
    title="Time constant of each of two equal lags",
    kind="time",
    takes="t_90: time to show nine tenths of a step",
    shown="t_90/k_90",
    cite=BSM1.at("sensor of class A and aeration actuator: tau = t90/3.89"),
    valid="two equal lags, no dead time",
)
def two_lag_time_constant(t_90: Second) -> Second:
    """Lag of which two in series have the given t90."""
    return t_90 / K_90.value


@formula(
    "sensor.two_lag_step",
    symbol="y",
    title="Share of a step that two equal lags show",
    kind="fraction",
    takes="t: time since the step; tau: time constant of each lag",
    shown="1 - (1 + max(t, 0*t)/tau)*exp(-max(t, 0*t)/tau)",
    cite=DERIVED.at("two equal lags in series"),
    valid="zero before the step",
)
def two_lag_step(t: Second, tau: Second) -> Ratio:
    """Step response; starts flat, which a single lag does not."""
    x = np.maximum(t, 0.0) / tau
    return -np.expm1(-x) - x * np.exp(-x)


@formula(
    "sensor.dead_time_constant",
    symbol="tau",
    title="Time constant of the lag that follows the dead time",
    kind="time",
    takes="t_90: time to show nine tenths of a step, dead time included; t_d: dead time",
    shown="(t_90 - t_d)/ln(10)",
    cite=ISO_15839.at("response time counted from the abrupt change"),
    valid="dead time shorter than t90",
)
def dead_time_constant(t_90: Second, t_d: Second) -> Second:
    """Lag that with dead time ``t_d`` gives the t90; nan where the dead time leaves none."""
    return np.where(np.asarray(t_d) < t_90, t_90 - t_d, np.nan)[()] / np.log(10)


@formula(
    "sensor.dead_time_step",
    symbol="y",
    title="Share of a step that a lag with dead time shows",
    kind="fraction",
    takes="t: time since the step; t_d: dead time; tau: time constant of the lag after it",
    shown="1 - exp(-max(t - t_d, 0*t)/tau)",
    cite=DERIVED.at("single lag after a dead time"),
    valid="any; t_d = 0 is the single lag",
)
def dead_time_step(t: Second, t_d: Second, tau: Second) -> Ratio:
    """Step response; nothing at all during the dead time."""
    return -np.expm1(-np.maximum(np.asarray(t - t_d), 0.0) / tau)


@formula(
    "sensor.exposure",
    symbol="t_exp",
    title="Longest time the face can have been in bubbles",
    kind="time",
    takes="t_blast: length of the blast; t_clear: time for the bubbles to leave the face; t_mix: time for the water to mix",
    shown="t_blast + t_clear + t_mix",
    cite=DERIVED.at("clearing and mixing counted as further blast"),
    valid="any",
    unpublished="a sum",
)
def exposure(t_blast: Second, t_clear: Second, t_mix: Second) -> Second:
    """The cautious length of the step."""
    return t_blast + t_clear + t_mix


@formula(
    "sensor.two_lag_peak_time",
    symbol="t_peak",
    title="Time the reading of two lags goes on rising after air off",
    kind="time",
    takes="t_blast: time the face is in bubbles; tau: time constant of each lag",
    shown="t_blast/(exp(t_blast/tau) - 1)",
    cite=DERIVED.at("zero slope of two equal lags after a blast"),
    valid="two equal lags",
    unpublished="derived; checked against a numerical maximum",
)
def two_lag_peak_time(t_blast: Second, tau: Second) -> Second:
    """At most one time constant, for a short blast; nothing after a long one."""
    x = np.asarray(t_blast / tau)
    short = x < 1e-8
    safe = np.where(short, 1.0, x)
    return (tau * np.where(short, 1 - x / 2, safe * np.exp(-safe) / -np.expm1(-safe)))[()]


@formula(
    "sensor.two_lag_peak",
    symbol="A",
    title="Height of the bump in the raw reading of two lags",
    kind="concentration",
    takes="dC: difference the bubbles drive the reading through; t_blast: time the face is in bubbles; tau: time constant of "
    "each lag; t_peak: time from clean water at the face to the peak",
    shown="dC*(1 - exp(-t_blast/tau))*exp(-t_peak/tau)",
    cite=DERIVED.at("two equal lags after a blast, at the peak"),
    valid="two equal lags; the peak comes after air off",
    unpublished="derived; checked against a numerical maximum",
)
def two_lag_peak(dC: KgPerCubicMetre, t_blast: Second, tau: Second, t_peak: Second) -> KgPerCubicMetre:
    """Signed."""
    return dC * -np.expm1(-t_blast / tau) * np.exp(-t_peak / tau)


@formula(
    "sensor.two_lag_residual",
    symbol="b",
    title="Bias of two lags left when the output is released",
    kind="concentration",
    takes="A: height of the bump at its peak; t_peak: time from clean water at the face to the peak; t_hold: hold-off; t_clear: "
    "time for the bubbles to leave the face; t_mix: time for the water to mix; tau: time constant of each lag as it falls",
    shown="A*(1 + (max(t_hold - t_clear - t_mix, 0*t_hold) - t_peak)/tau)"
    "*exp((t_peak - max(t_hold - t_clear - t_mix, 0*t_hold))/tau)",
    cite=DERIVED.at("two equal lags after a blast, counted from the peak"),
    valid="two equal lags; no decay counted until bubbles have gone and the water has mixed",
    unpublished="derived; checked against the exact response",
)
def two_lag_residual(
    A: KgPerCubicMetre, t_peak: Second, t_hold: Second, t_clear: Second, t_mix: Second, tau: Second
) -> KgPerCubicMetre:
    """From the peak on, every blast of two equal lags decays along the same curve (1 + u) exp(-u)."""
    u = (np.maximum(np.asarray(t_hold - t_clear - t_mix), 0.0) - t_peak) / tau
    return A * (1 + u) * np.exp(-u)


def _two_lag_fall(q: Num) -> Num:
    """Root u >= 0 of (1 + u) exp(-u) = q, for 0 < q <= 1, all elements at once.

    u - ln(1 + u) = -ln q is convex, so Newton comes down from the upper bound sqrt(2 v) + v of Lambert's lower branch.
    """
    v = -np.log(np.asarray(q, dtype=float))
    u = np.sqrt(2 * v) + v
    for _ in range(60):
        change = np.divide((u - np.log1p(u) - v) * (1 + u), u, out=np.zeros_like(u), where=u > 0)
        u = np.maximum(u - change, 0.0)
        if np.all(np.abs(change) <= 1e-14 * (1 + u)):
            break
    return u[()]


@formula(
    "sensor.two_lag_settling",
    symbol="t_set",
    title="Time two lags need to fall back to the tolerance",
    kind="time",
    takes="A: height of the bump at its peak; t_peak: time from clean water at the face to the peak; tau: time constant of each "
    "lag as it falls; tol: tolerance of the reading",
    shown="min(tol, abs(A)) = abs(A)*(1 + max(t_set - t_peak, 0*t_peak)/tau)*exp(-max(t_set - t_peak, 0*t_peak)/tau)",
    cite=DERIVED.at("decay of two equal lags from the peak; solved by Newton from a proved upper bound"),
    valid="two equal lags; zero where the bump never leaves the tolerance",
    unpublished="derived; checked by putting the root back and against the exact response",
)
def two_lag_settling(A: KgPerCubicMetre, t_peak: Second, tau: Second, tol: KgPerCubicMetre) -> Second:
    """From clean water at the face until the bias is within ``tol`` for good."""
    height = np.abs(A)
    outside = height > tol
    q = np.where(outside, tol, 1.0) / np.where(outside, height, 1.0)
    return np.where(outside, t_peak + tau * _two_lag_fall(q), 0.0)[()]


@formula(
    "sensor.dead_time_residual",
    symbol="b",
    title="Bias of a lag with dead time left when the output is released",
    kind="concentration",
    takes="dC: difference the bubbles drive the reading through; t_blast: time the face is in bubbles; t_hold: hold-off; "
    "t_clear: time for the bubbles to leave the face; t_mix: time for the water to mix; t_d: dead time; tau: time constant as "
    "it rises; tau_f: time constant as it falls",
    shown="dC*(1 - exp(-max(min(max(t_hold - t_clear - t_mix, 0*t_hold) - t_d, 0*t_hold) + t_blast, 0*t_hold)/tau))"
    "*exp(-max(max(t_hold - t_clear - t_mix, 0*t_hold) - t_d, 0*t_hold)/tau_f)",
    cite=DERIVED.at("single lag after a dead time: step on, step off"),
    valid="no decay counted until bubbles have gone and the water has mixed",
    unpublished="derived; checked against the exact response",
)
def dead_time_residual(
    dC: KgPerCubicMetre, t_blast: Second, t_hold: Second, t_clear: Second, t_mix: Second, t_d: Second, tau: Second, tau_f: Second
) -> KgPerCubicMetre:
    """Still rising while ``t_hold`` is shorter than the dead time; then it falls with ``tau_f``."""
    t = np.maximum(np.asarray(t_hold - t_clear - t_mix), 0.0) - t_d
    return dC * dead_time_step(np.minimum(t, 0.0) + t_blast, 0.0, tau) * np.exp(-np.maximum(t, 0.0) / tau_f)


@formula(
    "sensor.dead_time_settling",
    symbol="t_set",
    title="Time a lag with dead time needs to fall back to the tolerance",
    kind="time",
    takes="A: height of the bump, as from reading.bump; t_d: dead time; tau: time constant as it falls; tol: tolerance of the "
    "reading",
    shown="min(tol, abs(A)) = abs(A)*exp(-max(t_set - t_d, 0*t_d)/tau)",
    cite=DERIVED.at("decay of a single lag after the dead time"),
    valid="zero where the bump never leaves the tolerance; t_d = 0 is the single lag",
    unpublished="derived; checked by putting the root back; without dead time it is the single lag, which has a case",
)
def dead_time_settling(A: KgPerCubicMetre, t_d: Second, tau: Second, tol: KgPerCubicMetre) -> Second:
    """From clean water at the face until the bias is within ``tol`` for good. ``A`` as from ``reading.bump``."""
    outside = np.abs(A) > tol
    ratio = np.where(outside, np.abs(A), 1.0) / np.where(outside, tol, 1.0)
    return np.where(outside, t_d + tau * np.log(ratio), 0.0)[()]


@formula(
    "sensor.hold_off_needed",
    symbol="t_off",
    title="Hold-off needed",
    kind="time",
    takes="t_clear: time for the bubbles to leave the face; t_mix: time for the water to mix; t_set: time the sensor needs to "
    "fall back to the tolerance",
    shown="t_clear + t_mix + t_set",
    cite=DERIVED.at("bubbles clear, water mixes, sensor settles"),
    valid="any sensor; never less than bubbles and mixing need",
    unpublished="a sum",
)
def hold_off_needed(t_clear: Second, t_mix: Second, t_set: Second) -> Second:
    """From air off until the bias is within the tolerance."""
    return t_clear + t_mix + t_set
