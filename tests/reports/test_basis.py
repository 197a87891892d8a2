"""What a figure rests on: a letter on screens with one line that explains it, full words in JSON and the note."""

import json
import re
from collections.abc import Iterator
from typing import Any

import pytest

from purgecalc import references as known
from purgecalc.references import Basis, Citation, basis_of
from purgecalc.reports.basis import cited, explained, print_legend
from purgecalc.reports.page import Page, Text
from purgecalc.rules import rule_book
from purgecalc.scenario.schema import json_schema
from tests.command import run

SITE = "scenarios/fernwhistle.toml"
LETTER = re.compile(r"\[(S\??|[MPJD])\]")
NO_LETTER = ("sea level", "fresh water", "not named", "already bought")
"""Defaults that say what they are and rest on nobody."""


@pytest.mark.parametrize(
    ("cite", "letter"),
    [
        (known.DIN_1343.at("normal state"), "S"),
        (known.ISO_4414.at(), "S?"),
        (known.PIPE_TESTS.at(), "M"),
        (known.COMMON_PRACTICE.at("5 to 20 mm"), "P"),
        (known.OUR_JUDGEMENT.at(), "J"),
        (known.DERIVED.at(), "D"),
        (known.Work("tests", "tests", measured=True).at(), "S?"),
    ],
)
def test_a_citation_has_its_letter(cite: Citation, letter: str) -> None:
    assert cite.basis.letter == letter
    assert cited(cite).startswith(f"[{letter}]")
    assert cite.place in cited(cite)


@pytest.mark.parametrize("cite", [r.cite for r in rule_book().values()], ids=list(rule_book()))
def test_letter_and_words_of_a_rule_agree(cite: Citation) -> None:
    assert (cite.basis is Basis.MEMORY) == str(cite).endswith("(quoted from memory)")
    assert (cite.basis in (Basis.P, Basis.J, Basis.D)) == str(cite).startswith(
        tuple(b.value for b in (Basis.P, Basis.J, Basis.D))
    )
    assert not any(b.value in cited(cite) for b in (Basis.P, Basis.MEMORY, Basis.D))


@pytest.mark.parametrize(
    ("origin", "shown"),
    [
        ("common practice, no source", "[P]"),
        ("common practice, no source: 5 to 7", "[P] 5 to 7"),
        ("our judgement; cautious, 0.3 to 1", "[J] cautious, 0.3 to 1"),
        ("IEC 60034-1, quoted from memory", "[S?] IEC 60034-1"),
        ("IEC 60364-5-52, if unknown", "[S] IEC 60364-5-52, if unknown"),
        ("fresh water", "(fresh water)"),
        ("a kind in the catalogue: measured in a bath", "[M] a kind in the catalogue: measured in a bath"),
        ("a kind in the catalogue: from memory: 5 s", "[S?] a kind in the catalogue: 5 s"),
        ("common practice, no source; measured once", "[P] measured once"),
        ("no measurement found: one lag", "(no measurement found: one lag)"),
    ],
)
def test_the_origin_of_a_default_has_its_letter(origin: str, shown: str) -> None:
    assert explained(origin) == shown


def _origins(schema: Any) -> Iterator[str]:
    """Origins of defaults, wherever they stand in the schema."""
    if isinstance(schema, dict):
        if "x-default-origin" in schema:
            yield schema["x-default-origin"]
        schema = list(schema.values())
    if isinstance(schema, list):
        for part in schema:
            yield from _origins(part)


def test_every_default_of_a_scenario_says_what_it_rests_on() -> None:
    origins = set(_origins(json_schema()))
    assert len(origins) > 15
    assert {o for o in origins if basis_of(o) is None} <= set(NO_LETTER)


@pytest.mark.parametrize(
    "words", [("check", SITE, "--detail"), ("rules",), ("size", SITE, "--free", "hose.length")], ids=" ".join
)
@pytest.mark.parametrize("width", [60, 120])
def test_a_screen_explains_each_letter_it_shows_and_no_other_once(words: tuple[str, ...], width: int) -> None:
    said = run(*words, COLUMNS=str(width)).stdout
    assert max(map(len, said.splitlines())) <= width
    assert said.count("Basis: ") == 1
    page, _, legend = " ".join(said.split()).partition("Basis: ")
    explanations = re.split(r" (?:PASS by calculation|NO CHANGE NEEDED)", legend)[0].strip().split("; ")
    assert {e.split(" ")[0] for e in explanations} == set(LETTER.findall(page))
    assert all(e.split(" ", 1)[1] in {b.value for b in Basis} for e in explanations)
    assert "common practice, no source" not in page


def test_a_page_without_letters_has_no_legend() -> None:
    page = Page(80)
    page.print(Text("nothing"))
    print_legend(page)
    assert page.plain() == "nothing\n"


def test_json_and_markdown_keep_the_words() -> None:
    rules = {r["id"]: r for r in json.loads(run("rules", "--json").stdout)["rules"]}
    assert rules["stand-off"]["origin"] == "common practice, no source, 5 to 20 mm"
    assert not LETTER.search(run("rules", "--markdown").stdout)
    data = json.loads(run("check", SITE, "--json", "--detail").stdout)
    assert not any(LETTER.search(f["origin"]) for f in data["findings"])
    assert any(f["origin"].startswith("our judgement") for f in data["findings"])
