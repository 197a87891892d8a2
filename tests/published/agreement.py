"""Works the published cases and says how closely each is met: ``python -m tests.published.agreement``."""

from __future__ import annotations

import inspect
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

from purgecalc import formulas
from purgecalc.working import FORMULAS
from tests.published import measurements, procedures, reader

formulas.load()
PROCEDURES: dict[str, Callable[..., Any]] = {
    name: f
    for module in (procedures, measurements)
    for name, f in vars(module).items()
    if inspect.isfunction(f) and f.__module__ == module.__name__ and not name.startswith("_") and name != "same_rt"
}


@dataclass(frozen=True)
class Figure:
    """One printed figure against ours; ``off`` and ``allowed`` as shares of the printed value."""

    name: str
    printed: str
    off: float
    allowed: float

    @property
    def met(self) -> bool:
        return abs(self.off) <= self.allowed

    def __str__(self) -> str:
        return f"{self.name}: printed {self.printed}, off by {100 * self.off:+.2g} % (allowed {100 * self.allowed:.2g} %)"


@contextmanager
def _called() -> Iterator[set[Any]]:
    """Collects the code that runs, so that a case cannot claim a formula it does not use."""
    seen: set[Any] = set()
    before = sys.getprofile()
    sys.setprofile(lambda frame, event, _: seen.add(frame.f_code) if event == "call" else None)
    try:
        yield seen
    finally:
        sys.setprofile(before)


def work(case: reader.Case) -> tuple[list[Figure], list[str]]:
    """The figures of a case, and the formulas it claims to cover without calling them."""
    function: Callable[..., Any] = FORMULAS[case.formula].function if case.formula else PROCEDURES[case.procedure]
    with _called() as ran:
        result = function(**case.inputs)
    results = result if isinstance(result, dict) else {"result": float(result)}
    figures = [
        Figure(name, printed.text, results[name] / printed.value - 1, case.allowed[name] / abs(printed.value))
        for name, printed in case.expected.items()
    ]
    return figures, [c for c in case.covers if FORMULAS[c].function.__code__ not in ran]


def report(every: list[reader.Case]) -> None:
    """Handbooks first, then what was measured: the one is met to its last digit, the other within its scatter."""
    for title, measured in (("Printed in handbooks, papers and standards, or closed forms", False), ("Measured", True)):
        cases = [case for case in every if (case.seen == "measured") is measured]
        found = [(case, figure) for case in cases for figure in work(case)[0]]
        met = sum(figure.met for _, figure in found)
        sys.stdout.write(f"{title}: {met} of {len(found)} figures met\n")
        for case, figure in found:
            sys.stdout.write(f"{case.id:14} {'ok ' if figure.met else 'OFF'} {figure}  [{case.seen}] {case.title}\n")


if __name__ == "__main__":
    report(reader.cases())
