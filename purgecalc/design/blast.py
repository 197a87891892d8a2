"""How soon the blast arrives, by hand, and how much air it takes."""

from __future__ import annotations

from purgecalc.formulas import air, blast, duty
from purgecalc.formulas.air import RHO_NORMAL
from purgecalc.inputs import Inputs
from purgecalc.references import DERIVED
from purgecalc.working import Given, Node, Origin, Sheet, constant, renamed

SHARP_EDGE = constant(
    "C_w",
    0.62,
    "",
    "discharge coefficient of sharp-edged holes passing water",
    DERIVED.at("free-streamline value 0.611, rounded"),
)


def delivery_estimate(sheet: Sheet, inputs: Inputs) -> None:
    """Run-up, wave, water and filling in series: the estimate a hand calculation can make."""
    run_up = inputs["source.run_up"] if inputs.choice("source.kind") == "direct" else inputs["valve.opening_time"]
    c = sheet.do(air.wave_speed, T=inputs["site.air_temperature"])
    wave = sheet.do(blast.wave_time, L=inputs["hose.length"], c=c)
    slug = _slug_time(sheet, inputs)
    p_mean = sheet.do(
        blast.mean_pressure,
        as_id="hose.mean_pressure",
        title="Mean pressure in the hose",
        p_in=sheet["hose.inlet_pressure"],
        p_out=sheet["hose.outlet_pressure"],
    )
    fill = sheet.do(
        blast.fill_time,
        p_mean=p_mean,
        p_atm=sheet["site.pressure"],
        V=sheet["hose.volume"],
        T=inputs["site.air_temperature"],
        m=sheet["line.mass_flow"],
    )
    sheet.do(blast.delivery_time, t_run_up=run_up, t_wave=wave, t_slug=slug, t_fill=fill)


def hose_is_flooded(inputs: Inputs) -> bool:
    """Without a check valve at the head the hose fills to the water level between blasts."""
    return "head.check_valve" not in inputs or inputs.choice("head.check_valve_at") == "source"


def wetted_length(inputs: Inputs) -> Given:
    """Length of hose that stands full of water: as given, or the depth."""
    origin = Origin("default", "the depth: a hose that hangs straight down")
    title = "length of hose below the water surface"
    return inputs.get("head.wetted_length") or renamed(inputs["head.depth"], "head.wetted_length", title, "length", origin)


def _slug_time(sheet: Sheet, inputs: Inputs) -> Node:
    if not hose_is_flooded(inputs):
        dry = Origin("other", "a check valve at the head keeps the hose dry")
        read = inputs.words("head.check_valve_at")
        return sheet.add(Given("blast.slug_time_estimate", "time to push water out", "time", 0.0, dry, "0 s", read=read))
    slug = sheet.do(blast.slug_volume, A=sheet["hose.bore_area"], L_wet=wetted_length(inputs))
    dp = sheet.do(
        blast.slug_pressure,
        p_drive=sheet["source.pressure"],
        p_b=sheet["water.back_pressure"],
        rho_w=sheet["water.density"],
        h=inputs["head.depth"],
    )
    Q = sheet.do(blast.water_flow, C_w=SHARP_EDGE, A_h=sheet["head.hole_area"], dp=dp, rho_w=sheet["water.density"])
    return sheet.do(blast.slug_time, V_slug=slug, Q_w=Q, read=inputs.words("head.check_valve_at"))


def air_used(sheet: Sheet, inputs: Inputs) -> None:
    """Air of a blast and of a day, ANR, at the inlet and as normal volume; use a year."""
    m, T = sheet["blast.air_mass"], inputs["schedule.interval"]
    anr = sheet.do(air.free_volume, as_id="blast.air_volume", title="Air per blast, ANR (ISO 8778)", m=m)
    states = {
        "normal": ("0 degC, 101.325 kPa (DIN 1343)", RHO_NORMAL),
        "actual": ("the site's inlet state", sheet["air.density"]),
    }
    at = {
        state: sheet.do(air.volume_at, as_id=f"blast.air_volume_{state}", title=f"Air per blast at {words}", m=m, rho=rho)
        for state, (words, rho) in states.items()
    }
    inlet = at["actual"]
    if "contact.run_share" in sheet:
        share, t_blast = sheet["contact.run_share"], inputs["schedule.blast"]
        anr = sheet.do(duty.air_of_interval, V_blast=anr, share=share, T=T, t_blast=t_blast)
        title = "Air of an interval at the site's inlet state, as the contact is wired"
        id = "blast.air_of_interval_actual"
        inlet = sheet.do(duty.air_of_interval, as_id=id, title=title, V_blast=inlet, share=share, T=T, t_blast=t_blast)
    sheet.do(duty.air_rate, V=anr, T=T)
    sheet.do(duty.air_rate, as_id="blast.air_per_day_actual", title="Air a day at the site's inlet state", V=inlet, T=T)
    sheet.do(duty.air_per_year, V=anr, T=T)
    shares = {"delivery": "Delivery time", "useful": "Useful time", "slug": "Time to push the water out"}
    for name, title in shares.items():
        if f"blast.{name}_time" in sheet:
            a, b = sheet[f"blast.{name}_time"], inputs["schedule.blast"]
            sheet.do(blast.share, as_id=f"blast.{name}_share", title=f"{title} as a share of the blast", a=a, b=b)
