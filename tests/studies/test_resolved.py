"""Many designs judged as check judges one, however they are laid out and whatever else is worked out beside them."""

from collections.abc import Mapping
from functools import cache
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from purgecalc.design import design_all
from purgecalc.errors import NoPhysicalAnswer, UsageError
from purgecalc.rules import judge, rule_settings
from purgecalc.scenario import ScenarioInputs, load
from purgecalc.studies import sweep as sweeps
from purgecalc.studies.batch import run
from purgecalc.studies.grades import varied
from purgecalc.studies.many import IMPOSSIBLE
from purgecalc.studies.resolved import NEAR, Judged, judged
from purgecalc.studies.sweep import Axis, axis, sweep
from tests.campaign import few_or_many
from tests.lines import RECEIVER, SCENARIOS, read

SITES = sorted(path.stem for path in SCENARIOS.glob("*.toml"))
SPANS = {
    "hose.length": (2.0, 70.0),
    "hose.bore": (3e-3, 12e-3),
    "schedule.blast": (4.0, 90.0),
    "schedule.hold_off": (30.0, 150.0),
    "schedule.interval": (400.0, 5000.0),
}
STEPS = (3, 2, 2, 3, 2)


@cache
def scenario(name: str) -> ScenarioInputs:
    return load(str(SCENARIOS / f"{name}.toml"))


@cache
def grid(name: str, seed: int) -> tuple[dict[str, NDArray[Any]], Judged]:
    """Random values, each figure along an axis of its own, and all combinations judged."""
    rng, base = np.random.default_rng(seed), scenario(name)
    values = [np.exp(rng.uniform(*np.log(span), n)) for span, n in zip(SPANS.values(), STEPS, strict=True)]
    changes = dict(zip(SPANS, np.meshgrid(*values, indexing="ij", sparse=True), strict=True))
    return changes, judged(varied(base.lines, changes), rule_settings(base), base.waive)


@pytest.mark.parametrize("name", [pytest.param(s, marks=pytest.mark.campaign if s == "pellwick" else ()) for s in SITES])
@few_or_many(1, 40)
def test_a_place_of_a_grid_has_the_findings_of_a_check(name: str, count: int) -> None:
    base, rng = scenario(name), np.random.default_rng(count)
    for i in range(count):
        changes, found = grid(name, i // 20)
        place = tuple(map(int, (rng.integers(n) for n in found.first.shape)))
        own = {id: float(v.ravel()[place[k]]) for k, (id, v) in enumerate(changes.items())}
        cannot = any(where[place] for where in found.first.impossible().values())
        try:
            findings = judge(design_all(varied(base.lines, own)), rule_settings(base), base.waive)
        except NoPhysicalAnswer:
            assert cannot
            continue
        assert not cannot
        alone = {(f.rule.id, f.line): int(f.level) for f in findings if f.state == "fails"}
        levels = {key: int(found.each(lambda g, key=key: g.levels[key])[place]) for key in found.first.levels}
        assert {key: level for key, level in levels.items() if level > 0} == alone, own


def same(one: Mapping[str, NDArray[Any]], other: Mapping[str, NDArray[Any]]) -> None:
    assert list(one) == list(other)
    for head, values in one.items():
        if values.dtype == object:
            assert values.tolist() == other[head].tolist(), head
        else:
            assert values == pytest.approx(other[head], rel=1e-6, nan_ok=True), head


THREE = ["line.hose.length=3:60:6[m]", "line.schedule.hold_off=40:120:3[s]", "line.head.depth=1,3,60[m]"]


@pytest.mark.parametrize(
    ("source", "chunk"), [((), 8), ((), 4096), (RECEIVER, 20), (("line.head.shallowest=0.5 m",), 20), (("add:line",), 4096)]
)
def test_a_sweep_is_the_table_of_its_grid(source: tuple[str, ...], chunk: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sweeps, "CHUNK", chunk)
    monkeypatch.setattr(sweeps, "FOLLOWED_CHUNK", {"direct": chunk, "receiver": chunk})
    base, axes = read(*source), [axis(text) for text in THREE]
    found = sweep(base, axes).rows()
    heads = [a.column.head for a in axes]
    same(found, {h: found[h] for h in heads} | run({h: found[h] for h in heads}, base))
    assert IMPOSSIBLE in found["verdict"]


@pytest.mark.parametrize("source", [(), RECEIVER])
def test_a_row_is_the_same_alone_and_among_many(source: tuple[str, ...]) -> None:
    rng, base = np.random.default_rng(5), read(*source)
    columns = {"line.hose.length [m]": rng.uniform(3, 60, 200), "line.schedule.blast [s]": rng.uniform(3, 12, 200)}
    many = run(columns, base)
    for i in (0, 199):
        alone = run({head: v[i : i + 1] for head, v in columns.items()}, base)
        same(alone, {head: v[i : i + 1] for head, v in many.items()})


def test_rows_that_cannot_be_followed_spoil_no_other() -> None:
    base = read()
    lengths, depths = np.array([np.nan, 7.6, -1.0, 7.6, 30.0]), np.array([1.0, 1.0, 1.0, 60.0, 1.0])
    found = run({"line.hose.length [m]": lengths, "line.head.depth [m]": depths}, base)
    assert found["verdict"].tolist() == ["", "PASS", "", IMPOSSIBLE, "WATCH"]
    assert [bool(text) for text in found["problem"]] == [True, False, True, True, False]
    good = [1, 4]
    alone = run({"line.hose.length [m]": lengths[good], "line.head.depth [m]": depths[good]}, base)
    same(alone, {head: v[good] for head, v in found.items()})


def test_rows_near_a_limit_are_settled_as_check_has_them_and_others_are_not() -> None:
    base = read()
    t = float(run({"line.schedule.blast [s]": np.array([30.0])}, base)["blast.delivery_time [s]"][0])
    blasts = 10 * t * np.array([1 - 0.5 * NEAR, 1 + 0.5 * NEAR, 1.2])  # delivery may take a tenth of the blast
    found = run({"line.schedule.blast [s]": blasts}, base)
    assert found["delivery"].tolist() == ["16 branches", "16 branches", "6 branches"]
    for i in (0, 1):
        (d,) = design_all([base.lines[0].changed({"schedule.blast": blasts[i]})])
        assert found["blast.delivery_time [s]"][i] == pytest.approx(d.number("blast.delivery_time"), rel=1e-6)


def test_what_a_sweep_may_cost_is_counted_in_blasts() -> None:
    def steps(key: str, low: float, high: float, n: int, unit: str) -> Axis:
        return axis(f"{key}={low}:{high}:{n}[{unit}]")

    off, often = steps("line.schedule.hold_off", 40, 150, 500, "s"), steps("line.schedule.interval", 10, 60, 600, "min")
    assert sweep(read(), [off, often]).verdict.shape == (500, 600)  # one blast serves all of them
    with pytest.raises(UsageError, match="250000 blasts are too many"):
        sweep(read(), [steps("line.hose.length", 3, 60, 500, "m"), steps("line.hose.bore", 4, 10, 500, "mm")])
    with pytest.raises(UsageError, match="210000 blasts are too many"):
        sweep(read(*RECEIVER), [steps("line.hose.length", 3, 60, 300, "m"), steps("line.hose.bore", 4, 10, 100, "mm")])
