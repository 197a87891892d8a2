"""The ends of the band of intervals: what live share, duty, loop and fouling ask for."""

from __future__ import annotations

import numpy as np

from purgecalc.references import COMMON_PRACTICE, DERIVED, IEC_60034, OUR_JUDGEMENT
from purgecalc.si import Ratio, Second
from purgecalc.working import constant, formula

LIVE_WANTED = constant("live_min", 0.9, "", "live share wanted", COMMON_PRACTICE.at("nine tenths"))
SETTLES = constant("n_settle", 3.0, "", "integral times a loop is given to settle", OUR_JUDGEMENT.at())


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
    "interval.shortest_for_live",
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
    "interval.shortest_for_duty",
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
    "interval.shortest_for_loop",
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


@formula(
    "interval.longest_interval",
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
