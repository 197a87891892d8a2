"""A receiver that a compressor fills and a valve empties into the hose.

Delivery from a receiver counts from the later of blasts from cut-in and from cut-out: mostly cut-out, which has further
to rise to nine tenths.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from purgecalc import transient
from purgecalc.air_sources._base import CurvePoint, LineSupply, absolute, curve_points, flow_at, read_for_curve
from purgecalc.air_sources._blast import Integrated, assumed, curve_of, estimated_blast, integrate, line_blast, write_up
from purgecalc.air_sources._duty import receiver_duty, receiver_within
from purgecalc.air_sources._runs import estimated_runs, integrated_runs, waits
from purgecalc.errors import NoPhysicalAnswer
from purgecalc.formulas import air, blast, duty_runs, operating_point, receiver, site
from purgecalc.inputs import Inputs
from purgecalc.si import Num
from purgecalc.units import show
from purgecalc.watched import WatchedSheet
from purgecalc.working import Node, Sheet, Step

CASES = (
    ("cut_in", "adiabatic"),
    ("cut_in", "likely"),
    ("cut_in", "isothermal"),
    ("cut_out", "adiabatic"),
    ("cut_out", "likely"),
    ("cut_out", "isothermal"),
    ("stopping", "likely"),
)
"""The cases integrated: from either end of the switch band, with walls that pass no heat, the likely heat, all heat; and with a
switched compressor a blast that begins as it is about to stop at cut-out."""
FROM_CUT_IN, FROM_CUT_OUT, STOPPING = (CASES.index((start, "likely")) for start in ("cut_in", "cut_out", "stopping"))
ADIABATIC, ISOTHERMAL = (CASES.index(("cut_out", wall)) for wall in ("adiabatic", "isothermal"))


class ReceiverSupply:
    """A fixed pressure: the lowest the blast can start at, behind the regulator if there is one."""

    def __init__(self, points: list[CurvePoint], start: Node, highest: Node) -> None:
        self.points = points
        self.stops: Node | None = points[-1].pressure if np.all(np.asarray(points[-1].flow.value) == 0) else None
        """Pressure at which the compressor itself stops delivering, where it is known."""
        self.start = start
        self.highest = start
        self.highest_possible = highest
        self.law = operating_point.Supply(pressure=np.asarray(start.value, float))

    def close(self, sheet: Sheet, inputs: Inputs) -> None:
        m = flow_at(sheet, self.points, sheet["source.cut_in_absolute"], "source.mass_flow", "Flow of the compressor at cut-in")
        sheet.do(air.free_flow, as_id="source.flow_anr", title="Flow of the compressor at cut-in, ANR (ISO 8778)", m=m)

    def pressure_for_flow(self, sheet: Sheet, m: Node) -> Node:
        return self.start

    def rests_on(self) -> dict[str, Node]:
        return {"p_start": self.start}

    def rated_flow(self, sheet: Sheet, inputs: Inputs) -> tuple[Node, Node] | None:
        return None


class Receiver:
    """Receiver, compressor and pressure switch."""

    kind = "receiver"

    def supply(self, sheet: Sheet, inputs: Inputs) -> LineSupply:
        low = absolute(sheet, inputs["source.cut_in"], "source.cut_in_absolute", "Cut-in pressure, absolute")
        high = absolute(sheet, inputs["source.cut_out"], "source.cut_out_absolute", "Cut-out pressure, absolute")
        sheet.do(receiver.band_share, p_1=low, p_2=high, p_atm=sheet["site.pressure"])
        points = curve_points(sheet, inputs, high)
        _refuse_out_of_reach(sheet, inputs, points, high)
        start = low
        if "source.regulator" in inputs:
            held = absolute(sheet, inputs["source.regulator"], "source.regulator_absolute", "Regulator set pressure, absolute")
            start = sheet.do(receiver.behind_regulator, p=low, p_reg=held)
            title = "Regulator set pressure, gauge"
            sheet.do(site.gauge_pressure, as_id="source.regulator_gauge", title=title, p=held, p_atm=sheet["site.pressure"])
        return ReceiverSupply(points, start, high)

    def blast(self, sheet: Sheet, inputs: Inputs, supply: LineSupply, *, unsteady: bool) -> None:
        assert isinstance(supply, ReceiverSupply)
        given = inputs.get("source.wall_conductance")
        wall = sheet.add(given) if given else sheet.do(receiver.wall_conductance, V=inputs["source.volume"])
        if "source.volume" not in sheet:
            sheet.add(inputs["source.volume"])
        flow = flow_at(
            sheet, supply.points, sheet["source.cut_out_absolute"], "source.flow_at_cut_out", "Flow of the compressor at cut-out"
        )
        if not unsteady:
            most_air(sheet, inputs, supply)
            estimated_blast(sheet, inputs)
            estimated_runs(sheet, inputs, supply.points, flow)
        else:
            done = _integrated(sheet, inputs, supply, wall)
            write_up(done, weak=FROM_CUT_IN, strong=FROM_CUT_OUT)
            _pressures(done)
            _chill(done, inputs)
            _recovery(done, inputs)
            runs = {"source.refill_time": FROM_CUT_IN, "source.run_from_cut_out": FROM_CUT_OUT, "source.run_stopping": STOPPING}
            commanded = {"source.run_stopping": FROM_CUT_OUT}  # it runs as each blast begins
            integrated_runs(done, inputs, supply.points, runs if waits(inputs) else commanded)

    def one_blast(self, sheet: Sheet, inputs: Inputs, supply: LineSupply) -> transient.Blast:
        assert isinstance(supply, ReceiverSupply)
        start, wall = sheet["source.cut_out_absolute"].value, sheet["source.wall_conductance"].value
        return line_blast(sheet, inputs, _receiver(sheet, inputs, supply, start, wall), _regulated(sheet))

    def duty(self, sheet: Sheet, inputs: Inputs, others: Sequence[Sheet]) -> None:
        receiver_duty(sheet, inputs, others)
        if others:
            _after_the_others(sheet, inputs, others)

    def run_within(self, sheet: Sheet, inputs: Inputs, others: Sequence[Sheet], words: tuple[str, str], W: Node) -> Node:
        return receiver_within(sheet, others, words, W)


def _integrated(sheet: Sheet, inputs: Inputs, supply: ReceiverSupply, wall: Node) -> Integrated:
    """The blast from both ends of the switch band, with everything that was read for it."""
    seen: dict[str, Node] = {"UA": wall}
    watched, axes = inputs.watched(seen), _axes(inputs)
    source = _cases(WatchedSheet(sheet, seen), watched, supply, wall, axes)
    result = integrate(line_blast(WatchedSheet(sheet, seen), watched, source, _regulated(WatchedSheet(sheet, seen))))
    read = inputs.words("source.kind", "head.check_valve_at", "source.compressor_starts")
    return Integrated(sheet, result, seen | read_for_curve(supply.points) | assumed(sheet, inputs), read)


def _axes(inputs: Inputs) -> int:
    """How many axes of designs the inputs have."""
    nodes = (*inputs.values.values(), *(node for point in inputs.curve for node in point))
    return max(np.ndim(node.value) for node in nodes)


def _after_the_others(sheet: Sheet, inputs: Inputs, others: Sequence[Sheet]) -> None:
    """Pressure this line would start at if the others blew just before it: from cut-in, or cut-out where each waits for that."""
    begins = "cut_in" if waits(inputs) else "cut_out"
    # the air of a blast from there, where it is integrated: from cut-out it takes more than from cut-in
    taken = [(waits(inputs) and other.get("source.refill_time.taken")) or other["blast.air_mass"] for other in others]
    air_mass: Node = taken[0]
    for i, more in enumerate(taken[1:], 2):
        title = f"Air of the blasts of {i} other lines"
        air_mass = sheet.do(blast.air_sum, as_id=f"source.others.air_of_{i}", title=title, a=air_mass, b=more)
    title = "Pressure after the blasts of the other lines"
    p_atm = sheet["site.pressure"]
    left = sheet.do(
        receiver.pressure_left,
        as_id="source.after_others",
        title=title,
        p_1=sheet[f"source.{begins}_absolute"],
        m_blast=air_mass,
        V=inputs["source.volume"],
        T=inputs["site.air_temperature"],
        p_least=p_atm,
    )
    gauge = sheet.do(site.gauge_pressure, as_id="source.after_others_gauge", title=f"{title}, gauge", p=left, p_atm=p_atm)
    p_in, title = sheet["source.cut_in_absolute"], "Cut-in pressure, gauge"
    low = sheet.do(site.gauge_pressure, as_id="source.cut_in_gauge", title=title, p=p_in, p_atm=p_atm)
    sheet.do(receiver.start_share, p_left=gauge, p_in=low)


def _refuse_out_of_reach(sheet: Sheet, inputs: Inputs, points: list[CurvePoint], cut_out: Node) -> None:
    """A single design whose compressor delivers nothing at cut-out never stops: say what it could reach."""
    if any(np.ndim(n.value) for p in points for n in (p.pressure, p.flow, cut_out)):
        return
    pressures, flows = [p.pressure.number for p in points], [p.flow.number for p in points]
    if np.interp(cut_out.number, pressures, flows) > 0:
        return
    p_atm = sheet["site.pressure"].number
    most, wanted = (show(p - p_atm, "gauge pressure") for p in (pressures[flows.index(0.0)], cut_out.number))
    raise NoPhysicalAnswer(
        f"{inputs.line}: the receiver never reaches its cut-out {wanted}: at this site the compressor delivers nothing above "
        f"{most}. Set cut-out (and cut-in) lower or take a compressor for a higher pressure; where a relief valve and not the "
        'clearance sets the highest pressure, say dead_head_set_by = "relief"'
    )


def _regulated(sheet: Sheet) -> Num:
    return sheet["source.regulator_absolute"].value if "source.regulator_absolute" in sheet else np.inf


def _receiver(sheet: Sheet, inputs: Inputs, supply: ReceiverSupply, start: Num, wall: Num) -> transient.Source:
    commanded = inputs.choice("source.compressor_starts") == "with the blast"
    return transient.Source(
        volume=inputs["source.volume"].value,
        pressure=start,
        control=transient.Control.COMMANDED if commanded else transient.Control.SWITCH,
        run_up=inputs["source.run_up"].value,
        cut_in=sheet["source.cut_in_absolute"].value,
        cut_out=sheet["source.cut_out_absolute"].value,
        wall_conductance=wall,
        wall_temperature=inputs["site.air_temperature"].value,
        **curve_of(supply.points),
    )


def _cases(sheet: Sheet, inputs: Inputs, supply: ReceiverSupply, wall: Node, axes: int) -> transient.Source:
    """All cases in one: cases down, designs behind."""

    def behind(value: Num) -> NDArray[np.float64]:
        return np.reshape(value, (1,) * (axes - np.ndim(value)) + np.shape(value))

    walls = {"adiabatic": 0 * behind(wall.value), "likely": behind(wall.value), "isothermal": behind(wall.value) + np.inf}
    low, high = np.broadcast_arrays(*(behind(sheet[f"source.{end}_absolute"].value) for end in ("cut_in", "cut_out")))
    cases = CASES if waits(inputs) else CASES[:STOPPING]
    starts = np.stack([low if start == "cut_in" else high for start, _ in cases])
    source = _receiver(sheet, inputs, supply, starts, np.stack([walls[passed] for _, passed in cases]))
    if not waits(inputs):
        return source
    control = [transient.Control.COMMANDED if start == "stopping" else transient.Control.SWITCH for start, _ in cases]
    return replace(source, control=np.reshape(control, (-1,) + (1,) * (starts.ndim - 1)))


def most_air(sheet: Sheet, inputs: Inputs, supply: ReceiverSupply) -> None:
    """Upper end of the air of a blast, where it is not integrated."""
    p_b = sheet["water.back_pressure"]
    m_c = flow_at(sheet, supply.points, p_b, "source.flow_at_water", "Flow of the compressor against the water")
    sheet.do(
        duty_runs.most_air,
        as_id="blast.air_mass",
        m=sheet["line.strongest_flow"],
        t=inputs["schedule.blast"],
        V_h=sheet["hose.volume"],
        p_h=sheet.get("source.strongest") or supply.highest_possible,
        p_atm=sheet["site.pressure"],
        V=inputs["source.volume"],
        p=supply.highest_possible,
        p_b=p_b,
        m_c=m_c,
        T=inputs["site.air_temperature"],
    )


def _pressures(done: Integrated) -> None:
    """Receiver pressure at the end of the blast from either end of the band, without heat and with all of it, and settled."""
    sheet = done.sheet
    p_atm = sheet["site.pressure"]
    end, settled = "source_pressure_end", "source_pressure_settled"
    cases = [
        ("source.end_pressure", "Receiver pressure at the end of a blast from cut-out", end, FROM_CUT_OUT),
        ("source.end_pressure_adiabatic", "The same if the wall passed no heat", end, ADIABATIC),
        ("source.end_pressure_isothermal", "The same if the air stayed at wall temperature", end, ISOTHERMAL),
        ("source.end_pressure_from_cut_in", "Receiver pressure at the end of a blast from cut-in", end, FROM_CUT_IN),
        ("source.settled_pressure", "Receiver pressure settled after a blast from cut-out", settled, FROM_CUT_OUT),
    ]
    for id, title, name, case in cases:
        p = done.keep(id, title, "pressure", done.of(name, case), case)
        sheet.do(site.gauge_pressure, as_id=f"{id}_gauge", title=f"{title}, gauge", p=p, p_atm=p_atm)
    for id, title, after in (
        ("source.fall", "Fall of the receiver pressure in a blast from cut-out", "source.end_pressure"),
        ("source.settled_fall", "Fall of the receiver pressure once settled", "source.settled_pressure"),
    ):
        sheet.do(receiver.fall, as_id=id, title=title, p_1=sheet["source.cut_out_absolute"], p_2=sheet[after])
    sheet.do(
        receiver.fall,
        as_id="source.fall_from_cut_in",
        title="Fall of the receiver pressure in a blast from cut-in",
        p_1=sheet["source.cut_in_absolute"],
        p_2=sheet["source.end_pressure_from_cut_in"],
    )


def _chill(done: Integrated, inputs: Inputs) -> None:
    """How cold the air left in the receiver gets, from whichever end of the band is the colder."""
    title = "Air in the receiver at the end of a blast, as followed in time"
    low, high = (done.of("source_temperature_end", case) for case in (FROM_CUT_IN, FROM_CUT_OUT))
    T = done.keep("source.end_temperature", title, "temperature", np.minimum(low, high), FROM_CUT_OUT)
    done.sheet.do(receiver.coldest_air, T=T, T_wall=inputs["site.air_temperature"])


def _recovery(done: Integrated, inputs: Inputs) -> None:
    """Longest recovery of the six cases, against the time there is."""
    longest = np.max(np.asarray(done.result.recovery_time)[:STOPPING], axis=0)
    for end, case, start in (("cut_out", FROM_CUT_OUT, "there"), ("cut_in", FROM_CUT_IN, "cut-in")):
        title = f"Time to recover to cut-out after a blast from {start}"
        done.keep(f"source.recovery_from_{end}", title, "time", done.of("recovery_time", case), case)
    case = FROM_CUT_IN
    rec: Step = done.keep("source.recovery_time", "Time to recover to cut-out, longest case", "time", longest, case)
    done.sheet.do(receiver.recovery_reserve, T=inputs["schedule.interval"], t_blast=inputs["schedule.blast"], t_rec=rec)


SOURCE = Receiver()
