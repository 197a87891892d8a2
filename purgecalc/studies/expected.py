"""What is to be measured at commissioning, what to expect, and between which figures it passes.

What is measured says where and when: a range of depths at the normal depth, a receiver's head at cut-in, a meter at the
inlet in inlet air. Alarms stay quiet over the whole range of depths, and of starts between cut-in and cut-out. A bump
whose exposure is only assumed is an upper end.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Callable
from dataclasses import dataclass
from importlib.resources import files

from purgecalc.design import Design
from purgecalc.studies.spread import Band, Spread
from purgecalc.units import show

NOT_A_TEST = 0.35
"""A band wider than this share of the figure, either way, tests nothing; common practice, no source."""
NO_GAUGE = "not a test: no ordinary gauge resolves it"
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
    wanted: str = "always"
    """A name in ``WANTED``."""


def commanded(d: Design) -> bool:
    """Whether the compressor of a receiver is started with each blast, so that each begins at cut-out."""
    return d.has_receiver and d.inputs.choice("source.compressor_starts") == "with the blast"


def _on_switch(d: Design) -> bool:
    return d.has_receiver and not commanded(d)


def _relieved(d: Design) -> bool:
    return "pressure.highest_pressure" in d and "pressure.relief_set" in d


def exposure_known(d: Design) -> bool:
    """Whether somebody has said how much of the water at the face is saturated by bubbles; else the greatest is taken."""
    given = d.given("probe.exposure")
    return given is not None and given.origin.how != "default"


WANTED: dict[str, Callable[[Design], bool]] = {
    "always": lambda d: True,
    "direct": lambda d: not d.has_receiver,
    "direct, relieved": lambda d: not d.has_receiver and _relieved(d),
    "direct, unrelieved": lambda d: not d.has_receiver and not _relieved(d),
    "receiver": lambda d: d.has_receiver,
    "started with the blast": commanded,
    "started by the switch": _on_switch,
    "exposure stated": exposure_known,
    "exposure assumed": lambda d: not exposure_known(d),
    "bump": lambda d: "reading.bump" in d,
    "bump, one response time": lambda d: "reading.bump" in d and "reading.fall_t90" not in d,
}
"""Of which designs a measurement is wanted, by the words of its entry."""
TESTS = tuple(
    Test(**entry) for entry in tomllib.loads((files("purgecalc.studies") / "measurements.toml").read_text("utf-8"))["measurement"]
)


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
    return [_expected(t, spread) for t in TESTS if t.id in d and WANTED[t.wanted](d) and math.isfinite(d.number(t.id))]


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
