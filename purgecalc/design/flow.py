"""The steady flow of the blast: operating point, pressure budget, jets, and how long a hose this line could have.

The steady line is marched upstream from the head: every step then has a solution. The unknown is ``sqrt(p_h/p_b - 1)``,
in which mass flow is linear near zero and smooth through choking.
"""

from __future__ import annotations

import numpy as np

from purgecalc.air_sources import LineSupply
from purgecalc.catalogue.probes import probe_kind
from purgecalc.design.blast import hose_is_flooded
from purgecalc.design.holes import coefficient
from purgecalc.design.line import airway, read_for_airway
from purgecalc.errors import NoPhysicalAnswer
from purgecalc.formulas import acceptance, air, blast, fanno, hose, hose_ends, limits, operating_point, site, valve
from purgecalc.formulas import head as hd
from purgecalc.formulas.limits import F_REFERENCE
from purgecalc.inputs import Inputs
from purgecalc.units import show
from purgecalc.working import Given, Node, Origin, Sheet, Step, renamed


def refuse_if_no_flow(sheet: Sheet, inputs: Inputs, highest: Node) -> None:
    """A single design whose source cannot lift the water off the head has no operating point: say what it could do."""
    need = sheet["water.back_pressure"].value + sheet["head.check_valve"].value
    if np.ndim(highest.value) or np.ndim(need) or highest.value > need:
        return
    p_atm = sheet["site.pressure"].value
    deepest = limits.deepest_head(highest.value, p_atm, sheet["head.check_valve"].value, sheet["water.density"].value)
    reach = f"it could just bubble at {show(float(deepest), 'length')}" if deepest > 0 else "no depth is shallow enough"
    raise NoPhysicalAnswer(
        f"{inputs.line}: no air leaves the head. The source stands at most at {show(highest.value - p_atm, 'gauge pressure')}; "
        f"depth {inputs['head.depth'].text or show(inputs['head.depth'].value, 'length')} and check valve need "
        f"{show(need - p_atm, 'gauge pressure')}. With this source {reach}; a source of more than "
        f"{show(need - p_atm, 'gauge pressure')} is needed before any flow"
    )


def steady_flow(sheet: Sheet, inputs: Inputs, supply: LineSupply) -> None:
    """Operating point of source, valve, hose, check valve and head; then each element by its own formula."""
    point = operating_point.solve(airway(sheet, inputs), supply.law)
    worst = float(np.nanmax(np.abs(point.mismatch))) if np.any(np.isfinite(point.mismatch)) else float("nan")
    how = f"solved so that the flows at both ends of the line agree: relative mismatch {worst:.1e}, {point.iterations} iterations"
    rests = read_for_airway(sheet, inputs) | supply.rests_on()
    read = inputs.words("source.kind")
    head = sheet.add(Step("head.pressure", "Pressure ahead of the holes", "pressure", point.head, None, rests, how, read))
    T, p_b = inputs["site.air_temperature"], sheet["water.back_pressure"]
    C_d, A_h = coefficient(sheet, "head", p_b, head), sheet["head.hole_area"]
    m = sheet.do(hd.mass_flow, as_id="line.mass_flow", title="Mass flow of the blast", C_d=C_d, A_h=A_h, p_h=head, p_b=p_b, T=T)
    sheet.do(air.free_flow, as_id="line.flow_anr", title="Flow of the blast, ANR (ISO 8778)", m=m)
    sheet.do(
        acceptance.inlet_flow, as_id="line.flow_inlet", title="Flow of the blast, air at the inlet", m=m, rho=sheet["air.density"]
    )
    through_hose(sheet, inputs, head, m)
    valve_and_source(sheet, inputs, m)
    supply.close(sheet, inputs)
    who_chokes(sheet, inputs)


def through_hose(sheet: Sheet, inputs: Inputs, head: Node, m: Node) -> None:
    """From the head back to the source end of the hose."""
    T, area, bore = inputs["site.air_temperature"], sheet["hose.bore_area"], sheet["hose.bore"]
    star = sheet.do(hose.choking_pressure, m=m, A=area, T=T)
    out = sheet.do(hose_ends.outlet_pressure, p_h=head, p_crack=sheet["hose.kept_at_head"], p_star=star)
    re = sheet.do(hose.reynolds, m=m, D=bore, mu=sheet["air.viscosity"])
    lam = sheet.do(hose.laminar_friction, Re=re)
    turb = sheet.do(hose.turbulent_friction, Re=re, eps=sheet["hose.roughness"], D=bore)
    f = sheet.do(hose.friction_factor, f_lam=lam, f_turb=turb, Re=re)
    N = sheet.do(hose.resistance, f=f, L=inputs["hose.length"], D=bore, K=sheet["hose.loss_coefficient"])
    p_in = sheet.do(hose.inlet_pressure, m=m, A=area, p_out=out, T=T, N=N)
    sheet.do(hose.pressure_drop, p_in=p_in, p_out=out)
    sheet.do(hose_ends.fed_pressure, p_in=p_in, p_crack=sheet["hose.kept_at_source"])
    sheet.do(hose.mach, as_id="hose.inlet_mach", title="Mach number at the source end of the hose", m=m, A=area, p=p_in, T=T)
    sheet.do(hose.mach, as_id="hose.outlet_mach", title="Mach number at the head end of the hose", m=m, A=area, p=out, T=T)


def adiabatic_hose(sheet: Sheet, inputs: Inputs) -> None:
    """What the source end of the hose would stand at if no heat came in: information only."""
    m, out, N = sheet["line.mass_flow"], sheet["hose.outlet_pressure"], sheet["hose.resistance"]
    sheet.do(fanno.adiabatic_inlet_pressure, m=m, A=sheet["hose.bore_area"], p_out=out, T_0=inputs["site.air_temperature"], N=N)


def valve_and_source(sheet: Sheet, inputs: Inputs, m: Node) -> None:
    """From the hose back through the valve, if there is one, to the source."""
    T, p_in = inputs["site.air_temperature"], sheet["hose.fed_pressure"]
    if "valve.conductance" in sheet:
        sheet.do(
            valve.inlet_pressure,
            as_id="source.pressure",
            title="Pressure at the source during the blast",
            m=m,
            C=sheet["valve.conductance"],
            b=inputs["valve.critical_ratio"],
            p_2=p_in,
            T=T,
        )
        sheet.do(
            hose.pressure_drop,
            as_id="valve.pressure_drop",
            title="Valve pressure drop",
            p_in=sheet["source.pressure"],
            p_out=p_in,
        )
    else:
        sheet.do(hose_ends.no_valve, as_id="source.pressure", title="Pressure at the source during the blast", p_in=p_in)


def who_chokes(sheet: Sheet, inputs: Inputs) -> None:
    """Choking anywhere but in the holes wastes pressure; name the element."""
    sheet.do(hose_ends.chokes, p_out=sheet["hose.outlet_pressure"], p_star=sheet["hose.choking_pressure"])
    if "valve.conductance" in sheet:
        sheet.do(valve.chokes, p_1=sheet["source.pressure"], p_2=sheet["hose.fed_pressure"], b=inputs["valve.critical_ratio"])


def rated_pressures(sheet: Sheet, inputs: Inputs, supply: LineSupply) -> None:
    """Highest pressure of the source and the ratings it is held against, all as a gauge reads them."""
    p_atm = sheet["site.pressure"]
    sheet.do(
        site.gauge_pressure,
        as_id="source.highest_gauge",
        title="Highest pressure the source can reach",
        p=supply.highest_possible,
        p_atm=p_atm,
    )
    for id, title in (("hose.rated", "Rated pressure of the hose"), ("source.rated", "Rated pressure of the source")):
        given = inputs.get(f"{id}_pressure")
        if given is None or (id == "source.rated" and inputs.choice("source.kind") != "direct"):
            continue
        if given.state == "absolute":
            sheet.do(site.gauge_pressure, as_id=f"{id}_gauge", title=title, p=given, p_atm=p_atm)
        else:
            sheet.add(renamed(given, f"{id}_gauge", title, "gauge pressure"))


def pressure_budget(sheet: Sheet, inputs: Inputs) -> None:
    """Which element owns what share of the pressure at the source."""
    p_atm = sheet["site.pressure"]
    total = sheet.do(
        site.gauge_pressure,
        as_id="source.gauge_pressure",
        title="Gauge pressure at the source during the blast",
        p=sheet["source.pressure"],
        p_atm=p_atm,
    )
    sheet.do(hd.overpressure, p_h=sheet["head.pressure"], p_b=sheet["water.back_pressure"])
    for id, title, p in (
        ("hose.inlet_gauge", "Gauge pressure at the source end of the hose", "hose.inlet_pressure"),
        ("hose.outlet_gauge", "Gauge pressure at the head end of the hose", "hose.outlet_pressure"),
        ("head.gauge_pressure", "Gauge pressure ahead of the holes", "head.pressure"),
    ):
        sheet.do(site.gauge_pressure, as_id=id, title=title, p=sheet[p], p_atm=p_atm)
    sheet.do(
        blast.pressure_share,
        as_id="hose.budget_share",
        title="Share of the pressure lost in the hose",
        a=sheet["hose.pressure_drop"],
        b=total,
    )
    lost, where = sheet["head.check_valve"], "the check valve"
    if "valve.pressure_drop" in sheet:
        where = "valve and check valve"
        lost = sheet.do(
            blast.pressure_sum,
            as_id="valve.total_drop",
            title=f"Pressure lost in {where}",
            a=sheet["valve.pressure_drop"],
            b=lost,
        )
    sheet.do(blast.pressure_share, as_id="valve.budget_share", title=f"Share of the pressure lost in {where}", a=lost, b=total)


def kept_in_hose(sheet: Sheet, inputs: Inputs) -> None:
    """What a check valve at the head shuts in after every blast: it has to be let out before anything is opened."""
    if hose_is_flooded(inputs):
        return
    sheet.do(
        blast.pressure_sum,
        as_id="hose.kept_gauge",
        title="Gauge pressure that stays in the hose after a blast",
        kind="gauge pressure",
        a=sheet["water.depth_pressure"],
        b=sheet["head.check_valve"],
    )


def jet_range(sheet: Sheet, inputs: Inputs) -> None:
    """How weak and how hard a jet this probe wants: as stated, or by its kind."""
    kind = probe_kind(inputs.choice("probe.kind"))
    origin = Origin("default", f"{kind.name} in the catalogue: {kind.jet.origin}")
    for field, title, usual in (
        ("jet_floor", "jet thrust ratio regarded as enough", kind.jet.floor),
        ("jet_ceiling", "jet thrust ratio above which a jet may harm", kind.jet.ceiling),
    ):
        id = f"probe.{field}"
        sheet.add(inputs.get(id) or Given(id, title, "ratio", usual.value, origin, usual.text))


def jets(sheet: Sheet, inputs: Inputs) -> None:
    """Velocity and thrust of the jets, against 150 mN."""
    head, p_b, T = sheet["head.pressure"], sheet["water.back_pressure"], inputs["site.air_temperature"]
    u = sheet.do(hd.jet_velocity, p_h=head, p_b=p_b, T=T)
    p_e = sheet.do(hd.exit_pressure, p_h=head, p_b=p_b)
    sheet.do(
        hd.thrust,
        m=sheet["line.mass_flow"],
        u=u,
        p_e=p_e,
        p_b=p_b,
        C_d=sheet["head.discharge_coefficient"],
        A_h=sheet["head.hole_area"],
    )
    sheet.do(hd.jet_thrust_ratio, F=sheet["head.thrust"], F_ref=F_REFERENCE)
    jet_range(sheet, inputs)
    sheet.do(hd.choked, p_h=head, p_b=p_b)
