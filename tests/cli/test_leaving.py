"""Ended from outside: at the first moment or in the midst of work, without a traceback and with nothing left behind."""

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from purgecalc.cli.leaving import end_at_signals, undone
from purgecalc.cli.output import Target
from tests.lines import SCENARIOS

S1 = str(SCENARIOS / "fernwhistle.toml")
AT_AN_IMPORT = """
import os, sys

class Meanwhile:
    def find_spec(self, name, path=None, target=None):
        if name == {at!r}:
            os.kill(os.getpid(), {number})

sys.meta_path.insert(0, Meanwhile())
from purgecalc.__main__ import main
main()
"""


@pytest.mark.parametrize("at", ["purgecalc.cli.streams", "typer", "numpy.linalg"])
def test_ctrl_c_during_the_start_is_130_and_silence(at: str) -> None:
    script = AT_AN_IMPORT.format(at=at, number=int(signal.SIGINT))
    done = subprocess.run([sys.executable, "-c", script, "check", S1], capture_output=True, timeout=120, check=False)
    assert (done.returncode, done.stdout, done.stderr) == (130, b"", b"")


def test_a_batch_that_is_ended_leaves_what_was_there(tmp_path: Path) -> None:
    old = tmp_path / "old.csv"
    old.write_text("kept")
    command = [sys.executable, "-m", "purgecalc", "batch", "-", "-o", str(old), "--force"]
    with subprocess.Popen(command, stdin=subprocess.PIPE, stderr=subprocess.PIPE) as process:
        assert process.stdin
        assert process.stderr
        process.stdin.write(b"line.hose.length [m]\n7.6\n")
        process.stdin.flush()
        await_files(tmp_path, 2)  # it then waits for the next row
        process.send_signal(signal.SIGTERM)
        assert process.wait(timeout=60) == 128 + signal.SIGTERM
        assert process.stderr.read() == b""
    assert [p.name for p in tmp_path.iterdir()] == ["old.csv"]
    assert old.read_text() == "kept"


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork")
@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM, signal.SIGHUP])
@pytest.mark.parametrize("ignored", [False, True])
def test_a_signal_in_the_midst_of_writing_leaves_no_file_unless_it_is_ignored(
    number: signal.Signals, ignored: bool, tmp_path: Path
) -> None:
    child = os.fork()
    if not child:
        if ignored:  # as nohup does
            signal.signal(number, signal.SIG_IGN)
        end_at_signals()
        try:
            with Target(str(tmp_path / "new.txt"), False).opened() as out:
                out.write("half")
                await_files(tmp_path, 2)
            os._exit(0)
        finally:
            os._exit(1)
    await_files(tmp_path, 1)
    os.kill(child, number)
    (tmp_path / "go").touch()
    code = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
    assert code == (0 if ignored else 128 + number)
    assert sorted(p.name for p in tmp_path.iterdir()) == (["go", "new.txt"] if ignored else ["go"])


def await_files(folder: Path, count: int) -> None:
    until = time.monotonic() + 60
    while len(list(folder.iterdir())) < count and time.monotonic() < until:
        time.sleep(0.02)


def test_what_is_undone_is_what_an_exception_of_that_kind_ended() -> None:
    said: list[str] = []
    with undone(lambda: said.append("a")):
        pass
    with pytest.raises(KeyError), undone(lambda: said.append("b")), undone(lambda: said.append("c"), KeyboardInterrupt):
        raise KeyError
    with pytest.raises(KeyboardInterrupt), undone(lambda: said.append("d"), KeyboardInterrupt):
        raise KeyboardInterrupt
    assert said == ["b", "d"]
