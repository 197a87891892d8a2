"""A process that has imported all of purgecalc, has worked out the worked sites, and forks itself for every call of ``tests.command``."""

import atexit
import gc
import importlib
import json
import os
import pkgutil
import runpy
import socket
import sys
import threading
import warnings
from pathlib import Path
from typing import Any, NoReturn

import purgecalc

LATER = (
    "jinja2",
    "matplotlib.backends.backend_agg",
    "matplotlib.backends.backend_svg",
    "matplotlib.figure",
    "rich.console",
    "typst",
)
"""What commands import only when they come to it."""


def main() -> None:
    """Answer each call with the number of its fork and, in the end, its exit code. Only a fork comes back from here."""
    end = socket.socket(fileno=int(sys.argv[1]))
    _import_everything()
    calls = end.makefile("rb")
    while True:
        _, streams, _, _ = socket.recv_fds(end, 1, 3)
        if not streams:  # the tests are over
            os._exit(0)
        request = json.loads(calls.readline())
        child = os.fork()
        if child == 0:
            calls.close()
            end.close()
            return _become(request, streams)
        for stream in streams:
            os.close(stream)
        end.sendall(b"%d\n" % child)
        end.sendall(b"%d\n" % os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]))


def _import_everything() -> None:
    # as purgecalc.__main__ has it before it imports anything
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    sys.modules["mpl_toolkits.mplot3d"] = None  # type: ignore[assignment]
    for module in pkgutil.walk_packages(purgecalc.__path__, "purgecalc."):
        if module.name != "purgecalc.__main__":
            importlib.import_module(module.name)
    with warnings.catch_warnings(action="ignore"):  # matplotlib misses the drawing in space
        for name in LATER:
            importlib.import_module(name)
    _work_out_the_sites()
    gc.freeze()  # forks need not look through it when they end


def _work_out_the_sites() -> None:
    """Blasts and cycles of the worked sites, which most calls are about: forks find them done."""
    from purgecalc.design import design_all
    from purgecalc.scenario import load
    from tests.blasts import remember

    remember()
    for site in sorted((Path(__file__).parent.parent / "scenarios").glob("*.toml")):
        design_all(load(str(site)).lines)


def _become(request: dict[str, Any], streams: list[int]) -> None:
    """Be the process that the call asks for."""
    for number, stream in enumerate(streams):
        os.dup2(stream, number)
        os.close(stream)
    os.chdir(request["cwd"])
    os.environ.clear()
    os.environ.update(request["env"])
    usual = f"{sys.stdin.encoding}:{sys.stdin.errors}"
    encoding, _, errors = request["env"].get("PYTHONIOENCODING", usual).partition(":")
    text = {"encoding": encoding, "newline": "\n", "closefd": False}
    sys.stdin = open(0, errors=errors or "strict", **text)  # noqa: SIM115
    sys.stdout = open(1, "w", errors=errors or "strict", **text)  # noqa: SIM115
    sys.stderr = open(2, "w", errors="backslashreplace", **text)  # noqa: SIM115
    sys.argv = ["purgecalc", *request["args"]]
    sys.path[0] = request["cwd"]


def _run() -> NoReturn:
    """``python -m purgecalc``, and the end of a Python process but for taking its modules apart, which costs more than the call."""
    code = 0
    try:
        runpy.run_module("purgecalc", run_name="__main__", alter_sys=True)
    except SystemExit as stop:
        code = stop.code if isinstance(stop.code, int) else int(stop.code is not None)
    except BaseException as fault:
        sys.excepthook(type(fault), fault, fault.__traceback__)
        code = 130 if isinstance(fault, KeyboardInterrupt) else 1
    threading._shutdown()  # type: ignore[attr-defined]
    atexit._run_exitfuncs()
    try:
        sys.stdout.flush()
    except (OSError, ValueError) as fault:
        sys.stderr.write(f"Exception ignored in {sys.stdout}: {fault!r}\n")
        code = 120
    sys.stderr.flush()
    os._exit(code)


if __name__ == "__main__":
    try:
        main()
    except KeyboardInterrupt:
        os._exit(130)
    _run()
