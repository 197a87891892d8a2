"""The integrated blast: hand the line to the unsteady solver, and write its answers on the sheet."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial
from types import EllipsisType
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from purgecalc import transient
from purgecalc.air_sources._base import CurvePoint
from purgecalc.formulas import blast
from purgecalc.formulas.head import effective_areas
from purgecalc.inputs import Inputs
from purgecalc.references import OUR_JUDGEMENT
from purgecalc.si import Num
from purgecalc.working import Constant, Node, Sheet, Step, constant

BLAST_BRANCHES, BLAST_TOLERANCE = 16, 3e-4
"""Resolution of a single check: delivery time within 0.3 % of the reference cases, 95 of 100 random ones within 0.15 %."""

MOST_FLOODED = constant(
    "s_flooded",
    0.98,
    "",
    "share of the hose that may stand full of water",
    OUR_JUDGEMENT.at("the integration needs some air between source and water"),
)
MOVED_ALONG = constant(
    "L_added",
    0.01,
    "m",
    "length of water moved along outside the hose end",
    OUR_JUDGEMENT.at("about one bore, as at the open end of a pipe"),
)
TAIL = constant(
    "t_tail",
    5.0,
    "s",
    "time followed after the blast",
    OUR_JUDGEMENT.at("no figure of the blast but the air that is left counts later"),
)
START = constant(
    "t_start",
    0.02,
    "s",
    "opening of a line without a blast valve",
    OUR_JUDGEMENT.at("as quick as a valve: nothing opens, and the motor's run-up is stated apart"),
)
RUN_EMPTY = constant(
    "t_empty",
    5.0,
    "s",
    "closing of a line without a blast valve",
    OUR_JUDGEMENT.at("the motor stops and nothing shuts: the hose stays open to the source while it runs empty"),
)
OPEN_RATIO = constant(
    "b_open",
    0.3,
    "",
    "critical pressure ratio of a line without a blast valve",
    OUR_JUDGEMENT.at("takes the place of none: so wide that its ratio moves no figure"),
)

Case: TypeAlias = int | EllipsisType
"""Which of the blasts integrated side by side; all of them where there is one."""


def curve_of(points: list[CurvePoint]) -> dict[str, NDArray[np.float64]]:
    """Flow curve in the solver's terms."""
    shape = np.broadcast_shapes(*(np.shape(p.pressure.value) for p in points), *(np.shape(p.flow.value) for p in points))
    return {
        "curve_pressure": np.stack([np.broadcast_to(p.pressure.value, shape) for p in points]),
        "curve_flow": np.stack([np.broadcast_to(p.flow.value, shape) for p in points]),
    }


def assumed(sheet: Sheet, inputs: Inputs) -> dict[str, Node]:
    """Numbers of the integration that nobody states, by symbol, as far as this line has a use for them."""
    used: list[Constant] = [TAIL] if _ramp(inputs) else [TAIL, START]
    used += [] if "valve.conductance" in sheet else [RUN_EMPTY, OPEN_RATIO]
    used += [MOST_FLOODED, MOVED_ALONG] if "head.wetted_length" in sheet else []
    return {node.symbol: node for node in used}


def _ramp(inputs: Inputs) -> Node | None:
    return inputs.get("valve.opening_time")


def _valve(sheet: Sheet, inputs: Inputs, regulated: Num) -> transient.Valve:
    ramp, kept = (_ramp(inputs) or START).value, sheet["hose.kept_at_source"].value
    if "valve.conductance" not in sheet:
        return transient.Valve(critical_ratio=OPEN_RATIO.value, opening=ramp, closing=RUN_EMPTY.value, crack=kept)
    C, b = sheet["valve.conductance"].value, inputs["valve.critical_ratio"].value
    return transient.Valve(conductance=C, critical_ratio=b, opening=ramp, closing=ramp, regulated=regulated, crack=kept)


def line_blast(sheet: Sheet, inputs: Inputs, source: transient.Source, regulated: Num = np.inf) -> transient.Blast:
    """The line as the unsteady solver sees it."""
    hole_area, thin_area = effective_areas(sheet)
    wet = sheet["head.wetted_length"].value if "head.wetted_length" in sheet else 0.0
    return transient.Blast(
        source=source,
        valve=_valve(sheet, inputs, regulated),
        hose=transient.Hose(
            bore=sheet["hose.bore"].value,
            length=inputs["hose.length"].value,
            roughness=sheet["hose.roughness"].value,
            fittings=sheet["hose.loss_coefficient"].value,
        ),
        head=transient.Head(
            hole_area=hole_area,
            thin_area=thin_area,
            crack=sheet["hose.kept_at_head"].value,
            wetted_length=np.minimum(wet, MOST_FLOODED.value * inputs["hose.length"].value),
            added_length=MOVED_ALONG.value,
        ),
        back_pressure=sheet["water.back_pressure"].value,
        atmosphere=sheet["site.pressure"].value,
        duration=inputs["schedule.blast"].value,
        tail=TAIL.value,
        temperature=inputs["site.air_temperature"].value,
        viscosity=sheet["air.viscosity"].value,
        water_density=sheet["water.density"].value,
        water_viscosity=sheet["water.viscosity"].value,
        useful_head=sheet["blast.useful_head"].value,
    )


def integrate(blast: transient.Blast) -> transient.Result:
    """Solve at the resolution of a check."""
    from purgecalc.transient.shared import integrated

    return integrated(blast, BLAST_BRANCHES, BLAST_TOLERANCE)


class Followed(Step):
    """A number read off an integrated blast."""


class Integrated:
    """Puts numbers of an integrated blast on the sheet, each with the account of how it was come by."""

    def __init__(self, sheet: Sheet, result: transient.Result, inputs: Mapping[str, Node], read: Mapping[str, Node]) -> None:
        self.sheet, self.result, self.inputs, self.read = sheet, result, inputs, read

    def of(self, name: str, case: Case) -> Num:
        """One number of the result, for one of the cases integrated."""
        out: Num = np.broadcast_to(getattr(self.result, name), np.shape(self.result.outcome))[case]
        return out

    def note(self, case: Case) -> str:
        """Resolution, conservation and how sharply the delivery time is defined, for one of the cases integrated."""
        of = partial(self.of, case=case)
        closes = f"{float(np.max(of('mass_error'))):.0e}"
        alone = np.ndim(of("outcome")) == 0  # of many designs some may be followed in fewer branches
        text = f"integrated unsteady flow, {f'{BLAST_BRANCHES} branches, ' if alone else ''}mass balance closes to {closes}"
        if alone and of("ill_conditioned"):
            text += "; not sharply defined: few waves or a staircase of them, a refill in the blast, or a burst behind water"
        for name, what in (
            ("sonic_time", "air near the speed of sound at the hose inlet"),
            ("restart_time", "compressor restarts"),
        ):
            t = of(name)
            if np.ndim(t) == 0 and np.isfinite(t):
                text += f"; {what} from {float(t):.3g} s"
        slope = of("crossing_slope")
        if np.ndim(slope) == 0 and np.isfinite(slope):
            text += f"; delivered = 90 % of the highest flow at the head, 1 % more flow comes {float(slope):.2g} s later"
        return text

    def keep(self, id: str, title: str, kind: str, value: Num, case: Case = ...) -> Step:
        step = Followed(id, title, kind, value, None, self.inputs, self.note(case), self.read)
        self.sheet.add(step)
        return step


def write_up(done: Integrated, weak: Case = ..., strong: Case = ...) -> None:
    """The figures every source has. ``weak`` is the case with least force, ``strong`` the one that takes most air.

    Delivery counts from the later of the two: a stronger blast is a longer way from nine tenths of what it rises to.
    """
    of = done.of
    done.keep("blast.outcome", "Outcome of the blast (0: air flowed to the end)", "count", of("outcome", weak), weak)
    done.keep("blast.outcome_time", "Time of that outcome", "time", of("outcome_time", weak), weak)
    later = of("delivery_time", strong) > of("delivery_time", weak)
    latest = strong if np.ndim(later) == 0 and later else weak

    def late(name: str) -> Num:
        return np.where(later, of(name, strong), of(name, weak))[()]

    done.keep("blast.delivery_time", "Delivery time", "time", late("delivery_time"), latest)
    done.keep("blast.delivery_vague", "Delivery hangs on single waves", "flag", 1.0 * late("ill_conditioned"), latest)
    done.keep("blast.useful_time", "Useful part of the blast", "time", of("useful_time", weak), weak)
    done.keep("blast.air_mass", "Mass of air a blast takes", "mass", of("air_through_valve", strong), strong)
    done.keep("head.plateau_pressure", "Highest pressure ahead of the holes", "pressure", of("max_head_pressure", weak), weak)
    if "head.wetted_length" in done.sheet:
        done.keep("blast.slug_time", "Time to push the water out", "time", of("slug_time", weak), weak)


def estimated_blast(sheet: Sheet, inputs: Inputs) -> None:
    """The hand estimate stands in where the blast is not integrated."""
    t = inputs["schedule.blast"]
    sheet.do(blast.same_time, as_id="blast.delivery_time", title="Delivery time", t=sheet["blast.delivery_time_estimate"])
    sheet.do(blast.useful_time, t_blast=t, t_del=sheet["blast.delivery_time"])
    if "blast.air_mass" not in sheet:
        sheet.do(blast.air_mass, m=sheet["line.mass_flow"], t=t)
    if "head.wetted_length" in sheet:
        sheet.do(
            blast.same_time, as_id="blast.slug_time", title="Time to push the water out", t=sheet["blast.slug_time_estimate"]
        )
