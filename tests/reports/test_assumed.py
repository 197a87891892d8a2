"""Everything that was assumed is listed, numbers and words, and told apart where lines differ."""

import pytest

from purgecalc.design import Design, design_all
from purgecalc.reports.assumed import listed
from purgecalc.reports.blocks import Table
from purgecalc.scenario import loads
from tests.commissioned import note_of_line
from tests.lines import BASE, RECEIVER, designs


def pair(old: str, new: str) -> list[Design]:
    second = BASE[BASE.index("[line]") :].replace("[line]", "[[line]]").replace("lane 2", "lane 3")
    assert old in second
    return design_all(loads(BASE.replace("[line]", "[[line]]") + second.replace(old, new)).lines)


def test_lines_that_differ_each_have_their_own() -> None:
    assumed = listed(pair('kind = "optical-oxygen"', 'kind = "membrane-oxygen"'), "default")
    clear = [a for a in assumed if "probe.clear_time" in a]
    assert [a.split(":")[0] for a in clear] == ["lane 2 oxygen", "lane 3 oxygen"]
    assert "optical-oxygen" in clear[0]
    assert "membrane-oxygen" in clear[1]
    assert sum("source.run_up" in a for a in assumed) == 1


def test_an_input_that_one_line_states_is_assumed_for_the_other_alone() -> None:
    assumed = listed(pair('t90 = "30 s"', 't90 = "30 s", clear_time = "9 s"'), "default")
    assert [a.split(":")[0] for a in assumed if "probe.clear_time" in a] == ["lane 2 oxygen"]


def test_words_are_listed_like_numbers() -> None:
    assert any(a.startswith("source.dead_head_set_by = clearance (our judgement") for a in listed(designs(), "default"))
    given = listed(designs("source.dead_head_set_by=relief"), "default")
    assert not any("dead_head_set_by" in a for a in given)
    assert any("dead_head_set_by = relief" in a for a in listed(designs("source.dead_head_set_by=relief"), "override"))


@pytest.mark.parametrize(
    ("settings", "word", "bears"),
    [
        ((), "source.compressor_starts", False),
        (RECEIVER, "source.compressor_starts", True),
        ((), "head.check_valve_at", True),
        (("line.head.check_valve=none",), "head.check_valve_at", False),
        (("source.dead_head=4 bar(a)",), "source.dead_head_set_by", False),
    ],
)
def test_words_that_bear_on_nothing_are_left_out(settings: tuple[str, ...], word: str, bears: bool) -> None:
    assert any(word in a for a in listed(designs(*settings), "default")) == bears


def test_what_the_simulation_alone_uses_is_listed() -> None:
    assert any("loop.actuator_t90" in a for a in listed(designs(), "default"))


def test_the_note_lists_how_far_inputs_are_taken_to_be_off_for_what_is_there() -> None:
    def rows(*settings: str) -> list[str]:
        blocks = note_of_line(*settings).blocks
        (table,) = (b for b in blocks if isinstance(b, Table) and b.caption.startswith("How far inputs"))
        return [row[0] for row in table.rows]

    assert "Volume of the receiver" not in rows()
    assert {"Volume of the receiver", "Conductance of the valve"} <= set(rows(*RECEIVER))
    assert "Pressure the check valve keeps" in rows()
