"""A compressor that runs for the blast and blows straight into the hose."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from purgecalc import transient
from purgecalc.air_sources._base import (
    CurvePoint,
    LineSupply,
    absolute,
    around_flow,
    curve_points,
    flow_at,
    law_of,
    read_for_curve,
)
from purgecalc.air_sources._blast import Integrated, assumed, curve_of, estimated_blast, integrate, line_blast, write_up
from purgecalc.air_sources._duty import share_duty, share_within
from purgecalc.formulas import air, blast, limits, operating_point, site
from purgecalc.formulas import source as src
from purgecalc.inputs import Inputs
from purgecalc.watched import WatchedSheet
from purgecalc.working import Node, Sheet


class DirectSupply:
    """Flow falls as pressure rises, along the compressor's curve."""

    def __init__(self, points: list[CurvePoint]) -> None:
        self.points = points
        self.law: operating_point.Supply = law_of(points)
        self.highest = self.highest_possible = points[-1].pressure
        self.stops: Node | None = self.highest

    def close(self, sheet: Sheet, inputs: Inputs) -> None:
        m = flow_at(sheet, self.points, sheet["source.pressure"], "source.mass_flow", "Mass flow the source delivers")
        sheet.do(air.free_flow, as_id="source.flow_anr", title="Flow the source delivers, ANR (ISO 8778)", m=m)
        sheet.do(src.mismatch, m_source=m, m_head=sheet["line.mass_flow"])

    def pressure_for_flow(self, sheet: Sheet, m: Node) -> Node:
        a, b = around_flow(self.points, m)
        return sheet.do(
            limits.source_pressure_for_flow,
            as_id="limit.jet.source_pressure",
            m=m,
            p_a=a.pressure,
            p_b=b.pressure,
            m_a=a.flow,
            m_b=b.flow,
            p_atm=sheet["site.pressure"],
        )

    def rests_on(self) -> dict[str, Node]:
        return read_for_curve(self.points)

    def rated_flow(self, sheet: Sheet, inputs: Inputs) -> tuple[Node, Node] | None:
        rated = inputs.get("source.rated_pressure")
        if rated is None:
            return None
        p = absolute(sheet, rated, "source.rated_pressure_absolute", "Rated pressure of the source, absolute")
        if np.all(p.value >= self.highest.value):
            return None
        return p, flow_at(sheet, self.points, p, "limit.rating.mass_flow", "Flow of the source at its rated pressure")


class Direct:
    """Direct compressor."""

    kind = "direct"

    def supply(self, sheet: Sheet, inputs: Inputs) -> LineSupply:
        return DirectSupply(curve_points(sheet, inputs))

    def blast(self, sheet: Sheet, inputs: Inputs, supply: LineSupply, *, unsteady: bool) -> None:
        assert isinstance(supply, DirectSupply)
        t = inputs["schedule.blast"]
        sheet.do(blast.same_time, as_id="source.run_time", title="Running time of the source per blast", t=t)
        if not unsteady:
            estimated_blast(sheet, inputs)
            return
        sheet.add(inputs["source.dead_volume"])
        seen: dict[str, Node] = {}
        result = integrate(self.one_blast(WatchedSheet(sheet, seen), inputs.watched(seen), supply))
        read = inputs.words("source.kind", "head.check_valve_at")
        done = Integrated(sheet, result, seen | supply.rests_on() | assumed(sheet, inputs), read)
        write_up(done)
        p = done.keep(
            "source.peak_pressure", "Highest pressure at the source during the blast", "pressure", result.source_pressure_peak
        )
        title = "Highest gauge pressure at the source during the blast"
        sheet.do(site.gauge_pressure, as_id="source.peak_gauge", title=title, p=p, p_atm=sheet["site.pressure"])

    def one_blast(self, sheet: Sheet, inputs: Inputs, supply: LineSupply) -> transient.Blast:
        assert isinstance(supply, DirectSupply)
        source = transient.Source(
            volume=inputs["source.dead_volume"].value,
            pressure=sheet["site.pressure"].value,
            control=transient.Control.BLAST,
            run_up=inputs["source.run_up"].value,
            wall_temperature=inputs["site.air_temperature"].value,
            **curve_of(supply.points),
        )
        return line_blast(sheet, inputs, source)

    def duty(self, sheet: Sheet, inputs: Inputs, others: Sequence[Sheet]) -> None:
        share_duty(sheet, inputs, others)

    def run_within(self, sheet: Sheet, inputs: Inputs, others: Sequence[Sheet], words: tuple[str, str], W: Node) -> Node:
        return share_within(sheet, others, words, W)


SOURCE = Direct()
