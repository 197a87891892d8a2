"""Start of the command: ``purgecalc`` and ``python -m purgecalc``."""

from __future__ import annotations

import gc
import os
import sys


def main() -> None:
    """Run the command line and exit with its code. The version is answered before anything heavy is imported."""
    from purgecalc.cli.leaving import end_at_signals

    end_at_signals()
    from purgecalc.cli.streams import open_what_is_closed, through_screens

    open_what_is_closed()
    if sys.argv[1:] == ["--version"]:
        sys.exit(through_screens(_say_version))
    # one thread is plenty here, and starting the others costs more than the sums
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    gc.set_threshold(300_000, 20, 50)  # importing makes many objects and no garbage
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "1")  # looking for plugins among all installed packages takes time too
    sys.modules["mpl_toolkits.mplot3d"] = None  # type: ignore[assignment]  # a tenth of matplotlib, and no chart is in space
    from purgecalc.cli.app import run

    code = run()
    gc.freeze()  # nothing that is left need be looked through before the process ends
    sys.exit(code)


def _say_version() -> int:
    from purgecalc import __version__

    sys.stdout.write(f"purgecalc {__version__}\n")
    return 0


if __name__ == "__main__":
    main()
