"""One cycle as lines of plain characters: what happens when, and beneath it the reading."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from purgecalc.cycle import Cycle as Simulated

RAMP, BELOW = "_.-+#", "v"
_LABELS = ("cycle", "raw", "released")
_SEEN = 0.02  # of the highest point; less is drawn as the process value


@dataclass(frozen=True)
class DrawnCycle:
    """One interval of the schedule, in seconds, and the simulated reading where there is one."""

    lead: float
    blast: float
    hold_off: float
    interval: float
    text: str
    reading: Simulated | None = None
    key: str = ""


def segments(cycle: DrawnCycle, width: int) -> list[tuple[str, int, float, float]]:
    """Mark, number of characters, start and end (s from the hold) of each part; each part at least one character."""
    out, at, used = [], 0.0, 0
    for seconds, mark in ((cycle.lead, "f"), (cycle.blast, "B"), (cycle.hold_off, "h")):
        if seconds > 0:
            n = max(1, round(seconds / cycle.interval * width))
            out.append((mark, n, at, at + seconds))
            at, used = at + seconds, used + n
    return [*out, (".", max(1, width - used), at, cycle.interval)]


def strip(cycle: DrawnCycle, width: int) -> str:
    """The parts of a cycle as characters."""
    return "".join(mark * n for mark, n, _, _ in segments(cycle, width))


def height(cycle: DrawnCycle) -> float:
    """Highest point of the raw reading above (or below) where it started."""
    assert cycle.reading is not None
    raw = cycle.reading.raw
    return float(np.max(np.abs(raw - raw[0])))


def below(cycle: DrawnCycle) -> str:
    """A word on the mark for readings that go below where they started, if any do."""
    assert cycle.reading is not None
    lowest = min(float(np.min(y)) for y in (cycle.reading.raw, cycle.reading.released)) - float(cycle.reading.raw[0])
    return ", v below" if lowest < -_SEEN * height(cycle) else ""


def curve(cycle: DrawnCycle, name: str, width: int) -> str:
    """The raw or the released reading under the parts: the furthest it goes in the time of each character."""
    assert cycle.reading is not None
    t, y = cycle.reading.t + cycle.lead, getattr(cycle.reading, name) - cycle.reading.raw[0]
    top, out = height(cycle) or 1.0, ""
    for _, n, start, end in segments(cycle, width):
        edges = np.linspace(start, end, n + 1)
        for a, z in pairwise(edges):
            inside = y[(t >= a - 1e-6) & (t < z - 1e-6)]  # a value that changes at the end of a part belongs to the next
            seen = inside if inside.size else np.interp([(a + z) / 2], t, y)
            out += _mark(float(seen[np.argmax(np.abs(seen))]) / top)
    return out


def _mark(share: float) -> str:
    if abs(share) < _SEEN:
        return RAMP[0]
    return BELOW if share < 0 else RAMP[min(len(RAMP) - 1, 1 + int(share * (len(RAMP) - 1)))]


def drawn(cycle: DrawnCycle, width: int) -> Iterator[str]:
    """The strip, and raw and released reading beneath it where they were simulated."""
    if cycle.reading is None:
        yield "  " + strip(cycle, width - 2)
        return
    label = max(len(n) for n in _LABELS) + 2
    room = max(20, width - 2 - label)
    lines = (strip(cycle, room), curve(cycle, "raw", room), curve(cycle, "released", room))
    for name, line in zip(_LABELS, lines, strict=True):
        yield f"  {name:<{label}}{line}"
