"""A table of designs through the command: answers beside the rows, bad rows told, nothing lost, nothing overwritten."""

import csv
import json
import os
import pty
import re
import signal
import subprocess
from pathlib import Path

import numpy as np
import pytest

from tests.cli.test_commands import S1
from tests.command import command, environment, run

HEAD = "name,line.hose.length [m],line.hose.bore [mm],line.head.depth [m]\n"
GOOD = '"east, 1",7.6,8,1\nwest,30,4,1\n'


@pytest.fixture
def table(tmp_path: Path) -> Path:
    file = tmp_path / "designs.csv"
    file.write_text(HEAD + GOOD)
    return file


def rows(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(text.splitlines()))


def test_answers_stand_beside_the_rows(table: Path) -> None:
    out = table.with_name("out.csv")
    done = run("batch", str(table), "-o", str(out), "--base", S1, "--of", "hose.pressure_drop [mbar]")
    assert (done.returncode, done.stdout) == (0, "")
    assert "2 rows: 1 PASS, 1 FIX (every blast followed in time" in done.stderr
    first, second = rows(out.read_text())
    assert first == {
        "name": "east, 1",
        "line.hose.length [m]": "7.6",
        "line.hose.bore [mm]": "8",
        "line.head.depth [m]": "1",
        "hose.pressure_drop [mbar]": first["hose.pressure_drop [mbar]"],
        "verdict": "PASS",
        "worst_rule": "",
        "delivery": "6 branches",
        "problem": "",
    }
    assert float(first["hose.pressure_drop [mbar]"]) == pytest.approx(51.4, abs=0.05)
    assert (second["verdict"], second["worst_rule"]) == ("FIX", "jet-strength")
    assert out.read_text().splitlines()[1].startswith('"east, 1",7.6,8,1,')


def test_bad_rows_are_told_and_the_others_worked_out(table: Path) -> None:
    table.write_text(HEAD + GOOD + "a,,8,1\nb,7.6,0.1,1\n\nc,7.6,8,60\nd,x,8,1\n")
    out = table.with_name("out.csv")
    done = run("batch", str(table), "-o", str(out), "--base", S1)
    assert done.returncode == 3
    told = done.stderr.splitlines()
    assert f"{table}:4: line.hose.length: the cell is empty" in told
    assert f'{table}:5: line.hose.bore: "0.1 mm" is out of range; allowed: at least 500 um and at most 100 mm' in told
    assert any(line.startswith(f"{table}:7: no air leaves the head") for line in told)
    assert any(line.startswith(f'{table}:8: line.hose.length: "x" is not a number') for line in told)
    found = rows(out.read_text())
    assert [r["verdict"] for r in found] == ["PASS", "FIX", "", "", "IMPOSSIBLE", ""]
    assert [bool(r["problem"]) for r in found] == [False, False, True, True, True, True]
    assert [bool(r["head.jet_thrust_ratio"]) for r in found] == [True, True, False, False, False, False]


def test_the_exit_code_says_what_was_wrong(table: Path) -> None:
    def code(*more: str) -> int:
        return run("batch", str(table), "-o", "-", "--base", S1, *more).returncode

    assert (code(), code("--fail-on", "FIX"), code("--fail-on", "STOP")) == (0, 5, 0)
    table.write_text(HEAD + "a,7.6,8,60\n")
    assert code("--fail-on", "NOTE") == 4
    table.write_text(HEAD + "a,7.6,8,60\nb,,8,1\n")
    assert code() == 3


def test_only_the_first_twenty_bad_rows_are_told_one_by_one(table: Path) -> None:
    table.write_text(HEAD + "a,-1,8,1\n" * 50 + "a,7.6,8,60\n")
    done = run("batch", str(table), "-o", "-", "--base", S1)
    assert done.stderr.count("out of range") == 20
    assert "and 31 more rows; see the column problem" in done.stderr
    assert done.stdout.count("out of range") == 50


def test_nothing_is_overwritten_and_nothing_half_is_left(table: Path) -> None:
    out = table.with_name("out.csv")
    out.write_text("kept")
    done = run("batch", str(table), "-o", str(out), "--base", S1)
    assert (done.returncode, out.read_text()) == (2, "kept")
    table.write_text("line.hose.length [m],nonsense\n1,2\n")
    done = run("batch", str(table), "-o", str(out), "--base", S1, "--force")
    assert (done.returncode, out.read_text()) == (3, "kept")
    assert "nonsense" in done.stderr
    table.write_text(HEAD + GOOD)
    assert run("batch", str(table), "-o", str(out), "--base", S1, "--of", "no.such", "--force").returncode == 2
    assert out.read_text() == "kept"
    assert sorted(p.name for p in table.parent.iterdir()) == ["designs.csv", "out.csv"]
    assert run("batch", str(table), "-o", str(out), "--base", S1, "--force").returncode == 0
    assert len(rows(out.read_text())) == 2


@pytest.mark.parametrize(
    ("args", "code", "words"),
    [
        (("batch", "missing.csv", "-o", "-", "--base", S1), 3, "does not exist"),
        (("batch", "{table}", "--base", S1), 2, "-o"),
        (("batch", "{table}", "-o", "-", "--base", "-", "--set", "no.such=1"), 3, "unknown key"),
        (("batch", "{table}", "-o", "-", "--base", "missing.toml"), 3, "does not exist"),
        (("batch", "{table}", "-o", "/no/such/folder/x.csv", "--base", S1), 2, "cannot be written"),
        (("batch", "{table}", "-o", "-", "--base", S1, "--set", "line.head.holes=0"), 3, "out of range"),
        (("batch", "{table}", "-o", "-", "--base", S1, "--line", "nobody"), 2, "no line is called"),
    ],
)
def test_wrong_calls_are_told_without_a_traceback(table: Path, args: tuple[str, ...], code: int, words: str) -> None:
    done = run(*(str(table) if a == "{table}" else a for a in args))
    assert (done.returncode, done.stdout) == (code, "")
    assert words in done.stderr
    assert "Traceback" not in done.stderr


def test_a_table_may_come_from_a_pipe_and_go_into_one() -> None:
    done = run("batch", "-", "-o", "-", "--base", S1, stdin=HEAD + GOOD)
    assert [r["verdict"] for r in rows(done.stdout)] == ["PASS", "FIX"]


def test_a_base_that_leaves_the_varied_figure_out_will_do(table: Path) -> None:
    base = table.with_name("base.toml")
    base.write_text(Path(S1).read_text().replace('length = "6 m", bore = "8 mm", ', ""))
    assert run("check", str(base)).returncode == 3
    done = run("batch", str(table), "-o", "-", "--base", str(base))
    assert [r["verdict"] for r in rows(done.stdout)] == ["PASS", "FIX"]


def test_integrated_delivery_is_that_of_check(table: Path) -> None:
    done = run("batch", str(table), "-o", "-", "--base", S1, "--of", "blast.delivery_time")
    usual = ("--set", "line.hose.length=7.6 m")
    first, second = rows(done.stdout)
    alone = json.loads(run("check", S1, "--json", *usual).stdout)["lines"][0]["quantities"]["blast.delivery_time"]["value"]
    assert float(first["blast.delivery_time [s]"]) == pytest.approx(alone, rel=1e-2)
    assert (first["delivery"], second["delivery"]) == ("6 branches", "6 branches")


def test_many_rows_agree_with_few(table: Path) -> None:
    rng = np.random.default_rng(3)
    lengths, bores = rng.uniform(3, 60, 40_000), rng.uniform(4, 10, 40_000)
    table.write_text(HEAD + "".join(f"d,{a:.4f},{b:.4f},1\n" for a, b in zip(lengths, bores, strict=True)))
    many = run("batch", str(table), "-o", "-", "--base", S1, "--blast", "estimate").stdout.splitlines()
    assert len(many) == 40_001
    table.write_text("\n".join([HEAD.rstrip(), *(",".join(line.split(",")[:4]) for line in many[39_990:])]) + "\n")
    few = run("batch", str(table), "-o", "-", "--base", S1, "--blast", "estimate").stdout.splitlines()
    for a, b in zip(many[39_990:], few[1:], strict=True):
        assert a.split(",")[8:] == b.split(",")[8:]
        assert [float(v) for v in a.split(",")[4:8]] == pytest.approx([float(v) for v in b.split(",")[4:8]], rel=1e-9)


def test_a_terminal_is_told_how_long_and_how_far_and_ctrl_c_takes_the_bar_away(table: Path) -> None:
    table.write_text(HEAD + "".join(f"d,{1 + i / 1e3},8,1\n" for i in range(60000)))
    call = command("batch", str(table), "-o", str(table.with_name("out.csv")), "--base", S1)
    ours, theirs = pty.openpty()
    with subprocess.Popen(call, stderr=theirs, env={**environment(), "TERM": "xterm"}) as process:
        os.close(theirs)
        seen, stopped = b"", False
        while more := _read(ours):
            seen += more
            if b"\x1b[?25l" in seen and not stopped:
                process.send_signal(signal.SIGINT)
                stopped = True
        assert process.wait(timeout=60) == 130
    os.close(ours)
    assert re.match(rb"\d+ rows: about \d+ (s|min); Ctrl-C stops it\r\n", seen)
    assert seen.rindex(b"\x1b[?25h") > seen.rindex(b"\x1b[?25l")
    assert b"Traceback" not in seen
    assert [p.name for p in table.parent.iterdir()] == [table.name]


def _read(terminal: int) -> bytes:
    try:
        return os.read(terminal, 4096)
    except OSError:  # the other end is closed
        return b""


def test_cells_that_a_spreadsheet_would_run_are_carried_inert_unless_asked_raw(table: Path) -> None:
    table.write_text(HEAD + "=1+1,7.6,8,1\n-3,7.6,8,1\n@x,=2,8,1\n")
    tame, raw = (run("batch", str(table), "-o", "-", "--base", S1, *words).stdout for words in ((), ("--raw",)))
    assert [r["name"] for r in rows(tame)] == ["'=1+1", "-3", "'@x"]
    assert rows(tame)[2]["line.hose.length [m]"] == "'=2"
    assert [r["name"] for r in rows(raw)] == ["=1+1", "-3", "@x"]
    assert [r["verdict"] for r in rows(tame)] == [r["verdict"] for r in rows(raw)]
    assert "--raw" in run("batch", "--help").stdout
