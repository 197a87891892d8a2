"""One word for one thing: no text that people read uses a name that the list of terms keeps out."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

import purgecalc
from purgecalc.catalogue.terms import Term, terms

PACKAGE = Path(purgecalc.__file__).parent
ROOT = PACKAGE.parent
OLD_NAMES = {"renamed.toml", "renamed.py", "terms.toml"}
"""Where other names are listed as such."""
TEXTS = (
    ROOT / "README.md",
    ROOT / "DEVELOPERS.md",
    *sorted((ROOT / "scenarios").glob("*.toml")),
    *sorted(
        p for p in PACKAGE.rglob("*") if p.suffix in (".py", ".toml", ".html", ".js", ".css", ".typ") and p.name not in OLD_NAMES
    ),
)


def strings(path: Path) -> Iterator[tuple[int, str]]:
    """Line and text: of code its strings (documentation too), of anything else every line."""
    source = path.read_text("utf-8")
    if path.suffix != ".py":
        yield from enumerate(source.splitlines(), 1)
        return
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.JoinedStr):
            yield node.lineno, "".join(str(v.value) if isinstance(v, ast.Constant) else "_" for v in node.values)
        elif isinstance(node, ast.Constant) and isinstance(node.value, str):
            yield node.lineno, node.value


def uses(text: str) -> Iterator[tuple[str, str]]:
    """Words of a text that are not ours, and the term to use."""
    for term, pattern in PATTERNS:
        for hit in pattern.finditer(" ".join(text.split())):
            yield hit[0], term.term


PATTERNS = [(t, re.compile(rf"(?<![\w.\"'])(?:{'|'.join(t.synonyms)})(?!\w)", re.IGNORECASE)) for t in terms() if t.synonyms]


@pytest.mark.parametrize("path", TEXTS, ids=lambda p: str(p.relative_to(ROOT)))
def test_no_text_uses_another_name(path: Path) -> None:
    found = [f"line {line}: {hit!r}, the term is {term!r}" for line, text in strings(path) for hit, term in uses(text)]
    assert found == []


@pytest.mark.parametrize(
    ("text", "term"),
    [
        ("The reservoir is full.", "receiver"),
        ("The reading is frozen.", "hold"),
        ("This cures the finding.", "remedy"),
        ("The jet ratio is 0.8.", "jet thrust ratio"),
        ("Protect the probe cap.", "sensing face"),
    ],
)
def test_another_name_is_seen(text: str, term: str) -> None:
    assert [t for _, t in uses(text)] == [term]


@pytest.mark.parametrize(
    "text", ["The hose can freeze.", "a film of water", "film coefficient", "pressure vessel", "a receiver", "processor core"]
)
def test_words_that_water_metal_and_law_need_are_left(text: str) -> None:
    assert list(uses(text)) == []


def test_terms_are_told_once_and_in_order() -> None:
    names = [t.term.lower() for t in terms()]
    assert names == sorted(names, key=lambda n: n.replace("-", " "))
    assert len(names) == len(set(names))
    assert all(t.means.endswith(".") for t in terms())


def test_no_meaning_uses_a_name_that_is_kept_out() -> None:
    for term in terms():
        assert list(uses(term.means)) == [], term


def test_a_term_is_a_term() -> None:
    assert isinstance(terms()[0], Term)
