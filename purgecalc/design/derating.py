"""What altitude and warmth leave of the motor's rating.

A motor's rating holds to 1000 m and 40 degC (by the pressure where that was measured); heat goes with running time, so
the share of its temperature rise that is left is the share of its rated running time. ``source.derated`` says that the
maker was asked, and moves no figure.
"""

from __future__ import annotations

from purgecalc.formulas import derating
from purgecalc.inputs import Inputs
from purgecalc.working import Node, Sheet


def motor_derating(sheet: Sheet, inputs: Inputs) -> None:
    """What altitude and warmth leave of the motor's rating, at the warmest that is known of the air about it."""
    z: Node = inputs["site.altitude"]
    if "site.pressure" in inputs:
        z = sheet.do(derating.pressure_altitude, p=inputs["site.pressure"])
    T = inputs.get("source.warmest") or inputs["site.air_temperature"]
    left = sheet.do(derating.rating_left, z=z, T=T)
    derated, read = inputs.choices.get("source.derated") == "yes", inputs.words("source.derated")
    function = derating.as_derated if derated else derating.as_plated
    sheet.do(function, as_id="source.rating_counted", title="Share of the plate's rating that is counted on", k=left, read=read)
