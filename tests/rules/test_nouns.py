"""Every rule has a short noun beside its sentence, wherever rules are told."""

import json

from purgecalc.rules import rule_book
from tests.command import run


def test_every_rule_has_a_noun_of_its_own() -> None:
    nouns = [r.noun for r in rule_book().values()]
    assert len(set(nouns)) == len(nouns)
    for noun in nouns:
        assert noun.strip() == noun
        assert 0 < len(noun) <= 24
        assert noun == noun.lower()
        assert noun.replace(" ", "").replace("-", "").isalpha()


def test_rules_and_findings_tell_the_noun() -> None:
    nouns = {r.id: r.noun for r in rule_book().values()}
    assert {r["id"]: r["noun"] for r in json.loads(run("rules", "--json").stdout)["rules"]} == nouns
    table, markdown = run("rules", COLUMNS="200").stdout, run("rules", "--markdown").stdout
    for r in rule_book().values():
        assert f"{r.noun}: {r.title}" in table
        assert f"| `{r.id}` | {r.noun} | {r.title} |" in markdown
    findings = json.loads(run("check", "scenarios/fernwhistle.toml", "--json").stdout)["findings"]
    assert len(findings) > 30
    assert all(f["noun"] == nouns[f["rule"]] for f in findings)
