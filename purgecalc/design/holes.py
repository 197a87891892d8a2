"""What passes the holes of the head: one law, stated as a number or following from the wall they are drilled in.

One law of the head serves the steady line and the unsteady solver: an effective area, and beside it an area of thin
plate whose coefficient (``formulas.head.thin_coefficient``) follows the pressure. Most heads have one of the two. Between
half a diameter and a diameter of wall both are there, on a straight line (our judgement). For the bands a coefficient
that follows from the wall is off as holes of the same shape and another area.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace

from purgecalc.formulas import head as hd
from purgecalc.formulas import operating_point
from purgecalc.formulas.head import C_THICK
from purgecalc.inputs import Inputs
from purgecalc.references import OUR_JUDGEMENT
from purgecalc.si import Num
from purgecalc.working import Given, Node, Origin, Sheet, Step

UNSAID = "0.72"
LEAST, MOST = 0.60, 0.84
"""A thin plate near rest, and the most a drilled hole of any wall was seen to have: ends of the band where nobody says."""
_HOLE_ROUNDS = 25
"""Each leaves a third of the last one's error at most: the coefficient moves that little with the pressure."""


def head_law(sheet: Sheet, inputs: Inputs) -> None:
    """Area of the holes, and their coefficient as far as it does not hang on the pressure."""
    sheet.do(hd.hole_area, n=inputs["head.holes"], d=inputs["head.hole_diameter"])
    stated = inputs.get("head.discharge_coefficient")
    if stated is None and "head.wall" in inputs:
        sheet.do(hd.thinness, t=inputs["head.wall"], d=inputs["head.hole_diameter"])
        return
    why = f"{OUR_JUDGEMENT.at()}; no head.wall is stated: {LEAST:.2f} in a thin plate to {MOST} in a thick wall"
    title = "discharge coefficient of the holes"
    unsaid = Given("head.discharge_coefficient", title, "ratio", float(UNSAID), Origin("default", why), UNSAID)
    sheet.add(stated or unsaid)


def with_holes(way: operating_point.Airway, share: Num) -> operating_point.Airway:
    """The line with this share of its holes open."""
    return replace(way, hole_area=way.hole_area * share, thin_area=way.thin_area * share)


def coefficient(sheet: Sheet, id: str, p_b: Node, p_h: Node) -> Node:
    """Discharge coefficient with ``p_h`` ahead of the holes; on the sheet under ``id`` where it follows from the wall."""
    if "head.thinness" not in sheet:
        return sheet["head.discharge_coefficient"]
    r = sheet.do(hd.pressure_ratio, as_id=f"{id}.pressure_ratio", p_b=p_b, p_h=p_h)
    return sheet.do(hd.coefficient_of_wall, as_id=f"{id}.discharge_coefficient", w=sheet["head.thinness"], r=r)


def coefficient_for(sheet: Sheet, id: str, p_b: Node, pressure: Callable[[Num], Num], rests: Mapping[str, Node]) -> Node:
    """The coefficient at the pressure it leads to; ``pressure`` is that ahead of the holes for a coefficient."""
    if "head.thinness" not in sheet:
        return sheet["head.discharge_coefficient"]
    w = sheet["head.thinness"]
    C_d: Num = C_THICK.value + 0 * w.value
    for _ in range(_HOLE_ROUNDS):
        C_d = hd.coefficient_of_wall(w.value, p_b.value / pressure(C_d))
    how = "worked round by round until it is the coefficient at the pressure it leads to"
    title = "Discharge coefficient of the holes there"
    return sheet.add(Step(f"{id}.discharge_coefficient", title, "ratio", C_d, None, {**rests, "w": w, "p_b": p_b}, how))
