"""The blast by hand formulas: how soon it arrives, what water it must push out, how much air it takes."""

from __future__ import annotations

import numpy as np

from purgecalc.formulas.air import R_AIR, G
from purgecalc.references import DERIVED, OUR_JUDGEMENT
from purgecalc.si import (
    CubicMetre,
    CubicMetrePerSecond,
    Kelvin,
    KgPerCubicMetre,
    KgPerSecond,
    Kilogram,
    Metre,
    MetrePerSecond,
    Pascal,
    Ratio,
    Second,
    SquareMetre,
)
from purgecalc.working import formula


@formula(
    "blast.wave_time",
    symbol="t_wave",
    title="Travel of the pressure wave along the hose",
    kind="time",
    takes="L: length of the hose; c: speed of the wave",
    shown="L/c",
    cite=DERIVED.at("acoustics"),
    valid="isothermal wave; the very first front may be 15 % earlier",
)
def wave_time(L: Metre, c: MetrePerSecond) -> Second:
    """Length over the speed of the wave."""
    return L / c


@formula(
    "blast.slug_volume",
    symbol="V_slug",
    title="Water standing in the hose",
    kind="volume",
    takes="A: area of the bore; L_wet: length of hose that stands full of water",
    shown="A*L_wet",
    cite=DERIVED.at("geometry"),
    valid="hose full to the wetted length",
    unpublished="geometry",
)
def slug_volume(A: SquareMetre, L_wet: Metre) -> CubicMetre:
    """Water the blast must push out first."""
    return A * L_wet


@formula(
    "blast.water_flow",
    symbol="Q_w",
    title="Flow of water through the holes of the head",
    kind="volume flow",
    takes="C_w: discharge coefficient of the holes for water; A_h: area of all the holes; dp: pressure difference across them; "
    "rho_w: density of the water",
    shown="C_w*A_h*sqrt(2*dp/rho_w)",
    cite=DERIVED.at("orifice equation"),
    valid="turbulent orifice",
)
def water_flow(C_w: Ratio, A_h: SquareMetre, dp: Pascal, rho_w: KgPerCubicMetre) -> CubicMetrePerSecond:
    """Sharp-edged holes passing water, ``dp`` the pressure across them at that moment; ``C_w`` 0.62 is cautious."""
    return C_w * A_h * np.sqrt(2 * np.maximum(dp, 0.0) / rho_w)


@formula(
    "blast.slug_pressure",
    symbol="dp",
    title="Mean pressure that drives the water out",
    kind="pressure difference",
    takes="p_drive: pressure of the air behind the water; p_b: pressure of the water at the head; rho_w: density of the water; "
    "h: height of the column, at most the depth of the head",
    shown="p_drive - p_b + rho_w*g*h/2",
    cite=OUR_JUDGEMENT.at("half the column counted as mean"),
    valid="column falling to the head",
    unpublished="our own mean",
)
def slug_pressure(p_drive: Pascal, p_b: Pascal, rho_w: KgPerCubicMetre, h: Metre) -> Pascal:
    """Gas pressure less the water's at the head, plus the column's own help."""
    return p_drive - p_b + rho_w * G.value * h / 2


@formula(
    "blast.slug_time_estimate",
    symbol="t_slug",
    title="Time to push the water out, hand estimate",
    kind="time",
    takes="V_slug: volume of water in the hose; Q_w: volume flow of water through the holes",
    shown="V_slug/Q_w",
    cite=DERIVED.at("volume over flow"),
    valid="constant driving pressure",
    unpublished="a ratio",
)
def slug_time(V_slug: CubicMetre, Q_w: CubicMetrePerSecond) -> Second:
    """Volume over volume flow."""
    return V_slug / Q_w


@formula(
    "blast.fill_time",
    symbol="t_fill",
    title="Time to fill the hose to its working pressure",
    kind="time",
    takes="p_mean: mean pressure along the hose at work; p_atm: pressure of the atmosphere; V: volume of the hose; T: "
    "temperature of the air; m: mass flow of the supply",
    shown="(p_mean - p_atm)*V/(R_air*T*m)",
    cite=DERIVED.at("ideal gas at constant supply"),
    valid="supply near its steady flow; a lower bound on a long hose",
    unpublished="ideal-gas filling",
)
def fill_time(p_mean: Pascal, p_atm: Pascal, V: CubicMetre, T: Kelvin, m: KgPerSecond) -> Second:
    """Mass to raise the hose from atmosphere to its mean working pressure, at the steady flow."""
    return (p_mean - p_atm) * V / (R_AIR.value * T * m)


@formula(
    "blast.mean_pressure",
    symbol="p_mean",
    title="Mean pressure along the hose",
    kind="pressure",
    takes="p_in: pressure at the source end of the hose; p_out: pressure at its head end",
    shown="2/3*(p_in**3 - p_out**3)/(p_in**2 - p_out**2)",
    cite=DERIVED.at("square-root profile of isothermal friction flow"),
    valid="p_in > p_out",
    unpublished="integral of the profile",
)
def mean_pressure(p_in: Pascal, p_out: Pascal) -> Pascal:
    """Length-averaged pressure of isothermal flow."""
    return 2 / 3 * (p_in + p_out - p_in * p_out / (p_in + p_out))


@formula(
    "blast.delivery_time_estimate",
    symbol="t_del",
    title="Delivery time, hand estimate",
    kind="time",
    takes="t_run_up: time from the command until the source delivers; t_wave: travel of the wave; t_slug: time to push the "
    "water out; t_fill: time to fill the hose",
    shown="t_run_up + t_wave + t_slug + t_fill",
    cite=OUR_JUDGEMENT.at("the four delays in series"),
    valid="an estimate: waves and filling overlap, long hoses are tens of per cent off",
    unpublished="a sum; compared with the integrated flow",
)
def delivery_time(t_run_up: Second, t_wave: Second, t_slug: Second, t_fill: Second) -> Second:
    """From the command to full flow at the head."""
    return t_run_up + t_wave + t_slug + t_fill


@formula(
    "blast.useful_time",
    symbol="t_useful",
    title="Useful part of the blast",
    kind="time",
    takes="t_blast: length of the blast; t_del: delivery time",
    shown="max(t_blast - t_del, 0*t_blast)",
    cite=DERIVED.at("what the delivery time leaves"),
    valid="source holding its pressure through the blast",
    unpublished="a difference",
)
def useful_time(t_blast: Second, t_del: Second) -> Second:
    """Seconds of full flow."""
    return np.maximum(t_blast - t_del, 0.0)


@formula(
    "blast.air_mass",
    symbol="m_blast",
    title="Mass of air a blast takes",
    kind="mass",
    takes="m: mass flow of the steady blast; t: length of the blast",
    shown="m*t",
    cite=DERIVED.at("steady flow"),
    valid="steady flow; start and finish cancel nearly",
    unpublished="a product",
)
def air_mass(m: KgPerSecond, t: Second) -> Kilogram:
    """Steady flow ``m`` from the lowest pressure a blast begins at, over the whole blast ``t``."""
    return m * t


@formula(
    "blast.share",
    symbol="share",
    title="Share of one quantity in another",
    kind="fraction",
    takes="a: time that is the part; b: time that is the whole",
    shown="a/b",
    cite=DERIVED.at("ratio"),
    valid="any",
    unpublished="a ratio",
)
def share(a: Second, b: Second) -> Ratio:
    """One time as a share of another."""
    return a / b


@formula(
    "blast.pressure_share",
    symbol="share",
    title="Share of a pressure",
    kind="fraction",
    takes="a: pressure difference that is the part; b: pressure difference that is the whole",
    shown="a/b",
    cite=DERIVED.at("ratio"),
    valid="any",
    unpublished="a ratio",
)
def pressure_share(a: Pascal, b: Pascal) -> Ratio:
    """One pressure difference as a share of another."""
    return a / b


@formula(
    "blast.air_sum",
    symbol="m",
    title="Air of several blasts",
    kind="mass",
    takes="a: mass of air of one line's blast, or of several; b: mass of air of the next one's",
    shown="a + b",
    cite=DERIVED.at("blasts one after another"),
    valid="any",
    unpublished="a sum",
)
def air_sum(a: Kilogram, b: Kilogram) -> Kilogram:
    """Of lines that blow in turn."""
    return a + b


@formula(
    "blast.pressure_sum",
    symbol="dp",
    title="Sum of two pressure losses",
    kind="pressure difference",
    takes="a: one pressure difference; b: the other pressure difference",
    shown="a + b",
    cite=DERIVED.at("losses in series"),
    valid="any",
    unpublished="a sum",
)
def pressure_sum(a: Pascal, b: Pascal) -> Pascal:
    """Two losses in series, pressure differences at one steady flow."""
    return a + b


@formula(
    "blast.same_time",
    symbol="t",
    title="A time taken over",
    kind="time",
    takes="t: the time taken over",
    shown="t",
    cite=DERIVED.at("identity"),
    valid="any",
    unpublished="identity",
)
def same_time(t: Second) -> Second:
    """The estimate stands where the blast was not integrated."""
    return t
