"""Upkeep: how much the parts work in a year, and the dates their lives run out.

Dates are counted from a start date that is given; today's date is never asked for, so a plan is the same whenever printed.
"""

from __future__ import annotations

import calendar
import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from purgecalc.formulas.duty import YEAR
from purgecalc.references import COMMON_PRACTICE, DERIVED, OUR_JUDGEMENT, Citation
from purgecalc.si import PerSecond, Ratio, Second
from purgecalc.working import formula

_DAY = 86400.0
_ROUND_OFF = 1e-12  # a ten-thousandth of a second in a life of thirty years


@formula(
    "upkeep.operations_per_year",
    symbol="n_year",
    title="Operations a year",
    kind="count",
    takes="n: operations in each interval, on and off again as one; T: interval between blasts",
    shown="n*year/T",
    cite=DERIVED.at("blasts at equal intervals"),
    valid="every day of the year; one operation is on and off again",
    unpublished="a product",
)
def operations_per_year(n: Ratio, T: Second) -> Ratio:
    """Starts of a motor, or operations of a valve."""
    return n * YEAR.value / T


@formula(
    "upkeep.life_by_operations",
    symbol="t_life",
    title="Calendar time until a life in operations is used up",
    kind="time",
    takes="n_rated: the maker's life in operations; n: operations in each interval; T: interval between blasts",
    shown="n_rated*T/n",
    cite=DERIVED.at("blasts at equal intervals"),
    valid="wear by operating only",
    unpublished="a product",
)
def life_by_operations(n_rated: Ratio, n: Ratio, T: Second) -> Second:
    """As a valve wears."""
    return n_rated * T / n


@dataclass(frozen=True)
class Task:
    """Something to be done every so many months."""

    name: str
    months: int
    cite: Citation


TASKS = (
    Task("drain the receiver, look for water", 1, COMMON_PRACTICE.at()),
    Task("compare the probe with a reference", 1, COMMON_PRACTICE.at("purging is not calibration")),
    Task("clean or change the intake filter", 3, COMMON_PRACTICE.at()),
    Task("repeat the commissioning measurements", 3, OUR_JUDGEMENT.at("the baseline is only useful if repeated")),
    Task("take out and test the check valve", 12, COMMON_PRACTICE.at()),
    Task(
        "change the sensing element", 24, COMMON_PRACTICE.at("two years for an optical sensing face; the maker's life goes first")
    ),
    Task("change the purge hose outdoors", 60, COMMON_PRACTICE.at("five years in the sun")),
)


@dataclass(frozen=True)
class Due:
    """A task with its first date, and where the life is uncertain the earliest and latest."""

    name: str
    on: date
    earliest: date
    latest: date
    cite: Citation


def add_months(start: date, months: int) -> date:
    """The same day so many months on; a day the month lacks becomes its last day."""
    year, month = divmod(start.year * 12 + start.month - 1 + months, 12)
    last = calendar.monthrange(year, month + 1)[1]
    return date(year, month + 1, min(start.day, last))


def due_after(start: date, life: float) -> date | None:
    """The last whole day within a life in seconds. None where it is endless or beyond the calendar.

    A life worked out as a whole number of days is that number, not the day before because of its last binary digit.
    """
    days = life / _DAY * (1 + _ROUND_OFF)
    if not math.isfinite(days) or days > (date.max - start).days:
        return None
    return start + timedelta(days=math.floor(days))


def due_with_band(name: str, start: date, life: float, spread: float, cite: Citation) -> Due | None:
    """A task due when a life in seconds ends, give or take the share ``spread`` of it."""
    on, early, late = (due_after(start, life * k) for k in (1.0, 1.0 - spread, 1.0 + spread))
    if on is None or early is None or late is None:
        return None
    return Due(name, on, early, late, cite)


def plan(start: date, months: Mapping[str, int] | None = None, wear: tuple[Due, ...] = ()) -> tuple[Due, ...]:
    """First date of every task, soonest first. ``months`` overrides an interval by name (0 leaves the task out)."""
    chosen = months or {}
    unknown = set(chosen) - {task.name for task in TASKS}
    if unknown:
        raise KeyError(f"no such task: {', '.join(sorted(unknown))}; there are: {', '.join(t.name for t in TASKS)}")
    regular = []
    for task in TASKS:
        every = chosen.get(task.name, task.months)
        if every > 0:
            on = add_months(start, every)
            regular.append(Due(task.name, on, on, on, task.cite))
    return tuple(sorted([*regular, *wear], key=lambda due: (due.on, due.name)))


@formula(
    "upkeep.run_time_of_share",
    symbol="t_year",
    title="Running time of the source a year, all lines",
    kind="time",
    takes="share: mean share of the time that the source runs for all its lines",
    shown="share*year",
    cite=DERIVED.at("mean share of running time"),
    valid="every day of the year; a year of 365.25 days",
    unpublished="a product",
)
def run_time_of_share(share: Ratio) -> Second:
    """Over a year, for the mean ``share`` of the time that the source runs for all its lines."""
    return share * YEAR.value


@formula(
    "upkeep.starts_per_year",
    symbol="n_year",
    title="Starts of the source a year, all lines",
    kind="count",
    takes="rate: mean rate of starts over the year, of the whole source",
    shown="rate*year",
    cite=DERIVED.at("mean rate of starts"),
    valid="every day of the year",
    unpublished="a product",
)
def starts_per_year(rate: PerSecond) -> Ratio:
    """Over a year, at the mean ``rate`` of starts of the whole source."""
    return rate * YEAR.value


@formula(
    "upkeep.life_of_share",
    symbol="t_life",
    title="Calendar time until a life in running time is used up",
    kind="time",
    takes="t_rated: the maker's life in running time; share: mean share of the time that the source runs for all its lines",
    shown="t_rated/share",
    cite=DERIVED.at("mean share of running time"),
    valid="wear by running only",
    unpublished="a quotient",
)
def life_of_share(t_rated: Second, share: Ratio) -> Second:
    """Calendar time, at the mean ``share`` of the time that the source runs for all its lines."""
    return t_rated / share
