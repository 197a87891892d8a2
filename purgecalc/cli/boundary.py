"""The one error boundary: what a command raises becomes a message and an exit code, never a traceback."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable

from purgecalc.cli.console import say, tell
from purgecalc.cli.streams import Lost, through_screens
from purgecalc.errors import PurgecalcError


def run_inside(app: Callable[..., None], work: list[Callable[[], None]]) -> int:
    """Let ``app`` read the words of the call and note its ``work``, then do that; the exit code."""
    os.environ.pop("GITHUB_ACTIONS", None)  # typer would force colour into pipes
    work.clear()
    return through_screens(lambda: _read(app) or _worked(work))


def _read(app: Callable[..., None]) -> int:
    """Let typer read the call; the exit code it ends with, 0 where there is work to do."""
    try:
        app(prog_name="purgecalc")
    except SystemExit as stop:
        return stop.code if isinstance(stop.code, int) else 1
    return 0


def _worked(noted: list[Callable[[], None]]) -> int:
    """Do what the command asked for; the exit code."""
    try:
        for work in noted:
            work()
    except PurgecalcError as error:
        return _report(error)
    except KeyboardInterrupt:
        return 130
    except (BrokenPipeError, Lost):
        raise
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
        from purgecalc.reports.as_json import dumps
        from purgecalc.reports.as_json import error as as_data

        say(dumps(as_data(error)))
    else:
        tell(str(error))
    return error.exit_code
