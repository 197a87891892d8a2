"""What may be written of fouling and wipes. Left out, nothing of it is calculated or judged."""

from __future__ import annotations

from typing import Literal

from purgecalc.scenario.fields import COMMON, JUDGEMENT, Part, Quantity, YesNo, dim, note


class Fouling(Part):
    """Fouling of the probe: how fast it grows, what a blast takes off it, and what it does to the reading."""

    growth: Quantity = dim("growth rate", "growth rate of the fouling", above=0, most=1e-3, example="1.5 per day")
    removal: Quantity = dim(
        "fraction",
        "share of the fouling a blast takes off",
        default="10 %",
        origin=f"{JUDGEMENT}: 5 to 30 %, nothing published",
        above=0,
        below=1,
    )
    bias_rate: Quantity | None = dim(
        "concentration rate",
        "bias gained without cleaning (from two wipes), without sign",
        default=None,
        above=0,
        most=1e-6,
        example="0.06 mg/L/d",
    )
    bias_at_full: Quantity | None = dim(
        "concentration", "bias under full fouling, without sign", default=None, above=0, most=0.05, example="1 mg/L"
    )
    sign: Literal["low", "high"] | None = note("whether fouling makes the probe read low or high", default=None)
    wipe_interval: Quantity = dim(
        "time", "time between wipes by hand", default="30 d", origin=COMMON, least=3600, most=3 * 366 * 86400.0, example="30 d"
    )
    hard: YesNo | None = note("growth that air cannot shift (scale, shell, grease)", default=None)
