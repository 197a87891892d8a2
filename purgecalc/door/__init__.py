"""The Python door: ``check`` and ``load``, and the results they give. What it shows and writes is what the command line does.

from purgecalc import check

r = check("site.toml", set={"line.hose.length": "18 m"})
r.verdict, r["hose.pressure_drop"].to("mbar"), r.explain("blast.delivery_time")
"""

from purgecalc.door.line import PurgeLine
from purgecalc.door.quantity import Quantity
from purgecalc.door.result import Check, check, load
from purgecalc.door.shown import Explanation
from purgecalc.door.studies import Grid, Sizing

__all__ = ["Check", "Explanation", "Grid", "PurgeLine", "Quantity", "Sizing", "check", "load"]
