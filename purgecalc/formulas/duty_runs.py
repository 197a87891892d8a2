"""How long the compressor of a receiver runs for a blast: mass balances over its runs, and bounds by hand."""

from __future__ import annotations

import numpy as np

from purgecalc.formulas.air import R_AIR
from purgecalc.references import DERIVED, OUR_JUDGEMENT
from purgecalc.si import CubicMetre, Kelvin, KgPerSecond, Kilogram, Pascal, Ratio, Second
from purgecalc.working import formula


@formula(
    "source.missing_bands",
    symbol="y",
    title="Air a run leaves missing, in fillings of the switch band",
    kind="ratio",
    takes="m_made: mass of air the run made; m_blast: mass of air the blast took; V: volume of the receiver; p_1: cut-in "
    "pressure; p_2: cut-out pressure; T: temperature of the receiver's wall",
    shown="max(m_blast - m_made, 0*m_blast)*R_air*T/(V*(p_2 - p_1))",
    cite=DERIVED.at("a switch stops on air warm from filling: once it has cooled, so much is missing"),
    valid="p_1 cut-in and p_2 cut-out, absolute; from 1 on the cooled air has fallen to cut-in",
    unpublished="mass balance",
)
def missing_bands(m_made: Kilogram, m_blast: Kilogram, V: CubicMetre, p_1: Pascal, p_2: Pascal, T: Kelvin) -> Ratio:
    """Air made in a run, against air of the blast that caused it; ``p_1`` and ``p_2`` absolute."""
    return np.maximum(m_blast - m_made, 0.0) * R_AIR.value * T / (V * (p_2 - p_1))


@formula(
    "source.whole_run",
    symbol="t",
    title="Run of the compressor, with what it makes good once the air has cooled",
    kind="time",
    takes="t_run: running time until the switch stops it; t_fill: time to fill from cut-in to cut-out; m_made: mass of air made "
    "by then; m_blast: mass of air the blast took; y: what is missing, in fillings of the switch band",
    shown="t_run*(1 + (1 - min(y, 1)**2)*max(m_blast/m_made - 1, 0)) + positive(m_made)*min(y, 1)**2*y*t_fill",
    cite=OUR_JUDGEMENT.at(
        "made good at the mean flow of the run, or in the band where the air cools to cut-in; between by y squared"
    ),
    valid="t_fill from cut-in to cut-out; no time where nothing was made",
    unpublished="the tests hold it against an event simulation",
)
def whole_run(t_run: Second, t_fill: Second, m_made: Kilogram, m_blast: Kilogram, y: Ratio) -> Second:
    """What is missing is ``y`` fillings of the band. The cooler the air falls, the more of it is made where the flow is least."""
    ran = np.asarray(m_made) > 0
    share = np.where(ran, m_blast / np.where(ran, m_made, 1.0), 1.0)
    x = np.minimum(y, 1.0) ** 2
    return (t_run * (1 + (1 - x) * np.maximum(share - 1, 0.0)) + np.where(ran, x * y * t_fill, 0.0))[()]


@formula(
    "source.time_to_make",
    symbol="t",
    title="Time to make the air of a blast at the least flow",
    kind="time",
    takes="m_blast: mass of air the blast took; m: mass flow of the compressor at cut-out",
    shown="m_blast/m",
    cite=DERIVED.at("no air is made more slowly than at cut-out"),
    valid="m is the compressor's flow at cut-out",
    unpublished="a ratio",
)
def time_to_make(m_blast: Kilogram, m: KgPerSecond) -> Second:
    """An upper end: most of a large blast is made at lower pressures, where the compressor delivers more."""
    return m_blast / m


@formula(
    "source.most_run",
    symbol="t",
    title="Longest run a blast from cut-out can cause",
    kind="time",
    takes="t_blast: length of the blast; t_fill: time to fill from what the blast leaves of a receiver nobody fills; t_made: "
    "time to make the air at the least flow",
    shown="max(t_blast, min(t_made, t_blast + t_fill))",
    cite=DERIVED.at("the run ends when the air is made, or when the receiver is full again"),
    valid="an upper end, where the blast is not integrated",
    unpublished="a comparison of bounds; the tests hold it against the integrated blast",
)
def most_run(t_blast: Second, t_fill: Second, t_made: Second) -> Second:
    """The lower of two bounds, and no shorter than the blast."""
    return np.maximum(t_blast, np.minimum(t_made, t_blast + t_fill))


@formula(
    "source.run_between",
    symbol="t_run",
    title="Running time per blast where every run ends before the next",
    kind="time",
    takes="t_out: run a blast from cut-out causes, 0 where it starts none; t_share: the blast's share of the run that fills the "
    "band",
    shown="t_out + (1 - positive(t_out))*t_share",
    cite=DERIVED.at("mass balance over many blasts"),
    valid="blasts that begin at cut-out; where the switch stays off, each adds its share to the run that fills the band",
    unpublished="mass balance; the tests hold it against an event simulation",
)
def run_between(t_out: Second, t_share: Second) -> Second:
    """A run of its own where it causes one, else its share of one."""
    return np.where(np.asarray(t_out) > 0, t_out, t_share)[()]


@formula(
    "source.run_time",
    symbol="t_run",
    title="Running time of the compressor per blast",
    kind="time",
    takes="t_calm: running time where every run ends before the next blast; t_stop: run for a blast that begins as the "
    "compressor is about to stop; t_long: longest run; T: interval between blasts",
    shown="max(t_calm, positive(t_long - T)*t_stop)",
    cite=DERIVED.at("a run that is not done when the next blast begins goes on close to cut-out, where least is delivered"),
    valid="a compressor that waits for its switch, over many blasts",
    unpublished="a choice; the tests hold it against an event simulation",
)
def run_time(t_calm: Second, t_stop: Second, t_long: Second, T: Second) -> Second:
    """``t_stop`` of a blast that begins as the compressor is about to stop counts where the longest run lasts beyond ``T``."""
    return np.maximum(t_calm, np.where(np.asarray(t_long) > T, t_stop, 0.0))


@formula(
    "source.run_excess",
    symbol="dt",
    title="What a run from cut-in lasts beyond one that begins at cut-out",
    kind="time",
    takes="t_first: run for a blast that begins at cut-in; t_stop: run for one that begins at cut-out",
    shown="t_first - t_stop",
    cite=DERIVED.at("the band is filled once, by the first line to blow"),
    valid="any sign",
    unpublished="a difference",
)
def run_excess(t_first: Second, t_stop: Second) -> Second:
    """Of one line."""
    return t_first - t_stop


@formula(
    "source.run_share",
    symbol="t_share",
    title="A blast's share of the run that fills the band",
    kind="time",
    takes="t_fill: time to fill from cut-in to cut-out; m_blast: mass of air of the blast; V: volume of the receiver; p_1: "
    "cut-in pressure; p_2: cut-out pressure; T: temperature of the receiver's wall",
    shown="t_fill*m_blast*R_air*T/(V*(p_2 - p_1))",
    cite=DERIVED.at("what a blast takes must be made again"),
    valid="on average over many blasts that do not start the compressor",
    unpublished="mass balance",
)
def share_of_fill(t_fill: Second, m_blast: Kilogram, V: CubicMetre, p_1: Pascal, p_2: Pascal, T: Kelvin) -> Second:
    """Air of the blast over what fills the receiver from cut-in ``p_1`` to cut-out ``p_2``, absolute, times the time of that."""
    return t_fill * missing_bands(0.0 * m_blast, m_blast, V, p_1, p_2, T)


@formula(
    "receiver.most_air",
    symbol="m_blast",
    title="Most air a blast can take",
    kind="mass",
    takes="m: mass flow of the steady blast from p_h; t: length of the blast; V_h: volume of the hose; p_h: pressure the hose "
    "is filled from; p_atm: pressure of the atmosphere; V: volume of the receiver; p: pressure of the receiver as the blast "
    "begins; p_b: pressure of the water at the head; m_c: mass flow of the compressor against p_b; T: temperature of the air",
    shown="min(m*t + V_h*(p_h - p_atm)/(R_air*T), V*(p - p_b)/(R_air*T) + m_c*t)",
    cite=DERIVED.at("steady flow from the highest pressure, and the hose filled; or all that stands above the water pressure"),
    valid="an upper end, where the blast is not integrated",
    unpublished="mass balance; the tests hold it against the integrated blast",
)
def most_air(
    m: KgPerSecond,
    t: Second,
    V_h: CubicMetre,
    p_h: Pascal,
    p_atm: Pascal,
    V: CubicMetre,
    p: Pascal,
    p_b: Pascal,
    m_c: KgPerSecond,
    T: Kelvin,
) -> Kilogram:
    """The lower of two bounds."""
    full = m * t + V_h * (p_h - p_atm) / (R_AIR.value * T)
    return np.minimum(full, V * (p - p_b) / (R_AIR.value * T) + m_c * t)
