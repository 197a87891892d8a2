"""The corners of a scenario whose water level moves: all its lines at their least and at their greatest depth.

The lines are worked out at the normal depth and at both ends, all together. A rule takes the worst of them and its finding
names it (``purgecalc.rules``): nobody decides which end is worst for what. Figures shown are those of the normal depth, with
the corner that decides beside them; tables and sweeps give the figures of the normal depth and the verdict of the worst.

Where a blast begins between cut-in and cut-out is not a corner of its own: it is integrated from both ends of the switch
band at every depth (``air_sources.receiver``), and what rests on two pressures (vapour in the run) takes both at one moment
and the worse of the moments.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from purgecalc.inputs import Inputs
from purgecalc.working import Given

NORMAL = "normal"
CORNERS = {"shallowest": "at the least depth", "deepest": "at the greatest depth"}
"""What stands in the scenario beside the normal depth, and how it is called."""


def greatest_depth(inputs: Inputs) -> Given:
    """The deepest the head can be, for what has to reach it there."""
    return inputs.get("head.deepest") or inputs["head.depth"]


def corners_of(lines: Sequence[Inputs]) -> Iterator[tuple[str, list[Inputs]]]:
    """The lines as they are at each corner that differs from the normal depth; none where no line has a range.

    All lines are moved together: what they ask of one source is the most where each asks the most.
    """
    for corner in CORNERS:
        moved = [_moved(inputs, corner) for inputs in lines]
        if any(not np.array_equal(a["head.depth"].value, b["head.depth"].value) for a, b in zip(moved, lines, strict=True)):
            yield corner, moved


def _moved(inputs: Inputs, corner: str) -> Inputs:
    """The line at one depth; where it has no such end, at the one it has."""
    depth = inputs.get(f"head.{corner}") or inputs["head.depth"]
    kept = {id: given for id, given in inputs.values.items() if id.removeprefix("head.") not in CORNERS}
    return replace(inputs, values={**kept, "head.depth": replace(depth, id="head.depth")})
