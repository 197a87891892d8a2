"""What the blast does to the reading, when it may be released, and what share of the time it is live.

There is one model of the bump: the face stays in bubbles until they have cleared and the water has mixed. Hold-off,
bias, height, pass bands, charts and texts take it; its closed form and the simulation (``cycle.py``) agree to one part
in a million. What would do if the bubbles were gone as the air stops stands on the sheet as ``_lower``, for ``explain``
and for the lower end of what a sound bump measures.
"""

from __future__ import annotations

import numpy as np

from purgecalc.catalogue.probes import probe_kind
from purgecalc.design.sensor import FRACTIONS, bump_and_hold_off, fraction, sensor_constant
from purgecalc.errors import NoPhysicalAnswer
from purgecalc.formulas import bubble, interval, oxygen
from purgecalc.formulas import reading as rd
from purgecalc.formulas.sensor_fall import slower_in_cold
from purgecalc.inputs import Inputs
from purgecalc.units import Measure, parse, show
from purgecalc.working import Given, Node, Origin, Sheet

OPTICAL = "optical-oxygen"


def reads_oxygen(inputs: Inputs) -> bool:
    """Whether the bump can be worked out from oxygen saturation."""
    return probe_kind(inputs.choice("probe.kind")).parameter == "oxygen"


def reading(sheet: Sheet, inputs: Inputs) -> None:
    """Bump, hold-off needed, bias left at release, hold and live share."""
    if reads_oxygen(inputs):
        _bump_worked_out(sheet, inputs)
    elif "probe.timed_fall" in inputs:
        sheet.do(rd.settle_timed, as_id="reading.hold_off_needed", t_fall=inputs["probe.timed_fall"])
    else:
        t_90 = response_time(sheet, inputs)
        sensor_constant(sheet, inputs, t_90)
        t_clear, t_mix = _waits(sheet, inputs)
        sheet.do(rd.settle_time, as_id="reading.hold_off_needed", t_clear=t_clear, t_mix=t_mix, t_90=t_90)
    hold_time(sheet, inputs)


def _bump_worked_out(sheet: Sheet, inputs: Inputs) -> None:
    waits = _waits(sheet, inputs)
    oxygen_saturation(sheet, inputs)
    C = inputs.get("probe.set_point") or _text(
        "probe.set_point", "process value", "0 mg/L", "the largest bump; the cautious choice"
    )
    tol = _or_catalogue(sheet, inputs, "tolerance", "bias the reading may carry when released")
    dC = sheet.do(rd.driving_difference, phi=inputs["probe.exposure"], C_b=sheet["oxygen.bubble_saturation"], C=C)
    if "probe.timed_fall" in inputs:
        t_90: Node = _timed(sheet, inputs, dC, tol, waits)
    else:
        t_90 = response_time(sheet, inputs)
    if probe_kind(inputs.choice("probe.kind")).name == OPTICAL and "probe.timed_fall" not in inputs:
        sheet.do(slower_in_cold, as_id="reading.slower_in_cold", T=inputs["water.temperature"])
    sensor_constant(sheet, inputs, t_90)
    bump_and_hold_off(sheet, inputs, dC, tol, waits)


def _waits(sheet: Sheet, inputs: Inputs) -> tuple[Node, Node]:
    """Times for bubbles to clear and for the water at the face to mix."""
    t_clear = clear_time(sheet, inputs)
    return t_clear, _or_catalogue(sheet, inputs, "mix_time", "time for the water at the face to be renewed")


def _timed(sheet: Sheet, inputs: Inputs, dC: Node, tol: Node, waits: tuple[Node, Node]) -> Node:
    """t90 of the sensor whose reading comes back as a stopwatch has found it; refused where none does."""
    t_90 = sheet.do(
        rd.t90_of_fall,
        as_id="probe.t90",
        title="Response time t90 of the probe, from the fall timed by hand",
        t_fall=inputs["probe.timed_fall"],
        t_clear=waits[0],
        t_mix=waits[1],
        dC=dC,
        t_blast=inputs["probe.timed_blast"],
        tol=tol,
    )
    if np.ndim(t_90.value) == 0 and np.isnan(t_90.value):
        raise NoPhysicalAnswer(_no_such_fall(inputs, dC, tol, waits))
    return t_90


def _no_such_fall(inputs: Inputs, dC: Node, tol: Node, waits: tuple[Node, Node]) -> str:
    """Why no sensor comes back in the time stated, and what to state instead."""
    t_fall, blast = inputs["probe.timed_fall"], inputs["probe.timed_blast"]
    said = f"{inputs.line}: timed_fall {t_fall.text or show(t_fall.number, 'time')}"
    if abs(dC.number) <= tol.number:
        return (
            f"{said} tells nothing of the probe: bubbles move the reading by {show(abs(dC.number), 'concentration')} at most, "
            "which is within the tolerance. Leave timed_fall out"
        )
    least = waits[0].number + waits[1].number
    if t_fall.number <= least:
        return (
            f"{said} is no longer than bubbles and mixing are given ({show(least, 'time')}). State clear_time and mix_time as "
            "they are on site"
        )
    most = least + rd.longest_fall(abs(dC.number) / tol.number, blast.number + least)
    return (
        f"{said} is longer than any sensor of one lag takes after a blast of {show(blast.number, 'time')} "
        f"({show(most, 'time')} at most). State a longer mix_time, if the water at the face is renewed slowly"
    )


def hold_time(sheet: Sheet, inputs: Inputs) -> None:
    """Hold, live share, and what hold lead and longest hold are held against."""
    lead = inputs["schedule.hold_lead"]
    hold = sheet.do(rd.hold_time, t_lead=lead, t_blast=inputs["schedule.blast"], t_hold=inputs["schedule.hold_off"])
    sheet.do(rd.live_share, t_held=hold, t_interval=inputs["schedule.interval"])
    if "probe.scan" in inputs or "probe.filter" in inputs:
        none = Origin("other", "not stated, so none is counted")
        scan, smooth = (
            inputs.get(id) or Given(id, title, "time", 0.0, none, "0 s")
            for id, title in (("probe.scan", "time between two samples"), ("probe.filter", "filter time of the transmitter"))
        )
        sheet.do(rd.lead_needed, t_scan=scan, t_filter=smooth)
    if "probe.longest_hold" in inputs:
        sheet.add(inputs["probe.longest_hold"])
        sheet.do(rd.longest_hold_allowed, t_held=hold)


def clear_time(sheet: Sheet, inputs: Inputs) -> Node:
    """As given, or the longer of the catalogue's usual time and what the last bubbles need to rise past the face."""
    usual = _or_catalogue(sheet, inputs, "clear_time", "time for bubbles to leave the face")
    if "probe.clear_time" in inputs:
        return usual
    rho, air, sigma, d = sheet["water.density"], sheet["air.density"], bubble.SIGMA_WATER, bubble.LAST_BUBBLE
    mu = sheet["water.viscosity"]
    ball = sheet.do(bubble.rigid_sphere, d=d, rho_w=rho, rho_a=air, mu=mu)
    Eo = sheet.do(bubble.eotvos, d=d, rho_w=rho, rho_a=air, sigma=sigma)
    Mo = sheet.do(bubble.morton, rho_w=rho, rho_a=air, mu=mu, sigma=sigma)
    dirty = sheet.do(bubble.contaminated, d=d, rho_w=rho, mu=mu, Eo=Eo, Mo=Mo)
    U = sheet.do(bubble.rise, U_sphere=ball, U_contaminated=dirty, U_cap=sheet.do(bubble.cap, d=d))
    plume = inputs.get("probe.plume_length") or bubble.PLUME
    risen = sheet.do(bubble.clearance_time, t_stick=bubble.STICKS, L_plume=plume, U=U)
    title = "Time for bubbles to leave the face: usual, or risen past it"
    return sheet.do(interval.longer_of, as_id="reading.clear_time", title=title, t_a=usual, t_b=risen)


def response_time(sheet: Sheet, inputs: Inputs) -> Node:
    """t90 as given, converted from another response time, or from the catalogue."""
    for id in FRACTIONS:
        if id in inputs and "probe.t90" not in inputs:
            title = "Response time t90 of the probe"
            return sheet.do(rd.t90_of_fraction, as_id="probe.t90", title=title, t_x=inputs[id], x=fraction(id))
    return _or_catalogue(sheet, inputs, "t90", "response time to 90 %")


def _or_catalogue(sheet: Sheet, inputs: Inputs, field: str, title: str) -> Node:
    """An input of the probe, or the catalogue's usual value for its kind."""
    given = inputs.get(f"probe.{field}")
    if given is not None:
        return sheet.add(given)
    kind = probe_kind(inputs.choice("probe.kind"))
    usual: Measure = getattr(kind, field).value
    origin = Origin("default", f"{kind.name} in the catalogue: {getattr(kind, field).origin}")
    return sheet.add(Given(f"probe.{field}", title, usual.kind, usual.value, origin, usual.text))


def oxygen_saturation(sheet: Sheet, inputs: Inputs) -> None:
    """Saturation at the surface, and of water in touch with bubbles at the depth of the head."""
    T = inputs["water.temperature"]
    C_0 = sheet.do(oxygen.saturation_at_standard_pressure, T=T, S=inputs["water.salinity"])
    p_w = sheet.do(oxygen.vapour_pressure, T=T)
    theta = sheet.do(oxygen.theta, T=T)
    sheet.do(oxygen.saturation, C_0=C_0, p=sheet["site.pressure"], p_w=p_w, theta=theta)
    sheet.do(
        oxygen.saturation,
        as_id="oxygen.bubble_saturation",
        title="Oxygen saturation against bubbles at the head",
        C_0=C_0,
        p=sheet["water.back_pressure"],
        p_w=p_w,
        theta=theta,
    )


def _text(id: str, title: str, text: str, why: str) -> Given:
    return Given(id, title, "concentration", parse(text, "concentration").value, Origin("default", why), text)
