"""What a steady operating point costs, against `np.log` and against a scalar solution with fluids and scipy.

    python -m tests.benchmarks.steady [rounds]

One process, the contenders taking turns; medians. Prints a table; asserts nothing. The machine may be busy: the ratios
are what to quote.
"""

import resource
import statistics
import sys
import time
from collections.abc import Callable
from typing import Any

import numpy as np

from purgecalc.formulas import air
from purgecalc.formulas.operating_point import Airway, Supply, solve
from tests.formulas.test_operating_point import independent_flow, one, one_of

ELEMENTS, DESIGNS, SLOW, MANY = 16384, 100_000, 30, 1_000_000


def random_lines(n: int, seed: int = 0) -> tuple[dict[str, Any], Supply, Supply]:
    """Lines as they are bought, every number varied, on a compressor and on a receiver."""
    rng = np.random.default_rng(seed)
    p_atm, T = rng.uniform(8e4, 1.03e5, n), rng.uniform(273, 313, n)
    way = {
        "p_back": p_atm + 9810 * rng.uniform(0.2, 6, n),
        "crack": rng.uniform(0, 1e4, n),
        "hole_area": 10 ** rng.uniform(-6, -4.5, n),
        "T": T,
        "mu": air.viscosity(T),
        "D": rng.uniform(4e-3, 13e-3, n),
        "L": rng.uniform(1, 50, n),
        "eps": 10 ** rng.uniform(-6.5, -4.5, n),
        "K": rng.uniform(0, 10, n),
        "valve_slope": 10 ** rng.uniform(6.5, 8.5, n),
        "valve_b": rng.uniform(0.2, 0.5, n),
    }
    top = p_atm + rng.uniform(1e5, 9e5, n)
    return way, Supply((p_atm, top), (10 ** rng.uniform(-4, -2, n), np.zeros(n))), Supply(pressure=top)


def seconds(work: Callable[[], object]) -> float:
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def main() -> None:
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 9
    way, curve, receiver = random_lines(DESIGNS)
    line = Airway(**way)
    x, out = np.linspace(0.5, 2, ELEMENTS), np.empty(ELEMENTS)
    single, single_curve = Airway(**one(way, 0)), one_of(curve, 0)
    slow = [i for i in range(2 * SLOW) if curve.points[1][i] > way["p_back"][i] + way["crack"][i] + 1e4][:SLOW]
    contenders: dict[str, tuple[int, Callable[[], object]]] = {
        "np.log, an element": (ELEMENTS * 50, lambda: [np.log(x, out=out) for _ in range(50)]),
        "on a flow curve": (DESIGNS, lambda: solve(line, curve)),
        "on a fixed pressure": (DESIGNS, lambda: solve(line, receiver)),
        "one at a time": (50, lambda: [solve(single, single_curve) for _ in range(50)]),
        "fluids and brentq": (len(slow), lambda: [independent_flow(one(way, i), one_of(curve, i)) for i in slow]),
    }
    times: dict[str, list[float]] = {name: [] for name in contenders}
    for _ in range(rounds):
        for name, (count, work) in contenders.items():
            times[name].append(seconds(work) / count)
    log, scalar = times["np.log, an element"], times["fluids and brentq"]
    print(f"{'':<22}{'ns/design':>12}{'np.log':>10}{'x as fast':>14}")
    for name, taken in times.items():
        in_logs = statistics.median(t / u for t, u in zip(taken, log, strict=True))
        faster = statistics.median(u / t for t, u in zip(taken, scalar, strict=True))
        print(f"{name:<22}{statistics.median(taken) * 1e9:>12.1f}{in_logs:>10.0f}{faster:>14.1f}")
    way, curve, _ = random_lines(MANY)
    line = Airway(**way)
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    taken_many = seconds(lambda: solve(line, curve))
    extra = (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) / 1024
    in_logs = taken_many / MANY / statistics.median(log)
    print(f"{MANY:,} designs on a curve: {taken_many:.2f} s, {in_logs:.0f} np.log a design, {extra:.0f} MiB more at the peak")


if __name__ == "__main__":
    main()
