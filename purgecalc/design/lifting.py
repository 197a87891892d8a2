"""What a person has to lift."""

from __future__ import annotations

from purgecalc.design.blast import hose_is_flooded, wetted_length
from purgecalc.formulas import hose
from purgecalc.formulas import lifting as lift
from purgecalc.inputs import Inputs
from purgecalc.working import Given, Node, Origin, Sheet


def lifting(sheet: Sheet, inputs: Inputs) -> None:
    """Everything that comes up with the probe, the water in the hose included. Nothing without ``lifting``."""
    if "lifting.probe_mass" not in inputs:
        return
    if hose_is_flooded(inputs):
        water: Node = sheet.do(
            lift.mass_of_length,
            as_id="lifting.water_mass",
            title="Mass of the water in the hose",
            rho=sheet["water.density"],
            A=sheet["hose.bore_area"],
            L=wetted_length(inputs),
            read=inputs.words("head.check_valve_at"),
        )
    else:
        dry = Origin("other", "a check valve at the head keeps the hose dry")
        read = inputs.words("head.check_valve_at")
        water = Given("lifting.water_mass", "mass of the water in the hose", "mass", 0.0, dry, "0 kg", read=read)
    probe, pole, tube, rag = (inputs[f"lifting.{k}_mass"] for k in ("probe", "pole", "hose", "rag"))
    inside = _inside_the_pole(sheet, inputs)
    m = sheet.do(lift.total_mass, m_probe=probe, m_pole=pole, m_hose=tube, m_water=water, m_inside=inside, m_rag=rag)
    F = sheet.do(lift.weight, m_lift=m)
    if "lifting.reach" in inputs:
        sheet.do(lift.reach_moment, F=F, a=inputs["lifting.reach"])


def _inside_the_pole(sheet: Sheet, inputs: Inputs) -> Node:
    """Water that a pole open below holds up to the water level, the highest there is, and brings up with it."""
    bore = inputs.get("lifting.pole_bore")
    if bore is None:
        solid = Origin("other", "no bore of the pole stated: it is solid, or runs empty as it is lifted")
        return Given("lifting.pole_water", "mass of the water in the pole", "mass", 0.0, solid, "0 kg")
    area = sheet.do(hose.bore_area, as_id="lifting.pole_area", title="Area of the bore of the pole", D=bore)
    return sheet.do(
        lift.mass_of_length,
        as_id="lifting.pole_water",
        title="Mass of the water in the pole",
        rho=sheet["water.density"],
        A=area,
        L=inputs["head.depth"],
    )
