"""Truth table, checklist, pointers and dates as they stand on the screen."""

import json
from pathlib import Path

import pytest

from purgecalc.reports.as_json import result
from purgecalc.reports.note import commissioning_note, status
from purgecalc.scenario.facts import FACTS
from tests.command import run
from tests.commissioned import of_line, of_site
from tests.lines import SCENARIOS

FULL, WRONG = str(SCENARIOS / "tarnbeck.toml"), str(SCENARIOS / "quillstone.toml")


def test_open_questions_are_counted_beside_the_verdict_and_do_not_spoil_it() -> None:
    done = run("check", FULL, "--detail")
    assert done.returncode == 0
    assert done.stdout.splitlines()[-1] == "PASS by calculation, 2 site questions open (2 stop)"
    after = done.stdout.split("Answer on site before commissioning")[1]
    asked = after.split("\n\n")[0]
    assert "guard rail" in asked
    assert "highest pressure been proved" in asked
    assert asked.count("  - ") == 2
    assert json.loads(run("check", FULL, "--json").stdout)["site_questions"] == {
        "open": 2,
        "stop": 2,
        "ids": ["relief_proved", "guard_rail"],
    }


def test_where_the_scenario_answers_none_they_are_counted_and_listed_with_detail() -> None:
    assert "16 site questions open (4 stop)" in run("check", WRONG, COLUMNS="100").stdout.splitlines()[-1]
    assert "Answer on site" not in run("check", WRONG).stdout
    asked = run("check", WRONG, "--detail").stdout.split("Answer on site before commissioning\n")[1].split("\n\n")[0]
    assert asked.count("  - ") == 16


@pytest.mark.parametrize(
    ("answers", "words"),
    [
        ((), "16 site questions open (4 stop)"),
        (("guard_rail", "relief_proved", "zone_known", "rescue_plan"), "12 site questions open"),
        (tuple(f.id for f in FACTS if f.id != "zone_known"), "1 site question open (1 stop)"),
        (tuple(f.id for f in FACTS), ""),
    ],
)
def test_screen_note_and_json_count_the_open_questions_alike(answers: tuple[str, ...], words: str) -> None:
    settings = [f"site_facts.{id}=yes" for id in answers]
    c = of_site("fernwhistle.toml", *settings)
    assert c.checked.site_questions.words == words
    assert c.checked.verdict == "PASS"
    assert status(c)[0] == (f"DRAFT: {words}" if words else "PASS")
    first = run("check", str(SCENARIOS / "fernwhistle.toml"), *(p for s in settings for p in ("--set", s)), COLUMNS="120").stdout
    assert first.splitlines()[-1] == f"PASS by calculation{', ' if words else ''}{words}"
    told = result(c.checked)["site_questions"]
    assert told["open"] == len(told["ids"]) == len(FACTS) - len(answers)
    assert set(told["ids"]) == {f.id for f in FACTS} - set(answers)


def test_a_stop_blocks() -> None:
    done = run("check", FULL, "--set", "site_facts.guard_rail=no")
    assert done.returncode == 5
    assert "do not commission" in done.stdout


@pytest.mark.parametrize("columns", ["60", "80", "100"])
def test_the_truth_table_fits_and_marks_the_wiring(columns: str) -> None:
    text = run("check", WRONG, "--detail", COLUMNS=columns).stdout
    table = text.split("Does air flow?")[1]
    assert "NC, coil off *" in table
    assert all(len(line) <= int(columns) for line in table.splitlines())
    lost = [line.split()[3:] for line in table.splitlines() if line.strip().startswith("control power lost")]
    assert [cell for row in lost for cell in row] == ["no", "no", "runs", "runs"]


def test_pointers_are_named_for_the_regime_and_nothing_is_concluded() -> None:
    tank = str(SCENARIOS / "trivet-mill.toml")
    text = run("check", tank, "--set", "pressure.regime=US", "--detail").stdout
    assert "Regulations to check (not legal advice)" in text
    assert "1910.169" in text
    assert "Regulations to check" not in run("check", str(SCENARIOS / "fernwhistle.toml"), "--detail").stdout


def test_water_that_runs_back_is_said_to_be_left_out_where_there_is_some() -> None:
    said = "How water runs back into the hose after a blast is not worked out"
    words = " ".join(run("check", str(SCENARIOS / "pellwick.toml"), "--detail").stdout.split())
    assert f"{said}: the hose is taken to be full" in words
    assert "as far as the head is below it (8 m)" in words
    assert said not in " ".join(run("check", str(SCENARIOS / "fernwhistle.toml"), "--detail").stdout.split())
    flooded, dry = (of_line("line.head.check_valve=none"), of_line())
    assert [any(said in str(block) for block in commissioning_note(c).blocks) for c in (flooded, dry)] == [True, False]


def test_upkeep_dates_stand_with_detail() -> None:
    text = run("check", FULL, "--detail").stdout
    assert "2026-06-02  clean or change the intake filter" in text


def test_ph_is_not_written_with_a_capital() -> None:
    text = run("check", str(SCENARIOS / "icklefrost.toml"), "--set", "line.probe.kind=pH", "--detail").stdout
    assert "\npH: A mild jet" in text


def test_a_hose_whose_rating_nobody_has_stated_is_asked_for(tmp_path: Path) -> None:
    site = str(SCENARIOS / "fernwhistle.toml")
    asked = "Hose rating: the source can reach 2.98 bar(g); nobody has stated"
    assert asked not in run("check", site).stdout
    bare = (SCENARIOS / "fernwhistle.toml").read_text(encoding="utf-8").replace(', rated_pressure = "10 bar(g)"', "")
    assert "rated_pressure" not in bare.split("[line]")[1].split("head")[0]
    file = tmp_path / "bare.toml"
    file.write_text(bare, encoding="utf-8")
    said = " ".join(run("check", str(file)).stdout.split())
    assert f"WATCH {asked} hose.rated_pressure" in said
    assert "-> State hose.rated_pressure." in said
