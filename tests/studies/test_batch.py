"""A row of a table is what a check of the same settings is; a bad row spoils no other."""

import pickle
from functools import cache, partial
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from purgecalc.design import Design, design_all
from purgecalc.errors import NoPhysicalAnswer, ScenarioError, UsageError
from purgecalc.kinds import KINDS
from purgecalc.rules import judge, rule_settings, verdict
from purgecalc.scenario import ScenarioInputs, load
from purgecalc.scenario.keys import Column, _known, column, column_of, find_key
from purgecalc.scenario.read import again
from purgecalc.studies import batch
from purgecalc.studies.batch import run
from purgecalc.studies.many import IMPOSSIBLE
from tests.campaign import few_or_many
from tests.lines import BASE, RECEIVER, SCENARIOS, read

by_hand = partial(run, integrate=False)
LENGTH, BORE, DEPTH = "line.hose.length [m]", "line.hose.bore [mm]", "line.head.depth [m]"
NOT_A_RESULT = {"line.mismatch", "source.mismatch"}  # how well the solve closes: round-off


def checked(base: ScenarioInputs, *settings: str, unsteady: bool = False) -> tuple[Design, str, str]:
    """What check makes of one design: sheet, verdict, worst rule."""
    scenario = again(base, settings)
    designs = design_all(scenario.lines, unsteady=unsteady)
    findings = judge(designs, rule_settings(scenario), scenario.waive)
    return designs[0], verdict(findings), findings[0].rule.id if findings[0].state == "fails" else ""


@cache
def scenario(name: str) -> ScenarioInputs:
    return load(str(SCENARIOS / f"{name}.toml"))


def numbers_of(base: ScenarioInputs) -> list[tuple[Column, float]]:
    """Every figure the scenario gives or assumes, as a column, with its value as written there."""
    out = []
    stated = {"gauge": "kPa(g)", "absolute": "kPa(a)", "inlet": "L/min", "ANR": "L/min(ANR)", "normal": "NL/min", "US": "scfm"}
    for text in _known():
        key, found = find_key(text), base.lines[0].get(find_key(text).id)
        if found is None or key.is_word:
            continue
        unit = "" if key.sort != "quantity" else stated.get(found.state) or KINDS[key.kind].accepts[0]
        c = column_of(text, unit)
        out.append((c, c.written(float(found.value))))
    return out


CASES = [(name, c, v) for name in ("tarnbeck", "pellwick", "trivet-mill", "icklefrost") for c, v in numbers_of(scenario(name))]
CASES += [
    ("fernwhistle", c, v)
    for c, v in numbers_of(scenario("fernwhistle"))
    if c.key.id.split(".")[0] in ("worth", "fouling", "loop")
]


FEW = 4
"""One figure in so many is varied in every run, the others in campaigns."""


@pytest.mark.parametrize(
    ("name", "c", "value"),
    [pytest.param(*case, marks=() if i % FEW == 0 else pytest.mark.campaign) for i, case in enumerate(CASES)],
    ids=lambda v: v.head if isinstance(v, Column) else str(v)[:12],
)
def test_every_figure_of_a_scenario_may_vary_and_every_result_is_that_of_a_check(name: str, c: Column, value: float) -> None:
    base = scenario(name)
    lower = value - 1 if c.key.kind == "temperature" or c.key.sort == "whole" else 0.9 * value
    values = np.array([lower, value])
    ids = [n.id for n in design_all(base.lines, unsteady=False)[0].sheet if np.ndim(n.value) == 0 and n.id not in NOT_A_RESULT]
    found = by_hand({c.head: values}, base, ids)
    heads = {head.split(" [")[0]: head for head in found}
    for i, v in enumerate(values):
        try:
            d, word, rule = checked(base, c.setting(v))
        except (ScenarioError, NoPhysicalAnswer):
            assert found["problem"][i]
            continue
        assert (found["problem"][i], found["verdict"][i], found["worst_rule"][i]) == ("", word, rule)
        for id in ids:
            assert found[heads[id]][i] == pytest.approx(float(d.value(id)), rel=1e-9, abs=1e-300, nan_ok=True), id


designs = st.fixed_dictionaries(
    {
        LENGTH: st.floats(1, 80),
        BORE: st.floats(2, 12),
        DEPTH: st.floats(0.2, 35),
        "line.head.holes": st.integers(1, 8),
        "source.flow [L/min(ANR)]": st.floats(5, 120),
        "source.dead_head [psig]": st.floats(10, 60),
        "line.schedule.blast [s]": st.floats(2, 120),
        "line.head.deepest [m]": st.floats(0.2, 35),
    }
)


@few_or_many(8, 150)
def test_a_row_is_a_check_of_the_same_settings(count: int) -> None:
    @settings(max_examples=count, deadline=None, derandomize=True)
    @given(st.lists(designs, min_size=1, max_size=6))
    def holds(rows: list[dict[str, float]]) -> None:
        columns = {head: np.array([float(f"{row[head]:.12g}") for row in rows]) for head in rows[0]}
        base = read()
        found = by_hand(columns, base, ["head.jet_thrust_ratio", "hose.pressure_drop [mbar]"])
        for i in range(len(rows)):
            own = [column(h).setting(v[i]) for h, v in columns.items()]
            if found["verdict"][i] == "":
                with pytest.raises(ScenarioError) as refused:
                    checked(base, *own)
                assert refused.value.problems[0].message in found["problem"][i]
                continue
            if found["verdict"][i] == IMPOSSIBLE:
                with pytest.raises(NoPhysicalAnswer):
                    checked(base, *own)
                continue
            d, word, rule = checked(base, *own)
            assert (found["verdict"][i], found["worst_rule"][i]) == (word, rule)
            assert found["head.jet_thrust_ratio"][i] == pytest.approx(d.number("head.jet_thrust_ratio"), rel=1e-9)
            assert found["hose.pressure_drop [mbar]"][i] == pytest.approx(d.number("hose.pressure_drop") / 100, rel=1e-9)

    holds()


@pytest.mark.parametrize("source", [(), RECEIVER])
def test_integrated_rows_are_those_of_check(source: tuple[str, ...]) -> None:
    base = read(*source)
    lengths = np.array([5.0, 20.0])
    found = run({LENGTH: lengths}, base)
    assert set(found["delivery"]) <= {"6 branches", "16 branches"}
    for i, length in enumerate(lengths):
        d, word, _ = checked(base, f"line.hose.length={length} m", unsteady=True)
        assert found["verdict"][i] == word
        for head in ("blast.delivery_time [s]", "blast.air_volume [m3]"):
            assert found[head][i] == pytest.approx(d.number(head.split(" ")[0]), rel=1e-2)


def test_a_figure_taken_from_one_that_varies_varies_with_it() -> None:
    base, blasts = read("drop:t90", "line.probe.timed_fall=60 s"), np.array([20.0, 30.0, 60.0])
    found = by_hand({"line.schedule.blast [s]": blasts}, base, ["probe.t90"])["probe.t90 [s]"]
    assert len(set(found)) == 3  # the fall was timed after a blast of the schedule
    for i, blast in enumerate(blasts):
        assert found[i] == pytest.approx(checked(base, f"line.schedule.blast={blast} s")[0].number("probe.t90"), rel=1e-12)


def test_words_make_groups_and_a_wrong_word_spoils_only_its_own() -> None:
    kinds = np.array(["optical-oxygen", "optical-oxigen", "membrane-oxygen", "optical-oxygen"], object)
    found = by_hand({"line.probe.kind": kinds, LENGTH: np.array([5.0, 5, 5, 30])}, read(), ["reading.hold_off_needed"])
    assert found["problem"][1].startswith("line.probe")
    assert 'did you mean "optical-oxygen"' in found["problem"][1]
    for i in (0, 2, 3):
        d, word, _ = checked(read(), f"line.probe.kind={kinds[i]}", f"line.hose.length={(5, 5, 5, 30)[i]} m")
        assert found["verdict"][i] == word
        assert found["reading.hold_off_needed [s]"][i] == pytest.approx(d.number("reading.hold_off_needed"))


def test_a_bad_row_is_told_and_the_others_are_worked_out() -> None:
    found = by_hand({LENGTH: np.array([np.nan, 7.6, -1.0, 7.6]), DEPTH: np.array([1, 1, 1, 60.0])}, read())
    assert found["problem"][0] == "line.hose.length: no number is given"
    assert "out of range; allowed: more than 0 m" in found["problem"][2]
    assert "no air leaves the head" in found["problem"][3]
    assert found["verdict"].tolist() == ["", "PASS", "", IMPOSSIBLE]
    assert np.isfinite(found["head.jet_thrust_ratio"]).tolist() == [False, True, False, False]
    alone = by_hand({LENGTH: np.array([7.6]), DEPTH: np.array([1.0])}, read())
    assert found["head.jet_thrust_ratio"][1] == alone["head.jet_thrust_ratio"][0]


def test_a_set_point_above_saturation_is_impossible() -> None:
    found = by_hand({"line.probe.set_point [mg/L]": np.array([2.0, 12.0])}, read())
    assert found["verdict"].tolist() == ["PASS", IMPOSSIBLE]
    assert "no airflow holds the set point" in found["problem"][1]


def test_where_nothing_that_varies_could_help_every_row_says_so() -> None:
    found = by_hand({"line.schedule.hold_off [s]": np.array([60.0, 90.0])}, read("line.head.depth=60 m"))
    assert found["verdict"].tolist() == [IMPOSSIBLE] * 2
    assert all("no air leaves the head" in text for text in found["problem"])


def test_chunks_change_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    columns = {LENGTH: np.linspace(1, 60, 50), BORE: np.linspace(3, 10, 50)}
    whole = by_hand(columns, read())
    monkeypatch.setattr(batch, "CHUNK", 7)
    parts = by_hand(columns, read())
    assert all(np.array_equal(whole[h], parts[h]) for h in whole)


def test_a_key_the_base_leaves_out_and_a_whole_number() -> None:
    found = by_hand({"line.valve.conductance [dm3/(s bar)]": np.array([0.5, 2.0]), "line.head.holes": np.array([4, 2.5])}, read())
    d, word, _ = checked(read(), "line.valve.conductance=0.5 dm3/(s bar)", "line.head.holes=4")
    assert found["verdict"][0] == word
    assert found["head.jet_thrust_ratio"][0] == pytest.approx(d.number("head.jet_thrust_ratio"))
    assert found["problem"][1] == "line.head.holes: 2.5 is not a whole number"


def test_one_line_of_several_may_vary() -> None:
    second = BASE[BASE.index("[line]") :].replace("[line]", "[[line]]").replace("lane 2", "lane 3").replace("[line.", "[line.")
    from purgecalc.scenario import loads

    base = loads(BASE.replace("[line]", "[[line]]") + "\n" + second)
    name = base.lines[1].line
    columns = {"line.2.hose.length [m]": np.array([5.0, 30.0])}
    assert np.ptp(by_hand(columns, base, ["hose.pressure_drop"])["hose.pressure_drop [Pa]"]) == 0
    assert np.ptp(by_hand(columns, base, ["hose.pressure_drop"], line=name)["hose.pressure_drop [Pa]"]) > 0
    with pytest.raises(UsageError, match="no line is called"):
        by_hand(columns, base, line="lane 9")


@pytest.mark.parametrize(
    ("of", "words"), [("head.jet_thrust_ration", "did you mean head.jet_thrust_ratio"), ("hose.pressure_drop [m]", "is a")]
)
def test_what_is_asked_must_be_there(of: str, words: str) -> None:
    with pytest.raises(UsageError, match=words):
        by_hand({LENGTH: np.array([5.0])}, read(), [of])


def test_an_empty_part_has_all_its_columns() -> None:
    found = by_hand({LENGTH: np.array([])}, read())
    assert [len(v) for v in found.values()] == [0] * 8


def test_a_base_can_be_sent_to_another_process() -> None:
    there: Any = pickle.loads(pickle.dumps(read()))
    assert by_hand({LENGTH: np.array([5.0])}, there)["verdict"].tolist() == ["PASS"]


def test_information_only_is_worked_out_when_asked() -> None:
    found = by_hand({LENGTH: np.array([7.6])}, read(), ["hose.adiabatic_inlet_pressure"])
    (d,) = design_all(read().lines)
    (name,) = (name for name in found if name.startswith("hose.adiabatic_inlet_pressure"))
    assert name.endswith("[Pa(a)]")
    assert found[name][0] == pytest.approx(d.number("hose.adiabatic_inlet_pressure"))


def test_a_base_that_cannot_work_may_be_mended_by_the_table() -> None:
    found = by_hand({DEPTH: np.array([1.0, 60.0])}, read("line.head.depth=60 m"))
    assert found["verdict"].tolist() == ["PASS", IMPOSSIBLE]


@pytest.mark.parametrize("heads", [("line.hose.wall [mm]", "line.hose.bore [mm]"), ("line.probe.t63 [s]", "line.probe.t90 [s]")])
def test_columns_that_stand_in_place_of_each_other_are_refused_row_by_row(heads: tuple[str, str]) -> None:
    out = by_hand({heads[0]: np.array([1.0]), heads[1]: np.array([6.0])}, read())
    assert "give " in out["problem"][0]


def test_thousands_of_unknown_words_are_refused_without_reading_the_scenario_again(monkeypatch: pytest.MonkeyPatch) -> None:
    calls = []
    monkeypatch.setattr(batch, "again", lambda *given: calls.append(given))
    found = by_hand({"line.probe.kind": np.array([f"word{i}" for i in range(3000)], object)}, read())
    assert not calls
    assert all("is not a kind of probe of the catalogue" in text for text in found["problem"])


@pytest.mark.parametrize(
    ("key", "word"),
    [
        ("line.probe.kind", "optical-oxigen"),
        ("line.probe.kind", "pipe"),
        ("line.probe.kind", "5"),
        ("line.hose.material", "steel"),
        ("line.head.check_valve_at", "middle"),
        ("source.duty", "S2 10 min"),
        ("source.duty", "half"),
        ("source.kind", "x" * 600),
        ("upkeep.start", "yesterday"),
        ("upkeep.start", "9999-01-01"),
        ("line.loop.tracking", "perhaps"),
    ],
)
def test_a_word_is_refused_in_a_table_as_in_a_scenario(key: str, word: str) -> None:
    base = read("upkeep.start=2026-01-01")
    with pytest.raises(ScenarioError) as caught:
        again(base, [f"{key}={word}"])
    (problem,) = caught.value.problems
    told = by_hand({key: np.array([word], object)}, base)["problem"][0]
    assert told == f"{key}: {problem.message}"
