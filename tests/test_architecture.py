"""The shape of the code, held by reading it: directions of import, size of modules, where print and pint may stand."""

import ast
import re
from collections import defaultdict
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
PACKAGE = ROOT / "purgecalc"
MODULES = sorted(PACKAGE.rglob("*.py"))
TOP_LEVEL = {"README.md", "DEVELOPERS.md", "pyproject.toml", "purgecalc", "tests", "scenarios"}

# a part may import from itself and from parts of a lower number
LAYERS = {
    "visible": 0,
    "wording": 0,
    "renamed": 0,
    "errors": 0,
    "files": 0,
    "kinds": 0,
    "units": 0,
    "references": 0,
    "registry": 0,
    "si": 0,
    "working": 0,
    "watched": 0,
    "inputs": 0,
    "shown": 0,
    "formulas": 1,
    "transient": 2,
    "catalogue": 2,
    "air_sources": 2,
    "cycle": 2,
    "published": 3,
    "scenario": 3,
    "design": 3,
    "rules": 4,
    "studies": 5,
    "reports": 6,
    "cli": 7,
    "door": 8,
}
WITHIN_BASE = {
    "visible": 0,
    "wording": 0,
    "renamed": 0,
    "references": 0,
    "registry": 0,
    "si": 0,
    "kinds": 0,
    "errors": 1,
    "units": 1,
    "files": 2,
    "working": 2,
    "watched": 3,
    "inputs": 4,
    "shown": 3,
}

TOPICS = {
    "site",
    "water",
    "air",
    "valve",
    "hose",
    "head",
    "source",
    "receiver",
    "duty",
    "blast",
    "reading",
    "loop",
    "fouling",
    "worth",
    "contact",
    "supply",
    "moisture",
    "pressure",
    "noise",
    "lifting",
    "upkeep",
}
# what is no topic: how a layer works, or a part of several topics; each is named for what it does
MACHINERY = {
    "scenario": {
        "descriptions",
        "facts",
        "fields",
        "inputs",
        "keys",
        "line",
        "messages",
        "model",
        "note",
        "positions",
        "read",
        "reference",
        "relations",
        "replaced",
        "rewrite",
        "schema",
        "toml_text",
        "write",
    },
    "formulas": {
        "acceptance",
        "bubble",
        "derating",
        "duty_runs",
        "fanno",
        "hose_ends",
        "interval",
        "lags",
        "limits",
        "moisture_line",
        "operating_point",
        "oxygen",
        "sensor",
        "sensor_fall",
        "sensor_models",
    },
    "design": {"acceptance", "corners", "derating", "flow", "holes", "interval", "line", "reach", "sensor", "simulated"},
    "rules": {"_base", "_corners", "_limits", "_once", "_outcomes", "_void"},
}
NO_ROOM = {
    "water": "its temperature and salinity are a table of the model; what follows from them belongs to the site and the reading"
}
# one name for one kind of thing in every module that has it
SAME_IN_MANY = {
    "SOURCE": "every module of air_sources offers its source under this name, by which they are found",
    "TYPE_CHECKING": "False where a command must start quickly, as typing has it",
}


def part_of(module: Path) -> str:
    return module.relative_to(PACKAGE).parts[0].removesuffix(".py")


@cache
def text_of(module: Path) -> str:
    return module.read_text(encoding="utf-8")


@cache
def tree(module: Path) -> ast.Module:
    return ast.parse(text_of(module))


@cache
def imports(module: Path) -> list[str]:
    found = []
    for node in ast.walk(tree(module)):
        if isinstance(node, ast.Import):
            found += [a.name for a in node.names]
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{module}: relative import"
            found += [node.module or ""] + [f"{node.module}.{a.name}" for a in node.names]
    return found


@pytest.mark.parametrize("module", MODULES, ids=lambda m: str(m.relative_to(ROOT)))
def test_imports_go_only_to_lower_layers(module: Path) -> None:
    here = part_of(module)
    if here in ("__init__", "__main__"):
        return
    for name in imports(module):
        parts = name.split(".")
        if parts[0] != "purgecalc" or len(parts) < 2 or parts[1] not in LAYERS:
            continue
        there = parts[1]
        assert there == here or LAYERS[there] <= LAYERS[here], f"{here} imports {name}"
        if there != here and LAYERS[there] == LAYERS[here] == 0:
            assert WITHIN_BASE[there] < WITHIN_BASE[here], f"{here} imports {name}"


def parts_of(module: Path) -> set[str]:
    """Parts of the package that a module imports from, its own among them."""
    return {n.split(".")[1] for n in imports(module) if n.startswith("purgecalc.")} & set(LAYERS)


def test_every_part_has_its_layer() -> None:
    assert {part_of(m) for m in MODULES} - {"__init__", "__main__"} == set(LAYERS)


def test_parts_of_one_layer_do_not_import_each_other_both_ways() -> None:
    used = {(part_of(m), there) for m in MODULES for there in parts_of(m) if there != part_of(m)}
    assert not {(a, b) for a, b in used if (b, a) in used}


def test_formulas_know_only_the_base() -> None:
    formulas = [m for m in MODULES if part_of(m) == "formulas"]
    assert {p for m in formulas for p in parts_of(m)} <= {"formulas", *(p for p, layer in LAYERS.items() if layer == 0)}


def links() -> dict[str, set[str]]:
    """Every module and every function or class in it, by full name, with the full names that its own lines mention."""
    found: dict[str, set[str]] = {}
    for module in MODULES:
        top = tree(module)
        here = ".".join(module.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")
        imported = {
            a.asname or a.name: f"{n.module}.{a.name}" for n in ast.walk(top) if isinstance(n, ast.ImportFrom) for a in n.names
        }
        defined = {n.name: f"{here}.{n.name}" for n in top.body if isinstance(n, ast.FunctionDef | ast.ClassDef)}
        for node in top.body:
            owner = defined[node.name] if isinstance(node, ast.FunctionDef | ast.ClassDef) else here
            found.setdefault(owner, set()).update(mentioned(node, imported | defined))
    return found


def mentioned(part: ast.AST, names: dict[str, str]) -> Iterator[str]:
    for node in ast.walk(part):
        if isinstance(node, ast.Name) and node.id in names:
            yield names[node.id]
        elif isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name) and node.value.id in names:
            yield f"{names[node.value.id]}.{node.attr}"


def test_every_formula_is_reached_from_the_calculation_a_solver_or_a_study() -> None:
    all_links = links()
    within = {name for name in all_links if name.startswith("purgecalc.formulas.") and name.count(".") == 3}
    checks = "purgecalc.published."  # to be compared with a book is no use
    reached, waiting = set(), [name for name in all_links if name not in within and not name.startswith(checks)]
    while waiting:
        for name in all_links.get(waiting.pop(), set()) & within - reached:
            reached.add(name)
            waiting.append(name)
    assert len(reached) > 150
    assert within - reached == set()


@pytest.mark.parametrize("layer", sorted(MACHINERY))
def test_every_module_is_a_topic_or_named_as_machinery(layer: str) -> None:
    modules = {m.stem for m in (PACKAGE / layer).glob("*.py")} - {"__init__"}
    assert not MACHINERY[layer] & TOPICS
    assert modules - TOPICS == MACHINERY[layer]


def test_every_topic_has_a_room() -> None:
    rooms = {m.stem for layer in MACHINERY for m in (PACKAGE / layer).glob("*.py")}
    assert TOPICS - rooms == NO_ROOM.keys()


def names_given(module: Path) -> Iterator[str]:
    """Classes and constants of a module, where they are given their meaning."""
    for node in tree(module).body:
        if isinstance(node, ast.ClassDef):
            yield node.name
        elif isinstance(node, ast.Assign | ast.AnnAssign):
            targets = node.targets if isinstance(node, ast.Assign) else [node.target]
            names = [n.id for target in targets for n in ast.walk(target) if isinstance(n, ast.Name)]
            yield from (n for n in names if re.fullmatch(r"_?[A-Z][A-Z_0-9]{2,}", n))


def test_a_class_or_a_constant_means_one_thing_in_the_package() -> None:
    homes = defaultdict(set)
    for module in MODULES:
        for name in names_given(module):
            homes[name].add(str(module.relative_to(PACKAGE)))
    shared = {name: sorted(where) for name, where in homes.items() if len(where) > 1}
    assert {name: where for name, where in shared.items() if name not in SAME_IN_MANY} == {}
    assert SAME_IN_MANY.keys() <= shared.keys(), "an exception that is none"


@pytest.mark.parametrize(
    ("library", "allowed"),
    [
        ("pint", {"units.py"}),
        ("typer", {"cli/app.py", "cli/options.py"}),
        ("matplotlib", {"reports/charts.py", "reports/charts_map.py"}),
        ("jinja2", {"reports/as_html.py"}),
        ("markupsafe", {"reports/as_html.py"}),
        ("typst", {"reports/as_pdf.py"}),
    ],
)
def test_a_library_stays_where_it_belongs(library: str, allowed: set[str]) -> None:
    users = {str(m.relative_to(PACKAGE)) for m in MODULES if any(n.split(".")[0] == library for n in imports(m))}
    assert users <= allowed


def test_rich_only_where_a_terminal_is_painted() -> None:
    users = {str(m.relative_to(PACKAGE)) for m in MODULES if any(n.split(".")[0] == "rich" for n in imports(m))}
    assert users == {"cli/console.py", "cli/progress.py"}


def test_print_is_called_nowhere() -> None:
    for module in MODULES:
        for node in ast.walk(tree(module)):
            called = node.func.id if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) else ""
            assert called != "print", module


def test_files_are_written_in_one_place() -> None:
    def writes(node: ast.AST) -> bool:
        if not isinstance(node, ast.Call):
            return False
        name = getattr(node.func, "attr", getattr(node.func, "id", ""))
        modes = [a.value for a in node.args if isinstance(a, ast.Constant) and isinstance(a.value, str)]
        return name in ("write_text", "write_bytes", "mkstemp", "mkdtemp", "NamedTemporaryFile", "savefig") or (
            name == "open" and any(set(mode) & set("wxa+") and set(mode) <= set("rwxabt+") for mode in modes)
        )

    writers = {str(m.relative_to(PACKAGE)) for m in MODULES if any(writes(node) for node in ast.walk(tree(m)))}
    assert writers == {"cli/output.py", "reports/charts.py"}  # charts are saved into memory


@pytest.mark.parametrize("module", MODULES, ids=lambda m: str(m.relative_to(ROOT)))
def test_modules_and_functions_stay_small(module: Path) -> None:
    assert len(text_of(module).splitlines()) <= 300, "a module of more than 300 lines is two modules"
    for node in ast.walk(tree(module)):
        if isinstance(node, ast.FunctionDef):
            body = [n for n in node.body if not (isinstance(n, ast.Expr) and isinstance(n.value, ast.Constant))]
            length = (node.end_lineno or 0) - body[0].lineno + 1 if body else 0
            assert length <= 40, f"{node.name} has {length} lines"


def test_every_public_thing_is_documented() -> None:
    for module in MODULES:
        assert ast.get_docstring(tree(module)) or module.name == "__init__.py", module
        for node in tree(module).body:
            if isinstance(node, ast.FunctionDef | ast.ClassDef) and not node.name.startswith("_"):
                assert ast.get_docstring(node), f"{module}: {node.name}"


def test_top_level_holds_what_was_agreed_and_nothing_else() -> None:
    names = {p.name for p in ROOT.iterdir() if not p.name.startswith(".")}
    assert names >= TOP_LEVEL
    assert names - TOP_LEVEL <= {"purgecalc.egg-info", "dist", "build"}
