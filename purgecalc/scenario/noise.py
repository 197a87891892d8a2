"""What may be written of who hears the blast."""

from __future__ import annotations

from purgecalc.scenario.fields import COMMON, JUDGEMENT, Part, Quantity, dim


class Noise(Part):
    """Who hears it."""

    ear_distance: Quantity = dim("length", "distance from head or compressor to the ear", default="1 m", origin=COMMON, least=0.1)
    presence: Quantity = dim("time", "time somebody works near it in a day", default="1 h", origin=JUDGEMENT, above=0, most=86400)
    compressor_level: Quantity | None = dim(
        "ratio", "level of the compressor at 1 m, dB(A)", default=None, least=20, most=130, example="65"
    )
