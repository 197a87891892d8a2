"""What may be changed of a line, in the sizes it can be bought, drilled or keyed in, and how much trouble each change is."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from purgecalc.catalogue.hoses import STOCK_BORES
from purgecalc.design.corners import greatest_depth
from purgecalc.inputs import Inputs
from purgecalc.scenario.keys import find_key, key_of
from purgecalc.studies.hose_table import given_of
from purgecalc.units import parse, show
from purgecalc.working import Given, Origin

KEY_IN, ADJUST, SMALL_PART, HOSE, MOVE, LARGE_PART = range(1, 7)
TROUBLE = {
    KEY_IN: "key in",
    ADJUST: "adjust on site",
    SMALL_PART: "small part",
    HOSE: "new hose",
    MOVE: "move or re-lay",
    LARGE_PART: "larger part",
}


@dataclass(frozen=True)
class Lever:
    """One number that may be changed: its input id, what people call it, and the sizes there are.

    ``sizes`` are texts of the scenario; ``times`` are multiples of what is there, for things without stock sizes.
    """

    id: str
    name: str
    trouble: int
    sizes: tuple[str, ...] = ()
    times: tuple[float, ...] = ()
    adds: bool = False
    """Whether it is added where the scenario has none, and else left alone."""
    wanted: Callable[[Inputs], bool] = lambda inputs: True
    least: Callable[[Inputs], float] = lambda inputs: 0.0
    """Smallest size that makes sense on this line (SI)."""


def _steps(unit: str, *values: float) -> tuple[str, ...]:
    return tuple(f"{v:g} {unit}" for v in values)


def _depth(inputs: Inputs) -> float:
    """A hose reaches from above the water to the head."""
    return float(greatest_depth(inputs).value) + 1.0


LEVERS = (
    Lever(
        "schedule.hold_off",
        "hold-off",
        KEY_IN,
        _steps("s", 30, 45, 60, 70, 80, 90, 105, 120, 150, 180, 210, 240, 300, 360, 480, 600),
    ),
    Lever("schedule.blast", "blast", KEY_IN, _steps("s", 5, 10, 15, 20, 30, 45, 60)),
    Lever("schedule.interval", "interval", KEY_IN, _steps("min", 5, 10, 15, 20, 30, 45, 60, 90, 120)),
    Lever("schedule.hold_lead", "hold lead", KEY_IN, _steps("s", 1, 2, 3, 5, 10, 15, 20, 30)),
    Lever("head.stand_off", "stand-off", ADJUST, _steps("mm", 5, 8, 10, 12, 15, 20)),
    Lever("source.regulator", "regulator", ADJUST, _steps("bar(g)", 1, 1.5, 2, 2.5, 3, 3.5, 4, 5, 6)),
    Lever("source.cut_in", "cut-in", ADJUST, _steps("bar(g)", 2, 2.5, 3, 3.5, 4, 4.5, 5, 5.5, 6, 7)),
    Lever("source.cut_out", "cut-out", ADJUST, _steps("bar(g)", 3, 3.5, 4, 4.5, 5, 5.5, 6, 7, 8)),
    Lever("head.hole_diameter", "hole size", SMALL_PART, _steps("mm", 0.8, 1, 1.2, 1.5, 1.8, 2, 2.5, 3)),
    Lever("head.holes", "number of holes", SMALL_PART, ("1", "2", "3", "4", "5", "6", "8")),
    Lever("head.check_valve", "check valve at the head", SMALL_PART, ("30 mbar",), adds=True),
    Lever("hose.bore", "bore", HOSE, STOCK_BORES),
    Lever("hose.rated_pressure", "hose rating", HOSE, _steps("bar(g)", 4, 6, 8, 10, 12, 16, 20)),
    Lever(
        "hose.length", "hose length", MOVE, _steps("m", 2, 3, 4, 5, 6, 7.6, 10, 12, 15, 20, 25, 30, 40, 50, 75, 100), least=_depth
    ),
    Lever("supply.conductor_area", "supply conductors", MOVE, _steps("mm2", 1.5, 2.5, 4, 6, 10, 16)),
    Lever("route.exposed_length", "exposed hose", MOVE, _steps("m", 0.5, 1, 2, 5, 10, 20)),
    Lever("moisture.dryer_dew_point", "dryer dew point", LARGE_PART, _steps("degC", 3, -20, -40, -70)),
    Lever("valve.conductance", "valve conductance", SMALL_PART, times=(1.5, 2, 3, 5)),
    Lever("probe.t90", "sensor t90", LARGE_PART, _steps("s", 5, 10, 20, 30, 40, 60, 90)),
    Lever("source.volume", "receiver", LARGE_PART, _steps("L", 5, 10, 16, 24, 40, 50, 80, 100, 150, 200)),
    Lever(
        "source.dead_head",
        "source dead-head",
        LARGE_PART,
        _steps("bar(g)", 0.3, 0.5, 0.7, 1, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 10),
        wanted=lambda i: not i.curve,
    ),
    Lever("source.flow", "source flow", LARGE_PART, times=(1.2, 1.4, 1.6, 1.8, 2, 2.5, 3, 4)),
)
"""Sizes are usual ones, common practice, no source, but for the hose (the catalogue says where from)."""


HOLD_LIMIT = Lever("probe.longest_hold", "hold limit", KEY_IN, _steps("min", 1, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 10, 12, 15, 20))
"""The timer that ends a hold: it follows the schedule and is no remedy of its own."""


@dataclass(frozen=True)
class Candidate:
    """One size of one lever: the value in SI and as it is written, beside what is there now."""

    lever: Lever
    given: Given
    text: str
    before: str

    @property
    def words(self) -> str:
        """ "bore 4 mm -> 6.3 mm" """
        if self.before == "none":
            return f"{self.lever.name} ({self.text})"
        return f"{self.lever.name} {self.before} -> {self.text}"


def candidates(inputs: Inputs, free: Sequence[str] = ()) -> list[Candidate]:
    """Every size of every lever the line has, nearest to what is there first; ``free`` keeps only these input ids."""
    out = []
    for lever in LEVERS:
        present = given_of(inputs, lever.id)
        if (free and lever.id not in free) or not lever.wanted(inputs) or lever.adds != (present is None):
            continue
        out += [c for c in _sizes(lever, present) if c.given.kind == "temperature" or float(c.given.value) >= lever.least(inputs)]
    return out


def _sizes(lever: Lever, present: Given | None) -> list[Candidate]:
    if present is None:
        measure = parse(lever.sizes[0], find_key(key_of(lever.id)).kind)
        new = Given(lever.id, lever.name, measure.kind, measure.value, Origin("override", "proposed"), measure.text)
        return [Candidate(lever, new, measure.text, "none")]
    # a pressure written as absolute is left alone: the sizes of the trade are gauge
    sizes = () if present.kind == "pressure" and present.state != "gauge" else lever.sizes
    texts = [*sizes, *(written(present, factor * float(present.value)) for factor in lever.times)]
    found = [candidate(lever, present, text) for text in texts]
    found = [c for c in found if not math.isclose(float(c.given.value), float(present.value), rel_tol=1e-9)]
    return sorted(found, key=lambda c: abs(_apart(c, present)))


def _apart(c: Candidate, present: Given) -> float:
    a, b = float(c.given.value), float(present.value)
    return math.log(a / b) if a > 0 and b > 0 else a - b


def candidate(lever: Lever, present: Given, text: str) -> Candidate:
    """A lever set to ``text``, beside what is there now."""
    value = float(text) if present.kind == "count" else parse(text, present.kind).value
    given = Given(present.id, present.title, present.kind, value, Origin("override", "proposed"), text, present.state)
    return Candidate(lever, given, text, present.text or written(present, float(present.value)))


_AIR_STATES = {"ANR": "(ANR)", "normal": "", "inlet": ""}


def written(like: Given, value: float, figures: int = 2) -> str:
    """A value as a scenario may state it, in the state (gauge or absolute, kind of free air) ``like`` is stated in."""
    if like.state == "gauge":
        return show(value, "gauge pressure", figures=figures)
    if like.kind == "air flow" and like.state == "US":
        return f"{show(value, like.kind, 'us', figures).removesuffix(' cfm')} scfm"
    text = show(value, like.kind, figures=figures)
    if like.kind == "air flow":
        return text.replace(" ", " N") if like.state == "normal" else text + _AIR_STATES.get(like.state, "")
    return text
