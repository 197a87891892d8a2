"""How far the blast drives a sensor and how long until it is back, in closed form for each sensor model.

The face is taken to stay in bubbles until they have cleared and the water has mixed, so both count as further blast: that
is what is judged, measured and drawn, and what the simulation does. Were the bubbles gone as the air stops, less would do;
those lines of the sheet end in ``_lower`` and are for ``explain`` alone.

A fall timed by hand stands in place of t90: the single lag is sought whose hold-off needed is that time, after the
blast it was timed with.
"""

from __future__ import annotations

from typing import TypedDict

from purgecalc.catalogue.probes import Figure, probe_kind
from purgecalc.formulas import interval as iv
from purgecalc.formulas import reading as rd
from purgecalc.formulas import sensor as sn
from purgecalc.formulas import sensor_fall as fl
from purgecalc.inputs import Inputs
from purgecalc.working import Given, Node, Origin, Sheet

FRACTIONS = {"probe.t63": 1 - 2.718281828459045**-1, "probe.t95": 0.95, "probe.t98": 0.98, "probe.t99": 0.99}
"""Response times other than t90, and the share of a step that each is stated for."""
Pair = tuple[Node, Node]
LOWER = "_lower"
_TAILS = {"": "", LOWER: ", the face out of bubbles as the air stops"}


def model_of(inputs: Inputs) -> str:
    """The sensor model of the line: as stated, or with a slow share where a longer response time stands beside t90."""
    return "slow-share" if tails(inputs) else inputs.choices.get("probe.sensor", "one-lag")


def tails(inputs: Inputs) -> list[str]:
    """Ids of the response times that stand beside t90."""
    return [id for id in FRACTIONS if id in inputs and "probe.t90" in inputs]


def sensor_constant(sheet: Sheet, inputs: Inputs, t_90: Node) -> None:
    """Time constant of the sensor, by its model."""
    model, id, read = model_of(inputs), "reading.time_constant", inputs.words("probe.sensor")
    if model == "two-lags":
        sheet.do(sn.two_lag_time_constant, as_id=id, t_90=t_90, read=read)
    elif model == "dead-time-lag":
        sheet.do(sn.dead_time_constant, as_id=id, t_90=t_90, t_d=inputs["probe.dead_time"], read=read)
    elif model == "slow-share":
        _slow_share_constants(sheet, inputs, t_90)
    else:
        sheet.do(rd.time_constant, t_90=t_90, read=read)


def fraction(id: str) -> Given:
    """The share of a step that a response time is stated for."""
    x = FRACTIONS[id]
    return Given(f"{id}.fraction", f"share reached after {id[6:]}", "ratio", x, Origin("other", "definition"), f"{x:.4g}")


def _slow_share_constants(sheet: Sheet, inputs: Inputs, t_90: Node) -> None:
    """The slowest share that any of the response times asks for, and the quick rest."""
    s, ids, slow = inputs["probe.slow_share"], tails(inputs), "reading.slow_constant"
    found: list[Node] = [
        sheet.do(
            fl.slow_constant,
            as_id=slow if len(ids) == 1 else f"{slow}_of_{id[6:]}",
            t_90=t_90,
            t_x=inputs[id],
            x=fraction(id),
            s=s,
        )
        for id in ids
    ]
    longest, title = found[0], "Time constant of the slow share, the longest asked for"
    for i, node in enumerate(found[1:], 2):
        both = slow if i == len(ids) else f"{slow}_of_{i}"
        longest = sheet.do(iv.longer_of, as_id=both, title=title, t_a=longest, t_b=node)
    sheet.do(fl.quick_constant, as_id="reading.time_constant", t_90=t_90, tau_s=longest, s=s)


def fall(sheet: Sheet, inputs: Inputs, dC: Node) -> None:
    """How much longer than one lag the sensor takes to fall back, as stated or by its kind."""
    f_set, f_fall = settling_factor(inputs), _falling(inputs)
    read = inputs.words("probe.kind", "probe.t90_of")
    k = sheet.do(fl.fall_stretch, as_id="reading.fall_stretch", f_set=f_set, f_fall=f_fall, dC=dC, read=read)
    tau = sheet["reading.slow_constant" if model_of(inputs) == "slow-share" else "reading.time_constant"]
    sheet.do(fl.fall_constant, as_id="reading.fall_constant", k=k, tau=tau)
    if "probe.t90_of" in inputs.choices:
        title = "Response time t90 of the probe, falling"
        sheet.do(fl.fall_constant, as_id="reading.fall_t90", title=title, k=f_fall, tau=sheet["probe.t90"], read=read)


def settling_factor(inputs: Inputs) -> Given:
    """As stated, none where the end of the fall is known, else the catalogue's."""
    if "probe.settling_factor" in inputs:
        return inputs["probe.settling_factor"]
    known = "probe.timed_fall" in inputs or "probe.t99" in inputs or bool(tails(inputs))
    why = Origin("other", "the end of the fall is stated") if known else None
    return _factor(inputs, "settling", "probe.settling_factor", "times the end of the fall takes what one lag takes", why)


def _falling(inputs: Inputs) -> Given:
    if "probe.falling_factor" in inputs:  # a sample puts it there
        return inputs["probe.falling_factor"]
    rising = inputs.choices.get("probe.t90_of") == "rising"
    why = None if rising else Origin("other", "t90 is taken as that of a fall")
    return _factor(inputs, "falling", "probe.falling_factor", "t90 of a fall over the t90 stated", why)


def _factor(inputs: Inputs, field: str, id: str, title: str, one: Origin | None) -> Given:
    """A factor of the catalogue, or 1 for the reason given."""
    kind = probe_kind(inputs.choice("probe.kind"))
    figure: Figure = getattr(kind, field)
    if one is not None:
        return Given(id, title, "ratio", 1.0, one, "1")
    origin = Origin("default", f"{kind.name} in the catalogue: {figure.origin}")
    return Given(id, title, "ratio", figure.value.value, origin, figure.value.text)


def bump_and_hold_off(sheet: Sheet, inputs: Inputs, dC: Node, tol: Node, waits: Pair) -> None:
    """Bump, hold-off needed and bias left; ``waits`` are clearing and mixing. Their lower ends after them."""
    t_blast = inputs["schedule.blast"]
    fall(sheet, inputs, dC)
    exposure = sheet.do(sn.exposure, as_id="reading.exposure", t_blast=t_blast, t_clear=waits[0], t_mix=waits[1])
    work = {"one-lag": _one_lag, "two-lags": _two_lags, "dead-time-lag": _dead_time, "slow-share": _slow_share}[model_of(inputs)]
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
    tau, tau_f, t_hold = sheet["reading.time_constant"], sheet["reading.fall_constant"], inputs["schedule.hold_off"]
    A = sheet.do(rd.bump, **_bump(form), dC=step[0], t_blast=step[1], tau=tau)
    sheet.do(rd.hold_off_needed, **_need(form), t_clear=waits[0], t_mix=waits[1], tau=tau_f, A=A, tol=tol)
    sheet.do(rd.residual, **_left(form), A=A, t_hold=t_hold, t_clear=waits[0], t_mix=waits[1], tau=tau_f)


def _two_lags(sheet: Sheet, inputs: Inputs, form: str, step: Pair, tol: Node, waits: Pair) -> None:
    tau, tau_f, t_hold = sheet["reading.time_constant"], sheet["reading.fall_constant"], inputs["schedule.hold_off"]
    early = sheet.do(sn.two_lag_peak_time, as_id=f"reading.peak_time{form}", t_blast=step[1], tau=tau)
    A = sheet.do(sn.two_lag_peak, **_bump(form), dC=step[0], t_blast=step[1], tau=tau, t_peak=early)
    title = f"{early.title}, stretched"
    t_peak = sheet.do(
        fl.fall_constant, as_id=f"reading.peak_time_stretched{form}", title=title, k=sheet["reading.fall_stretch"], tau=early
    )
    t_set = sheet.do(sn.two_lag_settling, as_id=f"reading.settling{form}", A=A, t_peak=t_peak, tau=tau_f, tol=tol)
    sheet.do(sn.hold_off_needed, **_need(form), t_clear=waits[0], t_mix=waits[1], t_set=t_set)
    sheet.do(sn.two_lag_residual, **_left(form), A=A, t_peak=t_peak, t_hold=t_hold, t_clear=waits[0], t_mix=waits[1], tau=tau_f)


def _dead_time(sheet: Sheet, inputs: Inputs, form: str, step: Pair, tol: Node, waits: Pair) -> None:
    tau, tau_f, t_d = sheet["reading.time_constant"], sheet["reading.fall_constant"], inputs["probe.dead_time"]
    A = sheet.do(rd.bump, **_bump(form), dC=step[0], t_blast=step[1], tau=tau)
    t_set = sheet.do(sn.dead_time_settling, as_id=f"reading.settling{form}", A=A, t_d=t_d, tau=tau_f, tol=tol)
    sheet.do(sn.hold_off_needed, **_need(form), t_clear=waits[0], t_mix=waits[1], t_set=t_set)
    sheet.do(
        sn.dead_time_residual,
        **_left(form),
        dC=step[0],
        t_blast=step[1],
        t_hold=inputs["schedule.hold_off"],
        t_clear=waits[0],
        t_mix=waits[1],
        t_d=t_d,
        tau=tau,
        tau_f=tau_f,
    )


def _slow_share(sheet: Sheet, inputs: Inputs, form: str, step: Pair, tol: Node, waits: Pair) -> None:
    tau, tau_s, s = sheet["reading.time_constant"], sheet["reading.slow_constant"], inputs["probe.slow_share"]
    k, t_hold = sheet["reading.fall_stretch"], inputs["schedule.hold_off"]
    A = sheet.do(fl.slow_share_bump, **_bump(form), dC=step[0], t_blast=step[1], tau=tau, tau_s=tau_s, s=s)
    t_set = sheet.do(
        fl.slow_share_settling,
        as_id=f"reading.settling{form}",
        A=A,
        dC=step[0],
        t_blast=step[1],
        tau=tau,
        tau_s=tau_s,
        s=s,
        k=k,
        tol=tol,
    )
    sheet.do(sn.hold_off_needed, **_need(form), t_clear=waits[0], t_mix=waits[1], t_set=t_set)
    sheet.do(
        fl.slow_share_residual,
        **_left(form),
        dC=step[0],
        t_blast=step[1],
        t_hold=t_hold,
        t_clear=waits[0],
        t_mix=waits[1],
        tau=tau,
        tau_s=tau_s,
        s=s,
        k=k,
    )
