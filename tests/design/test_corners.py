"""A water level that moves: each rule takes the worst of the depths and says which, and a single depth knows of none."""

import json

import numpy as np
import pytest

from purgecalc.design import Design, design_all
from purgecalc.design.corners import CORNERS
from purgecalc.rules import Finding, grades, judge, verdict
from purgecalc.rules._once import TOLD_BY
from purgecalc.rules._void import VOIDED
from purgecalc.scenario import ScenarioInputs, load
from purgecalc.studies.batch import run
from purgecalc.studies.grades import graded
from tests.campaign import few_or_many
from tests.command import run as command
from tests.lines import RECEIVER, SCENARIOS, designed, read

PELLWICK = str(SCENARIOS / "pellwick.toml")
FACE = "line.probe.face_limit=0.8 bar"
TIDE = ("line.head.depth=4 m", "line.head.shallowest=1 m", "line.head.deepest=9 m", "line.hose.length=10 m")
LOW_PRESSURE = (*RECEIVER, "source.regulator=1.3 bar(g)", "source.compressor_starts=at cut-in")
COLD = (
    "moisture.intake_temperature=15 degC",
    "moisture.intake_humidity=60 %",
    "line.route.coldest=-14 degC",
    "line.route.exposed_length=5 m",
)


def found(scenario: ScenarioInputs) -> tuple[str, dict[str, Finding]]:
    findings = judge(design_all(scenario.lines))
    return verdict(findings), {f.rule.id: f for f in findings}


def test_the_face_is_pressed_hardest_at_low_water() -> None:
    said, by_rule = found(load(PELLWICK, [FACE]))
    face = by_rule["face-pressure"]
    assert said == "STOP"
    assert face.where == "at the least depth, 2 m"
    assert face.margin is not None
    assert float(face.margin.quantity.value) == pytest.approx(0.945e5, rel=0.005)
    assert by_rule["jet-strength"].where == "at the greatest depth, 8 m"
    assert by_rule["hose-length"].where == ""
    low = [FACE, *(f"line.head.{end}=2 m" for end in ("depth", "shallowest", "deepest"))]
    alone = found(load(PELLWICK, low))[1]["face-pressure"]
    assert alone.margin is not None
    assert float(alone.margin.quantity.value) == float(face.margin.quantity.value)


def test_a_regulated_receiver_uses_most_air_at_low_water_and_is_judged_there() -> None:
    tide = designed(*LOW_PRESSURE, *COLD, *TIDE)
    low = designed(*LOW_PRESSURE, *COLD, "line.head.depth=1 m", TIDE[-1])
    at_low = tide.corners["shallowest"]
    most = ("blast.air_mass", "source.recovery_time", "source.run_in_window", "source.fall", "moisture.ice_share")
    for id in most:
        assert at_low.number(id) == low.number(id) > tide.number(id) > tide.corners["deepest"].number(id), id
    by_rule = {f.rule.id: f for f in judge([tide])}
    for rule in ("duty", "recovery", "ice"):
        assert by_rule[rule].where == "at the least depth, 1 m", rule
    assert by_rule["jet-strength"].where == "at the greatest depth, 9 m"


def test_one_depth_has_no_corner_and_its_result_names_none() -> None:
    d = designed()
    assert d.corners == {}
    assert {f.where for f in judge([d])} == {""}
    same = designed("line.head.depth=1 m", "line.head.deepest=1 m", "line.head.shallowest=1 m")
    assert same.corners == {}


def test_lines_that_share_a_source_are_moved_together() -> None:
    both = design_all(read("add:line", *LOW_PRESSURE, *(s.replace("line.", "line.2.") for s in TIDE)).lines)
    assert [set(d.corners) for d in both] == [set(CORNERS)] * 2
    assert both[0].corners["shallowest"].number("head.depth") == both[0].number("head.depth")
    (duty,) = (f for f in judge(both) if f.rule.id == "duty")
    assert duty.where.startswith("at the least depth")


def test_a_greatest_depth_without_air_cannot_be_worked_out_alone_and_is_impossible_in_a_table() -> None:
    base = load(PELLWICK)
    table = run({"line.head.deepest [m]": np.array([8.0, 80.0]), "line.hose.length [m]": np.array([25.0, 90.0])}, base)
    assert list(table["verdict"]) == ["FIX", "IMPOSSIBLE"]


def test_screen_data_and_working_name_the_depth_that_decides() -> None:
    screen = " ".join(command("check", PELLWICK, "--set", FACE).stdout.split())
    assert "allowed 0.8 bar or less (at 2 m)" in screen
    assert "needs 0.7 or more (at 8 m)" in screen
    detail = " ".join(command("check", PELLWICK, "--set", FACE, "--detail").stdout.split())
    assert "at most 0.8 bar; at the least depth, 2 m" in detail
    assert "at the greatest depth, 8 m" in detail
    data = json.loads(command("check", PELLWICK, "--set", FACE, "--json").stdout)
    (face,) = (f for f in data["findings"] if f["rule"] == "face-pressure")
    assert face["corner"] == "shallowest"
    sheet = data["lines"][0]["corners"]["shallowest"]
    assert sheet["pressure.face_pressure_worst"]["value"] == face["value"]


def test_explain_works_a_figure_at_the_depth_asked_for() -> None:
    asked = (PELLWICK, "pressure.face_pressure_worst", "--set", FACE)
    assert "(944 mbar)" in command("explain", *asked, "--at", "shallowest").stdout
    assert "(944 mbar)" not in command("explain", *asked).stdout
    assert "there is normal, shallowest and deepest" in command("explain", *asked, "--at", "low").stderr
    none = command("explain", str(SCENARIOS / "fernwhistle.toml"), "head.thrust", "--at", "deepest")
    assert (none.returncode, none.stdout) == (2, "")


def _varied(count: int, seed: int) -> dict[str, np.ndarray]:
    rng = np.random.default_rng(seed)
    low, middle, high = np.sort(rng.uniform(0.3, 9.0, (3, count)), axis=0)
    return {
        "head.shallowest": low,
        "head.depth": middle,
        "head.deepest": high,
        "hose.length": rng.uniform(3, 40, count),
        "head.hole_diameter": rng.uniform(1e-3, 2.5e-3, count),
        "head.stand_off": rng.uniform(6e-3, 2e-2, count),
        "probe.face_limit": rng.uniform(0.2e5, 2e5, count),
        "schedule.blast": rng.uniform(5, 40, count),
        "schedule.interval": rng.uniform(600, 3600, count),
    }


SOURCES = {"direct": (), "receiver": LOW_PRESSURE[:-2], "regulated": LOW_PRESSURE}
TABLES = (*COLD, "line.probe.face_limit=0.8 bar", "pressure.regime=EU", "pressure.relief=7 bar(g)")


@pytest.mark.parametrize("source", SOURCES)
@pytest.mark.parametrize("integrated", [False, True])
@few_or_many(6, 300)
def test_a_range_is_as_bad_as_the_worst_of_its_depths_by_every_rule(source: str, integrated: bool, count: int) -> None:
    lines = read(*SOURCES[source], *TABLES, *TIDE).lines
    many = _varied(count, 14)
    if integrated:
        many = {id: values[: max(2, count // 3)] for id, values in many.items()}
    ends = ("head.shallowest", "head.depth", "head.deepest")
    levels = graded([inputs.changed(many) for inputs in lines], unsteady=integrated).levels
    apart = [
        graded([inputs.changed(many | dict.fromkeys(ends, many[end])) for inputs in lines], unsteady=integrated).levels
        for end in ends
    ]
    for key, level in levels.items():
        worst = np.maximum.reduce(np.broadcast_arrays(*(one[key] for one in apart)))
        least = 0 if key[0] in TOLD_BY else -3  # what another rule tells at one depth may pass at another
        reaches = levels["hose-reaches-head", key[1]] if key[0] in VOIDED["hose-reaches-head"] else np.asarray(0)
        told, worst, reaches = np.broadcast_arrays(level, worst, reaches)
        if key[0] in VOIDED["hose-reaches-head"]:  # a hose too short for one depth is not the line's at any
            short = reaches > 0
            assert np.all(told[short] <= 0), key
            told, worst = told[~short], worst[~short]
        assert np.array_equal(np.maximum(told, least), np.maximum(worst, least)), key


@few_or_many(2, 40)
def test_a_single_range_is_judged_as_an_array_of_them(count: int) -> None:
    lines = read(*LOW_PRESSURE, *TABLES, *TIDE).lines
    many = _varied(count, 5)
    together = graded([inputs.changed(many) for inputs in lines], unsteady=False).levels
    for i in range(count):
        one = design_all([inputs.changed({id: v[i] for id, v in many.items()}) for inputs in lines], unsteady=False)
        single = grades(one)
        assert {k: int(v) for k, v in single.items()} == {k: int(np.broadcast_to(v, count)[i]) for k, v in together.items()}


def test_the_corner_named_is_the_one_whose_figure_is_told() -> None:
    tide: Design = designed(*LOW_PRESSURE, *TABLES, *TIDE)
    for f in judge([tide]):
        if f.margin is not None and f.design is not None and f.margin.quantity.id in f.design.sheet:
            assert f.design.number(f.margin.quantity.id) == float(f.margin.quantity.value), f.rule.id
