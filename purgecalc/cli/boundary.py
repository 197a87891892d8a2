"""The one error boundary: what a command raises becomes a message and an exit code, never a traceback."""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Callable

from purgecalc.cli.console import safe_streams, tell
from purgecalc.errors import PurgecalcError


def run_inside(app: Callable[..., None], work: list[Callable[[], None]]) -> int:
    """Let ``app`` read the words of the call and note its ``work``, then do that; the exit code."""
    safe_streams()
    os.environ.pop("GITHUB_ACTIONS", None)  # typer would force colour into pipes
    try:
        app(prog_name="purgecalc")
    except SystemExit as stop:
        code = stop.code if isinstance(stop.code, int) else 1
    return _flushed(code or _worked(work))


def _worked(noted: list[Callable[[], None]]) -> int:
    """Do what the command asked for; the exit code."""
    try:
        for work in noted:
            work()
    except PurgecalcError as error:
        return _report(error)
    except KeyboardInterrupt:
        return 130
    except BrokenPipeError:
        return _quiet_pipe()
    except Exception as fault:  # the last resort: our bug, one line, no traceback in the user's face
        if os.environ.get("PURGECALC_DEBUG"):
            raise
        what = f"{type(fault).__name__}: {fault}"
        tell(f"purgecalc: a program fault ({what}); PURGECALC_DEBUG=1 shows the traceback to report")
        return 1
    return 0


def _report(error: PurgecalcError) -> int:
    """Tell what went wrong, as data where data is wanted; findings at the level asked for have been told already."""
    if not str(error):
        return error.exit_code
    if "--json" in sys.argv:
        from purgecalc.reports.as_json import error as as_data

        sys.stdout.write(json.dumps(as_data(error), indent=1) + "\n")
    else:
        tell(str(error))
    return error.exit_code


def _flushed(code: int) -> int:
    try:
        sys.stdout.flush()
    except BrokenPipeError:
        _quiet_pipe()
    return code


def _quiet_pipe() -> int:
    """The reader has gone (head, less): that is its right."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    return 0
