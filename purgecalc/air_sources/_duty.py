"""Duty of a source that one or more lines share."""

from __future__ import annotations

from collections.abc import Sequence

from purgecalc.formulas import duty
from purgecalc.inputs import Inputs
from purgecalc.working import Node, Sheet


def share_duty(sheet: Sheet, inputs: Inputs, others: Sequence[Sheet]) -> None:
    """Run share, running time in the worst window and starts, this line's and the others' together.

    Lines are assumed to fall in the same window: without a timetable that is the case to be ready for. With a compressor
    that waits for its pressure switch one blast of the window starts from just above cut-in.
    """
    run, T, W = sheet["source.run_time"], sheet["schedule.interval"], inputs["source.duty_cycle"]
    refill = sheet.get("source.refill_time")
    of_blasts = "source.run_in_window" if refill is None else "source.run_in_window.blasts"
    share: Node = sheet.do(duty.duty_fraction, as_id=_last("source.duty_fraction", 0, others), t_run=run, t_cycle=T)
    window: Node = sheet.do(duty.run_in_window, as_id=_last(of_blasts, 0, others), t_run=run, T=T, W=W)
    starts: Node = sheet.do(duty.starts, as_id=_last("source.starts_per_hour", 0, others), T=T)
    for i, other in enumerate(others, 1):
        T_o, run_o = other["schedule.interval"], other["source.run_time"]
        add = sheet.do(duty.duty_fraction, as_id=f"source.others.{i}.duty_fraction", t_run=run_o, t_cycle=T_o)
        share = sheet.do(
            duty.sum_share,
            as_id=_last("source.duty_fraction", i, others),
            title=_title(i, others, "Cyclic duration factor"),
            own=share,
            others=add,
        )
        add = sheet.do(duty.run_in_window, as_id=f"source.others.{i}.run_in_window", t_run=run_o, T=T_o, W=W)
        window = sheet.do(
            duty.sum_time,
            as_id=_last(of_blasts, i, others),
            title=_title(i, others, "Running time in the worst window"),
            own=window,
            others=add,
            W=W,
        )
        add = sheet.do(duty.starts, as_id=f"source.others.{i}.starts", T=T_o)
        starts = sheet.do(
            duty.sum_rate,
            as_id=_last("source.starts_per_hour", i, others),
            title=_title(i, others, "Starts of the source"),
            own=starts,
            others=add,
        )
    if refill is not None:
        sheet.do(duty.worst_run, as_id="source.run_in_window", t_window_run=window, t_run=run, t_refill=refill, W=W)
    _beside_the_nameplate(sheet, inputs, share)


def _beside_the_nameplate(sheet: Sheet, inputs: Inputs, share: Node) -> None:
    """What the stated rating and starts allow, and the energy of a year."""
    if "source.duty_rating" in inputs:
        sheet.do(duty.run_allowed, CDF_rated=inputs["source.duty_rating"], W=inputs["source.duty_cycle"])
    if "source.starts_allowed" in inputs:
        sheet.add(inputs["source.starts_allowed"])
    if "source.power" in inputs:
        sheet.do(duty.energy_per_year, P=inputs["source.power"], CDF=share)


def _last(id: str, i: int, others: Sequence[Sheet]) -> str:
    """The plain id belongs to the total; sums on the way are numbered."""
    return id if i == len(others) else f"{id}.first_{i + 1}"


def _title(i: int, others: Sequence[Sheet], what: str) -> str:
    return f"{what}, all lines" if i == len(others) else f"{what}, first {i + 1} lines"
