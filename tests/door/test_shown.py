"""What notebooks and rich show of a result: short in a list, the command line's own screen when asked for."""

import dataclasses
import html
import io
import re
from collections.abc import Iterator, Mapping
from typing import Any

import pytest
from rich.console import Console

import purgecalc
from tests.command import run
from tests.door.site import site, two_lines
from tests.lines import SCENARIOS

LONGEST_REPR = 300


def reached(*things: Any) -> Iterator[Any]:
    """Everything of the package that a person comes upon from a result: fields and properties, three steps deep."""
    todo, seen = [(thing, 0) for thing in things], set()
    while todo:
        thing, depth = todo.pop()
        if id(thing) in seen or depth > 3:
            continue
        seen.add(id(thing))
        if type(thing).__module__.startswith("purgecalc"):
            yield thing
            if dataclasses.is_dataclass(thing):
                todo += [(getattr(thing, f.name), depth + 1) for f in dataclasses.fields(thing)]
            if not hasattr(thing, "node"):
                continue
        if isinstance(thing, Mapping | list | tuple):
            todo += [(v, depth) for v in (thing.values() if isinstance(thing, Mapping) else thing)]


@pytest.mark.parametrize("name", ["fernwhistle", "pellwick", "trivet-mill", "tarnbeck"])
def test_everything_one_comes_upon_has_a_short_name(name: str) -> None:
    r = site(name)
    (line,) = r.lines.values()
    things = [*reached(r, r.scenario, *r.designs, *r.findings, *r.designs[0].sheet, line, *dict(line).values())]
    assert len(things) > 900
    long = {f"{type(t).__name__}: {repr(t)[:90]}" for t in things if len(repr(t)) > LONGEST_REPR}
    assert long == set()


def test_repr_says_what_matters() -> None:
    r = site("long-tansy")
    assert repr(r) == "<Check of 'Long Tansy retrofit': FIX, 1 line; findings: 2 to fix, 2 to watch>" or r.verdict in repr(r)
    assert repr(r["hose.length"]) == f"<Quantity hose.length = {r['hose.length'].text}>"
    assert repr(r.findings[0]).startswith(f"<Finding {r.findings[0].rule.id}: FIX fails")
    assert "2 lines" in repr(two_lines())


def test_a_result_prints_the_screen_of_check() -> None:
    assert str(site("fernwhistle")) == run("check", str(SCENARIOS / "fernwhistle.toml")).stdout.rstrip()


def shown_things() -> list[Any]:
    r = site("long-tansy")
    (line,) = r.lines.values()
    grid = r.sweep({"line.hose.length": "3,6 m", "line.hose.bore": "4,8 mm"}, blast="estimate")
    return [r, line, r["hose.length"], r.explain("hose.pressure_drop"), grid]


def test_a_notebook_shows_the_same_text_painted_and_nothing_runs_in_it() -> None:
    for thing in shown_things():
        markup = thing._repr_html_()
        text = html.unescape(re.sub(r"</?(?:pre|span)(?: style=\"[\w\s:;.#-]*\")?>", "", markup))
        assert text == thing.page(100).plain()
    assert "color" in site("long-tansy")._repr_html_()
    r = purgecalc.check(SCENARIOS / "fernwhistle.toml", set={"title": "<script>alert(1)</script>"})
    assert "<script>" not in r._repr_html_()
    assert "&lt;script&gt;" in r._repr_html_()


@pytest.mark.parametrize("width", [60, 100])
def test_rich_shows_the_same_text_at_its_own_width(width: int) -> None:
    for thing in shown_things():
        out = io.StringIO()
        Console(file=out, width=width, markup=True, highlight=False, color_system=None).print(thing)
        lines = [line.rstrip() for line in out.getvalue().splitlines()]
        assert lines == [line.rstrip() for line in thing.page(width).plain().splitlines()]


def test_dir_names_what_there_is() -> None:
    assert {"verdict", "findings", "lines", "explain", "note", "size", "sweep", "to_dict"} <= set(dir(site("fernwhistle")))
    assert dir(purgecalc) == sorted(purgecalc.__all__)
    assert all(getattr(purgecalc, name) is not None for name in purgecalc.__all__)
    with pytest.raises(AttributeError, match="no attribute 'chek'"):
        purgecalc.chek  # noqa: B018
