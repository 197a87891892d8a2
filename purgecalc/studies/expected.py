"""What is to be measured at commissioning, what to expect, and between which figures it passes.

What is measured says where and when: a range of depths at the normal depth, a receiver's head at cut-in, a meter at the
inlet in inlet air. Alarms stay quiet over the whole range of depths, and of starts between cut-in and cut-out. A bump
whose exposure is only assumed is an upper end.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from purgecalc.design import Design
from purgecalc.studies.spread import Band, Spread
from purgecalc.units import show

NOT_A_TEST = 0.35
"""A band wider than this share of the figure, either way, tests nothing; common practice, no source."""
NO_GAUGE = "not a test: no ordinary gauge resolves it"
SQUARED = "what it reads above the water goes with 1/C_d squared of the holes, the flow being the source's"
STARTS = ("source.fall", "source.fall_from_cut_in")
"""The fall in a blast from cut-out and from cut-in: between them where the compressor waits for its switch."""
GAUGES = tuple(1e5 * bar for bar in (0.25, 0.4, 0.6, 1, 1.6, 2.5, 4, 6, 10, 16))
"""Ends of scale of ordinary gauges (EN 837-1, quoted from memory)."""
FULL_SCALE = 0.75
"""Share of a gauge's scale the figure may reach (EN 837-1, quoted from memory: three quarters of the scale when steady)."""


@dataclass(frozen=True)
class Test:
    """One thing to measure. ``cap`` is the widest acceptance either way, as a share (or in SI where ``fixed``).

    ``side`` is both, or at most (only too high fails). ``limit`` names the figure that decides, either sign, in place of a band
    about the expected one; with ``ceiling`` nothing is expected, and the figure named is the most that passes, either sign.
    ``reaches`` names the pressure the gauge must bear where that is not the figure itself.
    """

    id: str
    what: str
    how: str
    cap: float
    fixed: bool = False
    side: str = "both"
    limit: str = ""
    ceiling: bool = False
    reaches: str = ""
    longest: str = ""
    """Names the most of what sound running shows, in which an alarm stays quiet too."""
    lower: str = ""
    """Names the least of what a sound line shows, where the figure expected is the most of it."""
    gauge: bool = False
    floor: float = 0.0
    """Least share of the figure (or of ``lower``) that passes where only too much fails otherwise."""
    count: bool = False
    once: bool = False
    """Whether it is of the source or supply, and measured once for all lines."""
    fails_means: str = ""
    wanted: Callable[[Design], bool] = lambda d: True


def _receiver(d: Design) -> bool:
    return d.has_receiver


def _direct(d: Design) -> bool:
    return not _receiver(d)


def _relieved(d: Design) -> bool:
    return "pressure.highest_pressure" in d and "pressure.relief_set" in d


def commanded(d: Design) -> bool:
    """Whether the compressor of a receiver is started with each blast, so that each begins at cut-out."""
    return d.has_receiver and d.inputs.choice("source.compressor_starts") == "with the blast"


def _on_switch(d: Design) -> bool:
    return d.has_receiver and not commanded(d)


def exposure_known(d: Design) -> bool:
    """Whether somebody has said how much of the water at the face is saturated by bubbles; else the greatest is taken."""
    given = d.given("probe.exposure")
    return given is not None and given.origin.how != "default"


def _bumps(d: Design) -> bool:
    return "reading.bump" in d


TESTS = (
    Test("source.highest_gauge", "Highest pressure of the source", "hose end shut no longer than a blast, gauge at the source",
         0.10, gauge=True, once=True, fails_means="source", wanted=lambda d: _direct(d) and not _relieved(d)),
    Test("pressure.highest_pressure", "Highest pressure of the source, its relief valve blowing",
         "hose end shut no longer than a blast, gauge at the source", 0.10, gauge=True, once=True,
         fails_means="relief valve set low, or source (low), relief valve stuck (high)",
         wanted=lambda d: _direct(d) and _relieved(d)),
    Test("source.highest_gauge", "Pressure at which the switch stops the compressor (cut-out)", "gauge on the receiver", 0.10,
         gauge=True, once=True, fails_means="switch or its setting", wanted=_receiver),
    Test("source.gauge_pressure", "Source pressure during the blast", "gauge at the source, steady", 0.15,
         gauge=True, reaches="source.peak_gauge",
         fails_means="restriction (high), leak or weak source (low)", wanted=_direct),
    Test("source.fall", "Fall of the receiver pressure in a blast from cut-out", "gauge before and after, the difference", 0.15,
         gauge=True, reaches="source.highest_gauge", fails_means="no flow, restriction, blocked head (low), burst or leak (high)",
         wanted=_receiver),
    Test("source.end_pressure_gauge", "Receiver pressure at the end of that blast", "gauge, read at once", 0.15,
         gauge=True, reaches="source.highest_gauge", fails_means="leak (low), restriction or blocked head (high)",
         wanted=_receiver),
    Test("source.settled_pressure_gauge", "Receiver pressure settled after that blast", "compressor off, after a minute", 0.15,
         gauge=True, reaches="source.highest_gauge", fails_means="as above, without the chill of the air", wanted=_receiver),
    Test("acceptance.idle_fall", "Fall of the pressure in ten idle minutes", "valve shut, source off, gauge at the source", 0.0,
         side="at most", ceiling=True, gauge=True, reaches="source.highest_gauge",
         once=True, fails_means="leak on the source side"),
    Test("source.recovery_from_cut_out", "Recovery to cut-out", "blast from cut-out, stopwatch from its end", 0.20,
         fails_means="weak compressor or leak", wanted=commanded),
    Test("source.recovery_from_cut_in", "Recovery to cut-out", "bleed to just above cut-in, blast, stopwatch from its end",
         0.20, longest="source.recovery_time", fails_means="weak compressor or leak", wanted=_on_switch),
    Test("head.gauge_pressure", "Pressure ahead of the holes",
         "tee just ahead of the holes (after the check valve, if any), its tube led to a gauge above the water and blown empty; "
         f"steady; {SQUARED}", 0.20, gauge=True,
         fails_means="restriction or leak (low), blocked holes, or holes in a thinner wall than taken (high)", wanted=_direct),
    Test("head.gauge_pressure", "Pressure ahead of the holes, receiver at cut-in",
         "tee just ahead of the holes (after the check valve, if any), its tube led to a gauge above the water and blown empty; "
         "compressor off, blasts until the receiver falls through cut-in, both gauges read together", 0.20, gauge=True,
         fails_means="restriction or leak (low), blocked holes (high)", wanted=_receiver),
    Test("acceptance.inlet_flow", "Flow of the blast, air as the inlet takes it in",
         "volume meter at the compressor's inlet, where there is one", 0.20, fails_means="weak source, leak, restriction",
         wanted=_direct),
    Test("blast.delivery_time", "Time to full flow at the head",
         "stopwatch from the command until the gauge ahead of the holes stands, or the head is heard at the pole; at the surface "
         "the plume comes later, by the rise of its bubbles", 2.0, fixed=True, side="at most",
         fails_means="water in the hose, check valve, slow valve"),
    Test("source.run_time", "Running time of the source per blast", "stopwatch on the motor", 0.05,
         fails_means="contact logic, timer", wanted=_direct),
    Test("source.starts_per_hour", "Starts of the source in an hour", "count over one hour", 0.0, side="at most", count=True,
         once=True, fails_means="timer or contact (low), leak or switch band (high)"),
    Test("reading.bump", "Height of the bump of the raw reading", "raw trend, one value a second", 0.30,
         lower="reading.bump_lower", fails_means="head misaimed, face not reached, sensor", wanted=exposure_known),
    Test("reading.bump", "Height of the bump of the raw reading, were the face all in bubbles",
         "raw trend, one value a second; as much less as the face is out of them", 0.10, side="at most", floor=0.27,
         lower="reading.bump_lower",
         fails_means="no air at the face (low); set point or saturation are not as assumed, sensor (high)",
         wanted=lambda d: not exposure_known(d)),
    Test("probe.t90", "Response time t90 of the probe", "fall of the bump in the raw trend, once bubbles are gone", 0.25,
         fails_means="fouling on the sensor, worn sensing face; or t90 was stated of a rise (probe.t90_of)",
         wanted=lambda d: _bumps(d) and "reading.fall_t90" not in d),
    Test("reading.fall_t90", "Response time t90 of the probe, falling", "fall of the bump in the raw trend, bubbles gone", 0.25,
         fails_means="fouling on the sensor, worn sensing face", wanted=_bumps),
    Test("reading.residual", "Reading just after release less the undisturbed reading", "trend, one second after release", 0.0,
         limit="probe.tolerance", fails_means="hold-off too short"),
    Test("acceptance.output_move", "Move of the controller's output while the reading is held", "trend of the controller", 0.0,
         ceiling=True, fails_means="tracking, hold of the reading"),
    Test("acceptance.reference", "Reading less that of a portable reference", "side by side, before a wipe and after it", 0.0,
         ceiling=True, fails_means="fouling (gone after the wipe), or the probe (not gone)"),
    Test("noise.compressor_at_ear", "Sound level at the nearest ear while the compressor runs, dB(A)", "sound level meter", 3.0,
         fixed=True, side="at most", once=True, fails_means="mounting, enclosure, worn compressor"),
    Test("supply.run_voltage", "Voltage at the unit while it runs", "meter at the unit", 0.05,
         once=True, fails_means="cable, feed"),
    Test("supply.voltage", "Voltage at the unit, at rest", "meter at the unit, before plugging", 0.10,
         once=True, fails_means="feed, class"),
    Test("supply.start_share", "Dip of the voltage while it starts", "meter with minimum hold, as a share of the voltage at rest",
         0.02, fixed=True, side="at most", once=True, fails_means="cable, feed"),
)  # fmt: skip
"""Acceptance caps are common practice, no source."""


@dataclass(frozen=True)
class Expected:
    """One line of the table (SI): expected figure, ends of its band, ends of what passes (None where it is no test)."""

    test: Test
    kind: str
    value: float
    band: tuple[float, float] | None
    passes: tuple[float, float] | None
    gauge: float | None
    """End of scale of the gauge that can resolve the figure."""
    gauge_error: float = 0.0
    why_none: str = ""
    quiet: tuple[float, float] | None = None
    """Between which figures an alarm on it stays quiet."""

    @property
    def figure(self) -> str:
        """The expected figure as text."""
        return "none" if self.test.ceiling else show(self.value, self.kind)


def expected(spread: Spread) -> list[Expected]:
    """The table of one line, in the order in which things are measured."""
    d = spread.design
    return [_expected(t, spread) for t in TESTS if t.id in d and t.wanted(d) and math.isfinite(d.number(t.id))]


def _expected(test: Test, spread: Spread) -> Expected:
    d = spread.design
    node, value = d[test.id], d.number(test.id)
    band = _band(test, spread)
    reaches = max(value, d.number(test.reaches)) if test.reaches in d else value
    gauge, error = _gauge(reaches, d.number("uncertainty.gauge")) if test.gauge else (None, 0.0)
    kind = "gauge pressure" if getattr(node, "state", "") == "gauge" else node.kind
    if test.count:  # a whole number; the hour of the count may begin with a start
        starts = math.ceil(value * 3600 - 1e-9) + _other_lines(d)
        fewest = 0 if _on_switch(d) else math.floor(value * 3600 + 1e-9)  # blasts may add up to one start
        return Expected(test, kind, value, None, (fewest / 3600, starts / 3600), gauge, error)
    ends = None if test.side != "both" or band.share == 0 else (band.low, band.high)
    why = ""
    if test.ceiling and test.gauge and error > value:
        return Expected(test, kind, value, None, None, gauge, error, NO_GAUGE)
    if test.ceiling:
        return Expected(test, kind, value, None, (-math.inf if test.side == "at most" else -value, value), gauge, error)
    if test.limit:
        most = d.number(test.limit)
        return Expected(test, kind, value, ends, (-most, most), gauge, error)
    if test.side == "both" and band.share > NOT_A_TEST:
        why = "not a test: improve the inputs"
    elif test.gauge and error > NOT_A_TEST * abs(value):
        why = NO_GAUGE
    passes = None if why else _passes(test, value, _least(test, d), (band.low, band.high), error)
    return Expected(test, kind, value, ends, passes, gauge, error, why, _quiet(test, d, value, passes))


def _quiet(test: Test, d: Design, value: float, passes: tuple[float, float] | None) -> tuple[float, float] | None:
    """The pass band, stretched both ways over all figures that are as right: at any depth, from wherever a blast begins."""
    if passes is None:
        return None
    ids = STARTS if test.id == "source.fall" and not commanded(d) else (test.id, test.longest)
    found = [here.number(id) for here in (d, *d.corners.values()) for id in ids if id in here]
    if min(found) <= 0:  # a share of it would be no band
        return passes
    return min(passes[0], passes[0] * (min(found) / value)), max(passes[1], passes[1] * (max(found) / value))


def _other_lines(d: Design) -> int:
    return sum(id.startswith("source.others.") and id.endswith(".starts") for id in (node.id for node in d.sheet))


def _band(test: Test, spread: Spread) -> Band:
    """Band of the figure, down to the lower end of its model where it has one."""
    value = spread.design.number(test.id)
    if test.side != "both" or test.ceiling:
        return Band(value, value, 0.0)
    band = spread.band(test.id)
    if test.lower not in spread.design:
        return band
    lower = spread.band(test.lower)
    low, high = min(band.low, lower.low), max(band.high, lower.high)
    return Band(low, high, (high - low) / 2 / abs(value) if value else 0.0)


def _least(test: Test, d: Design) -> float:
    """The least a sound line shows, as designed."""
    return d.number(test.lower if test.lower in d else test.id)


def _passes(test: Test, value: float, least: float, band: tuple[float, float], error: float) -> tuple[float, float]:
    """The wider of the model's band and what the instrument may be off, but no wider than the cap."""
    cap = test.cap if test.fixed else test.cap * abs(value)
    if test.side == "at most":
        return (test.floor * least, value + cap) if value >= 0 else (value - cap, test.floor * least)
    if band[0] == band[1]:
        return value - cap, value + cap  # nothing uncertain moves it: the cap is the band
    low = max(min(band[0], value - error), min(least, value) - cap)
    high = min(max(band[1], value + error), max(least, value) + cap)
    return low, high


def _gauge(value: float, accuracy: float) -> tuple[float | None, float]:
    """The finest ordinary gauge the figure fits on, and how far it may be off."""
    scale = next((g for g in GAUGES if value <= FULL_SCALE * g), None)
    return scale, accuracy * (scale or GAUGES[-1])
