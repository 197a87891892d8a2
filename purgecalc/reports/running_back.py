"""Water that runs back into a hose after a blast: what is taken for it, and what is not worked out."""

from __future__ import annotations

from purgecalc.design import Design
from purgecalc.design.blast import hose_is_flooded
from purgecalc.design.corners import greatest_depth
from purgecalc.shown import text_of


def runs_back(d: Design) -> str:
    """Said of a hose that no check valve keeps dry; nothing of any other.

    The height is a bound: without friction or loss a column that rises from the head into an open hose has spent the work
    of the water pressure, g h x, on its own height, g x^2/2, when x is twice the depth h.
    """
    if not hose_is_flooded(d.inputs):
        return ""
    return (
        "How water runs back into the hose after a blast is not worked out: the hose is taken to be full to the water level by "
        "the next one, and may be dry where air is shut in. In a hose open to the air it may swing above the level, at the very "
        f"most as far as the head is below it ({text_of(greatest_depth(d.inputs))}): keep valve and source above that, or fit a "
        "check valve at the head."
    )
