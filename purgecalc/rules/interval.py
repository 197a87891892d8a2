"""Rules on the interval between blasts: fouling, bias at the next wipe, and whether a purge is wanted at all."""

from __future__ import annotations

from typing import Any

import numpy as np

from purgecalc.catalogue.probes import probe_kind
from purgecalc.design import Design
from purgecalc.design.worth import WORTH_VERDICTS
from purgecalc.references import COMMON_PRACTICE, DERIVED, OUR_JUDGEMENT
from purgecalc.rules._base import rule
from purgecalc.rules._outcomes import Fact, Level, Margin, Missing


def _unsaid(d: Design, *keys: str) -> tuple[str, ...]:
    """Those of the inputs that nobody has stated."""
    return tuple(key for key in keys if key not in d.inputs and key not in d.inputs.choices)


@rule(
    "fouling-interval",
    "Blasts come often enough to win against the fouling",
    noun="fouling interval",
    level=Level.WATCH,
    cite=DERIVED.at("0.7 of the critical interval, from growth and removal; the factor is our judgement"),
)
def fouling_interval(d: Design, limit: Any) -> Margin | Missing:
    """Beyond the critical interval fouling grows back faster than blasts take it off.

    The critical interval is {fouling.critical_interval}. Blast every {interval.longest} or more often, strengthen the jet,
    or plan wipes.
    """
    if "interval.longest" not in d:
        return Missing(("fouling.growth",))
    return Margin(d["schedule.interval"], at_most=d["interval.longest"])


@rule(
    "bias-at-wipe",
    "Fouling has not biased the reading beyond its tolerance when it is next wiped",
    noun="bias at the wipe",
    level=Level.WATCH,
    cite=DERIVED.at("growth and removal between wipes"),
)
def bias_at_wipe(d: Design, limit: Any) -> Margin | Missing | None:
    """A purge slows the bias and does not stop it, and nothing on the screen shows it.

    Wipe more often than every {fouling.wipe_interval}, or blast more often. Measure the growth with two wipes.
    """
    if probe_kind(d.inputs.choice("probe.kind")).parameter != "oxygen":
        return None
    if "fouling.bias_at_wipe" not in d:
        return Missing(_unsaid(d, "fouling.growth", "fouling.bias_rate", "fouling.sign"))
    return Margin(d["fouling.bias_at_wipe"], at_most=d["probe.tolerance"])


@rule(
    "hard-fouling",
    "Fouling is soft enough for air",
    noun="hard fouling",
    level=Level.WATCH,
    cite=COMMON_PRACTICE.at("scale, shell and grease are not moved by air"),
)
def hard_fouling(d: Design, limit: Any) -> Fact | Missing:
    """Air takes off soft fouling; scale, shell and grease skin stay and grow.

    Plan wipes or another method of cleaning; keep the purge only for what is soft.
    """
    said = d.inputs.choices.get("fouling.hard")
    if said is None:
        return Missing(_unsaid(d, "fouling.growth", "fouling.hard"))
    return Fact("hard fouling stated" if said == "yes" else "no hard fouling", "soft fouling only", said == "no")


@rule(
    "purge-justified",
    "A purge is worth having here",
    noun="worth of a purge",
    level=Level.NOTE,
    cite=OUR_JUDGEMENT.at("labour and air of wiping against purging; wiping is enough in most places"),
)
def purge_justified(d: Design, limit: Any) -> Fact | Missing | None:
    """Wiping by hand is enough in most places, and a purge that is not needed is only something more to look after.

    With labour counted as energy, purge and monthly wipe come to {worth.purge.total} a year and a weekly wipe to
    {worth.weekly.total}. "Not needed" is a valid answer. Before buying or keeping a purge, read, wipe and read again on
    days 1, 3 and 7.
    """
    if "loop.uptake" not in d:  # what a bias costs is worked out from the air of a loop
        return None
    if "worth.verdict" not in d:
        needed = ("fouling.growth", "fouling.bias_rate", "fouling.sign", "loop.blower_power", "worth.visit")
        return Missing(_unsaid(d, *needed))
    verdict = d.value("worth.verdict")
    words = {
        "not needed": "not needed: wiping keeps the tolerance and costs less",
        "justified": "justified: no wiping that keeps the tolerance costs less",
        "another method": "neither purge nor wiping keeps the tolerance: another method",
    }
    found = words[WORTH_VERDICTS[int(verdict)]] if np.ndim(verdict) == 0 else ""
    return Fact(found, "justified", np.asarray(verdict) == WORTH_VERDICTS.index("justified"))
