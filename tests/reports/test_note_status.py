"""The line under the title of a note: what stands against signing it."""

import pytest

from purgecalc.reports.blocks import Table
from purgecalc.reports.note import commissioning_note, status
from purgecalc.scenario.facts import FACTS
from tests.commissioned import of_site

ANSWERED = [f"site_facts.{f.id}=yes" for f in FACTS]


@pytest.mark.parametrize(
    ("name", "settings", "words", "grade"),
    [
        (
            "fernwhistle.toml",
            (),
            f"DRAFT: {len(FACTS)} site questions open (4 stop)",
            "draft",
        ),  # none is asked for there, so none is known
        ("fernwhistle.toml", ANSWERED, "PASS", "pass"),
        ("tarnbeck.toml", (), "DRAFT: 2 site questions open (2 stop)", "draft"),
        ("tarnbeck.toml", ("site_facts.guard_rail=yes",), "DRAFT: 1 site question open (1 stop)", "draft"),
        ("tarnbeck.toml", ("site_facts.guard_rail=no",), "DO NOT COMMISSION", "stop"),
        ("quillstone.toml", ANSWERED, "DO NOT COMMISSION", "stop"),
        ("long-tansy.toml", ANSWERED, "NOT READY", "fix"),
        ("long-tansy.toml", (), f"NOT READY: findings are to be fixed first; DRAFT: {len(FACTS)} site questions open", "fix"),
        ("cloudrest.toml", ANSWERED, "PASS, with findings to watch", "care"),
    ],
)
def test_the_worst_that_stands_against_it_comes_first(name: str, settings: tuple[str, ...], words: str, grade: str) -> None:
    found = status(of_site(name, *settings))
    assert found[0].startswith(words)
    assert found[1] == grade


def test_every_open_question_is_listed_even_where_the_scenario_asks_none() -> None:
    blocks = commissioning_note(of_site("fernwhistle.toml")).blocks
    asked = {row[1] for b in blocks if isinstance(b, Table) and b.caption.startswith("To be answered") for row in b.rows}
    assert asked == {f.question for f in FACTS}
