"""The door gives what the command line gives, takes what people have, and says no in the package's own words."""

import dataclasses
import json
import tomllib
from pathlib import Path

import numpy as np
import pytest

from purgecalc import NoPhysicalAnswer, PurgecalcError, ScenarioError, UsageError, check, load
from tests.command import run
from tests.door.site import site, two_lines
from tests.lines import ROOT, SCENARIOS
from tests.random_sites import SITES

FERNWHISTLE = SCENARIOS / "fernwhistle.toml"
TEXT = FERNWHISTLE.read_text(encoding="utf-8")


@pytest.mark.parametrize("path", SITES, ids=lambda p: p.stem)
def test_the_data_is_what_check_prints(path: Path) -> None:
    name = path.relative_to(ROOT)
    printed = json.loads(run("check", str(path), "--json", "--fail-on", "never").stdout)
    assert check(path).to_dict() == printed, name


def test_settings_are_those_of_the_command_line() -> None:
    over = {"line.hose.length": "18 m", "line.head.holes": 3, "limits.hose-length": "20 m", "line.name": "7"}
    words = [w for key, value in over.items() for w in ("--set", f'{key}="7"' if value == "7" else f"{key}={value}")]
    printed = json.loads(run("check", str(FERNWHISTLE), *words, "--json", "--fail-on", "never").stdout)
    r = check(str(FERNWHISTLE), set=over)
    assert r.to_dict() == printed
    assert r.limits == {"hose-length": 20.0}
    assert list(r.lines) == ["7"]


def test_detail_adds_what_is_to_be_measured() -> None:
    r = site("fernwhistle")
    printed = json.loads(run("check", str(FERNWHISTLE), "--json", "--detail").stdout)
    assert r.to_dict(detail=True) == printed
    assert "expected" not in r.to_dict()["lines"][0]


def test_path_text_dict_and_what_was_loaded_are_one_scenario() -> None:
    same = [check(FERNWHISTLE), check(TEXT), check(tomllib.loads(TEXT)), check(load(FERNWHISTLE))]
    assert len({r.scenario.hash for r in same}) == 1
    assert len({r["blast.delivery_time"].value for r in same}) == 1


def test_what_is_set_over_a_loaded_scenario_comes_last() -> None:
    first = load(FERNWHISTLE, set={"line.hose.length": "10 m"})
    assert load(first, set={"line.hose.length": "12 m"}).lines[0].values["hose.length"].value == 12
    assert load(first).lines[0].values["hose.length"].value == 10


def test_numbers_of_numpy_and_nested_values_are_taken() -> None:
    curve = [["0 bar(g)", "60 L/min"], ["3 bar(g)", "0 L/min"]]
    data = tomllib.loads(TEXT)
    data["line"]["head"]["holes"] = np.int64(3)
    del data["source"]["flow"], data["source"]["dead_head"], data["line"]["hose"]["loss_coefficient"]
    r = load(data, set={"source.curve": curve, "line.hose.fittings": {"elbow_90": np.int64(2)}})
    (line,) = r.lines
    assert (line.values["head.holes"].value, len(line.curve), line.fittings) == (3, 2, {"elbow_90": 2})


def test_nothing_in_a_result_can_be_put_in_its_place() -> None:
    r = site("fernwhistle")
    for thing, name in ((r, "designs"), (r["hose.length"], "node"), (r.lines["lane 2 oxygen"], "design")):
        with pytest.raises(dataclasses.FrozenInstanceError):
            setattr(thing, name, None)


REFUSED = [
    (lambda: check("no-such-site.toml"), ScenarioError, "no-such-site.toml: does not exist"),
    (lambda: check(SCENARIOS), ScenarioError, "is a folder"),
    (lambda: check(), UsageError, "set="),
    (lambda: check("-"), UsageError, "file that has a name"),
    (lambda: check(b"site.toml"), UsageError, "a file that has a name"),  # type: ignore[arg-type]
    (lambda: check(3), UsageError, "give a path, TOML text, a dict"),  # type: ignore[arg-type]
    (lambda: check("title = 3\nx"), ScenarioError, "<text>:2: not TOML"),
    (lambda: check({"site": None}), ScenarioError, "site: None is no value of a scenario; leave the key out"),
    (lambda: check({1: "x"}), ScenarioError, "keys are text"),  # type: ignore[dict-item]
    (lambda: check({"line": {"hose": {"length": 3}}}), ScenarioError, "<dict>:2: line.hose.length: 3 has no unit"),
    (lambda: check(FERNWHISTLE, set={"line.hose.length": 18}), ScenarioError, "line.hose.length: 18 has no unit"),
    (lambda: check(FERNWHISTLE, set={"line.hose.length": "18"}), ScenarioError, 'line.hose.length: "18" has no unit'),
    (lambda: check(FERNWHISTLE, set={"line.hose.lenght": "18 m"}), ScenarioError, 'did you mean "length"'),
    (lambda: check(FERNWHISTLE, set={"a=b": "18 m"}), UsageError, "no key of a scenario"),
    (lambda: check(FERNWHISTLE, set={"limits.none-such": 1}), ScenarioError, "no rule is called"),
    (lambda: check(FERNWHISTLE, set={"line.head.depth": "80 m", "line.hose.length": "90 m"}), NoPhysicalAnswer, "air"),
]


@pytest.mark.parametrize(("call", "kind", "words"), REFUSED)
def test_what_is_refused_is_refused_with_place_and_way_out(call, kind, words) -> None:
    with pytest.raises(kind) as refused:
        call()
    assert words in str(refused.value)
    assert isinstance(refused.value, PurgecalcError)


def test_one_line_of_several_is_asked_by_name() -> None:
    r = two_lines()
    assert list(r.lines) == ["lane 2 oxygen", "lane 3 oxygen"]
    assert r.lines["lane 3 oxygen"]["hose.length"].value == 18
    assert {f.line for f in r.lines["lane 3 oxygen"].findings} == {"", "lane 3 oxygen"}
    asked = (lambda: r["hose.length"], lambda: "hose.length" in r, lambda: list(r), lambda: r.explain("hose.length"), r.size)
    for call in asked:
        with pytest.raises(UsageError, match=r"2 lines; say which: .*'lane 2 oxygen', 'lane 3 oxygen'"):
            call()
    assert "18 m" in r.explain("hose.length", line="lane 3 oxygen")
    for call in (lambda: r.lines["lane 4"], lambda: r.line("lane 4"), lambda: r.explain("hose.length", line="lane 4")):
        with pytest.raises(UsageError, match=r"lines: 'lane 2 oxygen', 'lane 3 oxygen'"):
            call()


def test_a_line_is_looked_through_like_a_table() -> None:
    r = site("pellwick")
    (line,) = r.lines.values()
    assert list(line) == list(r) == line.keys() == line._ipython_key_completions_() == r._ipython_key_completions_()
    assert set(line) == set(r.to_dict()["lines"][0]["quantities"])
    assert {id: q.value for id, q in dict(line).items()}["head.depth"] == line["head.depth"].value
    assert two_lines()._ipython_key_completions_() == []
    assert line.words["source.kind"] == "direct"


def test_a_depth_is_worked_at_where_the_scenario_has_it() -> None:
    r = site("pellwick")
    (line,) = r.lines.values()
    deepest = line.at("deepest")
    assert deepest["head.thrust"].value < line["head.thrust"].value < line.at("shallowest")["head.thrust"].value
    assert str(r.explain("head.thrust", at="deepest")) == str(deepest.explain("head.thrust"))
    for depth in ("bottom", "shallow"):
        with pytest.raises(UsageError, match="normal, shallowest and deepest"):
            line.at(depth)
    with pytest.raises(UsageError, match=r"no line\.head\.deepest"):
        site("fernwhistle").explain("head.thrust", at="deepest")


@pytest.mark.parametrize("everything", [False, True])
def test_a_figure_is_worked_as_the_command_line_works_it(everything: bool) -> None:
    words = ["--all"] if everything else []
    printed = run("explain", str(FERNWHISTLE), "blast.delivery_time", *words).stdout
    assert f"{site('fernwhistle').explain('blast.delivery_time', everything=everything)}".rstrip() == printed.rstrip()


def test_an_unknown_quantity_is_met_with_what_may_be_meant() -> None:
    r = site("fernwhistle")
    for call in (lambda: r["hose.presure_drop"], lambda: r.explain("hose.presure_drop")):
        with pytest.raises(UsageError, match=r"did you mean hose\.pressure_drop"):
            call()
    assert "hose.pressure_drop" in r
    assert "hose.presure_drop" not in r


def test_what_is_not_judged_and_what_is_to_be_confirmed_is_told() -> None:
    r = site("tarnbeck")
    assert list(r.site_questions.ids) == r.to_dict()["site_questions"]["ids"] != []
    silent = [(f.rule.id, [*f.missing]) for f in r.not_judged]
    assert silent == [(f["rule"], f["missing"]) for f in r.to_dict()["not_judged"]]
    assert any(f.missing for f in site("fernwhistle").not_judged)


@pytest.mark.parametrize("card", [True, False])
def test_the_note_is_the_one_the_command_line_writes(card: bool, tmp_path: Path) -> None:
    words = ["--card"] if card else []
    assert run("note", str(FERNWHISTLE), "-o", str(tmp_path / "ours.md"), *words).returncode == 0
    file = site("fernwhistle").note(tmp_path / "theirs.md", card=card)
    assert file.read_bytes() == (tmp_path / "ours.md").read_bytes()


def test_a_note_is_not_written_over_what_is_there(tmp_path: Path, capsys) -> None:
    r = site("fernwhistle")
    file = r.note(tmp_path / "card.md", card=True)
    file.write_text("mine")
    with pytest.raises(UsageError, match=r"exists; choose another name, or say force=True"):
        r.note(file, card=True)
    assert r.note(str(file), card=True, force=True).read_text() != "mine"
    with pytest.raises(UsageError, match=r"note writes \.html, \.pdf, \.md"):
        r.note(tmp_path / "note.docx")
    assert capsys.readouterr() == ("", "")


def test_what_size_proposes_can_be_set_and_clears_the_line() -> None:
    r = site("long-tansy")
    sizing = r.size()
    assert sizing.changes
    assert sizing.left == ()
    mended = check(SCENARIOS / "long-tansy.toml", set=sizing.changes)
    assert mended.verdict in ("PASS", "WATCH")
    printed = run("size", str(SCENARIOS / "long-tansy.toml")).stdout
    assert str(sizing).split("\n", 1)[1] in printed
    with pytest.raises(UsageError, match="not something size can change"):
        r.size(free=["hose.colour"])


def test_a_line_among_several_is_sized_under_its_own_key() -> None:
    sizing = two_lines().size(line="lane 3 oxygen", free="schedule.interval")
    assert sizing._key("hose.bore") == "line.2.hose.bore"
    assert sizing._key("source.flow") == "source.flow"
