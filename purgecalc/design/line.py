"""Site, water, geometry of the line: what the flow is worked out from."""

from __future__ import annotations

import numpy as np

from purgecalc.catalogue.fittings import coefficients
from purgecalc.catalogue.hoses import (
    DEFAULT_LOSS,
    DEFAULT_LOSS_ORIGIN,
    DEFAULT_ROUGHNESS,
    DEFAULT_ROUGHNESS_ORIGIN,
    hose_material,
)
from purgecalc.design.holes import head_law
from purgecalc.formulas import air, bubble, hose, hose_ends, operating_point, site, valve
from purgecalc.formulas.head import effective_areas
from purgecalc.inputs import Inputs
from purgecalc.si import Num
from purgecalc.units import parse
from purgecalc.watched import WatchedSheet
from purgecalc.working import Given, Node, Origin, Sheet, Step


def site_and_water(sheet: Sheet, inputs: Inputs) -> None:
    """Pressure of the site, properties of its air, pressure of the water at the head."""
    if "site.pressure" in inputs:
        sheet.add(inputs["site.pressure"])
    else:
        level = sheet.do(site.geopotential_altitude, z=inputs["site.altitude"])
        sheet.do(site.atmospheric_pressure, H=level)
    p_atm, T = sheet["site.pressure"], inputs["site.air_temperature"]
    sheet.do(air.density, p=p_atm, T=T)
    sheet.do(air.viscosity, T=T)
    sheet.do(air.sound_speed, T=T)
    sheet.do(site.water_density, T=inputs["water.temperature"], S=inputs["water.salinity"])
    sheet.do(bubble.water_viscosity, as_id="water.viscosity", T=inputs["water.temperature"])
    sheet.do(site.back_pressure, p_atm=p_atm, rho_w=sheet["water.density"], h=inputs["head.depth"])
    sheet.do(
        site.gauge_pressure,
        as_id="water.depth_pressure",
        title="Water pressure at the head",
        kind="pressure difference",
        p=sheet["water.back_pressure"],
        p_atm=p_atm,
    )


def _default(id: str, title: str, kind: str, text: str, origin: str) -> Given:
    return Given(id, title, kind, parse(text, kind).value, Origin("default", origin), text)


def hose_and_head(sheet: Sheet, inputs: Inputs) -> None:
    """Geometry: bore, roughness, fittings, holes, valve."""
    if "hose.bore" not in inputs:
        sheet.do(
            hose_ends.bore_of_tube,
            as_id="hose.bore",
            title="Bore of the hose",
            OD=inputs["hose.outside_diameter"],
            w=inputs["hose.wall"],
        )
    else:
        sheet.add(inputs["hose.bore"])
    bore = sheet["hose.bore"]
    _way(sheet, inputs)
    sheet.add(roughness(inputs))
    fittings_loss(sheet, inputs)
    area = sheet.do(hose.bore_area, D=bore)
    sheet.do(hose.volume, A=area, L=inputs["hose.length"])
    head_law(sheet, inputs)
    none = Origin("default", "no check valve")
    absent = Given("head.check_valve", "pressure the check valve keeps", "pressure difference", 0.0, none, "none")
    sheet.add(inputs.get("head.check_valve") or absent)
    _place_check_valve(sheet, inputs)
    valve_conductance(sheet, inputs)


def _place_check_valve(sheet: Sheet, inputs: Inputs) -> None:
    """What is kept at either end of the hose: a check valve keeps its pressure where it sits."""
    kept = sheet["head.check_valve"]
    at_source = "head.check_valve" in inputs and inputs.choice("head.check_valve_at") == "source"
    read = inputs.words("head.check_valve_at") if "head.check_valve" in inputs else {}
    for place, here in (("head", not at_source), ("source", at_source)):
        title = f"Pressure a check valve keeps at the {place} end of the hose"
        how = "the check valve sits there" if here else "no check valve sits there"
        value = kept.value if here else 0.0 * kept.value
        sheet.add(Step(f"hose.kept_at_{place}", title, "pressure difference", value, None, {"p_crack": kept}, how, read))


def _way(sheet: Sheet, inputs: Inputs) -> None:
    """How far the hose has to go at the least."""
    h = inputs["head.depth"]
    indoors = Given("hose.run_in_the_open", "length of hose in the open", "length", 0.0, Origin("other", "none is stated"), "0 m")
    wet, outside = inputs.get("head.wetted_length"), inputs.get("route.exposed_length")
    sheet.do(hose_ends.way, h=h, L_wet=wet or h, L_open=outside or indoors)


def roughness(inputs: Inputs) -> Given:
    """Roughness as given, from the hose material, or the default."""
    given = inputs.get("hose.roughness")
    if given is not None:
        return given
    if "hose.material" in inputs.choices:
        entry = hose_material(inputs.choice("hose.material"))
        origin = Origin("catalogue", f"{entry.title}, {entry.origin}")
        rough, read = entry.roughness, inputs.words("hose.material")
        return Given("hose.roughness", "roughness of the bore", "length", rough.value, origin, rough.text, read=read)
    return _default("hose.roughness", "roughness of the bore", "length", DEFAULT_ROUGHNESS, DEFAULT_ROUGHNESS_ORIGIN)


def fittings_loss(sheet: Sheet, inputs: Inputs) -> None:
    """Loss coefficient as given, summed from fittings by name, or the default."""
    given = inputs.get("hose.loss_coefficient")
    if given is not None:
        sheet.add(given)
        return
    if not inputs.fittings:
        sheet.add(
            _default(
                "hose.loss_coefficient", "sum of the fittings' loss coefficients", "ratio", DEFAULT_LOSS, DEFAULT_LOSS_ORIGIN
            )
        )
        return
    total: Node = Given("hose.fittings.none", "no fitting", "ratio", 0.0, Origin("other", "start of the sum"), "0")
    last = list(inputs.fittings)[-1]
    for name, count in inputs.fittings.items():
        origin = Origin("catalogue", f"fitting {name}, Darby's table through the fluids library")
        n = Given(
            f"hose.fittings.{name}", f"number of {name}", "count", float(count), Origin("given", "hose.fittings"), str(count)
        )
        k = [
            Given(f"hose.fittings.{name}.{s}", f"{s} of {name}", "ratio", v, origin)
            for s, v in zip(("K1", "Kinf", "Kd"), coefficients(name), strict=True)
        ]
        one = sheet.do(
            hose_ends.fitting_loss, as_id=f"hose.fittings.{name}.loss", n=n, K_1=k[0], K_inf=k[1], K_d=k[2], D=sheet["hose.bore"]
        )
        id = "hose.loss_coefficient" if name == last else f"hose.fittings.up_to_{name}"
        total = sheet.do(hose_ends.add_losses, as_id=id, K_a=total, K_b=one)


def valve_conductance(sheet: Sheet, inputs: Inputs) -> None:
    """Sonic conductance as given, or from Kv or Cv. Nothing where there is no valve."""
    if "valve.conductance" in inputs:
        sheet.add(inputs["valve.conductance"])
    elif "valve.kv" in inputs or "valve.cv" in inputs:
        kv: Node = inputs["valve.kv"] if "valve.kv" in inputs else sheet.do(valve.kv_of_cv, C_v=inputs["valve.cv"])
        x_T = inputs["valve.pressure_ratio_factor"]
        sheet.do(valve.conductance_of_kv, as_id="valve.conductance", title="Sonic conductance of the valve", K_v=kv, x_T=x_T)


def read_for_airway(sheet: Sheet, inputs: Inputs) -> dict[str, Node]:
    """What the line as the solver sees it is made of, by symbol."""
    seen: dict[str, Node] = {}
    airway(WatchedSheet(sheet, seen), inputs.watched(seen))
    return seen


def airway(sheet: Sheet, inputs: Inputs) -> operating_point.Airway:
    """The line as the solver sees it."""
    T = inputs["site.air_temperature"].value
    slope: Num = 0.0
    b: Num = 0.3
    if "valve.conductance" in sheet:
        slope = 1 / (sheet["valve.conductance"].value * air.RHO_ANR.value * np.sqrt(valve.T_ANR.value / T))
        b = inputs["valve.critical_ratio"].value
    hole_area, thin_area = effective_areas(sheet)
    return operating_point.Airway(
        p_back=sheet["water.back_pressure"].value,
        crack=sheet["hose.kept_at_head"].value,
        hole_area=hole_area,
        T=T,
        mu=sheet["air.viscosity"].value,
        D=sheet["hose.bore"].value,
        L=inputs["hose.length"].value,
        eps=sheet["hose.roughness"].value,
        K=sheet["hose.loss_coefficient"].value,
        valve_slope=slope,
        valve_b=b,
        thin_area=thin_area,
        crack_in=sheet["hose.kept_at_source"].value,
    )
