"""The interview as somebody at the tank, or a script with a file of answers, meets it."""

import json
import shlex
import signal
import subprocess
import tomllib
from pathlib import Path
from typing import Any

import pytest

from tests.command import cold, command, run

DIRECT = (
    "Northbeck Works, lane 3",
    "direct",
    "55 L/min",
    "2.5 bar(g)",
    "9 m",
    "6 mm",
    "10 bar(g)",
    "4 x 1.5 mm",
    "1.2 m",
    "50 mbar",
    "optical-oxygen",
    "30 s",
    "20 s",
    "80 s",
    "40 min",
)
BY_HAND = """
title = "Northbeck Works, lane 3"
[source]
kind = "direct"
flow = "55 L/min"
dead_head = "2.5 bar(g)"
[line]
name = "lane 3"
hose = { length = "9 m", bore = "6 mm", rated_pressure = "10 bar(g)" }
head = { holes = 4, hole_diameter = "1.5 mm", depth = "1.2 m", check_valve = "50 mbar" }
probe = { kind = "optical-oxygen", t90 = "30 s" }
schedule = { blast = "20 s", hold_off = "80 s", interval = "40 min" }
"""
RECEIVER = (
    "Mill, lane 1",
    "2",
    "24 L",
    "25 L/min",
    "6 bar(g)",
    "4.5 bar(g)",
    "kv 0.25",
    "25 ft",
    "outside 8 mm, wall 1 mm",
    "12 bar(g)",
    "4 of 1.5 mm",
    "1.2 m",
    "no",
    "6",
    "t63 15 s",
    "10 s",
    "90 s",
    "30 min",
)


def ask(file: Path, *answers: str, options: tuple[str, ...] = (), **env: str) -> subprocess.CompletedProcess[str]:
    return run("new", "--ask", str(file), *options, stdin="".join(f"{a}\n" for a in answers), **env)


def with_answer(at: str, *answers: str) -> tuple[str, ...]:
    """The answers of a direct line, with others where ``at`` stands."""
    i = DIRECT.index(at)
    return (*DIRECT[:i], *answers, *DIRECT[i + 1 :])


@pytest.fixture(scope="module")
def straight(tmp_path_factory: pytest.TempPathFactory) -> str:
    """What good answers write."""
    file = tmp_path_factory.mktemp("straight") / "site.toml"
    ask(file, *DIRECT)
    return file.read_text()


def written(file: Path) -> Any:
    return tomllib.loads(file.read_text(encoding="utf-8"))


def figures(*args: str, stdin: str = "") -> Any:
    data = json.loads(run("check", *args, "--json", stdin=stdin).stdout)
    for quantity in data["lines"][0]["quantities"].values():
        quantity.pop("origin", None)
    return data["lines"], data["findings"]


def test_good_answers_give_the_figures_of_a_scenario_written_by_hand(tmp_path: Path) -> None:
    file = tmp_path / "lane3.toml"
    done = ask(file, *DIRECT)
    assert done.returncode == 0
    assert done.stdout.startswith("PASS by calculation")
    assert "Northbeck Works, lane 3" in " ".join(done.stdout.splitlines()[:2])
    assert "9 m of 6 mm hose" in done.stdout
    assert f"wrote {file}" in done.stderr
    assert "USUAL (" not in file.read_text()
    assert figures(str(file)) == figures("-", stdin=BY_HAND)
    again = run("check", str(file))
    assert (again.returncode, again.stdout) == (0, done.stdout)


def test_a_line_that_must_be_fixed_is_written_and_says_so(tmp_path: Path) -> None:
    file = tmp_path / "thin.toml"
    done = ask(file, *with_answer("6 mm", "2 mm"))
    assert done.returncode == 0
    assert "FIX   Jet strength: " in done.stdout
    assert run("check", str(file)).returncode == 5


def test_where_no_air_can_leave_the_scenario_is_kept_and_the_code_is_4(tmp_path: Path) -> None:
    file = tmp_path / "deep.toml"
    done = ask(file, *with_answer("1.2 m", "60 m"))
    assert done.returncode == 4
    assert "no air leaves the head" in done.stderr
    assert written(file)["line"]["head"]["depth"] == "60 m"


BAD = (
    ("direct", "pump", 'is not one of "direct" or "receiver"'),
    ("55 L/min", "55", "has no unit"),
    ("55 L/min", "55 slpm", "no one state"),
    ("2.5 bar(g)", "2.5 bar", 'write "2.5 bar(g)" or "2.5 bar(a)"'),
    ("2.5 bar(g)", "2.5 bar", "A dial that reads 0 at rest shows gauge pressure"),
    ("2.5 bar(g)", "250 bar(g)", "at most 16 bar(g)"),
    ("9 m", "9,5 m", "has a comma in the number"),
    ("9 m", "9 bar(g)", "is a pressure"),
    ("6 mm", "0 mm", "at least 500 um"),
    ("6 mm", "outside 6 mm, wall 3 mm", "leaves no bore"),
    ("6 mm", "od 6 mm", "does not begin with a number"),
    ("4 x 1.5 mm", "four", 'is not understood. Number and diameter are wanted, e.g. "4 x 1.5 mm"'),
    ("4 x 1.5 mm", "0 x 1.5 mm", "allowed: at least 1 and at most 1000"),
    ("1.2 m", "-1 m", "out of range"),
    ("optical-oxygen", "optcal-oxygen", 'did you mean "optical-oxygen"'),
    ("optical-oxygen", "7", "is not a kind of probe"),
    ("40 min", "90 s", "do not fit in interval"),
    ("Northbeck Works, lane 3", "Works\x07", "Plain text"),
    ("Northbeck Works, lane 3", "x" * 201, "at most 200 characters"),
)
"""A good answer, a bad one, and what is said of it."""


def test_a_bad_answer_is_refused_with_what_is_allowed_and_asked_again(tmp_path: Path, straight: str) -> None:
    file = tmp_path / "site.toml"
    answers = [said for good in DIRECT for said in (*(bad for asked, bad, _ in BAD if asked == good), good)]
    done = ask(file, *answers)
    assert done.returncode == 0
    for _, bad, said in BAD:
        assert said in " ".join(done.stderr.split()), bad
    assert file.read_text() == straight


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ("", "Taken: 8 mm (reference installation; common practice, no source)"),
        ("?", "Taken: 8 mm (reference installation; common practice, no source)"),
        ("Don't know", "Taken: 8 mm (reference installation; common practice, no source)"),
    ],
)
def test_not_knowing_takes_the_usual_and_says_where_it_comes_from(tmp_path: Path, words: str, told: str) -> None:
    file = tmp_path / "site.toml"
    done = ask(file, *with_answer("6 mm", words))
    assert told in " ".join(done.stderr.split())
    assert "Usual answers stand for: bore." in done.stderr
    assert written(file)["line"]["hose"]["bore"] == "8 mm"
    line = next(row for row in file.read_text().splitlines() if row.startswith("bore"))
    assert "USUAL (reference installation; common practice, no source): inside diameter" in line


@pytest.mark.parametrize("kind", ["direct", "receiver"])
@pytest.mark.parametrize("word", ["", "don't know"])
def test_somebody_who_knows_nothing_still_gets_a_scenario(tmp_path: Path, kind: str, word: str) -> None:
    file = tmp_path / "site.toml"
    done = ask(file, word, kind, *[word] * 17)
    assert done.returncode == 0
    shown = run("check", str(file), "--detail")
    assert shown.returncode in (0, 5)
    line = written(file)["line"]
    # nobody has seen a rating or a data sheet, so none is written down; a valve nobody has seen is not there
    assert "rated_pressure" not in line["hose"]
    assert "t90" not in line["probe"]
    assert line["head"]["check_valve"] == ("none" if word else "30 mbar")
    assert "probe.t90 = 40 s [P] optical-oxygen in the catalogue" in shown.stdout


def test_the_response_time_offered_is_that_of_the_probe_chosen(tmp_path: Path) -> None:
    done = ask(tmp_path / "a.toml", *with_answer("30 s", ""), COLUMNS="200")
    assert "Taken: 40 s (catalogue, optical-oxygen: " in done.stderr
    other = ask(tmp_path / "b.toml", *with_answer("30 s", "")[:10], "turb", *with_answer("30 s", "")[11:], COLUMNS="200")
    offered = next(row for row in other.stderr.splitlines() if "catalogue, turbidity" in row)
    assert "Taken: 40 s" not in offered
    assert (
        "probe.t90 = " + offered.split("Taken: ")[1].split(" (")[0] in run("check", str(tmp_path / "b.toml"), "--detail").stdout
    )


def test_a_receiver_has_its_own_questions(tmp_path: Path) -> None:
    file = tmp_path / "mill.toml"
    done = ask(file, *RECEIVER)
    assert done.returncode == 0
    data = written(file)
    assert data["source"] == {
        "kind": "receiver",
        "volume": "24 L",
        "flow": "25 L/min",
        "cut_out": "6 bar(g)",
        "cut_in": "4.5 bar(g)",
    }
    line = data["line"]
    assert line["valve"] == {"kv": 0.25}
    assert line["hose"] == {"length": "25 ft", "outside_diameter": "8 mm", "wall": "1 mm", "rated_pressure": "12 bar(g)"}
    assert line["head"] == {"holes": 4, "hole_diameter": "1.5 mm", "depth": "1.2 m", "check_valve": "none"}
    assert line["probe"] == {"kind": "turbidity", "t63": "15 s"}
    assert "24 L receiver" in done.stdout


def test_cut_in_is_judged_against_the_cut_out_just_given(tmp_path: Path) -> None:
    file = tmp_path / "mill.toml"
    low = [a.replace("6 bar(g)", "3 bar(g)") for a in RECEIVER]
    done = ask(file, *[b for a in low for b in (("", "4.5 bar(a)", "2 bar(g)") if a == "4.5 bar(g)" else (a,))])
    assert done.returncode == 0
    assert 'cut in "4.5 bar(g)" must be below cut out "3 bar(g)"' in done.stderr
    assert "all as gauge or all as absolute" in done.stderr
    assert (written(file)["source"]["cut_out"], written(file)["source"]["cut_in"]) == ("3 bar(g)", "2 bar(g)")


def test_us_units_as_printed_on_the_plate(tmp_path: Path) -> None:
    file = tmp_path / "us.toml"
    us = (
        "Site, lane 1",
        "",
        "2.1 scfm",
        "43.5 psig",
        "25 ft",
        "5/16 in",
        "150 psig",
        "4x1/16 in",
        "4 ft",
        "1 psi",
        "",
        "40 s",
        "",
        "",
        "",
    )
    done = ask(file, *us, options=("--units", "us"))
    assert done.returncode == 0
    assert "25 ft of 5/16 in hose, 4 x 1/16 in head at 4 ft" in done.stdout
    assert "mbar" not in done.stdout.split("Assumed")[0]
    assert "usual (" not in done.stderr
    assert written(file)["line"]["hose"] == {"length": "25 ft", "bore": "5/16 in", "rated_pressure": "150 psig"}


def test_displacement_is_taken_for_what_it_is(tmp_path: Path) -> None:
    file = tmp_path / "site.toml"
    done = ask(file, *with_answer("55 L/min", "displacement 100 L/min"))
    assert written(file)["source"]["displacement"] == "100 L/min"
    assert "Small pistons deliver half to three quarters" in done.stderr
    assert "Flow basis: " in done.stdout


@pytest.mark.parametrize(
    ("good", "given", "remark"),
    [
        ("9 m", "18 m", "at most 7.62 m is usual"),
        ("20 s", "2 min", "5 s to 60 s is usual"),
        ("80 s", "20 s", "at least 60 s is usual"),
        ("40 min", "4 h", "is usual (common practice, no source, 30 min"),
        ("30 s", "10 min", "for this kind 20 s to 160 s is usual"),
    ],
)
def test_an_answer_outside_common_practice_is_taken_with_a_remark(tmp_path: Path, good: str, given: str, remark: str) -> None:
    usual = with_answer("9 m", "7 m")
    i = 4 if good == "9 m" else usual.index(good)
    assert "is usual (" not in " ".join(ask(tmp_path / "usual.toml", *usual).stderr.split())
    done = ask(tmp_path / "site.toml", *usual[:i], given, *usual[i + 1 :])
    assert done.returncode == 0
    assert remark in " ".join(done.stderr.split())


def test_back_asks_the_question_before_again(tmp_path: Path) -> None:
    file = tmp_path / "site.toml"
    ask(file, *with_answer("1.2 m", "back", "6 x 2 mm", "1.2 m"))
    assert (written(file)["line"]["head"]["holes"], written(file)["line"]["head"]["hole_diameter"]) == (6, "2 mm")


@pytest.mark.parametrize("count", [0, 1, 7, 14])
def test_answers_that_end_early_write_nothing(tmp_path: Path, count: int) -> None:
    done = ask(tmp_path / "site.toml", *DIRECT[:count])
    assert (done.returncode, done.stdout) == (2, "")
    assert "the answers ended at the question" in done.stderr
    assert "nothing was written" in done.stderr
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("answer", ["nonsense, of a kind", "back"])
def test_answers_that_never_fit_come_to_an_end(tmp_path: Path, answer: str) -> None:
    line = f"yes '{answer}' | {shlex.join(command('new', '--ask', 'site.toml'))}"
    done = subprocess.run(["bash", "-c", line], capture_output=True, text=True, timeout=300, check=False, cwd=tmp_path)
    assert done.returncode == 2
    assert "answers were refused; nothing was written" in done.stderr
    assert list(tmp_path.iterdir()) == []


def test_answers_that_are_no_text_are_an_error_in_words(tmp_path: Path) -> None:
    call = ("new", "--ask", "site.toml")
    for done in (
        run(*call, stdin=b"\xff\xfe\n", cwd=tmp_path, PYTHONIOENCODING="utf-8:strict"),
        cold(*call, stdin=b"\xff\xfe\n", cwd=tmp_path, PYTHONIOENCODING="utf-8:strict", PYTHONUTF8="1"),
    ):
        assert done.returncode == 2
        assert "not UTF-8 text" in done.stderr
        assert "Traceback" not in done.stderr


def test_an_existing_file_is_refused_before_the_first_question(tmp_path: Path) -> None:
    file = tmp_path / "site.toml"
    file.write_text("kept")
    done = ask(file, *DIRECT)
    assert (done.returncode, done.stdout) == (2, "")
    assert "exists; choose another name, or add --force" in done.stderr
    assert "1/15" not in done.stderr
    assert file.read_text() == "kept"
    assert ask(file, *DIRECT, options=("--force",)).returncode == 0
    assert written(file)["title"] == "Northbeck Works, lane 3"
    assert ask(tmp_path / "no" / "site.toml", *DIRECT).returncode == 2


def test_without_a_name_it_is_asked_for_last_and_one_that_is_taken_is_refused(tmp_path: Path) -> None:
    (tmp_path / "taken.toml").write_text("kept")
    for last, made in ((("taken.toml", "lane three"), "lane three.toml"), (("",), "northbeck-works-lane-3.toml")):
        done = run("new", "--ask", stdin="".join(f"{a}\n" for a in (*DIRECT, *last)), cwd=tmp_path)
        assert done.returncode == 0, done.stderr
        assert written(tmp_path / made)["line"]["name"] == "lane 3"
    assert (tmp_path / "taken.toml").read_text() == "kept"


def test_a_dash_sends_the_scenario_down_a_pipe() -> None:
    done = run("new", "--ask", "-", stdin="".join(f"{a}\n" for a in DIRECT))
    assert done.returncode == 0
    assert tomllib.loads(done.stdout)["line"]["hose"]["length"] == "9 m"
    assert run("check", "-", stdin=done.stdout).returncode == 0


def test_ctrl_c_leaves_with_130_and_nothing_written(tmp_path: Path) -> None:
    with subprocess.Popen(
        command("new", "--ask", "site.toml"), stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE, cwd=tmp_path
    ) as process:
        assert process.stdin
        assert process.stderr
        process.stdin.write(b"Somewhere, lane 1\n")
        process.stdin.flush()
        heard = b""
        while b"[direct]" not in heard:
            heard += process.stderr.read(1)
        process.send_signal(signal.SIGINT)
        assert process.wait(timeout=300) == 130
        rest = process.stderr.read()
    assert b"nothing was written" in rest
    assert b"Traceback" not in rest
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("width", ["60", "80"])
def test_the_dialogue_is_plain_and_no_wider_than_the_screen(tmp_path: Path, width: str) -> None:
    bad = ("nothing", "3 bar", "")
    done = ask(tmp_path / "site.toml", *with_answer("2.5 bar(g)", *bad), COLUMNS=width, NO_COLOR="1")
    assert done.returncode == 0
    assert done.stderr.isascii()
    assert "\x1b" not in done.stderr + done.stdout
    spoken = [row for row in done.stderr.splitlines() if str(tmp_path) not in row]
    assert max(len(row) for row in (*spoken, *done.stdout.splitlines())) <= int(width)


def test_names_in_any_script_and_with_quotes_survive(tmp_path: Path) -> None:
    file = tmp_path / "site.toml"
    name = 'K\u00e4ll\\\u00e5 "Works" {title} \u6c34, "lane" 1'
    assert ask(file, name, *DIRECT[1:]).returncode == 0
    assert (written(file)["title"], written(file)["line"]["name"]) == (name, '"lane" 1')


def test_the_wall_may_be_told_with_the_holes_and_need_not_be(tmp_path: Path) -> None:
    file = tmp_path / "site.toml"
    ask(file, *with_answer("1.2 m", "back", "6 x 2 mm in 3 mm", "1.2 m"))
    head = written(file)["line"]["head"]
    assert (head["holes"], head["hole_diameter"], head["wall"]) == (6, "2 mm", "3 mm")
    inches = tmp_path / "inches.toml"
    ask(inches, *with_answer("1.2 m", "back", "4 x 1/16 in", "1.2 m"))
    assert "wall" not in written(inches)["line"]["head"]
