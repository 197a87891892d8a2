"""What may be found at commissioning where the calculation expects nothing at all: a leak, a jerk, a doubt about the probe."""

from __future__ import annotations

import numpy as np

from purgecalc.references import COMMON_PRACTICE, DERIVED, OUR_JUDGEMENT
from purgecalc.si import CubicMetrePerSecond, KgPerCubicMetre, KgPerSecond, Pascal, Ratio, Second
from purgecalc.working import constant, formula

MINUTE = constant("minute", 60.0, "s", "one minute", DERIVED.at("unit"))

IDLE_MINUTE = constant(
    "dp_minute", 5e3, "Pa", "fall of the pressure that passes in one idle minute", COMMON_PRACTICE.at("0.05 bar")
)
BAND_SHARE = constant("k_band", 0.5, "", "share of the switch band that a leak may take in an interval", OUR_JUDGEMENT.at("half"))
IDLE_MINUTES = constant("n_minutes", 10.0, "", "minutes of the idle test", COMMON_PRACTICE.at())
OUTPUT_MOVE = constant("q_most", 0.05, "", "move of the controller's output that passes", COMMON_PRACTICE.at())
REFERENCE_SHARE = constant("d_share", 0.10, "", "difference from a portable reference that passes, share", COMMON_PRACTICE.at())
REFERENCE_LEAST = constant("d_least", 3e-4, "kg/m**3", "the same where the reading is low", COMMON_PRACTICE.at("0.3 mg/L"))


@formula(
    "acceptance.idle_fall",
    symbol="dp",
    title="Fall of the pressure in ten idle minutes that passes",
    kind="pressure difference",
    takes="dp_minute: fall that passes in one idle minute, a pressure difference; n_minutes: minutes of the test; p_1: cut-in "
    "pressure; p_2: cut-out pressure; T: longest time the receiver is left alone, the shortest interval of its lines",
    shown="n_minutes*min(dp_minute, k_band*(p_2 - p_1)*minute/T)",
    cite=COMMON_PRACTICE.at("0.05 bar a minute, over ten; less where that would take half the switch band in an interval"),
    valid="valve shut, source off, the air at the temperature of its wall",
    unpublished="common practice and our judgement",
)
def idle_fall(dp_minute: Pascal, n_minutes: Ratio, p_1: Pascal, p_2: Pascal, T: Second) -> Pascal:
    """A leak must neither start the compressor between blasts nor let a blast begin low."""
    return n_minutes * np.minimum(dp_minute, BAND_SHARE.value * (p_2 - p_1) * MINUTE.value / T)


@formula(
    "acceptance.inlet_flow",
    symbol="Q_in",
    title="Flow of the blast as the compressor takes it in",
    kind="volume flow",
    takes="m: mass flow of the blast; rho: density of the air at the inlet",
    shown="m/rho",
    cite=DERIVED.at("mass flow over the density of the air at the inlet"),
    valid="a meter that reads volume at its own temperature and pressure",
    unpublished="a definition",
)
def inlet_flow(m: KgPerSecond, rho: KgPerCubicMetre) -> CubicMetrePerSecond:
    """Air as it is on site, not in a standard state."""
    return m / rho


@formula(
    "acceptance.output_move",
    symbol="dq",
    title="Move of the controller's output while the reading is held that passes",
    kind="fraction",
    takes="q_most: move of the output that passes, as a share of its range",
    shown="q_most",
    cite=COMMON_PRACTICE.at("a twentieth of its range"),
    valid="steady load; three blasts looked at",
    unpublished="common practice",
)
def output_move(q_most: Ratio) -> Ratio:
    """Of a controller that tracks, or whose value is held; more says it works on what is not the truth."""
    return 1 * q_most


@formula(
    "acceptance.reference",
    symbol="dC",
    title="Difference from a portable reference that passes",
    kind="concentration",
    takes="d_share: difference that passes, as a share of the reading; C: oxygen the process is held at or usually has; "
    "d_least: difference that passes where the reading is low",
    shown="max(d_share*C, d_least)",
    cite=COMMON_PRACTICE.at("a tenth, or 0.3 mg/L where that is more"),
    valid="dissolved oxygen, reference side by side in the same water",
    unpublished="common practice",
)
def reference(d_share: Ratio, C: KgPerCubicMetre, d_least: KgPerCubicMetre) -> KgPerCubicMetre:
    """Two good instruments differ by about as much."""
    return np.maximum(d_share * C, d_least)
