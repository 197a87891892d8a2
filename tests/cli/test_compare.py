"""Two scenarios side by side, for change control."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from purgecalc.scenario.read import load
from purgecalc.studies.checked import Checked
from purgecalc.studies.compare import compare
from tests.command import run
from tests.lines import SCENARIOS

FERN, TANSY = str(SCENARIOS / "fernwhistle.toml"), str(SCENARIOS / "long-tansy.toml")


def changed(tmp_path: Path, *replaced: tuple[str, str], site: str = FERN) -> str:
    text = Path(site).read_text("utf-8")
    for old, new in replaced:
        assert old in text
        text = text.replace(old, new)
    file = tmp_path / "b.toml"
    file.write_text(text, "utf-8")
    return str(file)


def test_a_wider_hose_is_said_to_be_better_and_why(tmp_path: Path) -> None:
    done = run("compare", TANSY, changed(tmp_path, ('bore = "4 mm"', 'bore = "6.3 mm"'), site=TANSY))
    rows = done.stdout.splitlines()
    assert rows[0] == rows[-1]
    assert rows[0].startswith("BETTER: FIX")
    assert any(row.split() == ["hose.bore", "4", "mm", "6.3", "mm"] for row in rows)
    assert "Inputs that differ (1)" in done.stdout
    assert "FIX jet-strength, FIX source-rating" in " ".join(done.stdout.split())
    assert done.returncode == 0


def test_the_same_file_is_the_same() -> None:
    done = run("compare", FERN, FERN)
    assert done.stdout.startswith("SAME: PASS by calculation both times")
    assert "Inputs that differ: none" in done.stdout
    assert "Figures that moved: none" in done.stdout


def test_another_way_to_write_a_figure_is_no_difference(tmp_path: Path) -> None:
    found = compare(Checked.of(load(FERN)), Checked.of(load(changed(tmp_path, ('"30 min"', '"0.5 h"')))))
    assert found.inputs == ()


def test_limits_and_waivers_that_differ_are_told(tmp_path: Path) -> None:
    with_rules = '[limits]\nhose-length = "5 m"\n\n[waive]\nhose-length = "route fixed"\n'
    file = tmp_path / "c.toml"
    file.write_text(Path(FERN).read_text("utf-8") + "\n" + with_rules, "utf-8")
    found = compare(Checked.of(load(FERN)), Checked.of(load(str(file))))
    assert [(d.what, d.a, d.b) for d in found.rules] == [
        ("limits.hose-length", "none", "5 m"),
        ("waive.hose-length", "none", "route fixed"),
    ]


def test_a_finding_that_comes_makes_it_worse_and_the_other_way_better(tmp_path: Path) -> None:
    short = changed(tmp_path, ('hold_off = "90 s"', 'hold_off = "40 s"'))
    one, two = Checked.of(load(FERN)), Checked.of(load(short))
    there, back = compare(one, two), compare(two, one)
    assert there.word == "WORSE"
    assert back.word == "BETTER"
    assert {f.rule.id for f in there.new} == {f.rule.id for f in back.gone} >= {"hold-off"}
    assert there.stay == back.stay == ()


def test_lines_go_together_by_name_and_others_are_named(tmp_path: Path) -> None:
    text = Path(FERN).read_text("utf-8")
    file = tmp_path / "two.toml"
    at = text.index("[line]")
    line = text[at:].replace("[line]", "[[line]]", 1).split("\n[")[0]
    second = line.replace('name = "lane 2 oxygen"', 'name = "lane 3 oxygen"')
    file.write_text(text[:at] + line + "\n" + second + "\n" + "\n".join(f"[{t}" for t in text[at:].split("\n[")[1:]), "utf-8")
    found = compare(Checked.of(load(FERN)), Checked.of(load(str(file))))
    assert found.lines == (("lane 2 oxygen", "lane 2 oxygen"),)
    assert found.alone == ("lane 3 oxygen only in B",)


def test_programs_get_the_same(tmp_path: Path) -> None:
    file = changed(tmp_path, ('length = "6 m"', 'length = "18 m"'))
    data = json.loads(run("compare", FERN, file, "--json").stdout)
    assert data["comparison"] == "WORSE"
    assert data["inputs"] == [{"what": "hose.length", "a": "6 m", "b": "18 m"}]
    assert data["findings"]["new"] == [{"rule": "hose-length", "level": "WATCH", "line": "lane 2 oxygen"}]
    assert {"line": "lane 2 oxygen", "figure": "Hose length", "a": "6 m", "b": "18 m"} in data["figures"]


@pytest.mark.parametrize("width", [40, 60, 80, 120])
def test_no_row_is_wider_than_the_screen(width: int) -> None:
    done = run("compare", FERN, str(SCENARIOS / "quillstone.toml"), COLUMNS=str(width))
    assert all(len(row) <= width for row in done.stdout.splitlines() if "/" not in row), "a path is never broken"


def test_what_settings_move_is_told_beside_the_screen() -> None:
    rows = run("check", FERN, "--set", "line.hose.length=18 m").stdout.splitlines()
    assert "Changed: hose.length 6 m -> 18 m" in rows
    assert any(row.startswith("Moved: jet thrust ratio 1.01 -> 0.97") for row in rows)
    assert "Findings gone: none; new: WATCH hose-length" in rows
    assert len(rows) <= 22


def test_a_file_that_is_refused_names_itself(tmp_path: Path) -> None:
    bad = changed(tmp_path, ('bore = "8 mm"', 'bore = "8"'))
    done = run("compare", FERN, bad)
    assert done.returncode == 3
    assert "b.toml" in done.stderr
    assert run("compare", "-", "-").returncode == 2
