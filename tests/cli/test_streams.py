"""Every byte of the output is written or the command says so; what is written steers no terminal."""

import fcntl
import io
import json
import os
import resource
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from purgecalc.cli import app as application
from purgecalc.cli.streams import Screen, through_screens
from tests.command import command, environment
from tests.lines import SCENARIOS

S1, S2 = (str(SCENARIOS / name) for name in ("fernwhistle.toml", "long-tansy.toml"))


class Slow(io.RawIOBase):
    """Takes at most ``most`` bytes at a time, none every other time, and fails after ``room`` bytes."""

    def __init__(self, most: int = 7, room: int = 10**9, error: type[OSError] = OSError) -> None:
        self.got, self._most, self._room, self._error, self._full = bytearray(), most, room, error, False

    def writable(self) -> bool:
        return True

    def write(self, data: Any) -> int | None:
        self._full = not self._full
        if self._full:
            return None
        taken = bytes(memoryview(data)[: min(self._most, self._room - len(self.got))])
        if not taken:
            raise self._error(28, "No space left on device")
        self.got += taken
        return len(taken)


def stream(raw: Slow, encoding: str = "utf-8", unbuffered: bool = False) -> Any:
    """Standard output as Python makes it on ``raw``, with and without PYTHONUNBUFFERED."""
    return io.TextIOWrapper(raw if unbuffered else io.BufferedWriter(raw), encoding, write_through=unbuffered)  # type: ignore[type-var]


@pytest.fixture(autouse=True)
def no_waiting(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("time.sleep", lambda seconds: None)


def through(monkeypatch: pytest.MonkeyPatch, out: Slow, messages: Slow, work: Any, **how: Any) -> int:
    with monkeypatch.context() as patch:
        patch.setattr(sys, "stdout", stream(out, **how))
        patch.setattr(sys, "stderr", stream(messages))
        return through_screens(work)


def says(text: str, code: int = 0) -> Any:
    def work() -> int:
        sys.stdout.write(text)
        sys.stderr.write("said\n")
        return code

    return work


@pytest.mark.parametrize("unbuffered", [False, True])
def test_what_takes_a_little_at_a_time_gets_all_of_it(monkeypatch: pytest.MonkeyPatch, unbuffered: bool) -> None:
    out, messages = Slow(), Slow()
    assert through(monkeypatch, out, messages, says("0123456789" * 2000, 5), unbuffered=unbuffered) == 5
    assert out.got.decode() == "0123456789" * 2000
    assert messages.got == b"said\n"


@pytest.mark.parametrize("unbuffered", [False, True])
@pytest.mark.parametrize("code", [0, 5])
def test_output_that_is_cut_short_is_an_error_in_one_line(monkeypatch: pytest.MonkeyPatch, unbuffered: bool, code: int) -> None:
    out, messages = Slow(room=40), Slow()
    assert through(monkeypatch, out, messages, says("0123456789" * 2000, code), unbuffered=unbuffered) == 2
    assert messages.got.decode().splitlines()[-1] == "the output cannot be written: No space left on device"
    assert len(out.got) == 40


def test_messages_that_are_lost_are_no_error(monkeypatch: pytest.MonkeyPatch) -> None:
    out = Slow()
    assert through(monkeypatch, out, Slow(room=0), says("all of it")) == 0
    assert out.got == b"all of it"


def test_a_reader_that_leaves_stops_the_work_and_is_no_error(monkeypatch: pytest.MonkeyPatch) -> None:
    def work() -> int:
        while True:
            sys.stdout.write("0123456789" * 2000)

    messages = Slow()
    assert through(monkeypatch, Slow(room=100, error=BrokenPipeError), messages, work) == 0
    assert messages.got == b""


def test_streams_are_what_they_were_afterwards_and_screens_are_not_put_on_screens(monkeypatch: pytest.MonkeyPatch) -> None:
    before = sys.stdout, sys.stderr

    def inside() -> int:
        outer = sys.stdout
        assert through_screens(lambda: int(sys.stdout is not outer)) == 0
        raise KeyError

    with pytest.raises(KeyError):
        through_screens(inside)
    assert (sys.stdout, sys.stderr) == before


def test_text_is_made_visible_and_what_is_exact_is_not(monkeypatch: pytest.MonkeyPatch) -> None:
    def work() -> int:
        out: Any = sys.stdout
        out.writelines(["a\x1b[2Jb\u202e", "\n"])
        out.exact.write("\x1b[1mpaint\x1b[0m")
        return 0

    out = Slow()
    through(monkeypatch, out, Slow(), work)
    assert out.got == b"a\\x1b[2Jb\\u202e\n\x1b[1mpaint\x1b[0m"


@pytest.mark.parametrize("encoding", ["ascii", "cp1252", "utf-8"])
def test_letters_an_encoding_does_not_have_come_out_as_codes(monkeypatch: pytest.MonkeyPatch, encoding: str) -> None:
    out = Slow()
    assert through(monkeypatch, out, Slow(), says("\u6c34 \udcff"), encoding=encoding) == 0
    assert out.got.decode(encoding) == ("\u6c34" if encoding == "utf-8" else "\\u6c34") + " \\udcff"


def test_a_screen_over_no_bytes_still_makes_visible() -> None:
    below = io.StringIO()
    Screen(below).write("\x07")
    assert below.getvalue() == "\\x07"


def cold(*words: str, **how: Any) -> "subprocess.CompletedProcess[bytes]":
    """A start with streams and limits of our own."""
    how = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE, **how}
    return subprocess.run(command(*words), stdin=subprocess.DEVNULL, timeout=120, check=False, **how)


def test_a_disk_with_too_little_room_is_an_error_whatever_the_buffering(tmp_path: Path) -> None:
    out = tmp_path / "x.json"
    with out.open("wb") as stream:
        done = cold(
            "check",
            S1,
            "--json",
            stdout=stream,
            env={**environment(), "PYTHONUNBUFFERED": "1"},
            preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (40960, 40960)),
        )
    assert out.stat().st_size == 40960
    assert (done.returncode, done.stderr) == (2, b"the output cannot be written: File too large\n")


def test_a_pipe_that_does_not_wait_gets_every_byte() -> None:
    ours, theirs = os.pipe()
    fcntl.fcntl(theirs, fcntl.F_SETFL, fcntl.fcntl(theirs, fcntl.F_GETFL) | os.O_NONBLOCK)
    with subprocess.Popen(command("check", S2, "--json"), stdout=theirs) as process, open(ours, "rb") as pipe:
        os.close(theirs)
        with pytest.raises(subprocess.TimeoutExpired):
            process.wait(timeout=1.2)  # the pipe is full, and nobody reads
        data = json.loads(pipe.read())
        assert process.wait(timeout=60) == 5
    assert data["verdict"] == "FIX"


def full(monkeypatch: pytest.MonkeyPatch, *words: str) -> tuple[int, str]:
    """Exit code and messages where standard output is a device without room."""
    messages = io.StringIO()
    with open("/dev/full", "w") as device, monkeypatch.context() as patch:
        patch.setattr(sys, "argv", ["purgecalc", *words])
        patch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(b"line.hose.length [m]\n7.6\n")))
        patch.setattr(sys, "stdout", device)
        patch.setattr(sys, "stderr", messages)
        code = application.run()
    return code, messages.getvalue()


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="needs a full device")
@pytest.mark.parametrize(
    "words",
    [
        ("--help",),
        ("check", "--help"),
        ("check", S1),
        ("check", S2, "--json"),
        ("explain", S1),
        ("trace", S1),
        ("schema",),
        ("rules", "--markdown"),
        ("new",),
        ("batch", "-", "-o", "-"),
        ("note", S1, "--card"),
        ("check", "no.toml", "--json"),
    ],
    ids=" ".join,
)
def test_what_goes_to_a_full_device_is_an_error_in_one_line(monkeypatch: pytest.MonkeyPatch, words: tuple[str, ...]) -> None:
    code, said = full(monkeypatch, *words)
    assert code == 2
    assert said.splitlines()[-1] == "the output cannot be written: No space left on device"
    assert "Traceback" not in said


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="needs a full device")
def test_so_does_the_version() -> None:
    with open("/dev/full", "wb") as device:
        done = cold("--version", stdout=device)
    assert (done.returncode, done.stderr) == (2, b"the output cannot be written: No space left on device\n")


def test_closed_streams_are_no_fault_of_the_program(tmp_path: Path) -> None:
    done = cold("check", S1, preexec_fn=lambda: os.close(1))
    assert (done.returncode, done.stderr.splitlines()[-1]) == (2, b"the output cannot be written: standard output is closed")
    done = cold("check", S1, "-o", "a.json", cwd=tmp_path, preexec_fn=lambda: [os.close(n) for n in (0, 1, 2)])
    assert done.returncode == 0
    assert json.loads((tmp_path / "a.json").read_text())["verdict"] == "PASS"
    done = cold("check", "-", preexec_fn=lambda: os.close(0))
    assert (done.returncode, done.stdout) == (3, b"")
    assert done.stderr == b"<stdin>: is closed; nothing can be read from it\n"


def test_an_interview_with_nobody_ends_in_words(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.setattr(sys, "argv", ["purgecalc", "new", "--ask", "-"])
    monkeypatch.setattr(sys, "stdin", None)
    assert application.run() == 3
    assert capsys.readouterr().err.endswith("<stdin>: is closed; nothing can be read from it\n")
