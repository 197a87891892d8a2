"""What may be written of the parts that a person lifts."""

from __future__ import annotations

from typing import Literal

from purgecalc.scenario.fields import JUDGEMENT, Part, Quantity, YesNo, dim, note


class Lifting(Part):
    """What comes up when the probe is lifted."""

    probe_mass: Quantity = dim("mass", "mass of probe and head", above=0, most=200, example="1.5 kg")
    pole_mass: Quantity = dim("mass", "mass of the pole or chain", least=0, most=200, example="4 kg")
    pole_bore: Quantity | None = dim(
        "length",
        "inside diameter of a pole that fills with water and brings it up",
        default=None,
        above=0,
        most=0.5,
        example="40 mm",
    )
    hose_mass: Quantity = dim("mass", "mass of the hose and cable lifted", least=0, most=200, example="1 kg")
    rag_mass: Quantity = dim("mass", "rag and growth that come up with it", default="1 kg", origin=JUDGEMENT, least=0, most=200)
    height: Literal["head height", "shoulder height", "elbow height", "knuckle height", "lower leg"] = note(
        "height at which the load is held", default="shoulder height", origin=f"{JUDGEMENT}; over a guard rail"
    )
    arms_length: YesNo = note("held at arm's length", default="yes", origin=f"{JUDGEMENT}; the cautious choice")
    reach: Quantity | None = dim("length", "horizontal reach from the shoulder", default=None, above=0, most=3)
