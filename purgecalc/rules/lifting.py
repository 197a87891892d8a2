"""Rules on lifting."""

from __future__ import annotations

import numpy as np

from purgecalc.design import Design
from purgecalc.formulas.lifting import FILTER_CITE, filter_load
from purgecalc.rules._base import rule
from purgecalc.rules._outcomes import Fact, Level, Missing
from purgecalc.shown import text_of


@rule("lift", "The probe can be lifted by one person", noun="probe lifting", level=Level.FIX, cite=FILTER_CITE)
def lift(d: Design, limit: None) -> Fact | Missing:
    """Wet, with water and rag, the probe is heavier than it was in the shop, and it is lifted over a rail and over water.

    Fit a swing arm or a davit, or lift with two people. Or lighten pole and hose. The figure is a filter, not a limit.
    """
    if "lifting.total_mass" not in d:
        return Missing(("lifting.probe_mass", "lifting.pole_mass", "lifting.hose_mass"))
    height, far = d.inputs.choice("lifting.height"), d.inputs.choice("lifting.arms_length") == "yes"
    load, mass = filter_load(height, at_arms_length=far), np.asarray(d.value("lifting.total_mass"))
    how = f"at {height}, {'at arm' + chr(39) + 's length' if far else 'held close'}"
    return Fact(f"{text_of(d['lifting.total_mass'])} {how}", f"at most {load:g} kg", mass <= load)
