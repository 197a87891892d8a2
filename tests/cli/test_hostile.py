"""A scenario that came by mail: nothing in it steers the terminal, hides a line or breaks a file. Data stay what they are."""

import json
import re
import tomllib
from pathlib import Path
from xml.etree import ElementTree

import pytest

from tests.command import run
from tests.lines import BASE, SCENARIOS

S2 = str(SCENARIOS / "long-tansy.toml")
CONTROL = {
    "clear": r"\u001b[2J\u001b[H",
    "title": r"\u001b]0;PASS\u0007",
    "link": r"\u001b]8;;http://example.invalid\u001b\\\\",
    "return": r"STOP\rPASS",
    "bell": r"\u0007\b",
    "one byte": r"\u009b2J",
    "line": r"one\ntwo",
    "separator": r"one\u2028two",
}
TURNING = r"Works \u202egnitsurT\u202c \u2066a\u2069 \u200b\ufeff"


def acts(text: str) -> list[str]:
    """Signs in ``text`` that a terminal obeys or hides."""
    return [c for c in text if c != "\n" and not c.isprintable()]


def titled(title: str, name: str = "lane 2 oxygen", waived: str = "agreed") -> str:
    text = BASE.replace('title = "Fernwhistle Works, lane 2"', f'title = "{title}"').replace('"lane 2 oxygen"', f'"{name}"')
    return f'{text}\n[waive]\n"hose-length" = "{waived}"\n'


@pytest.mark.parametrize("words", CONTROL.values(), ids=CONTROL)
def test_names_with_control_characters_are_refused_and_do_not_act_in_the_refusal(words: str) -> None:
    done = run("check", "-", stdin=titled(words, words))
    assert (done.returncode, done.stdout) == (3, "")
    assert done.stderr.count("the text holds control characters or ends of line (U+") == 2
    assert acts(done.stderr) == []
    data = json.loads(run("check", "-", "--json", stdin=titled(words, words)).stdout)
    assert [p["key"] for p in data["problems"]] == ["title", "line.name"]


def test_a_reason_may_have_lines_but_no_control_characters() -> None:
    assert run("check", "-", stdin=titled("a", waived=r"one\n\ttwo")).returncode == 0
    done = run("check", "-", stdin=titled("a", waived=CONTROL["clear"]))
    assert done.returncode == 3
    assert "waive.hose-length: the text holds control characters (U+001B)" in done.stderr
    assert acts(done.stderr) == []


COMMANDS = {
    "check": ("check", "-", "--detail", "--fail-on", "never"),
    "explain": ("explain", "-", "hose.pressure_drop", "--all"),
    "no such line": ("explain", "-", "--line", "\x1b[2J"),
    "trace": ("trace", "-"),
    "sweep": ("sweep", "-", "--vary", "line.hose.length=3,9[m]", "--blast", "estimate"),
    "note": ("note", "-", "--card"),
}


@pytest.mark.parametrize("colour", [{}, {"FORCE_COLOR": "1", "TERM": "xterm-256color"}], ids=["plain", "painted"])
@pytest.mark.parametrize("words", COMMANDS.values(), ids=COMMANDS)
def test_marks_that_turn_or_hide_are_seen_on_every_screen(words: tuple[str, ...], colour: dict[str, str]) -> None:
    done = run(*words, stdin=titled(TURNING, TURNING, TURNING), **colour)
    assert done.returncode in (0, 2)
    text = done.stdout + done.stderr
    text = re.sub(r"\x1b\[(0|1|2|36|1;7|1;38;5;\d+)m", "", text)  # our own paint
    assert acts(text) == []
    if words[0] == "check":
        assert r"\u202egnitsurT\u202c" in text


def test_json_and_tables_keep_their_exact_data(tmp_path: Path) -> None:
    text = titled(TURNING)
    data = json.loads(run("check", "-", "--json", stdin=text).stdout)
    assert data["scenario"] == tomllib.loads(text)["title"]
    name = 'x\u202e\u200b"",y'
    table = f'name,line.hose.length [m]\n"{name}",7.6\n'
    assert f'"{name}",7.6,' in run("batch", "-", "-o", "-", stdin=table).stdout


REFUSED = {
    "a word of the scenario": ("check", "-", BASE.replace('kind = "direct"', r'kind = "\u001b[2J\nsite.toml: PASS"')),
    "a key": ("check", "-", BASE + '"\\u001b]0;PASS\\u0007" = 1\n'),
    "not TOML": ("check", "-", "title = '\x1b[2J'\n"),
    "not TOML, further on": ("check", "-", "a = '\u202e\u2066' 'x\x07'\n"),
    "a head of a table": ("batch", "-", "-o", "-", "\x1b[2J,line.hose.length [m]\n"),
    "a cell of a table": ("batch", "-", "-o", "out.csv", "line.hose.length [m]\n\x1b[2J\n"),
    "a word of a table": ("batch", "-", "-o", "out.csv", "line.probe.kind\n\x1b]0;PASS\x07\n"),
    "a setting": ("check", "-", "--set", "line.hose.bore=\x1b[2J 6 mm", BASE),
    "a setting of no value": ("check", "-", "--set", "\x1b[2J\x07=1", BASE),
    "an option": ("check", "-", "--\x1b[2J", BASE),
    "a command": ("\x1b[2J", ""),
    "a quantity": ("explain", "-", "hose.\x1b[2J", BASE),
    "what is varied": ("sweep", "-", "--vary", "\x1b[2J=1", BASE),
    "a file": ("check", "\x1b[2J.toml", ""),
    "an output": ("check", "-", "-o", "\x1b[2J.xyz", BASE),
    "readings": ("note", "-", "--with", "\x1b]0;PASS\x07.toml", BASE),
    "what is free": ("size", "-", "--free", "\x1b[2J", BASE),
}


def is_quoted_in_peace(call: tuple[str, ...], folder: Path, encoding: str) -> None:
    done = run(*call[:-1], stdin=call[-1], cwd=folder, PYTHONIOENCODING=encoding)
    assert done.returncode in (2, 3)
    assert done.stderr.strip()
    assert acts(done.stderr + (done.stdout if "batch" not in call else "")) == []
    assert not [line for line in done.stderr.splitlines() if line.startswith("site.toml: PASS")]


@pytest.mark.parametrize("call", REFUSED.values(), ids=REFUSED)
def test_what_a_refusal_quotes_does_not_act(call: tuple[str, ...], tmp_path: Path) -> None:
    is_quoted_in_peace(call, tmp_path, "utf-8")


@pytest.mark.parametrize("encoding", ["ascii", "cp1252"])
@pytest.mark.parametrize("what", ["a key", "an option", "a command"])
def test_nor_where_the_encoding_has_few_letters(what: str, encoding: str, tmp_path: Path) -> None:
    is_quoted_in_peace(REFUSED[what], tmp_path, encoding)


def test_answers_to_the_interview_do_not_act(tmp_path: Path) -> None:
    done = run("new", "--ask", "a.toml", stdin="\x1b[2J\n\x07\n", cwd=tmp_path)
    assert done.returncode == 2
    assert acts(done.stderr) == []


def test_a_table_on_a_terminal_does_not_act_either() -> None:
    from purgecalc.cli.batch import _answers
    from purgecalc.cli.streams import Screen

    class Terminal:
        def __init__(self, is_one: bool) -> None:
            self.is_one, self.got = is_one, ""

        def isatty(self) -> bool:
            return self.is_one

        def write(self, text: str) -> int:
            self.got += text
            return len(text)

    for is_one, wanted in ((True, "\\x1b[2J"), (False, "\x1b[2J")):
        below = Terminal(is_one)
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr("sys.stdout", Screen(below))
            with _answers("-", False, []) as out:
                out.write("\x1b[2J")
        assert below.got == wanted


@pytest.mark.parametrize("form", ["html", "pdf", "md"])
def test_notes_are_made_of_any_name_that_is_accepted(form: str, tmp_path: Path) -> None:
    scenario = tmp_path / "site.toml"
    scenario.write_text(titled(TURNING, TURNING, TURNING), encoding="utf-8")
    assert run("note", str(scenario), "-o", f"note.{form}", cwd=tmp_path).returncode == 0
    if form != "pdf":
        text = (tmp_path / f"note.{form}").read_text(encoding="utf-8")
        shown = re.sub('data-head="[^"]*"', "", text)  # what the form of readings is to hold: data, and not shown
        assert set(acts(shown)) <= {"\u200b", "\u00a0"}


@pytest.mark.parametrize("command", [("trace",), ("sweep", "--vary", "line.hose.length=3,9[m]", "--blast", "estimate")])
def test_charts_are_drawn_of_any_name_and_can_be_read(command: tuple[str, ...], tmp_path: Path) -> None:
    words = (command[0], "-", *command[1:], "-o", "chart.svg")
    assert run(*words, stdin=titled(TURNING, TURNING), cwd=tmp_path).returncode == 0
    text = (tmp_path / "chart.svg").read_text(encoding="utf-8")
    ElementTree.fromstring(text)
    assert acts(text) == []
    assert r"\u202e" in text


def test_what_breaks_a_file_of_marks_is_seen_in_a_chart() -> None:
    from purgecalc.reports.charts import blank, image

    figure = blank((3, 2), laid_out=False)
    axes = figure.subplots()
    axes.set_title("a\x1bb\x07\ufffe")
    axes.plot([0, 1], label="\x00\x0c")
    axes.legend()
    svg = image(figure, "svg", "c\x1b\x0b")
    ElementTree.fromstring(svg)
    for shown in (rb"a\x1bb\x07\ufffe", rb"\x00\x0c", rb"c\x1b\x0b"):
        assert shown in svg
