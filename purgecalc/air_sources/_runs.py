"""Runs of the compressor that fills a receiver: how long it is on for a blast, from the integrated blast or by hand."""

from __future__ import annotations

from itertools import pairwise

from purgecalc.air_sources._base import CurvePoint
from purgecalc.air_sources._blast import Integrated
from purgecalc.formulas import duty_runs as runs
from purgecalc.formulas import receiver
from purgecalc.formulas import source as src
from purgecalc.inputs import Inputs
from purgecalc.working import Node, Sheet

TITLES = {
    "source.refill_time": "Run of the compressor for a blast from cut-in",
    "source.run_from_cut_out": "Run of the compressor for a blast from cut-out",
    "source.run_stopping": "Run of the compressor for a blast that begins as it is about to stop",
}


def waits(inputs: Inputs) -> bool:
    """Whether the compressor is started by its pressure switch alone, and not with every blast."""
    return inputs.choice("source.compressor_starts") == "at cut-in"


def integrated_runs(done: Integrated, inputs: Inputs, points: list[CurvePoint], cases: dict[str, int]) -> None:
    """The runs of the blasts integrated, by what ``cases`` says of each; what one blast costs where every run ends in time."""
    sheet = done.sheet
    low, high, T, V = (*_band(sheet), inputs["site.air_temperature"], inputs["source.volume"])
    title = "Time to fill the receiver from cut-in to cut-out"
    t_fill = fill(sheet, inputs, points, ("source.band_fill", title), low, high)
    for id, case in cases.items():
        title = TITLES[id]
        t = done.keep(f"{id}.until_stop", f"{title}, until it stops", "time", done.of("run_time", case), case)
        of_it = title[:1].lower() + title[1:]
        made = done.keep(f"{id}.made", f"Air made in the {of_it}", "mass", done.of("run_made", case), case)
        taken = done.keep(
            f"{id}.taken", f"Air that blast takes, of the {of_it}", "mass", done.of("air_through_valve", case), case
        )
        y = sheet.do(runs.missing_bands, as_id=f"{id}.missing", m_made=made, m_blast=taken, V=V, p_1=low, p_2=high, T=T)
        sheet.do(runs.whole_run, as_id=id, title=title, t_run=t, t_fill=t_fill, m_made=made, m_blast=taken, y=y)
    if not waits(inputs):
        return
    m = sheet["blast.air_mass"]
    share = sheet.do(runs.share_of_fill, t_fill=t_fill, m_blast=m, V=V, p_1=low, p_2=high, T=T)
    sheet.do(runs.run_between, as_id="source.run_calm", t_out=sheet["source.run_from_cut_out"], t_share=share)


def estimated_runs(sheet: Sheet, inputs: Inputs, points: list[CurvePoint], flow: Node) -> None:
    """Upper bounds by hand: no longer than the blast, and then the filling from where it leaves a receiver nobody fills.

    ``flow`` is the compressor's at cut-out: no air is made more slowly than there.
    """
    low, high = _band(sheet)
    m, t_blast = sheet["blast.air_mass"], inputs["schedule.blast"]
    t = _after_blast(sheet, inputs, points, "source.run_stopping", high)
    made = sheet.do(runs.time_to_make, m_blast=m, m=flow)
    sheet.do(
        runs.most_run, as_id="source.run_stopping", title=TITLES["source.run_stopping"], t_blast=t_blast, t_fill=t, t_made=made
    )
    if waits(inputs):
        t = _after_blast(sheet, inputs, points, "source.refill_time", low)
        sheet.do(receiver.time_sum, as_id="source.refill_time", title=TITLES["source.refill_time"], a=t_blast, b=t)


def _after_blast(sheet: Sheet, inputs: Inputs, points: list[CurvePoint], id: str, start: Node) -> Node:
    """Filling from what a blast leaves of ``start``, to cut-out."""
    V, T = inputs["source.volume"], inputs["site.air_temperature"]
    title = f"Pressure left by the blast of {id}"
    left = sheet.do(
        receiver.pressure_left,
        as_id=f"{id}.left",
        title=title,
        p_1=start,
        m_blast=sheet["blast.air_mass"],
        V=V,
        T=T,
        p_least=sheet["water.back_pressure"],
    )
    return fill(
        sheet, inputs, points, (f"{id}.fill", "Time to fill from there to cut-out"), left, sheet["source.cut_out_absolute"]
    )


def _band(sheet: Sheet) -> tuple[Node, Node]:
    return sheet["source.cut_in_absolute"], sheet["source.cut_out_absolute"]


def fill(sheet: Sheet, inputs: Inputs, points: list[CurvePoint], words: tuple[str, str], low: Node, high: Node) -> Node:
    """Time to fill from ``low`` to ``high`` along the compressor's curve, one straight piece after another."""
    (id, title), V, T = words, inputs["source.volume"], inputs["site.air_temperature"]
    segments, total = list(pairwise(points)), None
    for i, (a, b) in enumerate(segments, 1):
        last = i == len(segments)
        part = f"{id}.{i}" if len(segments) > 1 else id
        (p_1, m_a), (p_2, m_b) = (_within(sheet, p, a, b, f"{part}.{k}") for k, p in (("low", low), ("high", high)))
        m = sheet.do(src.mean_flow, as_id=f"{part}.mean_flow", m_a=m_a, m_b=m_b)
        t = sheet.do(receiver.recovery_time, as_id=part, title=title, V=V, p_1=p_1, p_2=p_2, T=T, m=m)
        so_far = id if last else f"{id}.first_{i}"
        total = t if total is None else sheet.do(receiver.time_sum, as_id=so_far, title=title, a=total, b=t)
    assert total is not None  # a curve has two points at least
    return total


def _within(sheet: Sheet, p: Node, a: CurvePoint, b: CurvePoint, id: str) -> tuple[Node, Node]:
    """A pressure held between two points of the curve, and the flow there."""
    held = sheet.do(src.within, as_id=id, p=p, p_a=a.pressure, p_b=b.pressure)
    flow = sheet.do(src.flow_between, as_id=f"{id}.flow", p=held, p_a=a.pressure, p_b=b.pressure, m_a=a.flow, m_b=b.flow)
    return held, flow
