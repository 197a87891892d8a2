"""Small links between reading, loop and fouling: leads, lengths of a hold, limits, and the ends of a band of intervals."""

from __future__ import annotations

import numpy as np

from purgecalc.references import COMMON_PRACTICE, DERIVED, OUR_JUDGEMENT
from purgecalc.si import ConcentrationRate, KgPerCubicMetre, Ratio, Second
from purgecalc.working import constant, formula

LIVE_WANTED = constant("live_min", 0.9, "", "live share wanted", COMMON_PRACTICE.at("nine tenths"))
SETTLES = constant("n_settle", 3.0, "", "integral times a loop is given to settle", OUR_JUDGEMENT.at())
PLUME = constant(
    "L_plume", 0.5, "m", "height the last bubbles rise to be clear of the face", OUR_JUDGEMENT.at("half a metre of plume")
)
LAST_BUBBLE = constant("d_last", 2e-3, "m", "size of the last bubbles to leave", OUR_JUDGEMENT.at("1 to 2 mm"))
STICKS = constant("t_stick", 2.0, "s", "time bubbles cling to the face", OUR_JUDGEMENT.at())


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
    "interval.longer_of",
    symbol="t",
    title="The longer of two times",
    kind="time",
    takes="t_a: one time; t_b: the other time",
    shown="max(t_a, t_b)",
    cite=DERIVED.at("both must be satisfied"),
    valid="any",
    unpublished="a maximum",
)
def longer_of(t_a: Second, t_b: Second) -> Second:
    """Element by element."""
    return np.maximum(t_a, t_b)


@formula(
    "interval.rest_of_duty",
    symbol="t_rest",
    title="Running time the other lines leave of the allowance",
    kind="time",
    takes="t_allowed: running time the rating allows in its window; t_others: running time of the other lines in it",
    shown="max(t_allowed - t_others, 0*t_allowed)",
    cite=DERIVED.at("lines on one source fall in the same window at worst"),
    valid="any",
    unpublished="a difference",
)
def rest_of_duty(t_allowed: Second, t_others: Second) -> Second:
    """Nothing where the others use it up."""
    return np.maximum(t_allowed - t_others, 0.0)


@formula(
    "interval.loop_recovery",
    symbol="t_recover",
    title="Time the loop is given to settle",
    kind="time",
    takes="n: number of integral times; T_i: integral time of the controller",
    shown="n*T_i",
    cite=OUR_JUDGEMENT.at("a few integral times"),
    valid="loop tuned without overshoot",
    unpublished="our own rule",
)
def loop_recovery(n: Ratio, T_i: Second) -> Second:
    """Between release and the next hold."""
    return n * T_i


@formula(
    "loop.effective_saturation",
    symbol="C_star",
    title="Oxygen saturation effective in the tank",
    kind="concentration",
    takes="beta: saturation effective in the tank over that at the surface; C_s: oxygen saturation at the surface",
    shown="beta*C_s",
    cite=DERIVED.at("clean-water saturation at the surface times a factor for salts and depth of the diffusers"),
    valid="factor measured or estimated for the tank",
    unpublished="a product",
)
def effective_saturation(beta: Ratio, C_s: KgPerCubicMetre) -> KgPerCubicMetre:
    """What the balance of the tank sees."""
    return beta * C_s


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
