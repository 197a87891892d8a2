"""How far the blast drives a sensor and how long until it is back, in closed form for each sensor model.

The face is taken to stay in bubbles until they have cleared and the water has mixed, so both count as further blast: that
is what is judged, measured and drawn, and what the simulation does. Were the bubbles gone as the air stops, less would do;
those lines of the sheet end in ``_lower`` and are for ``explain`` alone.
"""

from __future__ import annotations

from typing import TypedDict

from purgecalc.formulas import reading as rd
from purgecalc.formulas import sensor as sn
from purgecalc.inputs import Inputs
from purgecalc.working import Node, Sheet

Pair = tuple[Node, Node]
LOWER = "_lower"
_TAILS = {"": "", LOWER: ", the face out of bubbles as the air stops"}


def model_of(inputs: Inputs) -> str:
    """The sensor model of the line."""
    return inputs.choices.get("probe.sensor", "one-lag")


def sensor_constant(sheet: Sheet, inputs: Inputs, t_90: Node) -> None:
    """Time constant of the sensor, by its model."""
    model, id, read = model_of(inputs), "reading.time_constant", inputs.words("probe.sensor")
    if model == "two-lags":
        sheet.do(sn.two_lag_time_constant, as_id=id, t_90=t_90, read=read)
    elif model == "dead-time-lag":
        sheet.do(sn.dead_time_constant, as_id=id, t_90=t_90, t_d=inputs["probe.dead_time"], read=read)
    else:
        sheet.do(rd.time_constant, t_90=t_90, read=read)


def bump_and_hold_off(sheet: Sheet, inputs: Inputs, dC: Node, tol: Node, waits: Pair) -> None:
    """Bump, hold-off needed and bias left; ``waits`` are clearing and mixing. Their lower ends after them."""
    t_blast = inputs["schedule.blast"]
    exposure = sheet.do(sn.exposure, as_id="reading.exposure", t_blast=t_blast, t_clear=waits[0], t_mix=waits[1])
    work = {"one-lag": _one_lag, "two-lags": _two_lags, "dead-time-lag": _dead_time}[model_of(inputs)]
    for form, seen in (("", exposure), (LOWER, t_blast)):
        work(sheet, inputs, form, (dC, seen), tol, waits)


class _Name(TypedDict):
    """What a line of one of the two forms is called."""

    as_id: str
    title: str
    note: str


def _named(form: str, id: str, lower: str, title: str) -> _Name:
    note = "" if form else f"the lower end, were the face out of bubbles as the air stops: {lower}"
    return {"as_id": lower if form else id, "title": f"{title}{_TAILS[form]}", "note": note}


def _bump(form: str) -> _Name:
    return _named(form, "reading.bump", "reading.bump_lower", "Height of the bump in the raw reading")


def _need(form: str) -> _Name:
    return _named(form, "reading.hold_off_needed", "reading.hold_off_lower", "Hold-off needed")


def _left(form: str) -> _Name:
    return _named(form, "reading.residual", "reading.residual_lower", "Bias left when the output is released")


def _one_lag(sheet: Sheet, inputs: Inputs, form: str, step: Pair, tol: Node, waits: Pair) -> None:
    tau, t_hold = sheet["reading.time_constant"], inputs["schedule.hold_off"]
    A = sheet.do(rd.bump, **_bump(form), dC=step[0], t_blast=step[1], tau=tau)
    sheet.do(rd.hold_off_needed, **_need(form), t_clear=waits[0], t_mix=waits[1], tau=tau, A=A, tol=tol)
    sheet.do(rd.residual, **_left(form), A=A, t_hold=t_hold, t_clear=waits[0], t_mix=waits[1], tau=tau)


def _two_lags(sheet: Sheet, inputs: Inputs, form: str, step: Pair, tol: Node, waits: Pair) -> None:
    tau, t_hold = sheet["reading.time_constant"], inputs["schedule.hold_off"]
    t_peak = sheet.do(sn.two_lag_peak_time, as_id=f"reading.peak_time{form}", t_blast=step[1], tau=tau)
    A = sheet.do(sn.two_lag_peak, **_bump(form), dC=step[0], t_blast=step[1], tau=tau, t_peak=t_peak)
    t_set = sheet.do(sn.two_lag_settling, as_id=f"reading.settling{form}", A=A, t_peak=t_peak, tau=tau, tol=tol)
    sheet.do(sn.hold_off_needed, **_need(form), t_clear=waits[0], t_mix=waits[1], t_set=t_set)
    sheet.do(
        sn.two_lag_residual, **_left(form), A=A, t_peak=t_peak, t_hold=t_hold, t_clear=waits[0], t_mix=waits[1], tau=tau
    )  # fmt: skip


def _dead_time(sheet: Sheet, inputs: Inputs, form: str, step: Pair, tol: Node, waits: Pair) -> None:
    tau, t_hold, t_d = sheet["reading.time_constant"], inputs["schedule.hold_off"], inputs["probe.dead_time"]
    A = sheet.do(rd.bump, **_bump(form), dC=step[0], t_blast=step[1], tau=tau)
    t_set = sheet.do(sn.dead_time_settling, as_id=f"reading.settling{form}", A=A, t_d=t_d, tau=tau, tol=tol)
    sheet.do(sn.hold_off_needed, **_need(form), t_clear=waits[0], t_mix=waits[1], t_set=t_set)
    sheet.do(
        sn.dead_time_residual, **_left(form), dC=step[0], t_blast=step[1], t_hold=t_hold, t_clear=waits[0],
        t_mix=waits[1], t_d=t_d, tau=tau,
    )  # fmt: skip
