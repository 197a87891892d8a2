"""Blasts asked for side by side: each gets what it would get alone, and none is integrated twice."""

from __future__ import annotations

import threading
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from purgecalc.transient import Blast, Hose, shared, simulate
from purgecalc.transient.outcome import RESULT_NUMBERS
from purgecalc.transient.shared import integrated, side_by_side
from tests.transient.cases import CASES, random_blast

SIZE: dict[str, Any] = {"branches": 4, "tolerance": 1e-3}
ONE, TWO = CASES["thin hose"][0], CASES["slug"][0]
GRID = replace(ONE, hose=Hose(bore=np.array([[3e-3], [4e-3]]), length=np.array([5.0, 7.0, 9.0]), fittings=1.0))


@pytest.fixture
def marches(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Number of designs in every call of the solver."""
    seen: list[int] = []

    def counted(blast: Blast, branches: int, tolerance: float) -> Any:
        seen.append(int(np.prod(blast.shape())))
        return simulate(blast, branches, tolerance)

    monkeypatch.setattr(shared, "simulate", counted)
    return seen


def same(a: Any, b: Any) -> None:
    for name in (*RESULT_NUMBERS, "repeated"):
        x, y = np.asarray(getattr(a, name)), np.asarray(getattr(b, name))
        assert (x.shape, x.dtype) == (y.shape, y.dtype), name
        if name != "mass_error":
            np.testing.assert_allclose(x.astype(float), y.astype(float), rtol=1e-6, atol=1e-12, err_msg=name)


@pytest.mark.parametrize(
    "blasts", [(ONE,), (ONE, TWO), (GRID, ONE, GRID), (random_blast(6, seed=5), ONE, random_blast(3, seed=6))]
)
def test_every_calculation_gets_what_it_would_get_alone(blasts: tuple[Blast, ...]) -> None:
    found = side_by_side(*(lambda b=b: integrated(b, **SIZE) for b in blasts))  # type: ignore[misc]
    for blast, result in zip(blasts, found, strict=True):
        same(result, simulate(blast, **SIZE))


def test_what_is_asked_for_at_one_time_is_one_call_and_nothing_is_asked_twice(marches: list[int]) -> None:
    def long(length: Any) -> Any:
        return integrated(replace(ONE, hose=replace(ONE.elements[0], length=length)), **SIZE)

    def twice() -> Any:
        long(np.array([5.0, 6.0, 6.0]))
        return long(np.array([6.0, 8.0]))

    found = side_by_side(twice, lambda: long(np.array([6.0, 7.0])), lambda: "nothing asked")
    assert marches == [3, 1]  # 5, 6 and 7 m; then 8 m
    assert found[2] == "nothing asked"
    assert found[0].delivery_time[0] == found[1].delivery_time[0]


def test_what_cannot_be_one_array_is_integrated_apart(marches: list[int]) -> None:
    tabled = replace(TWO, source=replace(TWO.source, curve_pressure=(1e5, 2e5, 3e5), curve_flow=(2e-4, 1e-4, 0.0)))
    side_by_side(lambda: integrated(TWO, **SIZE), lambda: integrated(tabled, **SIZE), lambda: integrated(TWO, 5, 1e-3))
    assert marches == [1, 1, 1]


def test_outside_of_it_the_solver_is_called_as_ever() -> None:
    assert integrated(ONE, **SIZE).delivery_time == simulate(ONE, **SIZE).delivery_time


def test_the_first_failure_is_raised_after_all_have_ended() -> None:
    ended = []

    def fails(text: str) -> None:
        integrated(ONE, **SIZE)
        raise ValueError(text)

    def works() -> None:
        integrated(ONE, **SIZE)
        integrated(TWO, **SIZE)
        ended.append(True)

    before = threading.active_count()
    with pytest.raises(ValueError, match="the first"):
        side_by_side(works, lambda: fails("the first"), lambda: fails("the second"))
    assert ended == [True]
    assert threading.active_count() == before


def test_a_blast_the_solver_refuses_is_refused_to_the_caller() -> None:
    before = threading.active_count()
    flooded = replace(TWO, head=replace(TWO.head, wetted_length=9.0))
    with pytest.raises(ValueError, match="water column"):
        side_by_side(lambda: integrated(ONE, **SIZE), lambda: integrated(flooded, **SIZE))
    assert threading.active_count() == before


def test_an_interrupt_leaves_nobody_waiting(monkeypatch: pytest.MonkeyPatch) -> None:
    def interrupted(*request: Any) -> Any:
        raise KeyboardInterrupt

    monkeypatch.setattr(shared, "simulate", interrupted)
    before = threading.active_count()
    with pytest.raises(KeyboardInterrupt):
        side_by_side(lambda: integrated(ONE, **SIZE), lambda: integrated(TWO, **SIZE))
    for thread in threading.enumerate():
        if thread.daemon and thread is not threading.current_thread():
            thread.join(1.0)
    assert threading.active_count() <= before
