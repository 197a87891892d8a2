"""A reservoir that a compressor fills and a valve empties into the hose."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Any

import numpy as np

from purgecalc import transient
from purgecalc.air_sources._base import CurvePoint, Supply, absolute, curve_points, flow_at, read_for_curve
from purgecalc.air_sources._blast import Integrated, curve_of, estimated_blast, integrate, line_blast, write_up
from purgecalc.air_sources._duty import share_duty
from purgecalc.errors import NoPhysicalAnswer
from purgecalc.formulas import air, blast, compressor, operating_point, receiver, site
from purgecalc.inputs import Inputs
from purgecalc.units import show
from purgecalc.watched import WatchedSheet
from purgecalc.working import Node, Sheet, Step

STARTS, WALLS = ("cut_in", "cut_out"), ("adiabatic", "likely", "isothermal")
"""The cases integrated: from either end of the switch band, with walls that pass no heat, the likely heat, all heat."""


class ReservoirSupply:
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
        sheet.do(air.free_flow, as_id="source.free_air_flow", title="Flow of the compressor as free air, at cut-in", m=m)

    def pressure_for_flow(self, sheet: Sheet, m: Node) -> Node:
        return self.start

    def rests_on(self) -> dict[str, Node]:
        return {"p_start": self.start}

    def rated_flow(self, sheet: Sheet, inputs: Inputs) -> tuple[Node, Node] | None:
        return None


class Reservoir:
    """Reservoir, compressor and pressure switch."""

    kind = "reservoir"

    def supply(self, sheet: Sheet, inputs: Inputs) -> Supply:
        low = absolute(sheet, inputs["source.cut_in"], "source.cut_in_absolute", "Cut-in pressure, absolute")
        high = absolute(sheet, inputs["source.cut_out"], "source.cut_out_absolute", "Cut-out pressure, absolute")
        points = curve_points(sheet, inputs, high)
        _refuse_out_of_reach(sheet, inputs, points, high)
        start = low
        if "source.regulator" in inputs:
            held = absolute(sheet, inputs["source.regulator"], "source.regulator_absolute", "Regulator set pressure, absolute")
            start = sheet.do(receiver.behind_regulator, p=low, p_reg=held)
            title = "Regulator set pressure, gauge"
            sheet.do(site.gauge_pressure, as_id="source.regulator_gauge", title=title, p=held, p_atm=sheet["site.pressure"])
        return ReservoirSupply(points, start, high)

    def blast(self, sheet: Sheet, inputs: Inputs, supply: Supply, unsteady: bool) -> None:
        assert isinstance(supply, ReservoirSupply)
        given = inputs.get("source.wall_conductance")
        wall = sheet.add(given) if given else sheet.do(receiver.wall_conductance, V=inputs["source.volume"])
        if "source.volume" not in sheet:
            sheet.add(inputs["source.volume"])
        if not unsteady:
            estimated_blast(sheet, inputs, sheet["line.mass_flow"])
        else:
            done = _integrated(sheet, inputs, supply, wall)
            write_up(done, weak=(0, 1), strong=(1, 1))
            _pressures(done)
            _recovery(done, inputs)
        flow = flow_at(
            sheet, supply.points, sheet["source.cut_out_absolute"], "source.flow_at_cut_out", "Flow of the compressor at cut-out"
        )
        sheet.do(receiver.run_time, as_id="source.run_time", m_blast=sheet["blast.air_mass"], m=flow)
        if inputs.choice("source.compressor_starts") == "at cut-in":
            _long_run(sheet, inputs, supply.points)

    def one_blast(self, sheet: Sheet, inputs: Inputs, supply: Supply) -> transient.Blast:
        assert isinstance(supply, ReservoirSupply)
        start, wall = sheet["source.cut_out_absolute"].value, sheet["source.wall_conductance"].value
        return line_blast(sheet, inputs, _reservoir(sheet, inputs, supply, start, wall), _regulated(sheet))

    def duty(self, sheet: Sheet, inputs: Inputs, others: Sequence[Sheet]) -> None:
        share_duty(sheet, inputs, others)
        if others:
            _after_the_others(sheet, inputs, others)


def _integrated(sheet: Sheet, inputs: Inputs, supply: ReservoirSupply, wall: Node) -> Integrated:
    """The blast from both ends of the switch band, with everything that was read for it."""
    seen: dict[str, Node] = {"UA": wall}
    watched, axes = inputs.watched(seen), _axes(inputs)
    source = _six(WatchedSheet(sheet, seen), watched, supply, wall, axes)
    result = integrate(line_blast(WatchedSheet(sheet, seen), watched, source, _regulated(WatchedSheet(sheet, seen))))
    read = inputs.words("source.kind", "head.check_valve_at", "source.compressor_starts")
    return Integrated(sheet, result, seen | read_for_curve(supply.points), read)


def _axes(inputs: Inputs) -> int:
    """How many axes of designs the inputs have."""
    nodes = (*inputs.values.values(), *(node for point in inputs.curve for node in point))
    return max(np.ndim(node.value) for node in nodes)


def _after_the_others(sheet: Sheet, inputs: Inputs, others: Sequence[Sheet]) -> None:
    """Pressure this line would start at if the others blew just before it: from cut-in, or cut-out where each waits for that."""
    air_mass: Node = others[0]["blast.air_mass"]
    for i, other in enumerate(others[1:], 2):
        title = f"Air of the blasts of {i} other lines"
        air_mass = sheet.do(blast.air_sum, as_id=f"source.others.air_of_{i}", title=title, a=air_mass, b=other["blast.air_mass"])
    begins = "cut_out" if inputs.choice("source.compressor_starts") == "with the blast" else "cut_in"
    title = "Pressure after the blasts of the other lines"
    p_atm = sheet["site.pressure"]
    left = sheet.do(
        receiver.pressure_left, as_id="source.after_others", title=title, p_1=sheet[f"source.{begins}_absolute"],
        m_blast=air_mass, V=inputs["source.volume"], T=inputs["site.air_temperature"], p_least=p_atm,
    )  # fmt: skip
    gauge = sheet.do(site.gauge_pressure, as_id="source.after_others_gauge", title=f"{title}, gauge", p=left, p_atm=p_atm)
    p_in, title = sheet["source.cut_in_absolute"], "Cut-in pressure, gauge"
    low = sheet.do(site.gauge_pressure, as_id="source.cut_in_gauge", title=title, p=p_in, p_atm=p_atm)
    sheet.do(receiver.start_share, p_left=gauge, p_in=low)


def _refuse_out_of_reach(sheet: Sheet, inputs: Inputs, points: list[CurvePoint], cut_out: Node) -> None:
    """A single design whose compressor delivers nothing at cut-out never stops: say what it could reach."""
    pressures, flows = [p.pressure.value for p in points], [p.flow.value for p in points]
    if any(np.ndim(v) for v in (*pressures, *flows, cut_out.value)) or np.interp(cut_out.value, pressures, flows) > 0:
        return
    p_atm = sheet["site.pressure"].value
    most, wanted = (show(p - p_atm, "gauge pressure") for p in (pressures[flows.index(0.0)], cut_out.value))
    raise NoPhysicalAnswer(
        f"{inputs.line}: the reservoir never reaches its cut-out {wanted}: at this site the compressor delivers nothing above "
        f"{most}. Set cut-out (and cut-in) lower or take a compressor for a higher pressure; where a relief valve and not the "
        'clearance sets the highest pressure, say dead_head_set_by = "relief"'
    )


def _regulated(sheet: Sheet) -> Any:
    return sheet["source.regulator_absolute"].value if "source.regulator_absolute" in sheet else np.inf


def _reservoir(sheet: Sheet, inputs: Inputs, supply: ReservoirSupply, start: Any, wall: Any) -> transient.Source:
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


def _six(sheet: Sheet, inputs: Inputs, supply: ReservoirSupply, wall: Node, axes: int) -> transient.Source:
    """Six reservoirs in one: two starting pressures down, three walls across, designs behind."""

    def behind(value: Any) -> Any:
        return np.reshape(value, (1,) * (axes - np.ndim(value)) + np.shape(value))

    likely = behind(wall.value)
    walls = np.stack([0 * likely, likely, likely + np.inf])[None]
    starts = np.broadcast_arrays(*(behind(sheet[f"source.{end}_absolute"].value) for end in STARTS))
    return _reservoir(sheet, inputs, supply, np.stack(starts)[:, None], walls)


def _long_run(sheet: Sheet, inputs: Inputs, points: list[CurvePoint]) -> None:
    """Run of a compressor that waits for its switch: a blast from just above cut-in, then back to cut-out along its curve."""
    V, T = inputs["source.volume"], inputs["site.air_temperature"]
    low = sheet.do(
        receiver.pressure_left, p_1=sheet["source.cut_in_absolute"], m_blast=sheet["blast.air_mass"], V=V, T=T,
        p_least=sheet["site.pressure"],
    )  # fmt: skip
    id, title, segments = "source.refill_time", "Run of the compressor for a blast from cut-in", list(pairwise(points))
    total: Node | None = None
    for i, (a, b) in enumerate(segments, 1):
        last = i == len(segments)
        part = f"{id}.{i}" if len(segments) > 1 else id
        from_to = [_within(sheet, p, a, b, f"{part}.{k}") for k, p in (("low", low), ("high", sheet["source.cut_out_absolute"]))]
        (p_1, m_a), (p_2, m_b) = from_to
        m = sheet.do(compressor.mean_flow, as_id=f"{part}.mean_flow", m_a=m_a, m_b=m_b)
        t = sheet.do(receiver.recovery_time, as_id=part, title=title, V=V, p_1=p_1, p_2=p_2, T=T, m=m)
        so_far = id if last else f"{id}.first_{i}"
        total = t if total is None else sheet.do(receiver.time_sum, as_id=so_far, title=title, a=total, b=t)


def _within(sheet: Sheet, p: Node, a: CurvePoint, b: CurvePoint, id: str) -> tuple[Node, Node]:
    """A pressure held between two points of the curve, and the flow there."""
    held = sheet.do(compressor.within, as_id=id, p=p, p_a=a.pressure, p_b=b.pressure)
    flow = sheet.do(
        compressor.flow_between, as_id=f"{id}.flow", p=held, p_a=a.pressure, p_b=b.pressure, m_a=a.flow, m_b=b.flow
    )  # fmt: skip
    return held, flow


def _pressures(done: Integrated) -> None:
    """Reservoir pressure at the end of the blast from either end of the band, with its bounds, and settled."""
    r, sheet = done.result, done.sheet
    p_atm = sheet["site.pressure"]
    end, settled = r.source_pressure_end, r.source_pressure_settled
    cases = [
        ("source.end_pressure", "Reservoir pressure at the end of a blast from cut-out", end, (1, 1)),
        ("source.end_pressure_adiabatic", "The same if the wall passed no heat", end, (1, 0)),
        ("source.end_pressure_isothermal", "The same if the air stayed at wall temperature", end, (1, 2)),
        ("source.end_pressure_from_cut_in", "Reservoir pressure at the end of a blast from cut-in", end, (0, 1)),
        (
            "source.settled_pressure",
            "Reservoir pressure settled after a blast from cut-out",
            settled,
            (1, 1),
        ),
    ]
    for id, title, values, case in cases:
        p = done.keep(id, title, "pressure", values[case], case)
        sheet.do(site.gauge_pressure, as_id=f"{id}_gauge", title=f"{title}, gauge", p=p, p_atm=p_atm)
    for id, title, after in (
        ("source.fall", "Fall of the reservoir pressure in a blast from cut-out", "source.end_pressure"),
        ("source.settled_fall", "Fall of the reservoir pressure once settled", "source.settled_pressure"),
    ):
        sheet.do(receiver.fall, as_id=id, title=title, p_1=sheet["source.cut_out_absolute"], p_2=sheet[after])
    sheet.do(
        receiver.fall, as_id="source.fall_from_cut_in", title="Fall of the reservoir pressure in a blast from cut-in",
        p_1=sheet["source.cut_in_absolute"], p_2=sheet["source.end_pressure_from_cut_in"],
    )  # fmt: skip


def _recovery(done: Integrated, inputs: Inputs) -> None:
    """Longest recovery of the six cases, against the time there is."""
    t = done.result.recovery_time
    longest = np.max(t.reshape(6, *t.shape[2:]), axis=0)
    done.keep("source.recovery_from_cut_out", "Time to recover to cut-out after a blast from there", "time", t[1, 1], (1, 1))
    case = (0, 1)
    rec: Step = done.keep("source.recovery_time", "Time to recover to cut-out, longest case", "time", longest, case)
    done.sheet.do(receiver.recovery_reserve, T=inputs["schedule.interval"], t_blast=inputs["schedule.blast"], t_rec=rec)


SOURCE = Reservoir()
