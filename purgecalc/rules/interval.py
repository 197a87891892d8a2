"""Rules on the interval between blasts: fouling, bias at the next wipe, and whether a purge is wanted at all."""

from __future__ import annotations

from typing import Any

import numpy as np

from purgecalc.design import Design
from purgecalc.design.worth import WORTH_VERDICTS
from purgecalc.references import COMMON_PRACTICE, DERIVED, OUR_JUDGEMENT
from purgecalc.rules._base import Fact, Level, Margin, rule


@rule(
    "fouling-interval",
    "Blasts come often enough to win against the fouling",
    noun="fouling interval",
    level=Level.WATCH,
    cite=DERIVED.at("0.7 of the critical interval, from growth and removal; the factor is our judgement"),
)
def fouling_interval(d: Design, limit: Any) -> Margin | None:
    """Beyond the critical interval fouling grows back faster than blasts take it off.

    The critical interval is {fouling.critical_interval}. Blast every {interval.longest} or more often, strengthen the jet,
    or plan wipes.
    """
    return Margin(d["schedule.interval"], at_most=d["interval.longest"]) if "interval.longest" in d else None


@rule(
    "bias-at-wipe",
    "Fouling has not biased the reading beyond its tolerance when it is next wiped",
    noun="bias at the wipe",
    level=Level.WATCH,
    cite=DERIVED.at("growth and removal between wipes"),
)
def bias_at_wipe(d: Design, limit: Any) -> Margin | None:
    """A purge slows the bias and does not stop it, and nothing on the screen shows it.

    Wipe more often than every {fouling.wipe_interval}, or blast more often. Measure the growth with two wipes.
    """
    return Margin(d["fouling.bias_at_wipe"], at_most=d["probe.tolerance"]) if "fouling.bias_at_wipe" in d else None


@rule(
    "hard-fouling",
    "Fouling is soft enough for air",
    noun="hard fouling",
    level=Level.WATCH,
    cite=COMMON_PRACTICE.at("scale, shell and grease are not moved by air"),
)
def hard_fouling(d: Design, limit: Any) -> Fact | None:
    """Air takes off soft fouling; scale, shell and grease skin stay and grow.

    Plan wipes or another method of cleaning; keep the purge only for what is soft.
    """
    said = d.inputs.choices.get("fouling.hard")
    if said is None:
        return None
    return Fact("hard fouling stated" if said == "yes" else "no hard fouling", "soft fouling only", said == "no")


@rule(
    "purge-justified",
    "A purge is worth having here",
    noun="worth of a purge",
    level=Level.NOTE,
    cite=OUR_JUDGEMENT.at("labour and air of wiping against purging; wiping is enough in most places"),
)
def purge_justified(d: Design, limit: Any) -> Fact | None:
    """Wiping by hand is enough in most places, and a purge that is not needed is only something more to look after.

    With labour counted as energy, purge and monthly wipe come to {worth.purge.total} a year and a weekly wipe to
    {worth.weekly.total}. "Not needed" is a valid answer. Before buying or keeping a purge, read, wipe and read again on
    days 1, 3 and 7.
    """
    if "worth.verdict" not in d:
        return None
    verdict = d.value("worth.verdict")
    words = {
        "not needed": "not needed: wiping keeps the tolerance and costs less",
        "justified": "justified: no wiping that keeps the tolerance costs less",
        "another method": "neither purge nor wiping keeps the tolerance: another method",
    }
    found = words[WORTH_VERDICTS[int(verdict)]] if np.ndim(verdict) == 0 else ""
    return Fact(found, "justified", np.asarray(verdict) == WORTH_VERDICTS.index("justified"))
