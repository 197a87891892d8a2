"""How much may be found at commissioning of what should not be there."""

from __future__ import annotations

from purgecalc.design.loop import has_loop
from purgecalc.design.reading import reads_oxygen
from purgecalc.formulas import acceptance as accept
from purgecalc.inputs import Inputs
from purgecalc.working import Sheet


def acceptance(sheet: Sheet, inputs: Inputs) -> None:
    """Ceilings for the table of what is measured; no rule judges them. They come after the duty, which knows all lines."""
    if inputs.choice("source.kind") == "receiver":
        between = sheet.get("schedule.shortest_interval") or inputs["schedule.interval"]
        sheet.do(
            accept.idle_fall,
            dp_minute=accept.IDLE_MINUTE,
            n_minutes=accept.IDLE_MINUTES,
            p_1=sheet["source.cut_in_absolute"],
            p_2=sheet["source.cut_out_absolute"],
            T=between,
        )
    if has_loop(inputs):
        sheet.do(accept.output_move, q_most=accept.OUTPUT_MOVE)
    if reads_oxygen(inputs):
        sheet.do(accept.reference, d_share=accept.REFERENCE_SHARE, C=sheet["probe.set_point"], d_least=accept.REFERENCE_LEAST)
