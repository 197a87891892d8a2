"""Rules on fouling: how often blasts come, the bias at the next wipe, and whether air can take it off."""

from __future__ import annotations

from purgecalc.catalogue.probes import probe_kind
from purgecalc.design import Design
from purgecalc.references import COMMON_PRACTICE, DERIVED
from purgecalc.rules._base import rule
from purgecalc.rules._outcomes import Fact, Level, Margin, Missing, unsaid


@rule(
    "fouling-interval",
    "Blasts come often enough to win against the fouling",
    noun="fouling interval",
    level=Level.WATCH,
    cite=DERIVED.at("0.7 of the critical interval, from growth and removal; the factor is our judgement"),
)
def fouling_interval(d: Design, limit: None) -> Margin | Missing:
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
def bias_at_wipe(d: Design, limit: None) -> Margin | Missing | None:
    """A purge slows the bias and does not stop it, and nothing on the screen shows it.

    Wipe more often than every {fouling.wipe_interval}, or blast more often. Measure the growth with two wipes.
    """
    if probe_kind(d.inputs.choice("probe.kind")).parameter != "oxygen":
        return None
    if "fouling.bias_at_wipe" not in d:
        return Missing(unsaid(d, "fouling.growth", "fouling.bias_rate", "fouling.sign"))
    return Margin(d["fouling.bias_at_wipe"], at_most=d["probe.tolerance"])


@rule(
    "hard-fouling",
    "Fouling is soft enough for air",
    noun="hard fouling",
    level=Level.WATCH,
    cite=COMMON_PRACTICE.at("scale, shell and grease are not moved by air"),
)
def hard_fouling(d: Design, limit: None) -> Fact | Missing:
    """Air takes off soft fouling; scale, shell and grease skin stay and grow.

    Plan wipes or another method of cleaning; keep the purge only for what is soft.
    """
    said = d.inputs.choices.get("fouling.hard")
    if said is None:
        return Missing(unsaid(d, "fouling.growth", "fouling.hard"))
    return Fact("hard fouling stated" if said == "yes" else "no hard fouling", "soft fouling only", said == "no")
