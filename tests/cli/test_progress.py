"""A bar and a word on how long it takes, for somebody who looks; nothing for a pipe."""

import io
import sys
from pathlib import Path

import pytest

from purgecalc.cli import progress
from purgecalc.cli.progress import Progress, in_words
from purgecalc.cli.sweep import run_sweep
from purgecalc.studies.table import CsvTable
from tests.lines import SCENARIOS


class Terminal(io.StringIO):
    """What somebody sees."""

    def isatty(self) -> bool:
        return True


class Clock:
    """Time that passes when it is told to."""

    def __init__(self) -> None:
        self.now = 100.0

    def monotonic(self) -> float:
        return self.now


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> Clock:
    clock = Clock()
    monkeypatch.setattr(progress, "time", clock)
    for name in ("NO_COLOR", "FORCE_COLOR", "COLUMNS"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("TERM", "xterm")
    return clock


def watched(monkeypatch: pytest.MonkeyPatch, clock: Clock, *steps: tuple[float, int, int], terminal: bool = True) -> str:
    """What is shown when, after so many seconds, so many of so many are done."""
    out = Terminal() if terminal else io.StringIO()
    monkeypatch.setattr(sys, "stderr", out)
    with Progress("designs") as bar:
        for seconds, done, whole in steps:
            clock.now = 100 + seconds
            if bar.at is not None:
                bar.at(done, whole)
    return out.getvalue()


def test_long_work_says_how_long_and_shows_how_far_it_is(monkeypatch: pytest.MonkeyPatch, clock: Clock) -> None:
    shown = watched(monkeypatch, clock, (0.5, 100, 5000), (12.0, 2500, 5000))
    assert shown.startswith("5000 designs: about 20 s; Ctrl-C stops it\n")
    assert "2500/5000" in shown
    assert shown.count("about") == 1
    assert shown.endswith("\x1b[2K")  # the bar is taken away again
    assert shown.index("\x1b[?25l") < shown.index("\x1b[?25h")  # and the cursor is back


def test_short_work_shows_nothing_and_what_takes_a_second_a_bar(monkeypatch: pytest.MonkeyPatch, clock: Clock) -> None:
    assert watched(monkeypatch, clock, (0.2, 100, 300), (0.6, 300, 300)) == ""
    shown = watched(monkeypatch, clock, (0.9, 100, 300), (1.8, 200, 300))
    assert "about" not in shown
    assert "200/300" in shown


def test_of_work_without_an_end_nobody_says_how_long(monkeypatch: pytest.MonkeyPatch, clock: Clock) -> None:
    shown = watched(monkeypatch, clock, (0.5, 100, 0), (30.0, 2000, 0))
    assert "about" not in shown
    assert "2000/?" in shown


def test_a_pipe_gets_nothing(monkeypatch: pytest.MonkeyPatch, clock: Clock) -> None:
    monkeypatch.setenv("FORCE_COLOR", "1")
    assert watched(monkeypatch, clock, (60.0, 100, 5000), terminal=False) == ""
    monkeypatch.setattr(sys, "stderr", Terminal())
    with Progress("rows", hidden=True) as bar:
        assert bar.at is None
        bar.expect(60.0)
    assert sys.stderr.getvalue() == ""


def test_what_cannot_be_counted_is_told_beforehand(monkeypatch: pytest.MonkeyPatch, clock: Clock) -> None:
    monkeypatch.setattr(sys, "stderr", out := Terminal())
    with Progress("sizing") as bar:
        bar.expect(14.0)
    assert out.getvalue().startswith("sizing: very roughly 10 s; Ctrl-C stops it\n")
    monkeypatch.setattr(sys, "stderr", out := Terminal())
    with Progress("sizing") as bar:
        bar.expect(2.0)
    assert "roughly" not in out.getvalue()


@pytest.mark.parametrize(
    ("seconds", "words"), [(5.2, "5 s"), (37, "40 s"), (89, "90 s"), (95, "2 min"), (700, "10 min"), (5400, "2 h"), (1e5, "30 h")]
)
def test_times_are_round(seconds: float, words: str) -> None:
    assert in_words(seconds) == words


def test_who_looks_is_told_how_far_a_sweep_is_and_it_changes_no_answer(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    told: list[tuple[int, int]] = []
    monkeypatch.setattr(Progress, "_at", lambda self, done, whole: told.append((done, whole)))
    vary, texts = ["line.schedule.hold_off=40:150:300[s]", "line.schedule.interval=10:60:250[min]"], []
    for out in (Terminal(), io.StringIO()):
        monkeypatch.setattr(sys, "stderr", out)
        file = tmp_path / f"{len(texts)}.csv"
        run_sweep(str(SCENARIOS / "fernwhistle.toml"), vary, [], "", [], True, str(file), False)
        texts.append(file.read_bytes())
    assert texts[0] == texts[1]
    assert len(told) > 1
    assert told[-1] == (75000, 75000)


def test_a_table_is_judged_by_its_size_for_how_many_rows_it_has(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from purgecalc.cli.batch import run_batch

    monkeypatch.setattr(sys, "stderr", Terminal())
    told: list[tuple[int, int]] = []
    monkeypatch.setattr(Progress, "_at", lambda self, done, whole: told.append((done, whole)))
    parts = CsvTable.parts
    monkeypatch.setattr(CsvTable, "parts", lambda self, rows: parts(self, 100))
    table = tmp_path / "table.csv"
    table.write_text("line.hose.length [m]\n" + "12.5\n" * 250)
    run_batch(str(table), str(tmp_path / "out.csv"), "", [], "", [], False, "never", False, False)
    assert told[0][1] == pytest.approx(250, rel=0.05)
    assert told[-1][0] == 250
