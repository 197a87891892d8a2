"""Blasts that several calculations ask for, integrated in one call, and none of them twice.

A hundred designs in one call cost half as much again as ten. Calculations that do not need each other's answers are
therefore run side by side, each until it asks for a blast; what all of them asked for is then integrated together.
"""

from __future__ import annotations

import contextvars
import threading
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import fields, is_dataclass, replace
from queue import SimpleQueue
from typing import Any

import numpy as np

from purgecalc.transient.blast import Blast, is_curve, is_number, is_series, leaves
from purgecalc.transient.laws import Array
from purgecalc.transient.outcome import RESULT_NUMBERS, Result
from purgecalc.transient.solver import simulate

Request = tuple[Blast, int, float]
Key = tuple[tuple[Any, ...], bytes]
Simulate = Callable[[Blast, int, float], Result]
_SIMULATE: contextvars.ContextVar[Simulate] = contextvars.ContextVar("simulate", default=simulate)
_COLUMNS = (*RESULT_NUMBERS, "repeated")


def integrated(blast: Blast, branches: int, tolerance: float) -> Result:
    """``simulate``, together with what is asked for beside it where the caller was started by ``side_by_side``."""
    return _SIMULATE.get()(blast, branches, tolerance)


@contextmanager
def answered_by(answer: Callable[[Blast], Result]) -> Iterator[None]:
    """Within, ``answer`` integrates what is asked for, at a resolution of its own."""
    token = _SIMULATE.set(lambda blast, branches, tolerance: answer(blast))
    try:
        yield
    finally:
        _SIMULATE.reset(token)


def side_by_side(*calculations: Callable[[], Any]) -> list[Any]:
    """What the calculations return, in their order. One at a time computes: what they share need not be safe for threads.

    Raises what the first of them raised, once all have ended.
    """
    solved = Solved()
    jobs = [_Job(calculation) for calculation in calculations]
    for job in jobs:
        job.start()
    try:
        while waiting := [job for job in jobs if job.asks]:
            for job, result in zip(waiting, _answers([job.asks for job in waiting if job.asks], solved), strict=True):
                job.go_on(result)
    except BaseException as stopped:  # an interrupt in the midst of a solution: nobody is left waiting for it
        for job in jobs:
            if job.asks:
                job.go_on(stopped)
        raise
    for job in jobs:
        if job.failed is not None:
            raise job.failed
    return [job.answer for job in jobs]


def _answers(asked: Sequence[Request], solved: Solved) -> Sequence[Result | Exception]:
    """A result for every request; for all of them the refusal, if the solver refuses one."""
    try:
        return solved.results(asked)
    except Exception as error:
        return [error] * len(asked)


class _Job:
    """A calculation on a thread of its own, which stands still while it waits for a blast; ``asks`` is what it waits for."""

    def __init__(self, calculation: Callable[[], Any]) -> None:
        self._calculation = calculation
        self._stopped: SimpleQueue[None] = SimpleQueue()
        self._results: SimpleQueue[Result | BaseException] = SimpleQueue()
        self.asks: Request | None = None
        self.answer: Any = None
        self.failed: BaseException | None = None

    def start(self) -> None:
        """Run to the first blast, or to the end."""
        context = contextvars.copy_context()
        context.run(_SIMULATE.set, self._ask)
        threading.Thread(target=context.run, args=(self._work,), daemon=True).start()
        self._stopped.get()

    def go_on(self, result: Result | BaseException) -> None:
        """Hand over what was asked for; run to the next blast, or to the end."""
        self.asks = None
        self._results.put(result)
        self._stopped.get()

    def _ask(self, blast: Blast, branches: int, tolerance: float) -> Result:
        self.asks = blast, branches, tolerance
        self._stopped.put(None)
        result = self._results.get()
        if isinstance(result, BaseException):
            raise result
        return result

    def _work(self) -> None:
        try:
            self.answer = self._calculation()
        except BaseException as error:  # raised again by the caller of all
            self.failed = error
        self._stopped.put(None)


class Solved:
    """Results of single designs, kept by every number that goes into them."""

    def __init__(self) -> None:
        self._place: dict[Key, int] = {}
        self._values: dict[str, Array] = {}

    def results(self, asked: Sequence[Request]) -> list[Result]:
        """The answers; what is new is integrated first, in one call for all that are of one form."""
        known = [_columns(request) for request in asked]
        fresh: dict[Any, tuple[Request, dict[Key, Array]]] = {}
        for request, (keys, columns) in zip(asked, known, strict=True):
            new = fresh.setdefault(keys[0][0], (request, {}))[1]
            new.update((key, column) for key, column in zip(keys, columns, strict=True) if key not in self._place)
        for like, new in fresh.values():
            if new:
                self._solve(like, new)
        return [self._result(keys, request[0].shape()) for request, (keys, _) in zip(asked, known, strict=True)]

    def _solve(self, like: Request, new: dict[Key, Array]) -> None:
        blast, branches, tolerance = like
        found = simulate(refilled(blast, iter(np.stack(list(new.values()), axis=1))), branches, tolerance)
        start = len(self._place)
        self._place.update((key, start + i) for i, key in enumerate(new))
        for name in _COLUMNS:
            more = np.atleast_1d(getattr(found, name))
            self._values[name] = np.concatenate([self._values[name], more]) if start else more

    def _result(self, keys: Sequence[Key], shape: tuple[int, ...]) -> Result:
        places = np.array([self._place[key] for key in keys]).reshape(shape)
        return Result(**{name: values[places][()] for name, values in self._values.items()})


def _columns(request: Request) -> tuple[list[Key], Array]:
    """What tells each design from every other, and what cannot be one array with it; with its numbers, a row a design."""
    blast, *size = request
    form: list[Any] = [*size, len(blast.elements)]
    for name, value in leaves(blast):
        form += [] if is_number(value) and not is_curve(name) else [len(value) if is_curve(name) else value]
    columns = np.ascontiguousarray(numbers(blast).T)
    return [(tuple(form), column.tobytes()) for column in columns], columns


def numbers(blast: Blast) -> Array:
    """Every number of every design: a row for each number, in the order of ``leaves``, and a column for each design."""
    shape, rows = blast.shape(), []
    for name, value in leaves(blast):
        if is_number(value):
            points = np.asarray(value, float)
            rows += [np.broadcast_to(row, shape).reshape(-1) for row in (points if is_curve(name) else (points,))]
    return np.stack(rows)


def refilled(part: Any, rows: Iterator[Array]) -> Any:
    """A blast with its numbers taken from ``rows``, in the order of ``leaves``."""
    changed: dict[str, Any] = {}
    for f in fields(part):
        value = getattr(part, f.name)
        if is_series(value):
            changed[f.name] = tuple(refilled(each, rows) for each in value)
        elif is_dataclass(value):
            changed[f.name] = refilled(value, rows)
        elif is_curve(f.name):
            changed[f.name] = np.stack([next(rows) for _ in range(len(value))])
        elif is_number(value):
            changed[f.name] = next(rows)
    return replace(part, **changed)
