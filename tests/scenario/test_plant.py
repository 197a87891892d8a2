"""What may be written of contact, supply, air, pressure, upkeep, lifting and site facts, and how the rest is refused."""

import pytest

from purgecalc.errors import ScenarioError
from purgecalc.scenario.facts import FACTS
from tests.lines import read

FED = ("supply.voltage=230 V", "supply.frequency=50 Hz", "supply.plate_voltage=220 V", "supply.plate_frequency=50 Hz")
AIR = ("moisture.intake_temperature=20 degC", "moisture.intake_humidity=50 %")
WIRED = ("line.contact.terminal=NO", "line.contact.coil_at_rest=off", "line.contact.load=motor")
REFUSED = {
    "alarm_terminal and alarm_coil_healthy go together": (*WIRED, "line.contact.alarm_terminal=NO"),
    'cannot be below plate_voltage "220 V"': (*FED, "supply.plate_voltage_to=200 V"),
    "cable_length and conductor_area go together": (*FED, "supply.current=1 A", "supply.cable_length=20 m"),
    "a cable is worked out from the current": (*FED, "supply.cable_length=20 m", "supply.conductor_area=1.5 mm2"),
    "give dryer_dew_point or dryer_class, not both": (*AIR, "moisture.dryer_class=3", "moisture.dryer_dew_point=-20 degC"),
    "dryer_class = 9 is not a humidity class": (*AIR, "moisture.dryer_class=9"),
    "says gauge pressure": ("pressure.regime=UK", "pressure.relief=3 bar(a)"),
    'is not a date from 1990 to 2100; write start = "2026-03-01"': ("upkeep.start=yesterday",),
    "valve_life = 0 is out of range": ("upkeep.start=2026-03-01", "upkeep.valve_life=0"),
    'did you mean "guard_rail"?': ("site_facts.gard_rail=yes",),
    'write "yes", "no" or "unknown"': ("site_facts.guard_rail=perhaps",),
    "site_facts is a table of answers": ("site_facts=3",),
    '"NX" is not one of "NO" or "NC"': ("line.contact.terminal=NX", *WIRED[1:]),
    "(voltage of the supply); write e.g.": ("supply.frequency=50 Hz",),
}


@pytest.mark.parametrize("words", REFUSED)
def test_what_does_not_fit_is_refused_with_a_way_out(words: str) -> None:
    with pytest.raises(ScenarioError) as caught:
        read(*REFUSED[words])
    assert any(words in str(p) for p in caught.value.problems), [str(p) for p in caught.value.problems]


def test_an_iso_date_as_text_is_a_date_too() -> None:
    assert read('upkeep.start="2026-03-01"').lines[0].choices["upkeep.start"] == "2026-03-01"
    assert read("upkeep.start=2026-03-01").lines[0].choices["upkeep.start"] == "2026-03-01"


def test_true_and_false_are_answers() -> None:
    choices = read("site_facts.guard_rail=true", "site_facts.rescue_plan=false").lines[0].choices
    assert (choices["site_facts.guard_rail"], choices["site_facts.rescue_plan"]) == ("yes", "no")


def test_every_fact_is_a_question_with_a_reason_and_a_remedy() -> None:
    assert len({f.id for f in FACTS}) == len(FACTS)
    for fact in FACTS:
        assert fact.question.endswith("?")
        assert fact.why.endswith(".")
        assert fact.remedy.endswith(".")
