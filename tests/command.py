"""The command line for tests: ``run`` is quick, ``cold`` is a start as a person's shell makes it. Both have real streams and exit codes.

``run`` asks a process that has imported everything (``tests.warm``) for a fork of itself. The fork takes words, environment, folder
and streams of the call, runs ``python -m purgecalc`` and ends as any Python process does. What a fork cannot show goes the cold
way by itself: settings that Python or a library reads while it starts, and machines without fork.
"""

import atexit
import json
import os
import signal
import socket
import subprocess
import sys
import tempfile
from functools import cache
from pathlib import Path
from select import select
from typing import IO

ROOT = Path(__file__).parent.parent
UNSET = ("PYTHONDONTWRITEBYTECODE", "COLUMNS", "NO_COLOR", "FORCE_COLOR", "GITHUB_ACTIONS", "PYTHONIOENCODING")
READ_AT_START = ("PYTHON", "LANG", "LC_", "HOME", "XDG_", "MPL", "TYPST", "OPENBLAS")
LONGEST = 300  # seconds

Done = subprocess.CompletedProcess[str]


def command(*args: str) -> list[str]:
    """The words of a cold start, for tests that hold its pipes or its terminal themselves."""
    return [sys.executable, "-m", "purgecalc", *args]


def run(*args: str, stdin: str | bytes = "", cwd: Path | None = None, **env: str) -> Done:
    """Run purgecalc with these words, in ``cwd``, with ``env`` over a plain environment."""
    if not hasattr(os, "fork") or any(k.startswith(READ_AT_START) and k != "PYTHONIOENCODING" for k in env):
        return cold(*args, stdin=stdin, cwd=cwd, **env)
    with tempfile.TemporaryFile() as given, tempfile.TemporaryFile() as out, tempfile.TemporaryFile() as err:
        given.write(_bytes(stdin))
        given.seek(0)
        request = {"args": args, "env": {**environment(), **env}, "cwd": str(cwd or Path.cwd())}
        code = _warm().call(request, [given, out, err])
        return subprocess.CompletedProcess(args, code, _text(out), _text(err))


def cold(*args: str, stdin: str | bytes = "", cwd: Path | None = None, **env: str) -> Done:
    """The same from a cold start."""
    done = subprocess.run(
        command(*args),
        input=_bytes(stdin),
        capture_output=True,
        env={**environment(), **env},
        cwd=cwd,
        timeout=LONGEST,
        check=False,
    )
    return subprocess.CompletedProcess(args, done.returncode, done.stdout.decode(), done.stderr.decode())


def environment() -> dict[str, str]:
    """The environment of the tests without what changes a screen."""
    return {k: v for k, v in os.environ.items() if k not in UNSET}


def _bytes(text: str | bytes) -> bytes:
    return text.encode() if isinstance(text, str) else text


def _text(file: IO[bytes]) -> str:
    file.seek(0)
    return file.read().decode()


class _Warm:
    """Our end of the warm process."""

    def __init__(self) -> None:
        self._ours, theirs = socket.socketpair()
        words = [sys.executable, "-m", "tests.warm", str(theirs.fileno())]
        self._process = subprocess.Popen(words, stdin=subprocess.DEVNULL, pass_fds=[theirs.fileno()], cwd=ROOT, env=environment())
        theirs.close()
        self._answers = self._ours.makefile("rb")
        atexit.register(self._end)

    def call(self, request: dict[str, object], streams: list[IO[bytes]]) -> int:
        """The exit code of one call; a signal that ended it is a negative number."""
        socket.send_fds(self._ours, [b"-"], [s.fileno() for s in streams])
        self._ours.sendall(json.dumps(request).encode() + b"\n")
        child = int(self._answers.readline())
        if not select([self._ours], [], [], LONGEST)[0]:
            os.kill(child, signal.SIGKILL)
            self._answers.readline()
            raise subprocess.TimeoutExpired(str(request["args"]), LONGEST)
        return int(self._answers.readline())

    def _end(self) -> None:
        self._answers.close()
        self._ours.close()
        self._process.wait()


@cache
def _warm() -> _Warm:
    return _Warm()
