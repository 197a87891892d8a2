"""Following a blast: the terminal chart at every width and in ASCII, the table, the pictures."""

import csv
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest

from tests.cli.test_commands import S1
from tests.command import run
from tests.lines import BASE


@pytest.mark.parametrize("width", ["60", "80", "120"])
def test_terminal_chart_fits_the_width_and_marks_delivery(width: str) -> None:
    done = run("trace", S1, COLUMNS=width, PYTHONIOENCODING="utf-8")
    assert done.returncode == 0
    assert max(len(line) for line in done.stdout.splitlines()) <= int(width)
    assert "delivered (90 % of the highest flow)" in done.stdout
    assert any("\u2800" < c < "\u28ff" for c in done.stdout)


def test_terminal_chart_falls_back_to_ascii() -> None:
    done = run("trace", S1, PYTHONIOENCODING="ascii", PYTHONUTF8="0")
    assert done.stdout.isascii()
    assert done.stdout.count("*") > 100


def test_table_has_units_and_a_history_that_makes_sense(tmp_path: Path) -> None:
    file = tmp_path / "trace.csv"
    assert run("trace", S1, "-o", str(file), "--set", "line.hose.length=7.6 m").returncode == 0
    rows = list(csv.reader(file.read_text().splitlines()))
    assert rows[0][0] == "t [s]"
    assert all("[" in name for name in rows[0])
    table = [[float(v) for v in row] for row in rows[1:]]
    times = [row[0] for row in table]
    assert times == sorted(times)
    assert times[-1] > 30
    steady = min(table, key=lambda row: abs(row[0] - 25))
    assert steady[1] == pytest.approx(31900, rel=0.01)  # the steady solve's source pressure
    assert steady[5] == pytest.approx(1.086e-3, rel=0.01)


def test_pictures_are_pictures_and_repeat_to_the_byte(tmp_path: Path) -> None:
    for name in ("a.svg", "b.svg", "c.png"):
        assert run("trace", S1, "-o", str(tmp_path / name)).returncode == 0
    svg = (tmp_path / "a.svg").read_bytes()
    assert svg == (tmp_path / "b.svg").read_bytes()
    assert ET.fromstring(svg).tag.endswith("svg")
    assert b"Blast trace" in svg
    assert (tmp_path / "c.png").read_bytes().startswith(b"\x89PNG")


def test_never_overwrites_and_refuses_other_forms(tmp_path: Path) -> None:
    file = tmp_path / "trace.csv"
    file.write_text("kept")
    assert run("trace", S1, "-o", str(file), "--set", "line.hose.length=7.6 m").returncode == 2
    assert file.read_text() == "kept"
    assert "trace writes" in run("trace", S1, "-o", "x.pdf").stderr


def test_water_in_the_hose_is_shown() -> None:
    done = run("trace", S1, "--set", "line.head.check_valve=none", "--set", "line.head.depth=3 m")
    assert "Water in the hose" in done.stdout


@pytest.mark.parametrize("name", [r"$\foo$", "$x_{1", "<script>&", "\u6c34 tank"])
def test_a_name_is_drawn_as_it_is_written(name: str, tmp_path: Path) -> None:
    done = run("trace", S1, "--set", f"line.name={name}", "-o", str(tmp_path / "trace.svg"))
    assert (done.returncode, done.stderr) == (0, f"wrote {tmp_path / 'trace.svg'}\n")
    ET.fromstring((tmp_path / "trace.svg").read_bytes())


def test_which_of_several_lines_it_is_is_said_where_none_was_named(tmp_path: Path) -> None:
    line = BASE[BASE.index("[line]") :].replace("[line]", "[[line]]", 1)
    file = tmp_path / "two.toml"
    file.write_text(f"{BASE[: BASE.index('[line]')]}{line}\n{line.replace('lane 2', 'lane 3')}", encoding="utf-8")
    said = "line 'lane 2 oxygen'; for another say --line: 'lane 3 oxygen'\n"
    assert run("explain", str(file), "hose.pressure_drop").stderr == said
    assert run("explain", str(file), "hose.pressure_drop", "--line", "lane 2 oxygen").stderr == ""
    assert run("explain", S1, "hose.pressure_drop").stderr == ""
