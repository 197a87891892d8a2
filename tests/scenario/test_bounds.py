"""What no person writes: refused with a short message, and before it can keep anybody waiting.

A text that the reader takes time for in proportion to a power of its size is given so large that a slip would never end.
"""

import os
from collections.abc import Callable
from pathlib import Path

import pytest

from purgecalc.errors import MOST_TOLD, ScenarioError, UsageError
from purgecalc.files import LONGEST_TEXT
from purgecalc.rules import rule_settings
from purgecalc.scenario import loads
from purgecalc.scenario.positions import KeyLines
from purgecalc.scenario.read import load, read_text
from purgecalc.studies.quantities import asked
from purgecalc.studies.sweep import axis
from tests.lines import BASE, SCENARIOS
from tests.lines import read as read_lines

LONGEST_SCREEN = 30_000
"""Characters of all messages of one refusal."""
MANY_SPACES = " " * 200_000


def refusal(call: Callable[[], object]) -> str:
    with pytest.raises((ScenarioError, UsageError)) as caught:
        call()
    text = str(caught.value)
    assert len(text) < LONGEST_SCREEN
    return text


def instead(old: str, new: str) -> str:
    assert old in BASE
    return BASE.replace(old, new, 1)


TEXTS = {
    "not one of a list": (instead('kind = "direct"', f'kind = "{"x" * 100_000}"'), "is not one of"),
    "a list 3,000 deep": (instead('length = "7.6 m"', "length = " + "[" * 3000 + "]" * 3000), "more than 20 deep"),
    "a list 100 deep": (instead('length = "7.6 m"', "length = " + "[" * 100 + "]" * 100), "more than 20 deep"),
    "tables 3,000 deep": (instead('length = "7.6 m"', "length = " + "{a=" * 3000 + "1" + "}" * 3000), "more than 20 deep"),
    "a key of 3,000 parts": (f"{BASE}\n{'.'.join('a' * 3000)} = 1\n", "a key has more than 20 parts"),
    "a head of 3,000 parts": (f"{BASE}\n[{'.'.join('a' * 3000)}]\n", "a key has more than 20 parts"),
    "a quoted key of 3,000 parts": (BASE + "\n" + ".".join(['"a"'] * 3000) + " = 1\n", "a key has more than 20 parts"),
    "an integer of 5,000 digits": (instead("holes = 4", "holes = " + "9" * 5000), "a whole number is far too large"),
    "an integer of 400 digits": (instead("holes = 4", "holes = " + "9" * 400), "a whole number is far too large"),
    "a hexadecimal of 50,000 digits": (instead("holes = 4", "holes = 0x" + "f" * 50_000), "a whole number is far too large"),
    "an integer of 100 digits": (instead("holes = 4", "holes = " + "9" * 100), "a whole number of more than 60 digits is out of"),
    "starts of 100 digits": (instead("starts_per_hour = 12", "starts_per_hour = " + "9" * 100), "is out of range"),
    "fittings of 100 digits": (
        instead("loss_coefficient = 4", "fittings = { elbow_90 = " + "9" * 100 + " }"),
        "a whole number of more than 60 digits is out",
    ),
    "a probe of 100,000 letters": (instead('kind = "optical-oxygen"', f'kind = "{"word " * 20_000}"'), "line.probe.kind"),
    "a duty of spaces": (instead('duty = "S3 50 %"', f'duty = "S3{MANY_SPACES}50{MANY_SPACES}x"'), "source.duty"),
    "a duty of 400 spaces": (instead('duty = "S3 50 %"', f'duty = "S3{" " * 200}50{" " * 200}x"'), "is not a duty designation"),
    "a title of 2,000,000 letters": (instead('title = "', 'title = "' + "x" * 2_000_000), "characters; allowed: at most"),
    "a line's name of 100,000 letters": (instead('name = "', 'name = "' + "x" * 100_000), "characters; allowed: at most"),
    "a waiver of 100,000 letters": (f'{BASE}\n[waive]\nslug = "{"x" * 100_000}"\n', "characters; allowed: at most"),
    "a key of 100,000 letters": (f"{'k' * 100_000} = 1\n{BASE}", "unknown key"),
    "20,000 limits": (BASE + "\n[limits]\n" + "".join(f"k{i} = 1\n" for i in range(20_000)), "limits: has too many entries"),
    "20,000 waivers": (BASE + "\n[waive]\n" + "".join(f'k{i} = "x"\n' for i in range(20_000)), "waive: has too many entries"),
    "20,000 unknown keys": ("".join(f"k{i} = 1\n" for i in range(20_000)) + BASE, "and 19980 more problems"),
    "101 lines": (
        BASE[: BASE.index("[line]")] + "".join(BASE[BASE.index("[line]") :].replace("[line]", "[[line]]") for _ in range(101)),
        "line: has too many entries; allowed: at most 100",
    ),
}


@pytest.mark.parametrize("case", TEXTS)
def test_a_text_that_no_person_writes_is_refused(case: str) -> None:
    text, words = TEXTS[case]
    assert words in refusal(lambda: loads(text, "site.toml"))


SETTINGS = {
    "no number": ("source.starts_per_hour=nan", "nan is not a finite number"),
    "infinity": ("source.starts_per_hour=inf", "inf is not a finite number"),
    "beyond a float": ("source.starts_per_hour=1e400", "inf is not a finite number"),
    "no number for a ratio": ("line.head.discharge_coefficient=nan", '"nan" is not a finite number'),
    "a limit that is no number": ("limits.recovery=nan", '"nan" is not a finite number'),
    "an infinite limit": ("limits.recovery=inf", '"inf" is not a finite number'),
    "a table for a limit": ("limits.recovery={ a = 1 }", "a table is not a limit"),
    "true for a limit": ("limits.recovery=true", "true is not a limit"),
    "superscript digits in a key": ("line.\u00b2.hose.length=3 m", "line.\u00b2: unknown key"),
    "a line of 5,000 digits": (f"line.{'9' * 5000}.hose.length=3 m", "unknown key"),
    "a length of 5,000 digits": (f"line.hose.length={'9' * 5000}", "is too long for a quantity"),
    "holes of 5,000 digits": (f"line.head.holes={'9' * 5000}", "is not a whole number"),
    "a year beyond the calendar": ("upkeep.start=9999-12-31", "is not a date from 1990 to 2100"),
    "the year 1": ("upkeep.start=0001-01-01", "is not a date from 1990 to 2100"),
    "a note's date beyond the calendar": ("note.date=2026-02-30", "is not a date from 1990 to 2100"),
    "100,000 letters": (f"title={'x' * 100_000}", "characters; allowed: at most"),
}


@pytest.mark.parametrize("case", SETTINGS)
def test_a_setting_that_no_person_writes_is_refused(case: str) -> None:
    setting, words = SETTINGS[case]
    assert words in refusal(lambda: rule_settings(loads(BASE, "site.toml", [setting])))


@pytest.mark.parametrize("number", ["nan", "inf", "-inf"])
@pytest.mark.parametrize("key", ["line.valve.kv", "line.valve.cv", "source.starts_per_hour"])
def test_no_plain_number_is_other_than_finite(key: str, number: str) -> None:
    told = refusal(lambda: read_lines(f"{key}={number}"))
    assert f"{key}: {number} is not a finite number" in told


def test_words_of_a_note_may_say_when() -> None:
    assert loads(BASE, settings=["note.date=spring of 2026"]).paper["date"] == "spring of 2026"


@pytest.mark.parametrize(
    "row",
    [
        "[ " + MANY_SPACES + "x" + MANY_SPACES,
        "[" + MANY_SPACES + "1, 2 ]" + MANY_SPACES + ",",
        "a" + " . a" * 50_000,
        "a" + MANY_SPACES,
    ],
)
def test_rows_of_spaces_do_not_keep_the_scanner_of_lines(row: str) -> None:
    assert KeyLines(f"x = 1\n{row}\ny = 2\n").line(("y",)) == 3


def test_lines_are_counted_as_toml_counts_them() -> None:
    """A mark that ends a line on a screen is a character like others in a comment."""
    text = instead("[site]", "# two\u2028halves\x85of one line\n[site]").replace('bore = "8 mm"', 'bore = "8 m"')
    number = text.split("\n").index(next(row for row in text.split("\n") if "8 m" in row and "bore" in row)) + 1
    assert f"site.toml:{number}: line.hose.bore" in refusal(lambda: loads(text, "site.toml"))


VARIED = {
    "20,000 digits": ("line.hose.length=" + "9" * 20_000, "needs a unit"),
    "20,000 digits and a unit": ("line.hose.length=" + "9" * 20_000 + "[m]", "write KEY="),
    "digits and colons": ("line.hose.length=" + "9:" * 20_000 + "x", "is not known here"),
    "spaces": ("line.hose.length=" + MANY_SPACES + "x", "write KEY="),
    "a unit of spaces": ("line.hose.length=3,4 [" + MANY_SPACES + "x", "write KEY="),
    "beyond a float": ("line.hose.length=1e999,1e998 [m]", "write KEY="),
    "a range beyond a float": ("line.hose.length=-1e308:1e308:3 [m]", "write KEY="),
    "a count of 5,000 digits": ("line.hose.length=3:4:" + "9" * 5000 + "[m]", "write KEY="),
}


@pytest.mark.parametrize("case", VARIED)
def test_values_to_vary_that_no_person_writes_are_refused(case: str) -> None:
    text, words = VARIED[case]
    assert words in refusal(lambda: axis(text))


@pytest.mark.parametrize("text", ["x" * 100_000, "hose.length [" + MANY_SPACES + "x", "hose.length [" + "m" * 100_000 + "]"])
def test_a_quantity_that_no_person_asks_for_is_refused(text: str) -> None:
    lines = read_lines().lines
    refusal(lambda: asked([text], lines, lines[0].line))


@pytest.mark.skipif(not Path("/dev/zero").exists(), reason="no such device on this system")
def test_a_device_that_never_ends_is_refused() -> None:
    assert f"holds more than {LONGEST_TEXT} bytes" in refusal(lambda: load("/dev/zero"))


def test_a_file_of_one_endless_line_is_refused_with_its_line(tmp_path: Path) -> None:
    file = tmp_path / "site.toml"
    file.write_text(BASE + "\n#" + " " * 10_000)
    line = len(BASE.split("\n")) + 1
    assert f"{file}:{line}: the line has 10001 characters; allowed: at most 4000" in refusal(lambda: read_text(str(file)))


def test_a_name_that_is_too_long_for_a_file_is_no_file() -> None:
    assert "cannot be read" in refusal(lambda: load("n" * 300 + ".toml"))
    assert "cannot be read" in refusal(lambda: load(("n" * 300 + os.sep) * 20 + "site.toml"))


def test_problems_are_told_one_by_one_up_to_a_number_and_counted_beyond() -> None:
    with pytest.raises(ScenarioError) as caught:
        loads("".join(f"k{i} = 1\n" for i in range(100)) + BASE)
    assert len(caught.value.problems) == MOST_TOLD + 1
    assert str(caught.value.problems[-1]) == "and 80 more problems"


@pytest.mark.parametrize("name", sorted(p.name for p in SCENARIOS.glob("*.toml")))
def test_what_people_write_is_far_from_every_bound(name: str) -> None:
    text = (SCENARIOS / name).read_text(encoding="utf-8")
    assert len(text) < LONGEST_TEXT / 100
