"""What may be written of pressure that can hurt."""

from __future__ import annotations

from typing import Any, Literal, Self, TypeAlias

from pydantic import model_validator

from purgecalc.scenario.fields import Part, Quantity, dim, note, wrong

Regime: TypeAlias = Literal["EU", "UK", "US", "other"]


class PressureSafety(Part):
    """What limits the pressure, and whose rules apply."""

    regime: Regime = note(
        "whose rules apply: EU, UK, US or other; says where to look and whose noise values count, never a conclusion"
    )
    relief: Quantity | None = dim("pressure", "set pressure of the relief valve", default=None, least=1e3, most=16e5)
    receiver_pressure: Quantity | None = dim(
        "pressure", "greatest pressure on the plate of the receiver (PS)", default=None, least=1e3, most=50e5
    )

    @model_validator(mode="after")
    def _gauge(self) -> Self:
        for key in ("relief", "receiver_pressure"):
            given: Any = getattr(self, key)
            if given is not None and given.state == "absolute":
                raise wrong(f'{key} = "{given}": a plate or a relief valve says gauge pressure, e.g. "3 bar(g)"', key)
        return self
