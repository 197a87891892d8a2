"""What only a person on site can know: asked for, never guessed.

Each fact is answered yes, no or unknown in ``[site_facts]``. "no" is a finding at the level given here; "unknown", or a
fact left out of the table, is an open question.

An open question is neither a pass nor a finding: it does not move the verdict, which is the calculation's, and it is
counted beside it until answered, whether the scenario asks it or not.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any, Literal, TypeAlias

from pydantic import BeforeValidator, WithJsonSchema

from purgecalc.references import COMMON_PRACTICE, IEC_60034, ISO_4414, OUR_JUDGEMENT, Citation, Work
from purgecalc.scenario.fields import wrong
from purgecalc.wording import nearest

IEC_60079 = Work("IEC 60079-10-1", "IEC 60079-10-1 Explosive atmospheres, classification of areas")
Severity: TypeAlias = Literal["NOTE", "WATCH", "FIX", "STOP"]


@dataclass(frozen=True)
class SiteFact:
    """A question, its noun, the level of a "no", why it matters, what to do, and on whose word."""

    id: str
    noun: str
    question: str
    level: Severity
    why: str
    remedy: str
    cite: Citation

    @property
    def rule(self) -> str:
        """Name of the rule that judges the answer."""
        return "site-" + self.id.replace("_", "-")


FACTS = (
    SiteFact(
        "hose_restrained",
        "hose restraint",
        "Is the hose restrained at both ends?",
        "FIX",
        "A hose that comes off under pressure whips.",
        "Fit a clamp and a tie at source and head.",
        ISO_4414.at("hose restraint"),
    ),
    SiteFact(
        "isolating_valve",
        "isolating valve",
        "Is there a lockable valve by the source that isolates and exhausts?",
        "FIX",
        "Without it nobody can be sure that the line is at zero before it is uncoupled.",
        "Fit a lockable isolating and exhausting valve, and prove with a gauge that the line falls to zero.",
        ISO_4414.at("isolation and dissipation of energy"),
    ),
    SiteFact(
        "schedule_inhibited",
        "schedule lock",
        "Can the schedule be stopped and locked while hands are at the head?",
        "FIX",
        "The blast starts by itself, and nobody at the head is warned.",
        "Give the sequence a local inhibit that is locked off, or isolate the supply.",
        ISO_4414.at("unexpected start-up"),
    ),
    SiteFact(
        "relief_proved",
        "dead-head test",
        "Has the highest pressure been proved by test, with any relief valve blowing?",
        "STOP",
        "Every pressure rating here rests on a highest pressure that nobody has seen.",
        "Close the line, let the source stand at its highest pressure and read the gauge. Hoses low and people clear.",
        COMMON_PRACTICE.at("dead-head test"),
    ),
    SiteFact(
        "intake_clear",
        "air intake",
        "Is the intake filtered and away from foam, sulphide and rain?",
        "WATCH",
        "What the source breathes it blows onto the probe, and it wears by it.",
        "Lead the intake to clean air and fit a filter.",
        COMMON_PRACTICE.at(),
    ),
    SiteFact(
        "above_water",
        "height above water",
        "Do source and valve stand half a metre or more above the highest water?",
        "FIX",
        "A valve or source that floods takes water into its seat and its motor.",
        "Raise them, with a check valve below.",
        COMMON_PRACTICE.at("0.5 m above top water"),
    ),
    SiteFact(
        "falls_to_head",
        "fall of the hose",
        "Does the hose fall to the head without pockets?",
        "FIX",
        "Water that lies in a pocket must be blown out first, and freezes.",
        "Re-route the hose so that it drains to the head.",
        COMMON_PRACTICE.at(),
    ),
    SiteFact(
        "zone_known",
        "hazardous zone",
        "Is the area classification known, and does the source stand outside any zone?",
        "STOP",
        "An ordinary motor or coil in a classified zone can ignite gas.",
        "Get the zone drawing; move source, valve and heater out of the zone.",
        IEC_60079.at("or national rules"),
    ),
    SiteFact(
        "guard_rail",
        "guard rail",
        "Is the guard rail intact where the probe is lifted?",
        "STOP",
        "Bubbly water carries less, and nobody climbs out alone.",
        "Repair the rail before anybody works there.",
        COMMON_PRACTICE.at(),
    ),
    SiteFact(
        "rescue_plan",
        "rescue plan",
        "Is there a second person, a tether and a way to get somebody out of the water?",
        "STOP",
        "Bubbly water carries less, and nobody climbs out alone.",
        "Agree permit, tether and rescue before working over water.",
        COMMON_PRACTICE.at("work on or near water"),
    ),
    SiteFact(
        "residual_current",
        "earth leakage breaker",
        "Is the supply outdoors protected against residual current?",
        "FIX",
        "Water and a damaged cable are a shock.",
        "Have a licensed electrician fit it and test it.",
        COMMON_PRACTICE.at("national wiring rules"),
    ),
    SiteFact(
        "ventilated",
        "ventilation",
        "Is the enclosure of the source ventilated and shaded?",
        "WATCH",
        "A motor rating holds to 40 degC about it.",
        "Vent and shade it, and measure the case after the worst hour.",
        IEC_60034.at("rated ambient, 40 degC"),
    ),
    SiteFact(
        "air_evidence",
        "proof of air",
        "Is somebody told when a blast was commanded and no air came?",
        "WATCH",
        "A command is no proof of cleaning.",
        "Fit a pressure switch or transmitter that must see each blast.",
        COMMON_PRACTICE.at(),
    ),
    SiteFact(
        "power_loss",
        "power loss",
        "Is it known what schedule and clock do after a power loss, and has it been tried?",
        "WATCH",
        "A schedule that is lost stops cleaning without a word.",
        "Cut the power in mid-blast at its isolator, restore it, and read schedule and clock.",
        COMMON_PRACTICE.at(),
    ),
    SiteFact(
        "upkeep_planned",
        "maintenance plan",
        "Are intake filter, drain, check valve and gauge in the maintenance plan?",
        "WATCH",
        "What is not in the plan is not done.",
        "Add the tasks and their intervals.",
        COMMON_PRACTICE.at(),
    ),
    SiteFact(
        "reference_check",
        "reference check",
        "Is the probe still compared with a reference every month?",
        "FIX",
        "A purge is not a calibration: a clean probe can be wrong.",
        "Keep the monthly comparison; within 10 % or 0.3 mg/L is in agreement.",
        OUR_JUDGEMENT.at("10 % is a known rule of thumb"),
    ),
)
BY_ID = {fact.id: fact for fact in FACTS}
ANSWERS = ("yes", "no", "unknown")


@dataclass(frozen=True)
class SiteQuestions:
    """Questions that nobody has answered, whether the scenario asks them or not; what a note for signature stays a draft for."""

    facts: tuple[SiteFact, ...]

    @property
    def ids(self) -> tuple[str, ...]:
        """The facts in question."""
        return tuple(f.id for f in self.facts)

    @property
    def stop(self) -> int:
        """How many would stop commissioning if answered no."""
        return sum(f.level == "STOP" for f in self.facts)

    @property
    def words(self) -> str:
        """ "16 site questions open (4 stop)"; empty where none is."""
        n = len(self.facts)
        return f"{n} site question{'s' if n > 1 else ''} open{f' ({self.stop} stop)' if self.stop else ''}" if n else ""


def site_questions(choices: Mapping[str, str]) -> SiteQuestions:
    """What is open, from the choices of a line's inputs."""
    return SiteQuestions(tuple(f for f in FACTS if choices.get(f"site_facts.{f.id}", "unknown") == "unknown"))


def _answers(value: Any) -> Any:
    if not isinstance(value, dict):
        raise wrong('site_facts is a table of answers, e.g. guard_rail = "yes"')
    for id, said in value.items():
        if id not in BY_ID:
            near = nearest(str(id), BY_ID)
            hint = f'did you mean "{near[0]}"? ' if near else ""
            raise wrong(f"{id} is no site fact; {hint}known here: {', '.join(BY_ID)}", str(id))
        if not isinstance(said, bool) and said not in ANSWERS:
            raise wrong(f'{id} = {said!r} is not an answer; write "yes", "no" or "unknown"', str(id))
    return {id: ("no", "yes")[said] if isinstance(said, bool) else said for id, said in value.items()}


SiteFacts: TypeAlias = Annotated[
    dict[str, str],
    BeforeValidator(_answers),
    WithJsonSchema(
        {
            "type": "object",
            "additionalProperties": False,
            "properties": {f.id: {"description": f.question, "enum": [*ANSWERS, True, False]} for f in FACTS},
        }
    ),
]
