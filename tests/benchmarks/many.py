"""What tables and sweeps cost: rows a second, memory and time of a million rows, whole commands as ratios, the same flow by other libraries.

    python -m tests.benchmarks.many [pairs]

Ratios are taken in one process or run by run in turns; prints, asserts nothing. The machine may be busy: quote the ratios.
"""

import resource
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

import numpy as np

from purgecalc.design import design
from purgecalc.design.line import airway
from purgecalc.scenario import load
from purgecalc.studies.batch import run
from purgecalc.studies.resolved import RESOLVED
from tests.benchmarks.start import ENVIRONMENT, seconds
from tests.formulas.test_operating_point import independent_flow
from tests.lines import read

S1 = "scenarios/fernwhistle.toml"
MILLION, ROWS, SLOW = 1_000_000, 100_000, 60
RANGES = {
    "line.hose.length [m]": (3, 60),
    "line.hose.bore [mm]": (4, 10),
    "source.flow [L/min]": (30, 90),
    "line.head.depth [m]": (0.5, 4),
    "line.schedule.blast [s]": (10, 60),
}


def designs(size: int, seed: int = 0) -> dict[str, Any]:
    """Random rows of a table."""
    rng = np.random.default_rng(seed)
    return {head: rng.uniform(low, high, size) for head, (low, high) in RANGES.items()}


def peak() -> float:
    """Most memory this process has had, MiB."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def memory() -> None:
    """A million rows, inputs and answers included, over what the imports and one small table took."""
    base = read()
    run(designs(10), base, integrate=False)
    floor = peak()
    columns = designs(MILLION)
    start = time.perf_counter()
    run(columns, base, integrate=False)
    taken = time.perf_counter() - start
    print(
        f"{MILLION:,} rows judged by every rule: {taken:.2f} s, {taken / MILLION * 1e6:.2f} us a row, {peak() - floor:.0f} MiB more at the peak"
    )


def followed() -> None:
    """Rows with every blast followed in time, as a table is judged unless told otherwise."""
    for name, size in (("fernwhistle", 16_384), ("trivet-mill", 4_096)):
        base, columns = load(f"scenarios/{name}.toml"), designs(size, seed=3)
        del columns["source.flow [L/min]"]
        start = time.perf_counter()
        found = run(columns, base)
        taken, settled = time.perf_counter() - start, np.mean(found["delivery"] == RESOLVED)
        print(f"{name}: {size / taken:,.0f} rows a second, {settled:.1%} of them settled near a limit, {peak():.0f} MiB")


def others() -> None:
    """Flow alone by fluids and scipy's brentq, against flow, sheet and rules of a table's rows, taking turns."""
    base, columns = read(), designs(ROWS, seed=1)
    ours, theirs = [], []
    for _ in range(3):
        start = time.perf_counter()
        run(columns, base, integrate=False)
        ours.append((time.perf_counter() - start) / ROWS)
        lines = []
        for i in range(SLOW):
            si = {
                "hose.length": columns["line.hose.length [m]"][i],
                "hose.bore": columns["line.hose.bore [mm]"][i] / 1e3,
                "source.flow": columns["source.flow [L/min]"][i] / 6e4,
                "head.depth": columns["line.head.depth [m]"][i],
            }
            d = design(base.lines[0].changed(si), unsteady=False)
            way = {k: float(v) for k, v in vars(airway(d.sheet, d.inputs)).items()}
            lines.append((way, d.supply.law, d.number("line.mass_flow")))
        start = time.perf_counter()
        flows = [independent_flow(way, law) for way, law, _ in lines]
        theirs.append((time.perf_counter() - start) / SLOW)
        assert np.allclose(flows, [m for _, _, m in lines], rtol=1e-6)
    ratio = statistics.median(t / o for t, o in zip(theirs, ours, strict=True))
    print(f"flow alone by fluids and brentq: {ratio:.0f} times as long as flow, sheet and rules here")


def commands(pairs: int) -> None:
    """Whole commands, each in turn with an empty Python and with one check."""
    with tempfile.TemporaryDirectory() as folder:
        table = Path(folder) / "designs.csv"
        columns = designs(ROWS, seed=2)
        rows = [f"d{i}," + ",".join(f"{v:.4f}" for v in row) for i, row in enumerate(zip(*columns.values(), strict=True))]
        table.write_text("\n".join(["name," + ",".join(columns), *rows]) + "\n")
        call = [sys.executable, "-m", "purgecalc"]
        grid = ["--vary", "line.hose.length=3:60:40[m]", "--vary", "line.hose.bore=4,6,8,10[mm]"]
        todo = {
            "check": [*call, "check", S1],
            "sweep of 160, blasts integrated": [*call, "sweep", S1, *grid],
            "sweep of 160, blasts by hand": [*call, "sweep", S1, *grid, "--blast", "estimate"],
            "batch of 100,000 rows, file to file": [
                *call,
                "batch",
                str(table),
                "--base",
                S1,
                "-o",
                f"{folder}/out.csv",
                "--force",
                "--blast",
                "estimate",
            ],
        }
        for command in todo.values():
            subprocess.run(command, capture_output=True, env=ENVIRONMENT, check=False)
        times: dict[str, list[float]] = {name: [] for name in todo}
        empty = []
        for _ in range(pairs):
            empty.append(seconds([sys.executable, "-c", "pass"]))
            for name, command in todo.items():
                times[name].append(seconds(command))
    for name, taken in times.items():
        bare = statistics.median(t / e for t, e in zip(taken, empty, strict=True))
        one = statistics.median(t / c for t, c in zip(taken, times["check"], strict=True))
        print(f"{name:<37} {bare:5.1f} x python -c pass   {one:5.2f} x check")


def main() -> None:
    followed()
    memory()
    others()
    commands(int(sys.argv[1]) if len(sys.argv) > 1 else 9)


if __name__ == "__main__":
    main()
