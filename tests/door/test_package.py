"""The package as another program meets it: cheap to import, typed, and its examples true."""

import ast
import doctest
import importlib
import inspect
import os
import pkgutil
import re
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any, get_type_hints

import pytest

import purgecalc
import purgecalc.door
from tests.door.site import site
from tests.lines import ROOT, SCENARIOS
from tests.test_readme import README

MODULES = [importlib.import_module(f"purgecalc.door.{m.name}") for m in pkgutil.iter_modules(purgecalc.door.__path__)]
USER = """
from pathlib import Path

from purgecalc import Check, Finding, Quantity, ScenarioError, check, load


def judged(path: Path, length: float) -> Check:
    return check(path, set={"line.hose.length": f"{length} m", "line.head.holes": 4})


try:
    r = judged(Path("site.toml"), 18)
except ScenarioError as refused:
    print([problem.key for problem in refused.problems])
else:
    drop: Quantity = r["hose.pressure_drop"]
    millibar: float = drop.to("mbar")
    worst: Finding = r.findings[0]
    names: list[str] = [*r.lines]
    text: str = str(r.explain("blast.delivery_time", everything=True))
    written: Path = r.note("note.html", force=True)
    changes: dict[str, str | int] = r.size(free="hose.bore").changes
    shape: tuple[int, ...] = r.sweep({"line.hose.length": "3:60:40 m"}, of=["head.thrust"]).verdict.shape
    data = r.to_dict()["verdict"]
    again = check(load({"title": "x"}, set={"line.hose.length": "3 m"}))
"""
WRONG = """
from purgecalc import check

r = check("site.toml")
text: str = r["hose.pressure_drop"].to("mbar")
r.sweep({"line.hose.length": "3:60:40 m"}, blast="guess")
r.verdikt
"""


def test_importing_the_package_imports_nothing_else() -> None:
    code = "import sys; before = set(sys.modules); import purgecalc; purgecalc.__version__; dir(purgecalc)\n"
    code += "print(sorted(set(sys.modules) - before))"
    done = subprocess.run([sys.executable, "-S", "-c", code], capture_output=True, text=True, check=True, cwd=ROOT)
    assert done.stdout.strip() == "['purgecalc']"


def test_a_name_that_needs_little_imports_little() -> None:
    code = "import sys; from purgecalc import ScenarioError; print('numpy' in sys.modules, 'purgecalc.errors' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT)
    assert done.stdout.split() == ["False", "True"]


def test_examples_in_the_docstrings_are_true() -> None:
    tried = 0
    reference = purgecalc.check(set={"line.hose.length": "6 m", "line.name": "lane 1"})
    for module in MODULES:
        result = doctest.testmod(module, extraglobs={"r": reference}, report=False)
        assert result.failed == 0, module.__name__
        tried += result.attempted
    assert tried >= 12


def public() -> list[tuple[str, Any]]:
    """Every function of the door that a person may call."""
    out = [(name, getattr(purgecalc, name)) for name in purgecalc.door.__all__]
    found = [(name, f) for name, f in out if inspect.isfunction(f)]
    for name, cls in ((n, c) for n, c in out if inspect.isclass(c)):
        found += [(f"{name}.{n}", f) for n, f in inspect.getmembers(cls, inspect.isfunction) if not n.startswith("_")]
    return found


def test_every_function_tells_its_arguments_and_is_typed() -> None:
    assert len(public()) > 15
    for name, function in public():
        hints, doc = get_type_hints(function, vars(inspect.getmodule(function))), inspect.getdoc(function) or ""
        arguments = [p for p in inspect.signature(function).parameters if p != "self"]
        assert hints.keys() >= {*arguments, "return"}, name
        for argument in arguments:
            assert re.search(rf"\b{argument}\b", doc), f"{name} does not tell of {argument}"


def cells() -> list[str]:
    return re.findall(r"<!-- cell -->\n```python\n(.*?)```", README, re.S)


def test_the_cells_of_the_readme_do_what_they_say(tmp_path: Path, monkeypatch, capsys) -> None:
    shutil.copytree(SCENARIOS, tmp_path / "scenarios")
    monkeypatch.chdir(tmp_path)
    names: dict[str, Any] = {}
    said = 0
    assert len(cells()) == 3
    for cell in cells():
        for node in ast.parse(cell).body:
            _, _, wanted = (cell.splitlines()[(node.end_lineno or 0) - 1]).partition("  # -> ")
            if wanted:
                assert isinstance(node, ast.Expr)
                assert repr(eval(ast.unparse(node), names)) == wanted, ast.unparse(node)
                said += 1
            else:
                exec(ast.unparse(node), names)
    assert said >= 8
    assert "Delivery time" in capsys.readouterr().out
    assert (tmp_path / "lane-2.md").exists()


def test_the_package_says_that_it_is_typed() -> None:
    assert (Path(purgecalc.__file__).parent / "py.typed").read_text() == ""


@pytest.mark.campaign
def test_a_users_file_passes_the_strictest_types_and_a_wrong_one_does_not(tmp_path: Path) -> None:
    for name, text in (("user.py", USER), ("wrong.py", WRONG)):
        (tmp_path / name).write_text(text)
    env = {**os.environ, "MYPYPATH": str(ROOT)}
    words = [
        sys.executable,
        "-m",
        "mypy",
        "--strict",
        "--config-file",
        "",
        "--ignore-missing-imports",
        "--follow-imports",
        "silent",
    ]
    good, bad = (
        subprocess.run([*words, name], capture_output=True, text=True, cwd=tmp_path, env=env, check=False)
        for name in ("user.py", "wrong.py")
    )
    assert good.returncode == 0, good.stdout
    assert re.findall(r"\[([\w-]+)\]$", bad.stdout, re.M) == ["assignment", "arg-type", "attr-defined"]


def test_the_result_of_the_door_is_the_one_of_the_command_line() -> None:
    from purgecalc.studies.checked import Checked

    assert isinstance(site("fernwhistle"), Checked)
