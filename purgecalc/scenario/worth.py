"""What may be written of the work that wiping and purging take. Left out, their worth is not compared."""

from __future__ import annotations

from purgecalc.scenario.fields import COMMON, JUDGEMENT, Part, Quantity, dim


class Worth(Part):
    """What wiping and purging cost, so that they can be compared; in energy, because that needs no currency."""

    visit: Quantity = dim("time", "labour of one wipe, with travel", default="30 min", origin=COMMON, least=60, most=172800)
    service: Quantity = dim("time", "labour a purge needs in a year", default="4 h", origin=COMMON, least=0, most=3.6e6)
    hour_buys: Quantity = dim(
        "electrical energy",
        "electrical energy an hour of labour would buy",
        default="200 kWh",
        origin=JUDGEMENT,
        above=0,
        most=3.6e10,
        example="200 kWh",
    )
    standing: Quantity = dim(
        "electrical energy",
        "a year's share of the purchase, as the energy it would buy",
        default="0 kWh",
        origin="already bought",
        least=0,
        most=3.6e12,
        example="500 kWh",
    )
