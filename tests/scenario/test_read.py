"""Reading scenarios: origins, settings, line numbers, what is accepted besides the plain form."""

import json
import re

import jsonschema
import pytest

from purgecalc.errors import ScenarioError
from purgecalc.scenario import load, loads
from purgecalc.scenario.positions import KeyLines
from purgecalc.scenario.schema import json_schema
from tests.lines import BARE, BASE, DROPS, SCENARIOS, designed, read


def test_every_input_knows_where_it_came_from() -> None:
    inputs = read("line.hose.length=12 m").lines[0]
    assert str(inputs["hose.length"].origin) == "override: --set line.hose.length=12 m"
    assert str(inputs["hose.bore"].origin) == "site.toml:27"
    assert str(inputs["site.altitude"].origin) == "site.toml:9"
    assert inputs["source.run_up"].origin.how == "default"
    assert "common practice" in inputs["source.run_up"].origin.where


def test_defaults_are_known_by_name() -> None:
    names = {g.id for g in read().lines[0].defaults()}
    assert {"source.run_up", "probe.exposure", "loop.saturation_factor"} <= names
    assert "hose.length" not in names


def test_text_is_kept_as_written() -> None:
    inputs = read("line.hose.length=25 ft", "line.hose.bore=5/16 in").lines[0]
    assert (inputs["hose.length"].text, inputs["hose.length"].value) == ("25 ft", pytest.approx(7.62))
    assert inputs["hose.bore"].value == pytest.approx(5 / 16 * 0.0254)


def test_a_single_line_table_and_a_list_of_lines_are_both_accepted() -> None:
    text = BASE.replace("[line]", "[[line]]") + BASE[BASE.index("[line]") :].replace("[line]", "[[line]]").replace(
        "lane 2", "lane 3"
    )
    both = loads(text)
    assert [inputs.line for inputs in both] == ["lane 2 oxygen", "lane 3 oxygen"]
    assert len(list(read())) == 1


def test_a_setting_reaches_every_line_or_one() -> None:
    text = BASE.replace("[line]", "[[line]]") + BASE[BASE.index("[line]") :].replace("[line]", "[[line]]").replace(
        "lane 2", "lane 3"
    )
    every = loads(text, settings=["line.hose.length=5 m"])
    one = loads(text, settings=["line.2.hose.length=5 m"])
    assert [i["hose.length"].value for i in every] == [5.0, 5.0]
    assert [i["hose.length"].value for i in one] == [7.6, 5.0]


def test_a_message_about_the_second_line_points_at_the_second_line() -> None:
    text = BASE.replace("[line]", "[[line]]") + BASE[BASE.index("[line]") :].replace("[line]", "[[line]]").replace(
        "lane 2", "lane 3"
    )
    bad = text[::-1].replace('"mm 8"'[::1], '"mm 0"', 1)[::-1]
    with pytest.raises(ScenarioError) as caught:
        loads(bad, "two.toml")
    problem = caught.value.problems[0]
    assert problem.key == "line.2.hose.bore"
    assert problem.line == bad[: bad.index('bore = "0 mm"')].count("\n") + 1


def test_settings_replace_words_by_tables() -> None:
    text = BASE.replace('name = "lane 2 oxygen"', 'name = "lane 2 oxygen"\nvalve = "none"')
    inputs = loads(text, settings=["line.valve.conductance=1.0 dm3/(s bar)"]).lines[0]
    assert inputs["valve.conductance"].value == pytest.approx(1e-8)


@pytest.mark.parametrize("setting", ["line.hose.length", "=3 m", "line..length=3 m", "title.x.y=3", "line.9.hose.length=3 m"])
def test_settings_that_name_nothing_are_refused(setting: str) -> None:
    with pytest.raises(ScenarioError):
        read(setting)


def test_all_problems_come_at_once() -> None:
    bad = (
        BASE.replace('"7.6 m"', '"7.6 bar"').replace('"8 mm"', '"0 mm"').replace('"60 m"', '"60"').replace('"S3 50 %"', '"half"')
    )
    with pytest.raises(ScenarioError) as caught:
        loads(bad, "site.toml")
    assert {p.key for p in caught.value.problems} == {"line.hose.length", "line.hose.bore", "site.altitude", "source.duty"}


def test_response_times_of_every_sort_mean_the_same_sensor() -> None:
    of = {k: float(designed("drop:t90", f"line.probe.{k}={v}")["probe.t90"].value) for k, v in T_SAME.items()}
    assert of["t63"] == pytest.approx(30, rel=1e-3)
    assert of["t95"] == pytest.approx(30, rel=1e-3)
    assert of["t98"] == pytest.approx(30, rel=1e-3)


T_SAME = {"t63": "13.03 s", "t95": "39.03 s", "t98": "50.97 s"}


def test_less_than_is_an_upper_bound() -> None:
    given = read("line.probe.t90=<60 s").lines[0]["probe.t90"]
    assert (given.value, given.state) == (60.0, "upper bound")


def test_us_units_give_the_same_design() -> None:
    us = designed(
        "site.altitude=196.8504 ft",
        "site.air_temperature=59 degF",
        "water.temperature=59 degF",
        "source.dead_head=43.5113 psig",
        "line.hose.length=24.93438 ft",
        "line.hose.bore=0.3149606 in",
        "line.head.hole_diameter=0.05905512 in",
        "line.head.depth=3.28084 ft",
        "line.head.check_valve=0.4351132 psi",
        "source.flow=2.1188800 cfm",
        "line.hose.roughness=0.00019685 in",
    )
    si = designed()
    for id in ("hose.pressure_drop", "head.thrust", "blast.air_volume", "hose.longest"):
        assert float(us[id].value) == pytest.approx(float(si[id].value), rel=1e-5), id


def test_gauge_and_absolute_meet() -> None:
    p_atm = float(designed()["site.pressure"].value)
    absolute = designed(f"source.dead_head={3e5 + p_atm} Pa(a)", "source.dead_head_set_by=relief")
    gauge = designed("source.dead_head_set_by=relief")
    assert float(absolute["head.thrust"].value) == pytest.approx(float(gauge["head.thrust"].value), rel=1e-9)


def test_air_flows_of_every_state_meet() -> None:
    free = designed()
    rho = float(free["air.density"].value)
    for text in (f"{60 * rho / 1.185} L/min(ANR)", f"{60 * rho / 1.2930} NL/min", f"{60 * rho / 1.1884 / 28.316846592} scfm"):
        assert float(designed(f"source.flow={text}")["head.thrust"].value) == pytest.approx(
            float(free["head.thrust"].value), rel=1e-6
        )


def test_a_two_point_curve_is_the_two_point_source() -> None:
    curve = designed("drop:flow", 'source.curve=[["0 bar(g)", "60 L/min"], ["3 bar(g)", "0 L/min"]]')
    assert float(curve["head.thrust"].value) == pytest.approx(float(designed()["head.thrust"].value), rel=1e-9)


def test_a_curve_of_points_on_the_line_changes_nothing() -> None:
    points = '[["0 bar(g)", "60 L/min"], ["0.3 bar(g)", "54 L/min"], ["1 bar(g)", "40 L/min"], ["3 bar(g)", "0 L/min"]]'
    curve = designed("drop:flow", f"source.curve={points}")
    for id in ("head.thrust", "hose.longest", "source.flow_anr"):
        assert float(curve[id].value) == pytest.approx(float(designed()[id].value), rel=1e-9), id


def test_hash_follows_the_inputs_and_nothing_else() -> None:
    assert read().hash == loads(BASE + "\n# a note\n", "other.toml").hash
    assert read().hash != read("line.hose.length=7.7 m").hash


def test_schema_accepts_every_scenario_and_refuses_a_misspelling() -> None:
    import tomllib

    schema = json_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    for file in SCENARIOS.glob("*.toml"):
        jsonschema.validate(tomllib.loads(file.read_text(encoding="utf-8")), schema)
    bad = tomllib.loads(BASE.replace("roughness", "roughnes"))
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(bad, schema)
    assert json.dumps(schema)


def test_keys_are_found_in_inline_tables_headers_and_arrays_but_not_in_strings() -> None:
    text = '[a]\nb = { c = "1", dd = 2 }\n[[line]]\nx = 1\n[line.hose]\nlength = "1 m"\n[[line]]\ny = """\nz = 3\n"""\n[line.hose]\nlength = "2 m"\n'
    lines = KeyLines(text)
    spot = lines.find(("a", "b", "dd"))
    assert spot is not None
    assert (spot.line, text.splitlines()[1][spot.column : spot.column + spot.width]) == (2, "2")
    assert [lines.find(("line", i, "hose", "length")).line for i in (0, 1)] == [6, 12]  # type: ignore[union-attr]
    z = lines.find(("line", 1, "z"))
    assert z is not None
    assert z.line == 7


def test_not_text_not_a_file_and_a_near_miss(tmp_path) -> None:  # type: ignore[no-untyped-def]
    (tmp_path / "site.toml").write_text(BASE)
    (tmp_path / "binary.toml").write_bytes(b"\xff\xfe\x00")
    for name, words in (("sit.toml", "did you mean"), ("binary.toml", "UTF-8"), (".", "folder")):
        with pytest.raises(ScenarioError) as caught:
            load(str(tmp_path / name))
        assert words in str(caught.value)


def test_whose_note_it_is_may_be_said_and_is_read_as_text() -> None:
    scenario = loads(BASE + '\n[note]\nproject = "Lanes 1 to 4"\ndate = 2026-03-02\nremarks = """two\nlines"""\n')
    assert scenario.paper == {"project": "Lanes 1 to 4", "date": "2026-03-02", "remarks": "two\nlines"}
    assert loads(BASE).paper == {}


@pytest.mark.parametrize(
    ("field", "message"),
    [
        ("project = 12", "12 is not text"),
        (f'project = "{"x" * 2001}"', "has 2001 characters; allowed: at most 2000"),
        ('project = "a\\u0007b"', "control characters (U+0007)"),
        ('projet = "x"', 'did you mean "project"?'),
    ],
)
def test_what_a_note_cannot_carry_is_refused(field: str, message: str) -> None:
    with pytest.raises(ScenarioError) as refused:
        loads(BASE + f"\n[note]\n{field}\n", "site.toml")
    assert message in str(refused.value)


def test_how_well_inputs_are_known_has_defaults_with_an_origin_and_can_be_set() -> None:
    line = loads(BASE).lines[0]
    assert line["uncertainty.bore"].value == 0.05
    assert line["uncertainty.bore"].origin.how == "default"
    assert loads(BASE + '\n[uncertainty]\nbore = "2 %"\n').lines[0]["uncertainty.bore"].value == 0.02


@pytest.mark.parametrize(
    ("settings", "left"),
    [
        ([], {"t90", "set_point", "tolerance"}),
        (["line.probe.kind=optical-oxygen"], {"t90", "set_point", "tolerance"}),
        (["line.probe.kind=membrane-oxygen"], {"set_point", "tolerance"}),
        (["line.probe.kind=turbidity"], set()),
        (["line.probe.t90=44 s", "line.probe.kind=turbidity"], {"t90"}),
        (["line.probe.t63=20 s"], {"t63", "set_point", "tolerance"}),
    ],
)
def test_another_kind_of_probe_does_not_keep_the_times_of_the_old_one(settings: list[str], left: set[str]) -> None:
    probe = 'probe = { kind = "optical-oxygen", t90 = "33 s", set_point = "2 mg/L", tolerance = "0.3 mg/L" }'
    text = re.sub(r"probe = \{.*\}", probe, BASE)
    for table in BARE:
        text = text.replace(DROPS[table], "")
    values = loads(text, settings=settings).lines[0].values
    assert {k for k in ("t90", "t63", "set_point", "tolerance") if f"probe.{k}" in values} == left


def test_a_bore_that_is_set_stands_in_place_of_tube_sizes() -> None:
    tube = BASE.replace('bore = "8 mm"', 'outside_diameter = "8 mm", wall = "1 mm"')
    assert loads(tube, settings=["line.hose.bore=9 mm"]).lines[0]["hose.bore"].text == "9 mm"


def test_a_table_of_a_line_that_is_set_without_the_line_is_named() -> None:
    with pytest.raises(ScenarioError, match=r'--set hose.length=8 m: hose: unknown key; did you mean "line.hose"'):
        loads(BASE, settings=["hose.length=8 m"])


@pytest.mark.parametrize(
    ("settings", "message"),
    [
        (["line.probe.t63=20 s", "line.probe.t90=40 s"], "give one response time, not t90 and t63"),
        (["line.hose.wall=1 mm", "line.hose.bore=4 mm"], "give either bore"),
        (["line.hose.bore=4 mm", "line.hose.wall=1 mm"], "give either bore"),
        (['line.probe={kind=["a"], tolerance="2 %"}'], "is a share and not a concentration"),
    ],
)
def test_what_settings_state_themselves_is_judged_and_not_dropped(settings: list[str], message: str) -> None:
    with pytest.raises(ScenarioError, match=message):
        loads(BASE, settings=settings)


def test_settings_are_applied_in_their_order() -> None:
    probe = 'line.probe={kind="membrane-oxygen", t90="55 s", set_point="2 mg/L"}'
    (line,) = loads(BASE, settings=[probe, "line.probe.kind=optical-oxygen"]).lines
    assert line.choice("probe.kind") == "optical-oxygen"
    assert line["probe.t90"].text == "55 s"
