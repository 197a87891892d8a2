"""What the note tells people to do can be done with the line as it is designed, and lets out all the air that is shut in."""

import re

import pytest

from purgecalc.reports.blocks import Cautions, Checklist, Document, Heading, Paragraph
from purgecalc.reports.cautions import CAUTIONS, DRY_TEST_ALONE
from purgecalc.reports.note import commissioning_note
from purgecalc.reports.note.card import field_card
from purgecalc.reports.summary import summarise
from purgecalc.scenario import load, loads
from purgecalc.shown import text_of
from purgecalc.studies.commissioning import Commissioning
from purgecalc.units import show
from tests.commissioned import commissioned, note_of_line, of_line
from tests.lines import BASE, RECEIVER, SCENARIOS, designed, read

DIRECT_VALVE = "line.valve.conductance=2.0 dm3/(s bar)"
AT_SOURCE = "line.head.check_valve_at=source"
NONE = "line.head.check_valve=none"


def two_lines(*changes: tuple[str, str]) -> Commissioning:
    """Lane 2 and a lane 3 like it but for ``changes``."""
    second = BASE[BASE.index("[line]") :].replace("[line]", "[[line]]").replace("lane 2", "lane 3")
    for old, new in changes:
        assert old in second
        second = second.replace(old, new)
    return commissioned(loads(BASE.replace("[line]", "[[line]]") + second))


def section(document: Document, heading: str) -> str:
    """All words under a heading of the first level."""
    words, on = [], False
    for block in document.blocks:
        match block:
            case Heading(text=text, level=1):
                on = text == heading
            case Checklist(items=items) | Cautions(items=items) if on:
                words += items
            case Paragraph(text=text) if on:
                words.append(text)
    return "\n".join(words)


def said(heading: str, *settings: str) -> str:
    return section(note_of_line(*settings), heading)


@pytest.mark.parametrize(
    ("settings", "where"),
    [
        ((), "between the source and the check valve at the head"),
        ((DIRECT_VALVE,), "between the blast valve and the check valve at the head"),
        ((AT_SOURCE,), "beyond the check valve at the source"),
        ((AT_SOURCE, DIRECT_VALVE), "beyond both blast valve and check valve"),
        ((NONE, DIRECT_VALVE), "beyond the blast valve"),
        ((NONE,), "at its source end"),
        (RECEIVER, "between the blast valve and the check valve at the head"),
    ],
)
def test_the_hose_is_vented_where_its_air_is_shut_in(settings: tuple[str, ...], where: str) -> None:
    for heading in ("Before energising", "Safety and isolation", "Leak test"):
        assert f"hose{',' if heading == 'Before energising' else ''} {where}" in said(heading, *settings)
    assert "gauge on the hose at zero before" in said("Leak test", *settings) or "drain it until" in said("Leak test", *settings)
    assert where in "\n".join(i for b in field_card(of_line(*settings)).blocks if isinstance(b, Checklist) for i in b.items)


def test_what_a_check_valve_at_the_head_keeps_is_printed() -> None:
    for settings in ((), RECEIVER):
        d = designed(*settings)
        kept = d.number("water.depth_pressure") + d.number("head.check_valve")
        assert d.number("hose.kept_gauge") == pytest.approx(kept)
        assert f"up to {show(kept, 'gauge pressure')} stays there" in said("Safety and isolation", *settings)
    assert "hose.kept_gauge" not in designed(AT_SOURCE)
    assert "does not come back" in said("Safety and isolation", AT_SOURCE)


def test_a_receiver_is_isolated_on_its_own() -> None:
    for heading in ("Safety and isolation", "Leak test"):
        assert "drain it until its own gauge reads zero" in said(heading, *RECEIVER)
        assert "receiver" not in said(heading).lower()
    assert "vessel" not in said("Before energising")
    assert "fittings and receiver" in said("Before energising", *RECEIVER)


def test_low_pressure_comes_first_in_a_way_that_can_be_done() -> None:
    direct, receiver = said("Leak test"), said("Leak test", *RECEIVER)
    assert direct.index("throttle the bleed") < direct.index("soap every joint") < direct.index("Close the bleed")
    assert receiver.index("run the compressor by hand") < receiver.index("soap every joint") < receiver.index("fill the receiver")
    assert "soap every joint" not in direct.split("\n")[1]  # people are clear while the pressure comes up
    # the pressure switch stops it at cut-out, whatever the compressor could reach without one
    assert "until its pressure switch stops it (6 bar(g))" in receiver
    for text in (direct, receiver):
        assert text.index("People clear of hose") < text.index("go near, at this low pressure only")


def test_a_direct_source_stands_at_its_highest_for_one_blast_and_beyond_its_rating_knowingly() -> None:
    assert "no longer than one blast (30 s)" in said("Leak test")
    assert "above its highest continuous pressure, 2.0 bar(g)" in said("Leak test")
    assert "above its highest" not in said("Leak test", "source.rated_pressure=3.2 bar(g)")
    unrated = re.sub(r"^rated_pressure = .*\n", "", BASE, flags=re.M)
    assert unrated != BASE
    assert "not stated: ask the maker" in section(commissioning_note(commissioned(loads(unrated))), "Leak test")


@pytest.mark.parametrize(
    ("settings", "words"),
    [
        ((), "soap at the low pressure decides"),
        ((DIRECT_VALVE,), "Shut in by the blast valve, source off"),
        ((AT_SOURCE,), "Shut in by the check valve, source off"),
        (RECEIVER, "in ten minutes the gauge of the receiver falls by no more than 250 mbar"),
    ],
)
def test_every_leak_test_has_a_pass_that_this_line_can_be_held_to(settings: tuple[str, ...], words: str) -> None:
    assert words in said("Leak test", *settings)


def test_lines_that_differ_are_told_apart() -> None:
    alike = commissioning_note(two_lines())
    assert section(alike, "Leak test").count("soap every joint") == 1
    differ = commissioning_note(two_lines(('check_valve = "30 mbar"', 'check_valve = "30 mbar", check_valve_at = "source"')))
    assert section(differ, "Leak test").count("soap every joint") == 2
    assert "lane 3 oxygen: Vent the hose beyond the check valve at the source" in section(differ, "Safety and isolation")


def test_the_dry_test_is_the_one_exception_everywhere() -> None:
    assert DRY_TEST_ALONE in CAUTIONS
    for document in (note_of_line(), field_card(of_line())):
        every = [i for b in document.blocks if isinstance(b, Cautions | Checklist) for i in b.items]
        never = [i for i in every if "never blow" in i.lower()]
        assert never
        assert all("the dry test" in i for i in never)
    assert "The one time the head blows out of the water" in said("Dry test")


def test_the_dry_test_is_as_gentle_as_the_source_allows() -> None:
    assert "Turn the regulator down" in said("Dry test", *RECEIVER, "source.regulator=2 bar(g)")
    assert "fill the receiver to about a tenth" in said("Dry test", *RECEIVER)
    assert "There is no regulator" in said("Dry test")


def test_nothing_is_disconnected_live() -> None:
    assert "lift a core" not in said("Dry test")
    assert "licensed person opens a conductor at a test link made for it" in said("Dry test")


def test_the_water_is_not_said_to_be_what_it_may_not_be() -> None:
    document = note_of_line()
    words = repr(document).lower()
    assert "aerated water" not in words
    assert "sewage" not in words


def ticked(document: Document) -> list[str]:
    return [i for b in document.blocks if isinstance(b, Checklist) for i in b.items]


def strong(document: Document) -> str:
    return "\n".join(b.text for b in document.blocks if isinstance(b, Paragraph) and b.strong)


SHORT = ("line.schedule.hold_off=20 s",)


def test_what_the_design_cannot_pass_is_not_to_be_ticked() -> None:
    good, short = note_of_line(), note_of_line(*SHORT)
    assert any("raw reading rises" in i and "is back within 0.2 mg/L" in i for i in ticked(good))
    assert not any("raw reading" in i for i in ticked(short))
    d = of_line(*SHORT).designs[0]
    left, need = show(d.number("reading.residual"), "concentration"), text_of(d["reading.hold_off_needed"])
    assert f"released with {left}" in strong(short)
    assert f"hold-off of {need} or more first" in strong(short)
    assert "Not to be ticked" not in strong(good)


def test_a_controller_that_will_move_is_not_to_be_ticked_as_still() -> None:
    assert any("controller output watched" in i for i in ticked(note_of_line()))
    short = note_of_line(*SHORT)
    assert not any("controller output" in i for i in ticked(short))
    assert "the controller output moves at release by" in strong(short)


def test_a_contact_that_blows_at_rest_is_not_to_be_ticked_as_proved() -> None:
    scenario = load(str(SCENARIOS / "quillstone.toml"))
    document = commissioning_note(commissioned(scenario))
    assert not any("Contact checked" in i for i in ticked(document))
    assert "Clear contact-at-rest" in strong(document)
    assert any("Contact checked" in i for i in ticked(note_of_line()))


def test_intervals_that_rest_on_a_condemned_hold_off_say_so() -> None:
    def interval(*settings: str) -> str:
        c = of_line(*settings)
        (line,) = summarise(c.checked).lines
        return next(r.remark for r in line.rows if r.label == "Interval")

    assert "with the hold-off as set, which is too short" in interval(*SHORT)
    assert "hold-off" not in interval()


def test_pressures_on_site_are_what_a_gauge_reads_however_the_file_states_them() -> None:
    absolute = [s.replace("(g)", "(a)") if "cut" in s else s for s in RECEIVER]
    text = said("Leak test", *absolute, "source.regulator=3 bar(a)")
    assert "bar(g)" in text
    assert "bar(a)" not in text


def test_a_relief_valve_that_blows_is_what_the_source_is_expected_to_reach() -> None:
    c = commissioned(read("pressure.regime=EU", "pressure.relief=1.8 bar(g)"))
    e = {line.id: line.expected for line in c.lines}
    assert "source.highest_gauge" not in e
    low, high = e["pressure.highest_pressure"].passes or (0.0, 0.0)
    assert low < 1.8e5 < e["pressure.highest_pressure"].value < high < c.designs[0].number("source.highest_gauge")
    text = section(commissioning_note(c), "Leak test")
    assert "stand at its highest pressure (1.98 bar(g))" in text
    assert "a plug that bears 2.98 bar(g)" in text  # the valve is not proved yet


@pytest.mark.parametrize("settings", [(), ("source.duty=S3 5 %",)])
def test_tests_begin_and_end_with_the_loop_and_are_spaced_by_the_duty(settings: tuple[str, ...]) -> None:
    for heading in ("Dry test", "Wet test"):
        items = checklist_under(note_of_line(*settings), heading)
        assert items[0].startswith("Put the aeration loop in manual")
        assert items[-1].startswith("Put the loop back in automatic")
    apart = of_line(*settings).designs[0]["interval.shortest_duty"]
    (repeats,) = (i for i in checklist_under(note_of_line(*settings), "Wet test") if i.startswith("Repeat for three blasts"))
    assert text_of(apart) in repeats
    assert float(apart.value) > 0


def checklist_under(document: Document, heading: str) -> tuple[str, ...]:
    """Items of the checklist that follows a heading."""
    blocks = list(document.blocks)
    at = next(i for i, b in enumerate(blocks) if isinstance(b, Heading) and b.text == heading)
    return next(b for b in blocks[at:] if isinstance(b, Checklist)).items


def test_nothing_in_the_note_asks_for_work_that_can_hurt() -> None:
    text = str(note_of_line()).lower()
    for words in ("fuse pulled", "pull the fuse", "crack a joint", "in a row measured"):
        assert words not in text
    for words in (
        "confined space",
        "start without warning",
        "by continuity",
        "disconnect nothing live",
        "open the bleed a little",
    ):
        assert words in text
