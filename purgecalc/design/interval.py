"""Which intervals will do: fouling, live share, duty and loop, as one band."""

from __future__ import annotations

from purgecalc.design.fouling import fouling_between_wipes
from purgecalc.design.loop import has_loop
from purgecalc.formulas import interval
from purgecalc.inputs import Inputs
from purgecalc.working import Node, Sheet


def intervals(sheet: Sheet, inputs: Inputs) -> None:
    """Both ends of the band, the fouling at the interval chosen, and the bias it leads to."""
    shortest(sheet, inputs)
    if "fouling.growth" in inputs:
        fouling_between_wipes(sheet, inputs)


def shortest(sheet: Sheet, inputs: Inputs) -> None:
    """The longest of what live share, duty and loop ask for."""
    hold = sheet["reading.hold_time"]
    wants: list[Node] = [
        sheet.do(interval.shortest_for_live, as_id="interval.shortest_live", t_held=hold, live_min=interval.LIVE_WANTED)
    ]
    if "source.run_allowed" in sheet and inputs.choice("source.kind") == "direct":
        rest, i = sheet["source.run_allowed"], 1
        while f"source.others.{i}.run_in_window" in sheet:
            others = sheet[f"source.others.{i}.run_in_window"]
            rest = sheet.do(interval.rest_of_duty, as_id=f"interval.rest_of_duty.{i}", t_allowed=rest, t_others=others)
            i += 1
        run, W = sheet["source.run_time"], inputs["source.duty_window"]
        wants.append(sheet.do(interval.shortest_for_duty, as_id="interval.shortest_duty", t_run=run, t_allowed=rest, W=W))
    if has_loop(inputs):
        settle = sheet.do(interval.loop_recovery, n=interval.SETTLES, T_i=inputs["loop.integral_time"])
        wants.append(sheet.do(interval.shortest_for_loop, as_id="interval.shortest_loop", t_held=hold, t_recover=settle))
    longest, title = wants[0], "Shortest interval that will do"
    for i, want in enumerate(wants[1:], 2):
        id = "interval.shortest" if i == len(wants) else f"interval.shortest.first_{i}"
        longest = sheet.do(interval.longer_of, as_id=id, title=title, t_a=longest, t_b=want)
    if len(wants) == 1:
        sheet.do(interval.longer_of, as_id="interval.shortest", title=title, t_a=longest, t_b=longest)
