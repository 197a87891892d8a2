"""Whether a purge is wanted at all."""

from __future__ import annotations

import numpy as np

from purgecalc.design import Design
from purgecalc.design.worth import WORTH_VERDICTS
from purgecalc.references import OUR_JUDGEMENT
from purgecalc.rules._base import rule
from purgecalc.rules._outcomes import Fact, Level, Missing, unsaid


@rule(
    "purge-justified",
    "A purge is worth having here",
    noun="worth of a purge",
    level=Level.NOTE,
    cite=OUR_JUDGEMENT.at("labour and air of wiping against purging; wiping is enough in most places"),
)
def purge_justified(d: Design, limit: None) -> Fact | Missing | None:
    """Wiping by hand is enough in most places, and a purge that is not needed is only something more to look after.

    With labour counted as energy, purge and monthly wipe come to {worth.purge.total} a year and a weekly wipe to
    {worth.weekly.total}. "Not needed" is a valid answer. Before buying or keeping a purge, read, wipe and read again on
    days 1, 3 and 7.
    """
    if "loop.uptake" not in d:  # what a bias costs is worked out from the air of a loop
        return None
    if "worth.verdict" not in d:
        needed = ("fouling.growth", "fouling.bias_rate", "fouling.sign", "loop.blower_power", "worth.visit")
        return Missing(unsaid(d, *needed))
    verdict = d.value("worth.verdict")
    words = {
        "not needed": "not needed: wiping keeps the tolerance and costs less",
        "justified": "justified: no wiping that keeps the tolerance costs less",
        "another method": "neither purge nor wiping keeps the tolerance: another method",
    }
    found = words[WORTH_VERDICTS[int(verdict)]] if np.ndim(verdict) == 0 else ""
    return Fact(found, "justified", np.asarray(verdict) == WORTH_VERDICTS.index("justified"))
