"""Upkeep: counts of a year and plain date arithmetic."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from purgecalc.formulas import upkeep
from purgecalc.references import COMMON_PRACTICE

DAYS = st.dates(date(1950, 1, 1), date(2150, 12, 31))
YEARS = 365.25 * 86400


def test_a_year_of_half_a_minute_each_half_hour() -> None:
    assert upkeep.operations_per_year(1, 1800.0) == pytest.approx(17520, rel=1e-3)  # 17 532 in a year of 365.25 days
    assert upkeep.operations_per_year(1, 1800.0) == pytest.approx(17532)


def test_lives() -> None:
    valve = upkeep.life_by_operations(1e6, 1, 1800.0)
    assert valve / YEARS == pytest.approx(57.0, abs=0.1)
    assert upkeep.life_by_operations(1e6, 2, 1800.0) == pytest.approx(valve / 2)


def test_month_ends() -> None:
    assert upkeep.add_months(date(2027, 1, 31), 1) == date(2027, 2, 28)
    assert upkeep.add_months(date(2028, 1, 31), 1) == date(2028, 2, 29)
    assert upkeep.add_months(date(2027, 12, 15), 1) == date(2028, 1, 15)
    assert upkeep.add_months(date(2028, 2, 29), 12) == date(2029, 2, 28)
    assert upkeep.add_months(date(2027, 11, 30), 24) == date(2029, 11, 30)


@given(DAYS, st.integers(0, 240), st.integers(0, 240))
def test_months_move_the_month_exactly_and_keep_order(start: date, a: int, b: int) -> None:
    got = upkeep.add_months(start, a)
    assert (got.year * 12 + got.month) - (start.year * 12 + start.month) == a
    assert got.day <= start.day
    assert (upkeep.add_months(start, b) > got) == (b > a)


@given(DAYS, st.floats(0, 40 * YEARS))
def test_due_date_lies_within_the_life(start: date, life: float) -> None:
    due = upkeep.due_after(start, life)
    assert due is not None
    assert -1e-8 <= life / 86400 - (due - start).days < 1


def test_a_share_of_a_life_that_is_a_whole_number_of_days_is_due_on_that_day() -> None:
    """Seven tenths of 130 d are 91 d: in binary a hair less, which must not be the day before."""
    start = date(2026, 3, 2)
    for days in range(10, 4000, 10):
        due = upkeep.due_with_band("seal", start, days * 86400.0, 0.3, COMMON_PRACTICE.at())
        assert due is not None
        got = [(on - start).days for on in (due.earliest, due.on, due.latest)]
        assert got == [7 * days // 10, days, 13 * days // 10]


def test_a_life_without_end_has_no_date() -> None:
    assert upkeep.due_after(date(2027, 1, 1), float("inf")) is None
    assert upkeep.due_after(date(2027, 1, 1), 1e15) is None
    assert upkeep.due_with_band("seal", date(2027, 1, 1), 1e15, 0.3, COMMON_PRACTICE.at()) is None


def test_plan_is_in_order_and_the_same_every_time() -> None:
    start = date(2027, 3, 31)
    seal = upkeep.due_with_band("compressor seal", start, 2 * YEARS, 0.3, COMMON_PRACTICE.at("maker's life"))
    assert seal is not None
    assert seal.earliest < seal.on < seal.latest
    plan = upkeep.plan(start, {"change the sensing element": 18, "change the purge hose outdoors": 0}, (seal,))
    assert plan == upkeep.plan(start, {"change the sensing element": 18, "change the purge hose outdoors": 0}, (seal,))
    assert [d.on for d in plan] == sorted(d.on for d in plan)
    found = {d.name: d.on for d in plan}
    assert found["change the sensing element"] == date(2028, 9, 30)
    assert found["clean or change the intake filter"] == date(2027, 6, 30)
    assert "change the purge hose outdoors" not in found
    assert {d.name for d in upkeep.plan(start)} == {t.name for t in upkeep.TASKS}


def test_default_intervals_are_those_of_common_practice() -> None:
    months = {t.name: t.months for t in upkeep.TASKS}
    assert months["clean or change the intake filter"] == 3
    assert months["drain the receiver, look for water"] == 1
    assert months["take out and test the check valve"] == 12
    assert months["change the sensing element"] == 24


def test_mistakes_are_refused() -> None:
    with pytest.raises(KeyError, match="no such task: polish"):
        upkeep.plan(date(2027, 1, 1), {"polish": 1})
