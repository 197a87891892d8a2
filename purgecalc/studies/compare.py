"""What differs between two checked scenarios: inputs, limits, waivers, and findings come and gone."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from purgecalc.inputs import SHARED_TABLES, Inputs
from purgecalc.rules import Finding, Level
from purgecalc.shown import text_of
from purgecalc.studies.checked import Checked

NONE = "none"
"""What is told in place of a value that one of them does not have."""


@dataclass(frozen=True)
class Difference:
    """One thing that differs, with both texts."""

    what: str
    a: str
    b: str


@dataclass(frozen=True)
class Comparison:
    """Two results side by side. ``lines`` pairs the lines of one name (all lines where each has one)."""

    a: Checked
    b: Checked
    lines: tuple[tuple[str, str], ...]
    inputs: tuple[Difference, ...]
    rules: tuple[Difference, ...]
    """Limits and waivers that differ."""
    gone: tuple[Finding, ...]
    new: tuple[Finding, ...]
    stay: tuple[Finding, ...]
    """Those of ``b`` that ``a`` has too."""
    alone: tuple[str, ...]
    """Names of lines that only one of them has."""

    @property
    def word(self) -> str:
        """BETTER, WORSE or SAME: by the worst level that fails, then by how many fail at each."""
        before, after = _weights(self.a), _weights(self.b)
        return "SAME" if before == after else "BETTER" if after < before else "WORSE"


def compare(a: Checked, b: Checked) -> Comparison:
    """Compare two results. Lines go together by name; where each has one line those two do."""
    names_a, names_b = ([d.inputs.line for d in c.designs] for c in (a, b))
    pairs = [(n, n) for n in names_a if n in names_b]
    if not pairs and len(names_a) == len(names_b) == 1:
        pairs = [(names_a[0], names_b[0])]
    alone = [f"{n} only in A" for n in names_a if n not in [p for p, _ in pairs]]
    alone += [f"{n} only in B" for n in names_b if n not in [p for _, p in pairs]]
    many = len(names_a) > 1 or len(names_b) > 1
    inputs = [d for pair in pairs for d in _inputs(a, b, pair, shared=pair == pairs[0], many=many)]
    failing_a, failing_b = _failing(a, dict(pairs)), _failing(b, {})
    return Comparison(
        a,
        b,
        tuple(pairs),
        tuple(inputs),
        tuple(_rules(a, b)),
        tuple(f for key, f in failing_a.items() if key not in failing_b),
        tuple(f for key, f in failing_b.items() if key not in failing_a),
        tuple(f for key, f in failing_b.items() if key in failing_a),
        tuple(alone),
    )


def _failing(c: Checked, called: Mapping[str, str]) -> dict[tuple[str, str], Finding]:
    """Failing findings by rule and line, lines under the name they have in the other scenario."""
    return {(f.rule.id, called.get(f.line, f.line)): f for f in c.findings if f.state == "fails"}


def _weights(c: Checked) -> tuple[int, ...]:
    failing = [f.level for f in c.findings if f.state == "fails"]
    return tuple(failing.count(level) for level in sorted(Level, reverse=True))


def _inputs(a: Checked, b: Checked, pair: tuple[str, str], *, shared: bool, many: bool) -> Iterator[Difference]:
    one, two = a.design_of(pair[0]).inputs, b.design_of(pair[1]).inputs
    before, after = _texts(one), _texts(two)
    for id in dict.fromkeys((*before, *after)):
        if before.get(id, (None, NONE))[0] == after.get(id, (None, NONE))[0]:
            continue
        if not shared and id.split(".")[0] in SHARED_TABLES:
            continue
        where = f" [{pair[1]}]" if many else ""
        yield Difference(f"{id}{where}", before.get(id, (None, NONE))[1], after.get(id, (None, NONE))[1])


def _texts(inputs: Inputs) -> dict[str, tuple[object, str]]:
    """Every input with what it is compared by (the value, however it is written) and its text."""
    out: dict[str, tuple[object, str]] = {id: ((float(g.value), g.state), text_of(g)) for id, g in inputs.values.items()}
    out |= {id: (word, word) for id, word in inputs.choices.items()}
    if inputs.fittings:
        words = ", ".join(f"{n} {name}" for name, n in sorted(inputs.fittings.items()))
        out["hose.fittings"] = (words, words)
    for i, (p, q) in enumerate(inputs.curve, 1):
        out[f"source.curve.{i}"] = ((float(p.value), float(q.value)), f"{q.text} at {p.text}")
    return out


def _rules(a: Checked, b: Checked) -> Iterator[Difference]:
    one, two = a.scenario, b.scenario
    for table, before, after in (("limits", one.limits, two.limits), ("waive", one.waive, two.waive)):
        for id in dict.fromkeys((*before, *after)):
            if before.get(id) != after.get(id):
                yield Difference(f"{table}.{id}", str(before.get(id, NONE)), str(after.get(id, NONE)))
