"""How long a hose this line could have, and what its source gives at its strongest."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from purgecalc.air_sources import LineSupply
from purgecalc.design.holes import coefficient, coefficient_for
from purgecalc.design.line import airway, read_for_airway
from purgecalc.formulas import head as hd
from purgecalc.formulas import hose, hose_ends, limits, operating_point, receiver
from purgecalc.formulas.limits import F_REFERENCE, USEFUL_SHARE
from purgecalc.inputs import Inputs
from purgecalc.si import Num
from purgecalc.working import Node, Sheet, Step


def longest_hose(sheet: Sheet, inputs: Inputs, supply: LineSupply) -> None:
    """Longest hose of this bore at which the jet still reaches its floor and the source stays within its rating."""
    T, p_b = inputs["site.air_temperature"], sheet["water.back_pressure"]
    A_h = sheet["head.hole_area"]
    F = sheet.do(limits.thrust_floor, ratio_floor=sheet["probe.jet_floor"], F_ref=F_REFERENCE)
    C_d = _coefficient_for_thrust(sheet, "limit.jet", F)
    head = sheet.do(limits.head_pressure_for_thrust, F=F, p_b=p_b, C_d=C_d, A_h=A_h)
    F_useful = sheet.do(limits.useful_thrust, k_useful=USEFUL_SHARE, F=F)
    title = "Pressure ahead of the holes for it"
    C_useful = _coefficient_for_thrust(sheet, "blast.useful", F_useful)
    sheet.do(limits.head_pressure_for_thrust, as_id="blast.useful_head", title=title, F=F_useful, p_b=p_b, C_d=C_useful, A_h=A_h)
    m = sheet.do(
        hd.mass_flow, as_id="limit.jet.mass_flow", title="Flow that thrust needs", C_d=C_d, A_h=A_h, p_h=head, p_b=p_b, T=T
    )
    p_s = supply.pressure_for_flow(sheet, m)
    jet = _length_between(sheet, inputs, "limit.jet", p_s, head, m)
    rating = supply.rated_flow(sheet, inputs)
    if rating is None:
        sheet.do(limits.longest, L_a=jet, L_b=jet)
        return
    p_r, m_r = rating

    def at_rating(C: Num) -> Num:
        return limits.head_pressure_for_flow(m_r.value, C, A_h.value, p_b.value, T.value)

    C_d = coefficient_for(sheet, "limit.rating", p_b, at_rating, {"m": m_r, "A_h": A_h, "T": T})
    head_r = sheet.do(
        limits.head_pressure_for_flow,
        title="Pressure ahead of the holes when the source is at its rating",
        m=m_r,
        C_d=C_d,
        A_h=A_h,
        p_b=p_b,
        T=T,
    )
    sheet.do(limits.longest, L_a=jet, L_b=_length_between(sheet, inputs, "limit.rating", p_r, head_r, m_r))


def _coefficient_for_thrust(sheet: Sheet, id: str, F: Node) -> Node:
    p_b, A_h = sheet["water.back_pressure"], sheet["head.hole_area"]

    def pressure(C: Num) -> Num:
        return limits.head_pressure_for_thrust(F.value, p_b.value, C, A_h.value)

    return coefficient_for(sheet, id, p_b, pressure, {"F": F, "A_h": A_h})


def _length_between(sheet: Sheet, inputs: Inputs, id: str, p_s: Node, head: Node, m: Node) -> Step:
    """Hose length that spends what lies between a source pressure and a head pressure at a given flow."""
    T, area, bore = inputs["site.air_temperature"], sheet["hose.bore_area"], sheet["hose.bore"]
    p_in = p_s
    if "valve.conductance" in sheet:
        C, b = sheet["valve.conductance"], inputs["valve.critical_ratio"]
        p_in = sheet.do(limits.valve_outlet_pressure, as_id=f"{id}.valve_outlet", m=m, C=C, b=b, p_1=p_s, T=T)
    p_in = sheet.do(hose_ends.fed_inlet, as_id=f"{id}.hose_inlet", p_fed=p_in, p_crack=sheet["hose.kept_at_source"])
    star = sheet.do(hose.choking_pressure, as_id=f"{id}.choking_pressure", m=m, A=area, T=T)
    out = sheet.do(
        hose_ends.outlet_pressure, as_id=f"{id}.hose_outlet", p_h=head, p_crack=sheet["hose.kept_at_head"], p_star=star
    )
    re = sheet.do(hose.reynolds, as_id=f"{id}.reynolds", m=m, D=bore, mu=sheet["air.viscosity"])
    lam = sheet.do(hose.laminar_friction, as_id=f"{id}.laminar_friction", Re=re)
    turb = sheet.do(hose.turbulent_friction, as_id=f"{id}.turbulent_friction", Re=re, eps=sheet["hose.roughness"], D=bore)
    f = sheet.do(hose.friction_factor, as_id=f"{id}.friction_factor", f_lam=lam, f_turb=turb, Re=re)
    K = sheet["hose.loss_coefficient"]
    return sheet.do(hose.length_for_flow, as_id=f"{id}.length", D=bore, f=f, p_in=p_in, p_out=out, m=m, A=area, T=T, K=K)


def strongest_law(sheet: Sheet, supply: LineSupply, high: Node) -> tuple[operating_point.Supply, Mapping[str, Node]]:
    """The source at its highest, with what that was made of: a receiver at ``high`` (absolute), behind its regulator if any."""
    if supply.law.pressure is None:
        return supply.law, supply.rests_on()
    held = sheet.get("source.regulator_absolute")
    pressure = high.value if held is None else np.minimum(high.value, held.value)
    return operating_point.Supply(pressure=np.asarray(pressure, float)), {"p_high": high} | ({"p_reg": held} if held else {})


def strongest_flow(sheet: Sheet, inputs: Inputs, supply: LineSupply) -> None:
    """Steady flow from a receiver at its highest pressure: what its largest blast is estimated from."""
    p: Node = supply.highest_possible
    if "source.regulator_absolute" in sheet:
        title = "Highest pressure a blast starts from, behind the regulator"
        p = sheet.do(
            receiver.behind_regulator, as_id="source.strongest", title=title, p=p, p_reg=sheet["source.regulator_absolute"]
        )
    point = operating_point.solve(airway(sheet, inputs), operating_point.Supply(pressure=np.asarray(p.value, float)))
    title, how = "Pressure ahead of the holes from the highest pressure", "solved like head.pressure, from the highest pressure"
    rests = {**read_for_airway(sheet, inputs), "p": p}
    head = sheet.add(Step("line.strongest_head", title, "pressure", point.head, None, rests, how))
    p_b = sheet["water.back_pressure"]
    sheet.do(
        hd.mass_flow,
        as_id="line.strongest_flow",
        title="Mass flow from the highest pressure",
        p_h=head,
        C_d=coefficient(sheet, "line.strongest", p_b, head),
        A_h=sheet["head.hole_area"],
        p_b=p_b,
        T=inputs["site.air_temperature"],
    )


def thrust_of(
    sheet: Sheet,
    inputs: Inputs,
    way: operating_point.Airway,
    law: operating_point.Supply,
    p_b: Node,
    words: tuple[str, str, str],
    read: Mapping[str, Node],
    holes: Node | None = None,
) -> Step:
    """Thrust of another line than this one; ``words`` are its id, what it is, and how its head pressure was found.

    ``read`` is what ``law`` was made of; ``holes`` the open area of its head where that differs from this line's.
    """
    id, what, how = words
    point = operating_point.solve(way, law)
    rests = {**read_for_airway(sheet, inputs), "p_b": p_b, **read} | ({"A_h": holes} if holes else {})
    T, A_h = inputs["site.air_temperature"], holes or sheet["head.hole_area"]
    title = f"Pressure ahead of the holes {what}"
    head = sheet.add(Step(f"{id}.head_pressure", title, "pressure", point.head, None, rests, how))
    sheet.add(Step(f"{id}.source_pressure", f"Pressure at the source {what}", "pressure", point.source, None, rests, how))
    C_d = coefficient(sheet, id, p_b, head)
    title = f"Mass flow {what}"
    m = sheet.do(hd.mass_flow, as_id=f"{id}.mass_flow", title=title, C_d=C_d, A_h=A_h, p_h=head, p_b=p_b, T=T)
    u = sheet.do(hd.jet_velocity, as_id=f"{id}.jet_velocity", p_h=head, p_b=p_b, T=T)
    p_e = sheet.do(hd.exit_pressure, as_id=f"{id}.exit_pressure", p_h=head, p_b=p_b)
    title = f"Thrust {what}"
    return sheet.do(hd.thrust, as_id=f"{id}.thrust", title=title, m=m, u=u, p_e=p_e, p_b=p_b, C_d=C_d, A_h=A_h)
