"""Works the published cases: what a source prints beside what the formulas give."""

from __future__ import annotations

import inspect
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

from purgecalc import formulas
from purgecalc.published import measurements, openings, pipes, states, vessels
from purgecalc.published.reader import Case, Printed
from purgecalc.working import FORMULAS

formulas.load()
PROCEDURES: dict[str, Callable[..., Any]] = {
    name: f
    for module in (pipes, openings, vessels, states, measurements)
    for name, f in vars(module).items()
    if inspect.isfunction(f) and f.__module__ == module.__name__ and not name.startswith("_")
}


@dataclass(frozen=True)
class Compared:
    """One printed figure against ours, ``got`` and ``allowed`` in SI."""

    name: str
    printed: Printed
    got: float
    allowed: float

    @property
    def met(self) -> bool:
        return abs(self.got - self.printed.value) <= self.allowed

    def __str__(self) -> str:
        off, allowed = (100 * x / abs(self.printed.value) for x in (self.got - self.printed.value, self.allowed))
        return f"{self.name}: printed {self.printed.text}, off by {off:+.2g} % (allowed {allowed:.2g} %)"


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


def work(case: Case) -> tuple[list[Compared], list[str]]:
    """The figures of a case, and the formulas it claims to cover without calling them."""
    function: Callable[..., Any] = FORMULAS[case.formula].function if case.formula else PROCEDURES[case.procedure]
    with _called() as ran:
        result = function(**case.inputs)
    results = result if isinstance(result, dict) else {"result": float(result)}
    figures = [Compared(name, printed, float(results[name]), case.allowed[name]) for name, printed in case.expected.items()]
    return figures, [c for c in case.covers if FORMULAS[c].function.__code__ not in ran]
