"""What a blast costs, in passes of np.log over 16,384 numbers in the same process. Run: python -m tests.benchmarks.transient"""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable
from dataclasses import fields, replace
from typing import Any

import numpy as np

from purgecalc.transient import Blast, Hose, simulate
from tests.transient.cases import CASES, random_blast

QUICK: dict[str, Any] = {"branches": 4, "tolerance": 1e-3}


def median_time(call: Callable[[], object], repeats: int) -> float:
    """Median of the repeats after one warm-up."""
    call()
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        call()
        times.append(time.perf_counter() - start)
    return statistics.median(times)


def log_passes(numbers: np.ndarray) -> None:
    """Two hundred passes; each result is dropped, so that memory is not measured."""
    for _ in range(200):
        np.log(numbers)


def pick(part: Any, i: int) -> Any:
    """One design out of many: every array field at ``i``."""
    changed: dict[str, Any] = {}
    for f in fields(part):
        value = getattr(part, f.name)
        if f.name in ("source", "valve", "hose", "head"):
            changed[f.name] = pick(value, i)
        elif isinstance(value, np.ndarray):
            changed[f.name] = value[..., i]
    return replace(part, **changed)


def sizing(source: str, n: int) -> Blast:
    """What sizing asks for in one call: one source, ``n`` lengths of 4 mm hose from 1 to 100 m."""
    blast = CASES[source][0]
    return replace(blast, hose=Hose(bore=4e-3, length=np.geomspace(1.0, 100.0, n), fittings=2.0))


def main() -> None:
    numbers = np.random.default_rng(1).uniform(0.5, 2, 16384)
    log_pass = median_time(lambda: log_passes(numbers), 7) / 200
    out = sys.stdout.write
    out(f"np.log over 16,384: {log_pass * 1e6:.1f} us\n")
    for name, (blast, _) in CASES.items():
        cost = median_time(lambda blast=blast: simulate(blast), 5)  # type: ignore[misc]
        out(f"{name:24s} {cost * 1e3:7.1f} ms {cost / log_pass:8.0f} passes\n")
    thin = CASES["thin hose"][0]
    starts, walls = np.array([[8e5], [6e5]]), np.array([0.0, 5.0, np.inf])
    six = replace(thin, source=replace(thin.source, pressure=starts, wall_conductance=walls))
    ratio = median_time(lambda: simulate(six), 5) / median_time(lambda: simulate(thin), 5)
    out(f"thin hose, 2 starts x 3 walls in one call: {ratio:.1f} times one\n")
    for source, name in (("compressor alone", "direct"), ("receiver, short hose", "receiver")):
        for n in (8, 30, 100):
            cost = median_time(lambda source=source, n=n: simulate(sizing(source, n)), 3)  # type: ignore[misc]
            out(f"{name}, {n:3d} lengths in one call: {cost * 1e3:7.1f} ms {cost / log_pass:8.0f} passes\n")
    many: Blast = random_blast(1000, seed=3)
    together = median_time(lambda: simulate(many, **QUICK), 3) / 1000
    alone = statistics.median(median_time(lambda i=i: simulate(pick(many, i), **QUICK), 1) for i in range(0, 1000, 50))  # type: ignore[misc]
    out(f"1,000 designs: {together * 1e6:.0f} us each, singly {alone * 1e6:.0f} us: {alone / together:.0f} times\n")
    for n in (4096, 20000):
        crowd = random_blast(n, seed=4)
        cost = median_time(lambda crowd=crowd: simulate(crowd, **QUICK), 3) / n  # type: ignore[misc]
        out(f"{n:,} designs: {1 / cost:.0f} per second, {cost / log_pass:.1f} passes each\n")


if __name__ == "__main__":
    main()
