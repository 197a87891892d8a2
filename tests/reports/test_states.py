"""What was not judged, and what is void, is the same in JSON, in the note and on the screen."""

import json

import pytest

from purgecalc.reports.blocks import Table
from purgecalc.reports.note import commissioning_note
from purgecalc.rules import rule_book
from tests.command import run
from tests.commissioned import of_site
from tests.lines import SCENARIOS

NAMES = ("fernwhistle.toml", "quillstone.toml", "tarnbeck.toml")


def _table(name: str, begins: str) -> list[tuple[str, ...]]:
    tables = [b for b in commissioning_note(of_site(name)).blocks if isinstance(b, Table)]
    return [tuple(row) for t in tables if t.caption.startswith(begins) for row in t.rows]


@pytest.mark.parametrize("name", NAMES)
def test_what_is_not_judged_is_the_same_everywhere(name: str) -> None:
    done = run("check", str(SCENARIOS / name), "--json")
    data = json.loads(done.stdout)
    silent = [(f["level"], f["rule"], ", ".join(f["missing"])) for f in data["not_judged"]]
    assert silent
    assert [row[:3] for row in _table(name, "Rules not judged")] == silent
    of_findings = {f["rule"] for f in data["findings"] if f["state"] == "not judged" and not f["rule"].startswith("site-")}
    assert of_findings == {rule for _, rule, _ in silent}
    detail = run("check", str(SCENARIOS / name), "--detail", COLUMNS="200").stdout
    listed = detail.split("Not judged, and what would settle it\n")[1].split("\n\n")[0].splitlines()
    assert [tuple(line.split(maxsplit=1)) for line in listed] == [(rule, missing) for _, rule, missing in silent]


def test_what_is_void_is_the_same_everywhere() -> None:
    data = json.loads(run("check", str(SCENARIOS / "quillstone.toml"), "--json").stdout)
    void = [(f["rule"], f["voided_by"]) for f in data["findings"] if f["state"] == "void"]
    assert ("hold-off", "contact-at-rest") in void
    assert _table("quillstone.toml", "Rules whose figures have no meaning") == void
    screen = run("check", str(SCENARIOS / "quillstone.toml"), COLUMNS="60").stdout
    told = " ".join(screen.split("Void while contact-at-rest is broken: ")[1].split("Not judged")[0].split())
    assert told.split(", ") == list(dict.fromkeys(rule_book()[id].noun for id, _ in void))
    row = next(line for line in screen.splitlines() if line.strip().startswith("Hold-off"))
    assert row.endswith("void")
    assert "short" not in row


def test_the_screen_names_the_two_of_highest_level_and_a_count() -> None:
    done = of_site("fernwhistle.toml")
    count = len({f.rule.id for f in done.checked.not_judged})
    words = f"Not judged: contact at rest (contact.terminal), warm hose (hose.warmest) +{count - 2}"
    assert words in run("check", str(SCENARIOS / "fernwhistle.toml")).stdout.splitlines()
