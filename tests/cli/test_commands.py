"""The command line as a stranger meets it: streams, exit codes, pipes, widths, bad calls."""

import json
import re
import shlex
import subprocess
import sys
from pathlib import Path

import pytest

from tests.command import command, run
from tests.lines import BASE, SCENARIOS

S1 = str(SCENARIOS / "fernwhistle.toml")
S2 = str(SCENARIOS / "long-tansy.toml")


def test_check_passes_and_says_so() -> None:
    done = run("check", S1)
    assert done.returncode == 0
    first, *_, last = done.stdout.splitlines()
    assert last == "PASS by calculation, 16 site questions open (4 stop)"
    assert first.startswith(last)
    for words in ("Hose pressure drop", "Delivery time", "Air per blast", "Duty", "Hold-off", "Vent to zero first", "Assumed"):
        assert words in done.stdout
    assert done.stderr == ""


def test_detail_begins_with_the_first_screen_and_ends_with_the_verdict() -> None:
    short, long = (run("check", S2, *words).stdout.splitlines() for words in ((), ("--detail",)))
    assert long[: len(short) - 1] == short[:-1]
    assert long[-1] == short[-1]
    assert "Cautions" in long


def test_check_ends_with_5_where_something_must_be_fixed() -> None:
    assert run("check", S2).returncode == 5
    assert run("check", S2, "--fail-on", "STOP").returncode == 0
    assert run("check", S2, "--fail-on", "never").returncode == 0
    assert run("check", S1, "--fail-on", "NOTE").returncode == 0


@pytest.mark.parametrize(
    ("args", "code"),
    [
        (("check", "no-such-file.toml"), 3),
        (("check", S1, "--set", "line.head.depth=60 m"), 4),
        (("check", S1, "--no-such-option"), 2),
        (("chekc", S1), 2),
        (("explain", S1, "hose.presure_drop"), 2),
        (("check", S1, "-o", "result.xyz"), 2),
        (("check", S1, "--units", "metric"), 2),
    ],
)
def test_what_goes_wrong_has_its_own_code_and_no_traceback(args: tuple[str, ...], code: int) -> None:
    done = run(*args)
    assert done.returncode == code
    assert done.stdout == ""
    assert done.stderr.strip()
    assert "Traceback" not in done.stderr


def test_a_source_too_weak_is_told_what_it_could_do() -> None:
    done = run("check", S1, "--set", "line.head.depth=60 m")
    assert "no air leaves the head" in done.stderr
    assert "could just bubble at 30" in done.stderr


def test_json_is_alone_on_stdout_and_holds_the_promised_ids() -> None:
    done = run("check", S1, "--json")
    data = json.loads(done.stdout)
    assert done.stderr == ""
    assert (data["schema"], data["verdict"]) == (2, "PASS")
    quantities = data["lines"][0]["quantities"]
    promised = """site.pressure water.back_pressure source.pressure source.flow_anr line.mass_flow line.flow_anr
        hose.reynolds hose.friction_factor hose.pressure_drop hose.inlet_pressure hose.outlet_pressure hose.outlet_mach head.pressure
        head.thrust head.jet_thrust_ratio head.choked blast.delivery_time blast.useful_time blast.air_volume
        source.duty_fraction source.starts_per_hour reading.bump reading.hold_off_needed reading.residual reading.hold_time
        reading.live_share"""
    for id in promised.split():
        assert quantities[id]["value"] is not None, id
    assert quantities["head.choked"]["value"] is False
    assert {"rule", "level", "state", "line", "value", "limit", "unit", "margin", "reason", "remedy", "origin"} <= set(
        data["findings"][0]
    )


def test_errors_are_json_too_when_json_was_asked_for() -> None:
    done = run("check", S1, "--json", "--set", "line.hose.bore=0 mm")
    data = json.loads(done.stdout)
    assert done.returncode == 3
    assert data["problems"][0]["key"] == "line.hose.bore"


def test_scenario_may_come_from_standard_input() -> None:
    assert run("check", "-", stdin=Path(S1).read_text()).stdout == run("check", S1).stdout


@pytest.mark.parametrize("width", ["40", "60", "80", "120"])
@pytest.mark.parametrize("scenario", sorted(p.name for p in SCENARIOS.glob("*.toml")))
def test_nothing_is_wider_than_the_screen(width: str, scenario: str) -> None:
    done = run("check", str(SCENARIOS / scenario), COLUMNS=width)
    widest = max(done.stdout.splitlines(), key=len)
    if int(width) >= 60:
        assert len(widest) <= int(width), widest


@pytest.mark.parametrize("columns", ["\u00b2", "-5", "0", "x", "9" * 5000, "999999999"])
def test_a_width_no_screen_has_is_no_fault_of_the_program(columns: str) -> None:
    done = run("check", S1, COLUMNS=columns)
    assert done.returncode == 0
    assert max(map(len, done.stdout.splitlines())) <= (500 if columns.startswith("9") else 80)


def test_no_trailing_blanks_and_no_escapes_in_a_pipe() -> None:
    done = run("check", S2)
    assert "\x1b" not in done.stdout
    assert not [line for line in done.stdout.splitlines() if line != line.rstrip()]


def test_colour_only_when_forced_and_never_the_only_sign() -> None:
    forced = run("check", S2, FORCE_COLOR="1", TERM="xterm-256color")
    assert "\x1b[" in forced.stdout
    assert re.sub(r"\x1b\[[0-9;]*m", "", forced.stdout) == run("check", S2).stdout
    assert "F Jet thrust ratio" in forced.stdout
    assert "\x1b[3" not in run("check", S2, FORCE_COLOR="1", NO_COLOR="1", TERM="xterm-256color").stdout


def test_screen_is_plain_ascii() -> None:
    assert run("check", S2).stdout.isascii()


def test_a_title_the_terminal_cannot_show_does_not_crash() -> None:
    text = BASE.replace("Fernwhistle Works", "Bl\u00e5 \u6c34 [bold]Works[/bold]")
    done = run("check", "-", stdin=text, PYTHONIOENCODING="ascii", PYTHONUTF8="0", COLUMNS="120")
    assert done.returncode == 0
    assert "[bold]Works[/bold]" in done.stdout


def test_a_reader_that_leaves_early_is_no_error() -> None:
    line = f"{shlex.join(command('explain', S1, '--all'))} | head -1; echo ${{PIPESTATUS[0]}}"
    done = subprocess.run(["bash", "-c", line], capture_output=True, text=True, timeout=300, check=False)
    assert done.stdout.splitlines()[-1] == "0"
    assert "Traceback" not in done.stderr
    assert "BrokenPipe" not in done.stderr


def test_us_units_change_the_text_and_not_the_result() -> None:
    us = run("check", S1, "--units", "us").stdout
    assert "psi" in us
    assert "mbar" not in us
    assert run("check", S1, "--units", "us", "--json").stdout == run("check", S1, "--json").stdout


def test_output_is_deterministic() -> None:
    assert run("check", S2, "--detail").stdout == run("check", S2, "--detail").stdout


def test_settings_are_marked_as_such() -> None:
    done = run("check", S1, "--set", "line.hose.length=12 m")
    assert "Changed: hose.length 6 m -> 12 m" in done.stdout.splitlines()
    assert "--set line.hose.length=12 m" in run("check", S1, "--set", "line.hose.length=12 m", "--detail").stdout


def test_explain_works_a_number_by_hand() -> None:
    done = run("explain", S1, "hose.pressure_drop")
    assert "dp = p_in - p_out" in done.stdout
    assert "hose.inlet_pressure" in done.stdout
    assert "source:" in done.stdout
    deep = run("explain", S1, "hose.pressure_drop", "--all").stdout
    assert "fernwhistle.toml:" in deep
    assert "line.mass_flow: " in deep


def test_explain_lists_and_suggests() -> None:
    assert "hose.pressure_drop" in run("explain", S1).stdout
    assert "did you mean hose.pressure_drop" in run("explain", S1, "hose.presure_drop").stderr
    assert "is a quantity, not a file: purgecalc explain SCENARIO" in run("explain", "hose.pressure_drop").stderr
    assert max(map(len, run("explain", S1, "hose.pressure_drop", "--all").stdout.splitlines())) <= 80


def test_new_writes_a_scenario_that_checks_and_never_overwrites(tmp_path: Path) -> None:
    file = tmp_path / "site.toml"
    assert run("new", str(file)).returncode == 0
    first = file.read_text()
    assert run("check", str(file)).returncode == 0
    again = run("new", str(file))
    assert again.returncode == 2
    assert "exists" in again.stderr
    assert file.read_text() == first


def test_output_file_is_written_once_and_replaced_only_by_force(tmp_path: Path) -> None:
    file = tmp_path / "result.json"
    assert run("check", S1, "-o", str(file)).returncode == 0
    assert json.loads(file.read_text())["verdict"] == "PASS"
    file.write_text("kept")
    refused = run("check", S1, "-o", str(file))
    assert refused.returncode == 2
    assert file.read_text() == "kept"
    assert run("check", S1, "-o", str(file), "--force").returncode == 0
    assert sorted(p.name for p in tmp_path.iterdir()) == ["result.json"]


def test_a_folder_that_does_not_exist_is_an_error_in_words(tmp_path: Path) -> None:
    done = run("check", S1, "-o", str(tmp_path / "no" / "result.txt"))
    assert done.returncode == 2
    assert "cannot be written" in done.stderr


@pytest.mark.parametrize("command", ["rules", "terms", "units", "probes", "hoses", "schema"])
def test_lists_print_something_and_end_well(command: str) -> None:
    done = run(command)
    assert done.returncode == 0
    assert len(done.stdout.splitlines()) > 5
    if command in ("rules", "terms", "probes", "hoses"):
        json.loads(run(command, "--json").stdout)


def test_version_and_help() -> None:
    assert run("--version").stdout.startswith("purgecalc ")
    assert run("check", "--help").returncode == 0
    assert "check" in run("--help").stdout
    assert "[m]" not in run("check", "--help").stdout


def test_a_fault_of_the_program_is_one_line(tmp_path: Path) -> None:
    script = "import purgecalc.cli.check as c; c.run_check = lambda *a: 1/0; import sys; sys.argv = ['purgecalc', 'check', 'x']\n"
    script += "from purgecalc.__main__ import main; main()"
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, timeout=300, check=False)
    assert done.returncode == 1
    assert "ZeroDivisionError" in done.stderr
    assert "Traceback" not in done.stderr


def test_detail_shows_passes_the_residual_curve_and_the_two_wipe_form() -> None:
    done = run("check", S1, "--detail", COLUMNS="80")
    assert "Passed" in done.stdout
    assert "Bias left at release against hold-off" in done.stdout
    assert "Two-wipe test" in done.stdout
    assert max(len(line) for line in done.stdout.splitlines()) <= 80
    assert "Two-wipe test" not in run("check", S2, "--detail").stdout


LONGER = ("--set", "line.hose.length=18 m", "--set", "line.hose.bore=6 mm")


def test_settings_alone_change_the_built_in_reference_installation(tmp_path: Path) -> None:
    done = run("check", *LONGER, COLUMNS="60")
    assert done.returncode == 0
    assert "Built-in reference installation" in done.stdout.splitlines()[1]
    assert "18 m of 6 mm hose" in done.stdout
    assert "Changed: hose.length 6 m -> 18 m" in done.stdout
    assert max(len(line) for line in done.stdout.splitlines()) <= 60
    file = tmp_path / "same.toml"
    run("new", str(file))
    own, built_in = (json.loads(run("check", *words, *LONGER, "--json").stdout) for words in ((str(file),), ()))
    for quantities in (own["lines"][0]["quantities"], built_in["lines"][0]["quantities"]):
        for quantity in quantities.values():
            quantity.pop("origin", None)
    assert own["lines"] == built_in["lines"]


@pytest.mark.parametrize("command", ["check", "explain", "trace"])
def test_neither_scenario_nor_setting_is_wrong_usage_with_a_way_out(command: str) -> None:
    done = run(command)
    assert (done.returncode, done.stdout) == (2, "")
    assert "no scenario is given" in done.stderr
    assert "--set" in done.stderr


def test_a_wrong_setting_over_the_reference_is_refused_like_any_other() -> None:
    done = run("check", "--set", "line.hose.bore=6")
    assert done.returncode == 3
    assert "line.hose.bore: 6 has no unit" in done.stderr


def test_explain_and_trace_work_over_the_reference_too() -> None:
    assert "purgecalc explain" in run("check", *LONGER).stdout
    worked = run("explain", "hose.pressure_drop", *LONGER)
    assert worked.returncode == 0
    assert "dp = p_in - p_out" in worked.stdout
    assert "probe 1" in run("trace", *LONGER).stdout
    assert "is not a quantity" in run("explain", "hose.presure_drop", *LONGER).stderr
    assert "does not exist" in run("explain", "hose.toml", *LONGER).stderr


def test_json_stays_one_document_when_findings_reach_the_level_and_when_the_reader_leaves() -> None:
    done = run("check", str(SCENARIOS / "long-tansy.toml"), "--json")
    assert done.returncode == 5
    assert json.loads(done.stdout)["verdict"] == "FIX"
    call = command("check", str(SCENARIOS / "long-tansy.toml"), "--json")
    process = subprocess.Popen(call, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    assert process.stdout
    assert process.stderr
    process.stdout.readline()
    process.stdout.close()
    said = process.stderr.read()
    process.stderr.close()
    assert process.wait() in (0, 5)
    assert "Traceback" not in said


def test_the_list_of_quantities_fits_a_narrow_screen_and_rules_lead_to_quantities() -> None:
    narrow = run("explain", S1, COLUMNS="60").stdout.splitlines()
    assert max(len(line) for line in narrow) <= 60
    wrong = run("explain", S1, "hold-off")
    assert wrong.returncode == 2
    assert "did you mean reading.hold_off_needed" in wrong.stderr


def test_a_call_looks_into_its_own_command_only_and_leaves_the_others_as_they_were(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    from purgecalc.cli import app as application

    before = list(application.app.registered_commands)
    monkeypatch.setattr(application, "_work", [])
    monkeypatch.setattr(sys, "argv", ["purgecalc", "units"])
    monkeypatch.delenv("GITHUB_ACTIONS", raising=False)
    assert application.run() == 0
    assert "bar(g)" in capsys.readouterr().out
    assert application.app.registered_commands == before


def test_the_application_can_be_run_twice_in_a_process(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    from purgecalc.cli import app as application

    monkeypatch.chdir(tmp_path)
    for words, code in ((["new", "a.toml"], 0), (["units"], 0), (["new", "a.toml"], 2), (["--version"], 0), (["no-such"], 2)):
        monkeypatch.setattr(sys, "argv", ["purgecalc", *words])
        assert application.run() == code
        said = capsys.readouterr()
        assert ("bar(g)" in said.out) == (words == ["units"])
        assert ("a.toml" in said.err) == (words == ["new", "a.toml"])
