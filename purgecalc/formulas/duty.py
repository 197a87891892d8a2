"""How hard the schedule works the source: run share, worst ten minutes, starts, energy."""

from __future__ import annotations

import numpy as np

from purgecalc.references import DERIVED, IEC_60034
from purgecalc.si import CubicMetre, CubicMetrePerSecond, Joule, PerSecond, Ratio, Second, Watt
from purgecalc.working import constant, formula

YEAR = constant("year", 365.25 * 86400, "s", "one year", DERIVED.at("365.25 days"))


@formula(
    "source.duty_fraction",
    symbol="CDF",
    title="Duty of the source",
    kind="fraction",
    takes="t_run: running time in a cycle; t_cycle: length of the cycle",
    shown="t_run/t_cycle",
    cite=IEC_60034.at("duty type S3"),
    valid="t_run <= t_cycle",
)
def duty_fraction(t_run: Second, t_cycle: Second) -> Ratio:
    """Running time of a cycle over its length: a mean over many cycles."""
    return t_run / t_cycle


@formula(
    "source.run_as_wired",
    symbol="t_run",
    title="Running time of the source in an interval, as the contact is wired",
    kind="time",
    takes="share: share of the time that air flows; T: interval between blasts of one line",
    shown="share*T",
    cite=DERIVED.at("the motor runs while air flows"),
    valid="share of the time that air flows: all but the blast where the contact is inverted",
    unpublished="a product",
)
def run_as_wired(share: Ratio, T: Second) -> Second:
    """Over one interval ``T`` of one line, in one piece."""
    return share * T


@formula(
    "source.unasked_run",
    symbol="t_idle",
    title="Running time of the compressor in an interval, its valve open at rest",
    kind="time",
    takes="rest: 1 where air flows between blasts, else 0; T: interval between blasts of one line",
    shown="rest*T",
    cite=DERIVED.at("an upper end: a receiver that is drained between blasts is filled all the time"),
    valid="rest: 1 where air flows between blasts, else 0",
    unpublished="a product",
)
def unasked_run(rest: Ratio, T: Second) -> Second:
    """Over one interval ``T`` of one line; nothing where the contact is wired as it should be."""
    return rest * T


@formula(
    "source.run_in_window",
    symbol="t_window_run",
    title="Running time in the worst window",
    kind="time",
    takes="t_run: length of one run; T: interval between runs; W: length of the window",
    shown="floor(W/T)*t_run + min(t_run, W - floor(W/T)*T)",
    cite=DERIVED.at("window opened at the start of a run"),
    valid="runs of equal length at equal intervals, t_run <= T",
    unpublished="counting; checked against brute force",
)
def run_in_window(t_run: Second, T: Second, W: Second) -> Second:
    """Most running time any window of length ``W`` can hold: no mean, and of one line alone."""
    whole = np.floor(W / T)
    return np.where(whole > 0, whole * t_run, 0.0)[()] + np.minimum(t_run, W - whole * T)


@formula(
    "source.worst_run",
    symbol="t_worst",
    title="Running time in the worst window",
    kind="time",
    takes="t_first: running time with every line blowing once; t_more: running time that further blasts of the window add; W: "
    "length of the window",
    shown="min(t_first + t_more, W)",
    cite=DERIVED.at("a window holds no more than itself"),
    valid="t_first: every line blows once at the worst moment; t_more: what further blasts of the window add",
    unpublished="counting; the tests hold it against an event simulation",
)
def worst_run(t_first: Second, t_more: Second, W: Second) -> Second:
    """Over any window of length ``W``, the worst phase of the lines to each other and of the receiver in its band."""
    return np.minimum(t_first + t_more, W)


@formula(
    "source.further_runs",
    symbol="t_more",
    title="Running time that further blasts of a window add",
    kind="time",
    takes="t_window_run: running time for one line in the worst window; t_run: its running time for one blast",
    shown="max(t_window_run - t_run, 0*t_run)",
    cite=DERIVED.at("the first blast of the window is counted apart"),
    valid="any",
    unpublished="counting",
)
def further_runs(t_window_run: Second, t_run: Second) -> Second:
    """All of one line's blasts in the window but the first; nothing where the window ends within the run of that."""
    return np.maximum(t_window_run - t_run, 0.0)


@formula(
    "schedule.shorter_interval",
    symbol="T",
    title="The shorter of two intervals",
    kind="time",
    takes="T_a: interval of one line; T_b: interval of another",
    shown="min(T_a, T_b)",
    cite=DERIVED.at("the next blast of any line may come so soon"),
    valid="any",
    unpublished="a comparison",
)
def shorter_of(T_a: Second, T_b: Second) -> Second:
    """Of two lines."""
    return np.minimum(T_a, T_b)


@formula(
    "source.run_allowed",
    symbol="t_allowed",
    title="Running time the rating allows in its window",
    kind="time",
    takes="CDF_rated: share of running time the maker allows; W: length of the window",
    shown="CDF_rated*W",
    cite=IEC_60034.at("duty type S3, cycle 10 min unless stated"),
    valid="S3 rating; S1 counts as 100 %",
)
def run_allowed(CDF_rated: Ratio, W: Second) -> Second:
    """Rated share of any window of length ``W``."""
    return CDF_rated * W


@formula(
    "source.starts_per_hour",
    symbol="n_starts",
    title="Starts of the source",
    kind="rate",
    takes="T: interval between blasts",
    shown="1/T",
    cite=DERIVED.at("one start a blast"),
    valid="no starts caused by leaks",
    unpublished="a ratio",
)
def starts(T: Second) -> PerSecond:
    """One start each interval ``T``: the mean rate of one line."""
    return 1 / np.asarray(T)[()]


@formula(
    "blast.air_of_interval",
    symbol="V",
    title="Air of an interval, ANR, as the contact is wired",
    kind="volume",
    takes="V_blast: air of one blast; share: share of the time that air flows; T: interval between blasts; t_blast: length "
    "of the blast",
    shown="V_blast*share*T/t_blast",
    cite=DERIVED.at("air at the mean flow of the blast, for as long as it flows"),
    valid="share of the time that air flows; an upper end for a receiver, which runs down",
    unpublished="a product",
)
def air_of_interval(V_blast: CubicMetre, share: Ratio, T: Second, t_blast: Second) -> CubicMetre:
    """Over one interval ``T``; the air of the blast where the contact is wired as it should be."""
    return V_blast * share * T / t_blast


@formula(
    "blast.air_per_day",
    symbol="V_day",
    title="Air a day, ANR",
    kind="daily volume",
    takes="V: air of an interval; T: interval between blasts",
    shown="V/T",
    cite=DERIVED.at("blasts at equal intervals"),
    valid="any",
    unpublished="a ratio",
)
def air_rate(V: CubicMetre, T: Second) -> CubicMetrePerSecond:
    """Mean over many intervals; ``V`` of each."""
    return V / T


@formula(
    "source.energy_per_year",
    symbol="E_year",
    title="Electrical energy of the source a year",
    kind="electrical energy",
    takes="P: electrical power while running; CDF: share of the time that the source runs",
    shown="P*CDF*year",
    cite=DERIVED.at("power times running time"),
    valid="power drawn while running; standby not counted",
    unpublished="a product",
)
def energy_per_year(P: Watt, CDF: Ratio) -> Joule:
    """Over a year, at the mean share of running time: of one line, or of all lines together."""
    return P * CDF * YEAR.value


@formula(
    "source.sum_of_lines",
    symbol="total",
    title="Running time in the worst window, over the lines on one source",
    kind="time",
    takes="own: running time of this line in the worst window; others: running time of the other lines in it; W: length of the "
    "window",
    shown="min(own + others, W)",
    cite=DERIVED.at("worst case: the lines' runs fall in the same window, which cannot hold more than itself"),
    valid="any",
    unpublished="a sum",
)
def sum_time(own: Second, others: Second, W: Second) -> Second:
    """This line's part of the worst window of length ``W`` plus that of the others."""
    return np.minimum(own + others, W)


@formula(
    "source.sum_of_shares",
    symbol="total",
    title="Sum of run shares over the lines on one source",
    kind="fraction",
    takes="own: share of the time of this line; others: share of the time of the other lines",
    shown="own + others",
    cite=DERIVED.at("lines run one after another"),
    valid="any",
    unpublished="a sum",
)
def sum_share(own: Ratio, others: Ratio) -> Ratio:
    """This line's share of the time plus that of the others, means over many cycles."""
    return own + others


@formula(
    "source.sum_of_starts",
    symbol="total",
    title="Sum of starts over the lines on one source",
    kind="rate",
    takes="own: mean rate of starts of this line; others: mean rate of starts of the other lines",
    shown="own + others",
    cite=DERIVED.at("each line starts the source itself"),
    valid="lines that do not overlap",
    unpublished="a sum",
)
def sum_rate(own: PerSecond, others: PerSecond) -> PerSecond:
    """This line's starts plus those of the others, means over many intervals."""
    return own + others


@formula(
    "blast.air_per_year",
    symbol="V_year",
    title="Air a year, ANR",
    kind="volume",
    takes="V: air of an interval; T: interval between blasts",
    shown="V/T*year",
    cite=DERIVED.at("blasts at equal intervals"),
    valid="any",
    unpublished="a product",
)
def air_per_year(V: CubicMetre, T: Second) -> CubicMetre:
    """Over a year, ``V`` in each interval ``T``."""
    return V / T * YEAR.value
