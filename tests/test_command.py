"""The quick way to run a command in tests shows what a cold start shows, and goes the cold way where it could not."""

import os
from pathlib import Path

import pytest

from tests import command
from tests.command import cold, run
from tests.lines import SCENARIOS

S1, S2 = (str(SCENARIOS / name) for name in ("fernwhistle.toml", "long-tansy.toml"))


@pytest.mark.parametrize(
    ("words", "more"),
    [
        (("--version",), {}),
        (("check", S2), {"COLUMNS": "60", "FORCE_COLOR": "1", "TERM": "xterm-256color"}),
        (("check", "-", "--json"), {"stdin": "title = 'no line'\n"}),
        (("explain", S1, "hose.presure_drop"), {}),
        (("trace", S1, "--set", "title=Bl\u00e5"), {"PYTHONIOENCODING": "ascii"}),
        (("check", S1, "--no-such-option"), {}),
    ],
)
def test_both_ways_say_the_same(words: tuple[str, ...], more: dict[str, str]) -> None:
    quick, slow = run(*words, **more), cold(*words, **more)
    assert (quick.returncode, quick.stdout, quick.stderr) == (slow.returncode, slow.stdout, slow.stderr)


def test_files_are_written_where_the_call_stands(tmp_path: Path) -> None:
    here = Path.cwd()
    for way in (run, cold):
        folder = tmp_path / way.__name__
        folder.mkdir()
        assert way("new", "site.toml", cwd=folder).returncode == 0
    assert (tmp_path / "run" / "site.toml").read_bytes() == (tmp_path / "cold" / "site.toml").read_bytes()
    assert Path.cwd() == here


def test_a_call_leaves_nothing_behind_for_the_next() -> None:
    before = run("check", S1).stdout
    assert run("check", S1, COLUMNS="60", FORCE_COLOR="1").stdout != before
    assert run("check", S1).stdout == before


@pytest.mark.parametrize("name", ["PYTHONUTF8", "HOME", "LC_ALL"])
def test_what_is_read_at_the_start_goes_the_cold_way(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(command, "cold", lambda *args, **more: (args, more))
    assert run("units", **{name: "x"}) == (("units",), {"stdin": "", "cwd": None, name: "x"})


def test_so_does_everything_where_there_is_no_fork(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(command, "cold", lambda *args, **more: "cold")
    assert run("units") != "cold"
    monkeypatch.delattr(os, "fork")
    assert run("units") == "cold"


def test_a_call_that_does_not_end_is_ended(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "never.toml")
    monkeypatch.setattr(command, "LONGEST", 0.5)
    with pytest.raises(command.subprocess.TimeoutExpired):
        run("check", str(tmp_path / "never.toml"))
    assert run("--version").returncode == 0
