"""A name of schema 1 is refused with what it is called now, wherever somebody may still write it."""

import tomllib
from typing import Any, get_args

import pytest

from purgecalc.renamed import TABLE, renamed
from purgecalc.rules import rule_book
from purgecalc.scenario.model import Scenario
from tests.command import run
from tests.lines import BASE, SCENARIOS

TABLES = tomllib.loads(TABLE.read_text(encoding="utf-8"))
SITE = str(SCENARIOS / "fernwhistle.toml")


def keys_of(model: Any = Scenario, prefix: str = "") -> set[str]:
    found = set()
    for name, info in model.model_fields.items():
        found.add(f"{prefix}{name}")
        todo = [info.annotation]
        while todo:
            part = todo.pop()
            if hasattr(part, "model_fields"):
                found |= keys_of(part, f"{prefix}{name}.")
            else:
                todo.extend(get_args(part))
    return found


def test_every_new_key_and_rule_is_one_and_no_old_one_is() -> None:
    keys = keys_of()
    for old, new in TABLES["keys"].items():
        assert old.strip(".") not in keys
        assert new.strip(".") in keys
    for old, new in TABLES["rules"].items():
        assert old not in rule_book()
        assert new in rule_book()


def test_a_beginning_stands_for_all_that_begin_so_and_an_exact_name_goes_first() -> None:
    assert renamed("quantities", "safety.jet_impact") == "pressure.jet_impact"
    assert renamed("quantities", "pressure_safety.vessel_pressure") == "pressure.receiver_pressure"
    assert renamed("quantities", "hose.length") == ""


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("check", SITE, "--set", "line.schedule.freeze_lead=2 s"), '"line.schedule.hold_lead"'),
        (("check", SITE, "--set", "line.outputs.bus=park-at-value"), '"substitute"'),
        (("check", SITE, "--set", "waive.latch=not needed"), '"held-value"'),
        (("explain", SITE, "reading.blind_time"), '"reading.hold_time"'),
        (("sweep", SITE, "--vary", "source.free_air=20:60:3[L/min]"), '"source.flow"'),
        (("sweep", SITE, "--vary", "source.flow=20:60:3[L/min]", "--of", "head.jet_ratio"), '"head.jet_thrust_ratio"'),
    ],
)
def test_an_old_name_is_refused_with_the_new_one(words: tuple[str, ...], said: str) -> None:
    done = run(*words)
    assert done.returncode in (2, 3)
    assert f"is called {said} since schema 2" in done.stderr


def test_a_table_of_before_is_refused_with_its_place() -> None:
    done = run("check", "-", stdin=f'{BASE}\n[air_quality]\nintake_humidity = "60 %"\n')
    assert done.returncode == 3
    assert 'air_quality: is called "moisture" since schema 2' in done.stderr
