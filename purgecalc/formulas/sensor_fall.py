"""How the fall of a sensor differs from one lag of its t90.

A settling factor, or a fall slower than the rise, stretches time from the moment the face is in clean water again; ``k`` is how
much. A t95 or t99 beside t90 tells of a share of the sensor that follows slowly: a quick and a slow lag then work side by
side, and response, bump and fall are sums of two single lags.

An optical face settles later than one lag of its t90. Its kind has a settling factor (measured), which stretches the
fall and not the bump; a t95, t98 or t99 beside t90 takes its place, as a quick and a slow lag side by side (slow share
0.2, our judgement) that meet what is stated or fall later. A t90 ``t90_of`` a rise is lengthened where the reading has
to fall. Where nobody says, the upper end of the band of t90 is that of a rise; an ``uncertainty.response`` stated
stands for all of it. Temperature and flow are told and not corrected for.
"""

from __future__ import annotations

import numpy as np

from purgecalc.references import BITTIG, COMMON_PRACTICE, DERIVED, OPTODE_RESPONSE
from purgecalc.si import Kelvin, KgPerCubicMetre, Num, Ratio, Second
from purgecalc.working import constant, formula

STATED_AT = constant("T_20", 293.15, "K", "temperature t90 is usually stated for", COMMON_PRACTICE.at("20 degC"))
COLD_SLOPE = constant(
    "s_T",
    0.02,
    "1/K",
    "share by which an optical sensor is slower a kelvin colder, at most",
    BITTIG.at("-2.0 % a kelvin at 15 degC, boundary layer held"),
)
_FALL_ROUNDS = 70


@formula(
    "sensor.fall_stretch",
    symbol="k",
    title="Times the fall takes what one lag of the t90 takes",
    kind="ratio",
    takes="f_set: settling factor of the kind of sensor; f_fall: how much slower it falls than it rises; dC: difference the "
    "bubbles drive the reading through",
    shown="f_set*(1 + (f_fall - 1)*max(dC, 0*dC)/abs(dC))",
    cite=OPTODE_RESPONSE.at("time to come within 1/36 of a step, against one lag of the same t90"),
    valid="f_fall counts where the reading has to fall; after a bump downwards it has to rise",
    unpublished="a product; the times to come within 1/36 of a step use it",
)
def fall_stretch(f_set: Ratio, f_fall: Ratio, dC: KgPerCubicMetre) -> Ratio:
    """Settling factor, and how much slower a fall is than the rise that t90 was stated for."""
    return f_set * np.where(np.asarray(dC) > 0, f_fall, 1.0)[()]


@formula(
    "sensor.fall_constant",
    symbol="tau_f",
    title="Time constant the reading falls back with",
    kind="time",
    takes="k: times the fall is stretched; tau: time constant of the sensor",
    shown="k*tau",
    cite=DERIVED.at("the fall stretched in time"),
    valid="from clean water at the face on",
    unpublished="a product",
)
def fall_constant(k: Ratio, tau: Second) -> Second:
    """Every lag of the sensor alike."""
    return k * tau


@formula(
    "sensor.slower_in_cold",
    symbol="x",
    title="Share by which t90 is longer than at 20 degC, at most",
    kind="fraction",
    takes="T: temperature of the water",
    shown="exp(s_T*max(T_20 - T, 0*T)) - 1",
    cite=BITTIG.at("2.0 % a kelvin, boundary layer held; 0.8 to 1.2 % in a bath with flow"),
    valid="optical faces, 5 to 25 degC",
    unpublished="an exponential through the steepest of the measured figures",
)
def slower_in_cold(T: Kelvin) -> Ratio:
    """Nothing in water as warm as that t90 is usually stated for."""
    return np.expm1(COLD_SLOPE.value * np.maximum(STATED_AT.value - T, 0.0))


def longest_tail(s: Num, x: Num) -> Num:
    """Response time to ``x`` over t90 that a slow share ``s`` has at most: the rest of the sensor follows at once."""
    share = np.asarray(s, float)
    enough = share > 0.1
    return np.where(enough, np.log(share / (1 - np.asarray(x))) / np.log(np.where(enough, share, 0.2) / 0.1), np.inf)[()]


@formula(
    "sensor.slow_constant",
    symbol="tau_s",
    title="Time constant of the slow share",
    kind="time",
    takes="t_90: time to show nine tenths of a step; t_x: longer time, to show the share x; x: that share; s: slow share of the "
    "sensor",
    shown="max(1 - x, exp(-ln(10)*t_x/t_90)) = (1 - s)*exp(-t_x/t_90*ln((1 - s)/(0.1 - s*exp(-t_90/tau_s)))) + s*exp(-t_x/tau_s)",
    cite=DERIVED.at("quick and slow lag side by side through t90 and one longer response time; never quicker than one lag"),
    valid="a response time that the slow share can have",
    unpublished="derived; checked by putting the root back",
)
def slow_constant(t_90: Second, t_x: Second, x: Ratio, s: Ratio) -> Second:
    """nan where even a slow share that stands nearly still does not reach ``t_x`` with the t90 stated.

    The unknown is w = exp(-t_90/tau_s), between 0.1 (one lag) and where the quick lag is done at once. What is left at
    ``t_x`` rises with w.
    """
    far = t_x / np.asarray(t_90, float)
    left = np.maximum(1 - np.asarray(x, float), 10**-far)
    low, high = 0.1 + 0 * left, np.minimum(0.1 / np.asarray(s, float), 1.0) + 0 * left
    reached = s * high**far >= left * (1 - 1e-12)
    for _ in range(_FALL_ROUNDS):
        w = (low + high) / 2
        short = (1 - s) * (np.maximum(0.1 - s * w, 0.0) / (1 - s)) ** far + s * w**far < left
        low, high = np.where(short, w, low), np.where(short, high, w)
    return np.where(reached, -t_90 / np.log((low + high) / 2), np.nan)[()]


@formula(
    "sensor.quick_constant",
    symbol="tau",
    title="Time constant of the quick share",
    kind="time",
    takes="t_90: time to show nine tenths of a step; tau_s: time constant of the slow share; s: slow share of the sensor",
    shown="t_90/ln((1 - s)/(0.1 - s*exp(-t_90/tau_s)))",
    cite=DERIVED.at("quick and slow lag side by side, nine tenths at t90"),
    valid="tau_s at least that of one lag",
    unpublished="derived; checked against the response",
)
def quick_constant(t_90: Second, tau_s: Second, s: Ratio) -> Second:
    """The rest of the sensor, so that t90 is met; nan where the slow share alone has more than a tenth left by then."""
    rest = 0.1 - np.asarray(s * np.exp(-t_90 / tau_s))
    return (t_90 / np.log((1 - s) / np.where(rest > 0, rest, np.nan)))[()]


@formula(
    "sensor.slow_share_bump",
    symbol="A",
    title="Height of the bump, quick and slow share",
    kind="concentration",
    takes="dC: difference the bubbles drive the reading through; t_blast: time the face is in bubbles; tau: time constant of "
    "the quick share; tau_s: time constant of the slow share; s: slow share of the sensor",
    shown="dC*((1 - s)*(1 - exp(-t_blast/tau)) + s*(1 - exp(-t_blast/tau_s)))",
    cite=DERIVED.at("step response of two lags side by side"),
    valid="t_blast is the time the face is in bubbles",
    unpublished="derived; checked against the simulation",
)
def slow_share_bump(dC: KgPerCubicMetre, t_blast: Second, tau: Second, tau_s: Second, s: Ratio) -> KgPerCubicMetre:
    """Signed."""
    return dC * ((1 - s) * -np.expm1(-t_blast / tau) + s * -np.expm1(-t_blast / tau_s))


@formula(
    "sensor.slow_share_settling",
    symbol="t_set",
    title="Time quick and slow share need to fall back to the tolerance",
    kind="time",
    takes="A: height of the bump; dC: difference the bubbles drive the reading through; t_blast: time the face is in bubbles; "
    "tau: time constant of the quick share; tau_s: time constant of the slow share; s: slow share of the sensor; k: times the "
    "fall is stretched; tol: tolerance of the reading",
    shown="min(tol, abs(A)) = abs(dC)*((1 - s)*(1 - exp(-t_blast/tau))*exp(-t_set/(k*tau))"
    " + s*(1 - exp(-t_blast/tau_s))*exp(-t_set/(k*tau_s)))",
    cite=DERIVED.at("decay of two lags side by side; solved by Newton on its logarithm, from below"),
    valid="A as from the bump; zero where it never leaves the tolerance",
    unpublished="derived; checked by putting the root back and against the simulation",
)
def slow_share_settling(
    A: KgPerCubicMetre, dC: KgPerCubicMetre, t_blast: Second, tau: Second, tau_s: Second, s: Ratio, k: Ratio, tol: KgPerCubicMetre
) -> Second:
    """The logarithm of a sum of decays is convex, so Newton's steps from zero never pass the root."""
    outside = np.abs(A) > tol
    quick = np.abs(dC) * (1 - s) * -np.expm1(-t_blast / tau)
    slow = np.abs(dC) * s * -np.expm1(-t_blast / tau_s)
    t = np.zeros(np.broadcast_shapes(np.shape(outside), np.shape(quick), np.shape(slow)))
    for _ in range(60):
        a, b = quick * np.exp(-t / (k * tau)), slow * np.exp(-t / (k * tau_s))
        rest = np.where(outside, a + b, 1.0)
        rate = np.where(outside, (a / tau + b / tau_s) / k, 1.0)
        step = np.where(outside, rest / rate * np.log(rest / np.where(outside, tol, 1.0)), 0.0)
        t = t + np.maximum(step, 0.0)
        if np.all(np.abs(step) <= 1e-14 * (1 + t)):
            break
    return t[()]


@formula(
    "sensor.slow_share_residual",
    symbol="b",
    title="Bias of quick and slow share left when the output is released",
    kind="concentration",
    takes="dC: difference the bubbles drive the reading through; t_blast: time the face is in bubbles; t_hold: hold-off; "
    "t_clear: time for the bubbles to leave the face; t_mix: time for the water to mix; tau: time constant of the quick share; "
    "tau_s: time constant of the slow share; s: slow share of the sensor; k: times the fall is stretched",
    shown="dC*((1 - s)*(1 - exp(-t_blast/tau))*exp(-max(t_hold - t_clear - t_mix, 0*t_hold)/(k*tau))"
    " + s*(1 - exp(-t_blast/tau_s))*exp(-max(t_hold - t_clear - t_mix, 0*t_hold)/(k*tau_s)))",
    cite=DERIVED.at("decay of two lags side by side"),
    valid="no decay counted until bubbles have gone and the water has mixed",
    unpublished="derived; checked against the simulation",
)
def slow_share_residual(
    dC: KgPerCubicMetre,
    t_blast: Second,
    t_hold: Second,
    t_clear: Second,
    t_mix: Second,
    tau: Second,
    tau_s: Second,
    s: Ratio,
    k: Ratio,
) -> KgPerCubicMetre:
    """Signed bias at release."""
    t = np.maximum(np.asarray(t_hold - t_clear - t_mix), 0.0) / k
    quick = (1 - s) * -np.expm1(-t_blast / tau) * np.exp(-t / tau)
    return dC * (quick + s * -np.expm1(-t_blast / tau_s) * np.exp(-t / tau_s))
