"""The recipes of DEVELOPERS.md are real: each diff applies to the package as it is, and what it adds is there."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
DIFFS = re.findall(r"```diff\n(.*?)```", (ROOT / "DEVELOPERS.md").read_text("utf-8"), re.S)
SITE = "scenarios/cloudrest.toml"


def named(file: str) -> str:
    """The diff that changes a file."""
    (found,) = (d for d in DIFFS if f"+++ b/{file}\n" in d)
    return found


@pytest.fixture
def copy(tmp_path: Path) -> Path:
    for part in ("purgecalc", "tests", "scenarios"):
        shutil.copytree(ROOT / part, tmp_path / part, ignore=shutil.ignore_patterns("__pycache__", "golden"))
    shutil.copy(ROOT / "pyproject.toml", tmp_path)
    return tmp_path


def applied(copy: Path, diff: str) -> None:
    done = subprocess.run(["git", "apply", "--verbose", "-"], input=diff, text=True, cwd=copy, capture_output=True)
    assert done.returncode == 0, done.stderr


def said(copy: Path, *words: str, stdin: str = "") -> str:
    """What purgecalc of the copy prints."""
    env = {**os.environ, "PYTHONPATH": str(copy), "COLUMNS": "120", "NO_COLOR": "1"}
    done = subprocess.run(
        [sys.executable, "-m", "purgecalc", *words], cwd=copy, env=env, input=stdin, capture_output=True, text=True
    )
    assert done.returncode in (0, 5), done.stderr
    return done.stdout


def test_each_recipe_is_short() -> None:
    assert len(DIFFS) == 4
    assert all(len(d.splitlines()) <= 40 for d in DIFFS)


def test_a_rule_is_one_function_and_its_case(copy: Path) -> None:
    assert "bore-usual" not in said(copy, "rules")
    applied(copy, named("purgecalc/rules/hose.py"))
    assert "bore-usual" in said(copy, "rules")
    wide = json.loads(said(copy, "check", SITE, "--set", "line.hose.bore=20 mm", "--json"))
    (found,) = (f for f in wide["findings"] if f["rule"] == "bore-usual")
    assert (found["state"], found["level"], found["limit"]) == ("fails", "NOTE", 0.016)


@pytest.mark.campaign
def test_the_case_of_the_recipe_is_judged_by_the_tests_of_all_rules(copy: Path) -> None:
    applied(copy, named("purgecalc/rules/hose.py"))
    words = [
        sys.executable,
        "-m",
        "pytest",
        "-q",
        "-n0",
        "tests/rules/test_rules.py",
        "-k",
        "bore-usual",
        "-p",
        "no:cacheprovider",
    ]
    done = subprocess.run(words, cwd=copy, env={**os.environ, "PYTHONPATH": str(copy)}, capture_output=True, text=True)
    assert done.returncode == 0, done.stdout[-2000:]


def test_a_lever_is_one_row(copy: Path) -> None:
    free = ("size", SITE, "--free", "line.head.depth")
    with pytest.raises(AssertionError, match="not something size can change"):
        said(copy, *free)
    applied(copy, named("purgecalc/studies/levers.py"))
    assert "Proposed" in said(copy, *free)


def test_a_measurement_is_one_entry(copy: Path) -> None:
    assert "gauges at both ends of the hose" not in said(copy, "check", SITE, "--json", "--detail")
    applied(copy, named("purgecalc/studies/measurements.toml"))
    expected = json.loads(said(copy, "check", SITE, "--json", "--detail"))["lines"][0]["expected"]
    (entry,) = (e for e in expected if e["quantity"] == "hose.pressure_drop")
    assert entry["value"] > 0


def test_a_question_is_one_row(copy: Path) -> None:
    applied(copy, named("purgecalc/studies/questions.py"))
    said(copy, "new", "--ask", "asked.toml", stdin="?\n" * 40)
    assert 'altitude = "0 m"' in (copy / "asked.toml").read_text("utf-8")
