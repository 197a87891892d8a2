"""``purgecalc size`` as a person runs it."""

import subprocess
from pathlib import Path

import pytest

from tests import command
from tests.lines import ROOT


def run(*words: str, **env: str) -> subprocess.CompletedProcess[str]:
    return command.run(*words, cwd=ROOT, **env)


@pytest.mark.parametrize("width", [60, 80, 120])
def test_the_screen_answers_all_questions_within_its_width(width: int) -> None:
    done = run("size", "scenarios/long-tansy.toml", COLUMNS=str(width))
    assert done.returncode == 0, done.stderr
    assert max(len(line) for line in done.stdout.splitlines()) <= width
    for words in ("Which hose", "Which source", "Which schedule", "Which head", "What clears", "Proposed"):
        assert words in done.stdout
    flat = " ".join(done.stdout.split())
    assert "For 4 mm bore and this source the longest is 4.5" in flat
    assert "bore 4 mm -> 6.3 mm" in flat


def test_the_sized_scenario_keeps_comments_and_passes_check(tmp_path: Path) -> None:
    out = tmp_path / "sized.toml"
    done = run("size", "scenarios/long-tansy.toml", "--free", "hose.bore", "-o", str(out))
    assert done.returncode == 0, done.stderr
    text = out.read_text(encoding="utf-8")
    assert text.startswith("# sized by purgecalc: bore 4 mm -> 6.3 mm\n# Long Tansy: the hose is too long and too thin.\n")
    assert 'bore = "6.3 mm"' in text
    assert run("check", str(out)).returncode == 0
    again = run("size", "scenarios/long-tansy.toml", "--free", "hose.bore", "-o", str(out))
    assert again.returncode == 2
    assert "exists; choose another name, or add --force" in again.stderr
    assert out.read_text(encoding="utf-8") == text


def test_settings_of_the_command_line_are_written_too(tmp_path: Path) -> None:
    out = tmp_path / "sized.toml"
    setting = "line.head.depth=1.5 m"
    done = run("size", "scenarios/long-tansy.toml", "--set", setting, "--free", "hose.bore", "-o", str(out))
    assert done.returncode == 0, done.stderr
    assert 'depth = "1.5 m"' in out.read_text(encoding="utf-8")
    assert run("check", str(out)).returncode == 0


def test_a_scenario_that_came_by_a_pipe_is_sized_into_a_file_too(tmp_path: Path) -> None:
    text = (ROOT / "scenarios/long-tansy.toml").read_text(encoding="utf-8")
    words = ("size", "--free", "hose.bore", "-o")
    assert run(*words, str(tmp_path / "a.toml"), "-", stdin=text).returncode == 0
    assert run(*words, str(tmp_path / "b.toml"), "scenarios/long-tansy.toml").returncode == 0
    assert (tmp_path / "a.toml").read_text() == (tmp_path / "b.toml").read_text()


def test_only_what_is_free_is_sized() -> None:
    done = run("size", "scenarios/long-tansy.toml", "--free", "hose.length")
    assert "Which hose" in done.stdout
    assert "Which schedule" not in done.stdout
    assert "hose length 30 m -> 4 m" in " ".join(done.stdout.split())


def test_nothing_is_written_where_figures_do_not_clear(tmp_path: Path) -> None:
    out = tmp_path / "sized.toml"
    done = run("size", "scenarios/pellwick.toml", "--free", "schedule.hold_off,schedule.interval", "-o", str(out))
    assert done.returncode == 2
    assert "would be left to fix" in done.stderr
    assert "downstream-averaging" in done.stderr
    assert not out.exists()
    assert run("size", "scenarios/pellwick.toml", "--free", "schedule.hold_off,schedule.interval").returncode == 5


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (("--free", "hose.colour"), "not something size can change"),
        (("-o", "sized.txt"), "size writes a scenario, .toml"),
        (("--line", "no such"), "no such"),
    ],
)
def test_wrong_words_are_told(words: tuple[str, ...], message: str) -> None:
    done = run("size", "scenarios/fernwhistle.toml", *words)
    assert done.returncode == 2
    assert message in done.stderr
    assert "Traceback" not in done.stderr
