"""The renaming alone changed no figure: results under the old names and under the new ones are held against each other.

    python -m tests.renamed write FILE      in a checkout of before (with this module copied into it)
    python -m tests.renamed compare FILE    here

Every worked site as it stands, and 100 random scenarios; figures to one part in 1e9, verdicts, findings and levels the same.
"""

import json
import math
import sys
from pathlib import Path
from typing import Any

from purgecalc.errors import PurgecalcError
from purgecalc.scenario import load
from purgecalc.studies.checked import Checked
from tests.random_sites import SITES, random_site

COUNT = 100


def figures(file: str, settings: list[str]) -> Any:
    """Verdict, levels of all rules and figures of all lines, or the refusal."""
    scenario = load(file, settings)
    try:
        checked = Checked.of(scenario)
    except PurgecalcError as error:
        return type(error).__name__
    return {
        "verdict": checked.verdict,
        "rules": {f"{f.line}: {f.rule.id}": f.state for f in checked.findings},
        "lines": [{n.id: float(n.value) for n in d.sheet} for d in checked.designs],
    }


def write(file: Path) -> None:
    """Settings and figures of every case, under the names of this checkout."""
    sites = [(str(site), []) for site in SITES]
    random = [(s.file, list(s.settings)) for s in map(random_site, range(COUNT))]
    cases = [{"site": Path(site).name, "settings": put, "figures": figures(site, put)} for site, put in sites + random]
    file.write_text(json.dumps(cases))


def compare(file: Path) -> int:
    """How many cases differ; each is told."""
    from purgecalc.renamed import renamed

    def new(sort: str, old: str) -> str:
        return renamed(sort, old) or old

    def setting(text: str) -> str:
        key, _, value = text.partition("=")
        return f"{new('keys', key)}={new('words', value)}"

    wrong = 0
    cases = json.loads(file.read_text())
    folder = Path(SITES[0]).parent
    for case in cases:
        got, old = figures(str(folder / case["site"]), [setting(s) for s in case["settings"]]), case["figures"]
        if isinstance(old, dict):
            old["rules"] = {f"{k.partition(': ')[0]}: {new('rules', k.partition(': ')[2])}": v for k, v in old["rules"].items()}
            old["lines"] = [{new("quantities", id): v for id, v in line.items()} for line in old["lines"]]
        different = list(_differences(old, got))
        wrong += bool(different)
        for line in different[:5]:
            sys.stdout.write(f"{case['site']} {case['settings']}: {line}\n")
    sys.stdout.write(f"{len(cases) - wrong} of {len(cases)} cases are the same\n")
    return wrong


def _differences(old: Any, got: Any, at: str = "") -> Any:
    if isinstance(old, dict) and isinstance(got, dict):
        for key in sorted(old.keys() | got.keys()):
            yield from _differences(old.get(key, "absent"), got.get(key, "absent"), f"{at}/{key}")
    elif isinstance(old, list) and isinstance(got, list) and len(old) == len(got):
        for i, (a, b) in enumerate(zip(old, got, strict=True)):
            yield from _differences(a, b, f"{at}/{i}")
    elif isinstance(old, float) and isinstance(got, float):
        if not (math.isclose(old, got, rel_tol=1e-9, abs_tol=1e-300) or (math.isnan(old) and math.isnan(got))):
            yield f"{at}: {old} is {got}"
    elif old != got:
        yield f"{at}: {old} is {got}"


if __name__ == "__main__":
    what, where = sys.argv[1:]
    sys.exit({"write": write, "compare": compare}[what](Path(where)) and 1)
