"""How far the blast drives a sensor and how long until it is back, in closed form for each sensor model.

The plain form counts the blast alone. The conservative one counts clearing and mixing as further blast, because the
face may stay in bubbles; its lines of the sheet end in ``_cautious``.
"""

from __future__ import annotations

from purgecalc.formulas import reading as rd
from purgecalc.formulas import sensor as sn
from purgecalc.inputs import Inputs
from purgecalc.working import Node, Sheet

Waits = tuple[Node, Node]  # clearing, mixing
_LABELS = {"": "", "_cautious": " if the face stays in bubbles until mixed"}


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


def bump_and_hold_off(sheet: Sheet, inputs: Inputs, dC: Node, tol: Node, waits: Waits) -> None:
    """Bump, hold-off needed and bias left, plain and conservative."""
    t_blast = inputs["schedule.blast"]
    exposure = sheet.do(sn.exposure, as_id="reading.exposure", t_blast=t_blast, t_clear=waits[0], t_mix=waits[1])
    work = {"one-lag": _one_lag, "two-lags": _two_lags, "dead-time-lag": _dead_time}[model_of(inputs)]
    for form, step in (("", t_blast), ("_cautious", exposure)):
        work(sheet, inputs, form, (dC, step), tol, waits)


def _titles(form: str) -> tuple[str, str, str]:
    tail = _LABELS[form]
    return f"Height of the bump{tail}", f"Hold-off needed{tail}", f"Bias left at release{tail}"


def _ids(form: str) -> tuple[str, str, str]:
    return f"reading.bump{form}", f"reading.hold_off{form or '_needed'}", f"reading.residual{form}"


def _one_lag(sheet: Sheet, inputs: Inputs, form: str, step: Waits, tol: Node, waits: Waits) -> None:
    tau, t_hold = sheet["reading.time_constant"], inputs["schedule.hold_off"]
    (bump, need, left), (t_bump, _, t_left) = _ids(form), _titles(form)
    A = sheet.do(rd.bump, as_id=bump, title=t_bump if form else "", dC=step[0], t_blast=step[1], tau=tau)
    if form:
        sheet.do(
            rd.hold_off_cautious, as_id=need, t_clear=waits[0], t_mix=waits[1], tau=tau, dC=step[0],
            t_blast=inputs["schedule.blast"], tol=tol,
        )  # fmt: skip
    else:
        sheet.do(rd.hold_off_needed, t_clear=waits[0], t_mix=waits[1], tau=tau, A=A, tol=tol)
    title = t_left if form else ""
    sheet.do(rd.residual, as_id=left, title=title, A=A, t_hold=t_hold, t_clear=waits[0], t_mix=waits[1], tau=tau)


def _two_lags(sheet: Sheet, inputs: Inputs, form: str, step: Waits, tol: Node, waits: Waits) -> None:
    tau, t_hold = sheet["reading.time_constant"], inputs["schedule.hold_off"]
    (bump, need, left), (t_bump, t_need, t_left) = _ids(form), _titles(form)
    t_peak = sheet.do(sn.two_lag_peak_time, as_id=f"reading.peak_time{form}", t_blast=step[1], tau=tau)
    A = sheet.do(sn.two_lag_peak, as_id=bump, title=t_bump, dC=step[0], t_blast=step[1], tau=tau, t_peak=t_peak)
    t_set = sheet.do(sn.two_lag_settling, as_id=f"reading.settling{form}", A=A, t_peak=t_peak, tau=tau, tol=tol)
    sheet.do(sn.hold_off_needed, as_id=need, title=t_need, t_clear=waits[0], t_mix=waits[1], t_set=t_set)
    sheet.do(
        sn.two_lag_residual, as_id=left, title=t_left, A=A, t_peak=t_peak, t_hold=t_hold, t_clear=waits[0], t_mix=waits[1],
        tau=tau,
    )  # fmt: skip


def _dead_time(sheet: Sheet, inputs: Inputs, form: str, step: Waits, tol: Node, waits: Waits) -> None:
    tau, t_hold, t_d = sheet["reading.time_constant"], inputs["schedule.hold_off"], inputs["probe.dead_time"]
    (bump, need, left), (t_bump, t_need, t_left) = _ids(form), _titles(form)
    A = sheet.do(rd.bump, as_id=bump, title=t_bump, dC=step[0], t_blast=step[1], tau=tau)
    t_set = sheet.do(sn.dead_time_settling, as_id=f"reading.settling{form}", A=A, t_d=t_d, tau=tau, tol=tol)
    sheet.do(sn.hold_off_needed, as_id=need, title=t_need, t_clear=waits[0], t_mix=waits[1], t_set=t_set)
    sheet.do(
        sn.dead_time_residual, as_id=left, title=t_left, dC=step[0], t_blast=step[1], t_hold=t_hold, t_clear=waits[0],
        t_mix=waits[1], t_d=t_d, tau=tau,
    )  # fmt: skip
