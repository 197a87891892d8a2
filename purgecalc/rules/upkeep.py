"""Rules on wear; not judged where no start date and no life is stated."""

from __future__ import annotations

from purgecalc.design import Design
from purgecalc.references import OUR_JUDGEMENT
from purgecalc.rules._base import rule
from purgecalc.rules._outcomes import Level, Margin, Missing


def _unsaid(d: Design, life: str) -> Missing:
    return Missing((life,) if "upkeep.start" in d.inputs.choices else ("upkeep.start", life))


@rule(
    "seal-life",
    "The compressor's seal lasts a year",
    noun="seal life",
    level=Level.NOTE,
    cite=OUR_JUDGEMENT.at("a year between services; the life is the maker's"),
    limit="365 d",
    kind="time",
    scope="source",
)
def seal_life(d: Design, limit: float) -> Margin | Missing:
    """Running {upkeep.run_time_of_share} a year the seal is worn out before anybody comes to service it.

    Plan its change, keep a spare, blow less often or shorter, or take a source of longer life.
    """
    return Margin(d["upkeep.seal_lasts"], at_least=limit) if "upkeep.seal_lasts" in d else _unsaid(d, "upkeep.seal_life")


@rule(
    "valve-life",
    "The valve lasts a year",
    noun="valve life",
    level=Level.NOTE,
    cite=OUR_JUDGEMENT.at("a year between services; the life is the maker's"),
    limit="365 d",
    kind="time",
)
def valve_life(d: Design, limit: float) -> Margin | Missing | None:
    """Each blast is an operation of the valve, and it is worn out before anybody comes to service it.

    Plan its change, keep a spare, blow less often, or take a valve of longer life.
    """
    if "valve.conductance" not in d:
        return None
    return Margin(d["upkeep.valve_lasts"], at_least=limit) if "upkeep.valve_lasts" in d else _unsaid(d, "upkeep.valve_life")
