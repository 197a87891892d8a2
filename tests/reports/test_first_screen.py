"""The first screen keeps its promises: for every site, many lines, many findings, any name, any width, both systems of units."""

import re
from functools import lru_cache

import pytest

from purgecalc.reports.first_screen import print_first_screen
from purgecalc.reports.page import Page, Text
from purgecalc.reports.palette import HEADLINES
from purgecalc.reports.screen_findings import NAMED
from purgecalc.reports.summary import summarise
from purgecalc.rules import Finding, Level
from purgecalc.scenario import load, loads
from purgecalc.studies.checked import Checked
from purgecalc.wording import sentence
from tests.cli.test_hostile import TURNING, titled
from tests.command import run
from tests.lines import BASE, SCENARIOS

WIDTHS = (40, 60, 72, 80, 120)
SITES = sorted(p.stem for p in SCENARIOS.glob("*.toml"))
ALWAYS = ("Hose pressure drop", "Delivery time", "Air per blast", "Duty", "Hold-off")
HEADS = ("drop", "delivery", "air", "hold-off")
MANY = (
    "line.schedule.hold_off=5 s",
    "line.schedule.interval=5 min",
    "line.hose.length=60 m",
    "line.hose.bore=4 mm",
    "line.hose.rated_pressure=1 bar(g)",
)


@lru_cache
def site(name: str, *settings: str) -> Checked:
    return Checked.of(load(str(SCENARIOS / f"{name}.toml"), list(settings)))


@lru_cache
def lines(count: int, *settings: str, name: str = "lane {} oxygen") -> Checked:
    """The reference line several times on one source, each with a name and a hose of its own."""
    start = BASE.index("[line]")
    line = BASE[start:].replace("[line]", "[[line]]", 1)
    each = [
        line.replace('"lane 2 oxygen"', f'"{name.format(i)}"').replace('length = "7.6 m"', f'length = "{4 + i} m"')
        for i in range(1, count + 1)
    ]
    return Checked.of(loads(BASE[:start] + "\n".join(each), "site.toml", list(settings)))


def screen(c: Checked, width: int, system: str = "si", height: int | None = None) -> list[str]:
    page = Page(width)
    print_first_screen(page, summarise(c, system), height=height)
    return [row.plain for row in page.lines]


def hard(c: Checked) -> list[Finding]:
    """What is to stop or fix, a rule that fails on several lines once."""
    return list({(f.rule.id, f.level): f for f in c.findings if f.state == "fails" and f.level >= Level.FIX}.values())


def first_figure(rows: list[str]) -> int:
    """Where the figures begin."""
    return next(
        i
        for i, row in enumerate(rows)
        if re.match(r"[ F] (Jet thrust|Source pres|Hose pres)|  +line  |STOP   |FIX    |WATCH  |PASS   ", row)
    )


def joined(rows: list[str]) -> str:
    return " ".join(" ".join(rows).split())


def keeps_its_promises(c: Checked, width: int, system: str = "si") -> list[str]:
    rows = screen(c, width, system)
    assert max(Text(row).cell_len for row in rows) <= width, max(rows, key=len)
    assert len(rows) <= 22 or width < 72
    assert not [row for row in rows if row != row.rstrip()]
    word = HEADLINES[c.verdict].split()[0]
    assert rows[0].split()[0] == rows[-1].split()[0] == word
    assert rows[-2].startswith("Vent to zero first; local codes")
    figures = first_figure(rows)
    assert not [row for row in rows[figures:] if row.lstrip().startswith("-> ")]
    said = joined(rows[:figures])
    for i, f in enumerate(hard(c)):
        named = i < (NAMED if len(hard(c)) <= NAMED else NAMED - 1)
        assert f"{f.level.name} {sentence(f.rule.noun)}" in said if named else f.rule.noun in said.split("Also ")[1], f.rule.id
    if hard(c):
        assert "-> " in said
    if len(c.designs) == 1:
        for label in ALWAYS:
            assert [row for row in rows[figures:] if row[2:].startswith(f"{label} ") and row[2 + len(label) :].strip()], label
    else:
        told = joined(rows[figures:])
        assert "Duty of the source: " in told
        for head in HEADS:
            assert head in told
    return rows


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("name", SITES)
def test_the_screen_of_every_site(name: str, width: int) -> None:
    rows = keeps_its_promises(site(name), width)
    assert joined(rows).isascii()


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("count", [5, pytest.param(10, marks=pytest.mark.campaign)])
def test_a_row_for_each_of_several_lines(count: int, width: int) -> None:
    c = lines(count)
    rows = keeps_its_promises(c, width)
    shown = [d.inputs.line for d in c.designs if any(d.inputs.line in row for row in rows[first_figure(rows) :])]
    assert len(shown) == min(count, 8)
    if count > 8:
        assert f"and {count - 8} lines more" in joined(rows)


def test_of_many_lines_the_worst_are_shown() -> None:
    c = lines(10, "line.10.schedule.hold_off=5 s")
    assert any("lane 10 oxygen" in row and row.startswith("FIX") for row in screen(c, 80))


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("system", ["si", "us"])
def test_many_findings_are_all_named_and_leave_room_for_the_figures_asked_for(system: str, width: int) -> None:
    c = site("quillstone", *MANY)
    assert len(hard(c)) > NAMED
    keeps_its_promises(c, width, system)
    assert len(hard(lines(5, *MANY_LINES))) > 5
    keeps_its_promises(lines(5, *MANY_LINES), width, system)


MANY_LINES = tuple(f"line.{i}.{s.removeprefix('line.')}" for i in range(1, 6) for s in MANY)


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize(
    "words",
    [TURNING, "a" * 200, "\u6c34 " * 90, "\u6c34" * 190, "x y " * 49],
    ids=["marks", "long", "wide", "wide, no blank", "short words"],
)
def test_no_name_breaks_it(words: str, width: int) -> None:
    keeps_its_promises(Checked.of(loads(titled(words, words), "site.toml", [])), width)


@pytest.mark.parametrize("name", ["fernwhistle", "trivet-mill", "quillstone"])
def test_us_units_fit_as_well(name: str) -> None:
    for width in WIDTHS:
        keeps_its_promises(site(name), width, "us")


def test_nothing_goes_to_the_other_stream_and_the_command_prints_this_screen() -> None:
    for width in ("60", "80"):
        done = run("check", str(SCENARIOS / "quillstone.toml"), COLUMNS=width)
        assert done.stderr == ""
        assert done.stdout.splitlines() == screen(site("quillstone"), int(width))


def test_a_void_figure_has_no_number() -> None:
    rows = screen(site("quillstone"), 80)
    for label in ("Delivery time", "Hold-off"):
        (row,) = [row for row in rows if row[2:].startswith(label)]
        assert row.split()[-1] == "void"


def test_a_tall_window_has_the_strips_too_and_one_of_unknown_height_has_not() -> None:
    tall, low, unknown = (screen(site("fernwhistle"), 80, height=rows) for rows in (60, 24, None))
    assert low == unknown
    assert len(tall) <= 58
    assert tall[-2:] == low[-2:]
    assert [row for row in tall if row and row in low] == [row for row in low if row]
    assert "Where the pressure goes, 310 mbar(g) at the source" in tall
    assert any(row.startswith("One cycle: ") for row in tall)
    least = next(rows for rows in range(20, 60) if screen(site("fernwhistle"), 80, height=rows) == tall)
    assert least == len(tall) + 2


@pytest.mark.parametrize("name", SITES)
def test_no_act_is_cut_short(name: str) -> None:
    for width in (72, 80):
        rows = screen(site(name), width)
        acts = [i for i, row in enumerate(rows) if "-> " in row]
        assert not [rows[i] for i in acts if rows[i].endswith("...")]
        assert all(rows[i].endswith(".") or rows[i + 1].startswith(" " * 9) for i in acts)


def test_of_one_rule_on_several_lines_one_row_is_told() -> None:
    rows = screen(lines(5, *MANY_LINES), 80)
    (row,) = [row for row in rows if row.startswith("FIX   Jet strength")]
    assert row.startswith("FIX   Jet strength [lane 1 oxygen +4]: ")
