"""How long whole commands take, as ratios to an empty Python, alternated run by run.

    python -m tests.benchmarks.start [pairs]

Prints medians; asserts nothing. The machine may be busy: the ratio is what to quote.
"""

import os
import statistics
import subprocess
import sys
import tempfile
import time

FOLDER = tempfile.TemporaryDirectory(prefix="purgecalc-")
COMMANDS = {
    "--version": ["--version"],
    "--help": ["--help"],
    "check": ["check", "scenarios/fernwhistle.toml"],
    "size": ["size", "scenarios/long-tansy.toml"],
    "check --json": ["check", "scenarios/fernwhistle.toml", "--json"],
    **{
        f"note.{form}": ["note", "scenarios/fernwhistle.toml", "--force", "-o", f"{FOLDER.name}/note.{form}"]
        for form in ("md", "html", "pdf")
    },
}
BARE = "import typer, pydantic, numpy, pint, fluids, rich.console, rich.table"


# without compiled modules every start would compile the whole package again
ENVIRONMENT = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}


def seconds(command: list[str]) -> float:
    start = time.perf_counter()
    subprocess.run(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, env=ENVIRONMENT, check=False)
    return time.perf_counter() - start


def main() -> None:
    pairs = int(sys.argv[1]) if len(sys.argv) > 1 else 11
    empty = [sys.executable, "-c", "pass"]
    rows = {name: [sys.executable, "-m", "purgecalc", *args] for name, args in COMMANDS.items()}
    rows["bare imports"] = [sys.executable, "-c", BARE]
    for command in rows.values():
        seconds(command)  # compiles and warms the disk
    times: dict[str, list[float]] = {name: [] for name in rows}
    for _ in range(pairs):
        for name, command in rows.items():
            times[name].append(seconds(command) / seconds(empty))
    for name, ratios in times.items():
        print(f"{name:<14} {statistics.median(ratios):5.1f} x python -c pass   ({min(ratios):.1f} to {max(ratios):.1f})")


if __name__ == "__main__":
    main()
