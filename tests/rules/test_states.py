"""What is void while another rule is broken, and that what is judged of an inverted contact is the contact as wired."""

import pytest

from purgecalc.rules import judge, not_judged, rule_book, rule_settings
from purgecalc.rules._void import VOIDED
from tests.lines import RECEIVER, designed, designs, finding, findings, read
from tests.rules.test_rules import WIRED

INVERTED = (*WIRED, "line.contact.terminal=NC", "line.schedule.hold_off=20 s")
LOUD = ("line.noise.compressor_level=80", "line.noise.presence=8 h")


def test_only_rules_of_a_line_void_others_and_all_of_them_are_in_the_book() -> None:
    book = rule_book()
    for rule, others in VOIDED.items():
        assert {book[id].scope for id in (rule, *others)} == {"line"}
        assert len(set(others)) == len(others)
        assert not set(others) & set(VOIDED)


def test_what_an_inverted_contact_leaves_without_a_meaning_is_void_and_moves_no_verdict() -> None:
    sound, inverted = finding("hold-off", *WIRED, "line.schedule.hold_off=20 s"), finding("hold-off", *INVERTED)
    assert (sound.state, sound.voided_by) == ("fails", "")
    assert (inverted.state, inverted.voided_by) == ("void", "contact-at-rest")
    assert inverted.margin is not None
    void = {f.rule.id for f in findings(*INVERTED) if f.state == "void"}
    assert {"live-share", "excursion", "delivery-time", "fouling-interval"} <= void <= set(VOIDED["contact-at-rest"])
    assert finding("duty", *INVERTED).state == "fails"  # as wired


def test_a_waiver_gives_a_figure_no_meaning() -> None:
    waived = (*INVERTED, "waive.contact-at-rest=seen with a stopwatch")
    assert finding("contact-at-rest", *waived).state == "waived"
    assert finding("hold-off", *waived).state == "void"


def test_a_hose_that_does_not_reach_voids_the_figures_of_its_own_line_alone() -> None:
    scenario = read("add:line", "line.1.hose.length=0.5 m")
    found = judge(designs("add:line", "line.1.hose.length=0.5 m"), rule_settings(scenario))
    states = {f.line: f.state for f in found if f.rule.id == "jet-strength"}
    assert sorted(states.values()) == ["passes", "void"]


@pytest.mark.parametrize("source", [(), RECEIVER], ids=["direct", "receiver"])
@pytest.mark.parametrize("load", ["motor", "normally-closed valve"])
def test_duty_air_energy_and_noise_are_those_of_the_contact_as_wired(load: str, source: tuple[str, ...]) -> None:
    wired = (*source, *WIRED, *LOUD, f"line.contact.load={load}")
    sound, inverted = designed(*wired), designed(*wired, "line.contact.terminal=NC")
    share = [d.number("contact.run_share") for d in (sound, inverted)]
    assert sum(share) == pytest.approx(1)
    air = [d.number("blast.air_per_day") for d in (sound, inverted)]
    assert air[1] / air[0] == pytest.approx(share[1] / share[0])
    duty, energy, noise = (
        [d.number(id) for d in (sound, inverted)]
        for id in ("source.duty_fraction", "source.energy_per_year", "noise.daily_exposure")
    )
    assert duty[1] >= share[1] - 1e-9
    assert energy[1] / energy[0] == pytest.approx(duty[1] / duty[0])
    assert noise[1] > noise[0] + 5


def test_what_is_not_judged_stands_worst_first_and_leaves_the_site_out() -> None:
    silent = not_judged(findings())
    levels = [f.level for f in silent]
    assert levels == sorted(levels, reverse=True)
    assert silent
    assert not [f for f in silent if f.rule.group == "site"]
    assert {f.state for f in findings() if f.rule.group == "site"} == {"not judged"}
