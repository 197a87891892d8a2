"""What a hose begins and ends with: its size as sold, its fittings, the pressures at its ends."""

from __future__ import annotations

from typing import Any

import numpy as np

from purgecalc.references import DARBY, DERIVED, OUR_JUDGEMENT, SHAPIRO
from purgecalc.si import Metre, Pascal, Ratio
from purgecalc.working import constant, formula

INCH = constant("inch", 0.0254, "m", "one inch", DERIVED.at("definition"))
RE_FITTING = constant(
    "Re_n", 1e4, "", "Reynolds number at which fittings are taken", OUR_JUDGEMENT.at("purge lines run at 3e3 to 3e4")
)


@formula(
    "hose.bore_of_tube",
    symbol="D",
    title="Bore of a tube sold by outside diameter",
    kind="length",
    takes="OD: outside diameter; w: thickness of the wall",
    shown="OD - 2*w",
    cite=DERIVED.at("geometry"),
    valid="any",
    unpublished="geometry",
)
def bore_of_tube(OD: Metre, w: Metre) -> Metre:
    """Outside diameter less two walls."""
    return OD - 2 * w


@formula(
    "hose.way",
    symbol="L_way",
    title="Shortest way of the hose from the source to the head",
    kind="length",
    takes="h: greatest depth of the head; L_wet: length below the water; L_open: length in the open",
    shown="max(h, L_wet, L_open)",
    cite=DERIVED.at("a source above the water: the hose is no shorter than any stated part of it"),
    valid="a lower bound: runs indoors, bends and the height of the source above the water are not in it",
    unpublished="geometry",
)
def way(h: Metre, L_wet: Metre, L_open: Metre) -> Metre:
    """No shorter than any of its stated parts."""
    return np.maximum(np.maximum(h, L_wet), L_open)


@formula(
    "hose.fitting_loss",
    symbol="K",
    title="Loss coefficient of fittings of one sort",
    kind="ratio",
    takes="n: number of equal fittings; K_1: coefficient that counts over the Reynolds number; K_inf: coefficient at high "
    "Reynolds number and large bore; K_d: coefficient of size, in inch**0.3; D: bore",
    shown="n*(K_1/Re_n + K_inf*(1 + K_d*(inch/D)**0.3))",
    cite=DARBY.at("table 7-3, through fluids.fittings.Darby3K"),
    valid="turbulent flow; small bores extrapolate the table",
    unpublished="delegated to fluids.fittings.Darby3K, which is compared",
)
def fitting_loss(n: Ratio, K_1: Ratio, K_inf: Ratio, K_d: Ratio, D: Metre) -> Ratio:
    """Equal fittings by the three coefficients of their sort."""
    from fluids.fittings import Darby3K  # costs a tenth of a second; most scenarios name no fittings

    three_k: Any = Darby3K  # annotated for floats, works on arrays
    return n * three_k(NPS=D / INCH.value, Re=RE_FITTING.value, K1=K_1, Ki=K_inf, Kd=K_d)


@formula(
    "hose.loss_coefficient",
    symbol="K",
    title="Loss coefficient of all fittings",
    kind="ratio",
    takes="K_a: loss coefficient of some fittings; K_b: loss coefficient of others on the same bore",
    shown="K_a + K_b",
    cite=DERIVED.at("losses in series"),
    valid="any",
    unpublished="a sum",
)
def add_losses(K_a: Ratio, K_b: Ratio) -> Ratio:
    """Two loss coefficients on the same bore."""
    return K_a + K_b


@formula(
    "hose.choked",
    symbol="choked",
    title="End of the hose choked",
    kind="flag",
    takes="p_out: pressure at the head end of the hose; p_star: pressure there at which it chokes",
    shown="floor(min(p_star*(1 + 1e-9)/p_out, 1))",
    cite=SHAPIRO.at("section 6.8, isothermal limit"),
    valid="1 where the outlet stands at its choking pressure, else 0",
    unpublished="a comparison of pressures",
)
def chokes(p_out: Pascal, p_star: Pascal) -> Ratio:
    """1 where the hose end, not the head, sets the flow."""
    return np.floor(np.minimum(p_star * (1 + 1e-9) / p_out, 1.0))


@formula(
    "hose.fed_pressure",
    symbol="p_fed",
    title="Pressure ahead of the check valve at the source end of the hose",
    kind="pressure",
    takes="p_in: pressure at the source end of the hose; p_crack: pressure difference the check valve takes",
    shown="p_in + p_crack",
    cite=DERIVED.at("check valve as a constant difference"),
    valid="check valve open; the pressure at the hose itself where none sits there",
    unpublished="a sum",
)
def fed_pressure(p_in: Pascal, p_crack: Pascal) -> Pascal:
    """What valve or source have to hold there."""
    return p_in + p_crack


@formula(
    "hose.fed_inlet",
    symbol="p_in",
    title="Pressure behind the check valve at the source end of the hose",
    kind="pressure",
    takes="p_fed: pressure ahead of the check valve; p_crack: pressure difference the check valve takes",
    shown="p_fed - p_crack",
    cite=DERIVED.at("check valve as a constant difference"),
    valid="check valve open",
    unpublished="inverse of hose.fed_pressure",
)
def fed_inlet(p_fed: Pascal, p_crack: Pascal) -> Pascal:
    """What is left at the hose."""
    return p_fed - p_crack


@formula(
    "hose.no_valve",
    symbol="p_source",
    title="Pressure at the source where no valve stands between it and the hose",
    kind="pressure",
    takes="p_in: pressure at the source end of the hose",
    shown="p_in",
    cite=DERIVED.at("nothing between source and hose"),
    valid="no valve",
    unpublished="identity",
)
def no_valve(p_in: Pascal) -> Pascal:
    """The hose begins at the source, at the same absolute pressure."""
    return p_in


@formula(
    "hose.outlet_pressure",
    symbol="p_out",
    title="Pressure at the head end of the hose",
    kind="pressure",
    takes="p_h: pressure ahead of the holes; p_crack: pressure difference the check valve takes; p_star: pressure at which the "
    "hose end chokes",
    shown="max(p_h + p_crack, p_star)",
    cite=DERIVED.at("check valve as a constant difference; the end of the hose may choke first"),
    valid="check valve open",
    unpublished="a sum",
)
def outlet_pressure(p_h: Pascal, p_crack: Pascal, p_star: Pascal) -> Pascal:
    """Pressure ahead of the holes plus what the check valve keeps."""
    return np.maximum(p_h + p_crack, p_star)
