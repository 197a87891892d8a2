"""How much the parts work in a year."""

from __future__ import annotations

from purgecalc.formulas import upkeep as up
from purgecalc.inputs import Inputs
from purgecalc.references import DERIVED
from purgecalc.working import Sheet, constant

ONE_OPERATION = constant("n_op", 1.0, "", "operations of the valve in an interval", DERIVED.at("one blast"))


def upkeep(sheet: Sheet, inputs: Inputs) -> None:
    """Running time, starts and valve operations a year, and the lives they use up. Nothing without ``upkeep``."""
    if "upkeep.start" not in inputs.choices:
        return
    share, T = sheet["source.duty_fraction"], inputs["schedule.interval"]
    sheet.do(up.run_time_of_share, share=share)
    sheet.do(up.starts_per_year, rate=sheet["source.starts_per_hour"])
    if "upkeep.seal_life" in inputs:
        title = "Calendar time the compressor's seal lasts"
        sheet.do(up.life_of_share, as_id="upkeep.seal_lasts", title=title, t_rated=inputs["upkeep.seal_life"], share=share)
    if "valve.conductance" not in sheet:
        return
    sheet.do(up.operations_per_year, title="Operations of the valve a year", n=ONE_OPERATION, T=T)
    if "upkeep.valve_life" in inputs:
        title = "Calendar time the valve lasts"
        life = inputs["upkeep.valve_life"]
        sheet.do(up.life_by_operations, as_id="upkeep.valve_lasts", title=title, n_rated=life, n=ONE_OPERATION, T=T)
