"""The result for other programs: unrounded SI, stable ids, additive only."""

from __future__ import annotations

import json
import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from purgecalc import __version__
from purgecalc.design import Design
from purgecalc.errors import PurgecalcError, ScenarioError
from purgecalc.kinds import FLOW_STATES
from purgecalc.reports.unit_fields import of_node, unit_fields
from purgecalc.rules import Finding, Missing
from purgecalc.studies.checked import Checked
from purgecalc.visible import in_json
from purgecalc.working import Given, Node, Step

if TYPE_CHECKING:  # only --detail needs it
    from purgecalc.studies.expected import Expected

SCHEMA = 2


def number(value: Any, kind: str = "") -> Any:
    """A JSON number (null where there is none); flags as true or false; arrays as lists."""
    if isinstance(value, np.ndarray) and value.ndim:
        return [number(v, kind) for v in value.tolist()]
    value = float(value)
    if kind == "flag":
        return bool(value)
    return value if math.isfinite(value) else None


def result(checked: Checked, to_measure: Sequence[Sequence[Expected]] = ()) -> dict[str, Any]:
    """The whole result as plain data; ``to_measure`` adds to each line what is expected at commissioning."""
    out = _result(checked)
    for line, table in zip(out["lines"], to_measure, strict=False):
        line["expected"] = [expectation(e) for e in table]
    return out


def expectation(e: Expected) -> dict[str, Any]:
    """One thing to measure, in SI; null where there is no such end."""
    band, passes, quiet = (pair or (math.nan, math.nan) for pair in (e.band, e.passes, e.quiet))
    return {
        "quantity": e.test.id,
        "title": e.test.what,
        "how": e.test.how,
        "value": number(e.value),
        **unit_fields(e.kind, e.test.id),
        "band": [number(v) for v in band],
        "passes": [number(v) for v in passes],
        "no_alarm": [number(v) for v in quiet],
        "gauge": number(e.gauge) if e.gauge is not None else None,
        "gauge_error": number(e.gauge_error),
        "not_a_test": e.why_none or None,
    }


def _result(checked: Checked) -> dict[str, Any]:
    designs, asked = checked.designs, checked.site_questions
    return {
        "schema": SCHEMA,
        "version": __version__,
        "scenario": checked.scenario.title,
        "input_hash": checked.scenario.hash,
        "defaults_used": sorted({g.id for d in designs for g in d.sheet.givens() if g.origin.how == "default"}),
        "overridden": sorted({g.id for d in designs for g in d.sheet.givens() if g.origin.how == "override"}),
        "air_states": dict(FLOW_STATES),
        "lines": [_line(d) for d in designs],
        "findings": [finding(f) for f in checked.findings],
        "not_judged": [
            {"rule": f.rule.id, "line": f.line, "level": f.level.name, "missing": list(f.missing)} for f in checked.not_judged
        ],
        "site_questions": {"open": len(asked.facts), "stop": asked.stop, "ids": [*asked.ids]},
        "verdict": checked.verdict,
    }


def _line(d: Design) -> dict[str, Any]:
    """One line: what was worked out, every input whether it moved a figure or not, the words chosen and the fittings."""
    unused = [g for id, g in d.inputs.values.items() if id not in d.sheet]
    return {
        "name": d.inputs.line,
        "quantities": {n.id: quantity(n) for n in (*d.sheet, *unused)},
        "words": dict(d.inputs.choices),
        "fittings": dict(d.inputs.fittings),
        "corners": {corner: {n.id: quantity(n) for n in there.sheet} for corner, there in d.corners.items()},
    }


def quantity(node: Node) -> dict[str, Any]:
    """One line of the sheet."""
    out = {"value": number(node.value, node.kind), **of_node(node), "title": node.title}
    if isinstance(node, Given):
        out["origin"] = str(node.origin)
        if node.state:
            out["stated_as"] = node.state
    if isinstance(node, Step) and node.note:
        out["note"] = node.note
    return out


def finding(f: Finding) -> dict[str, Any]:
    """One finding, figures in SI."""
    margin, fact = f.margin, f.fact
    return {
        "rule": f.rule.id,
        "noun": f.rule.noun,
        "title": f.rule.title,
        "level": f.level.name,
        "state": f.state,
        "line": f.line,
        "corner": f.design.corner if f.design else None,
        "quantity": margin.quantity.id if margin else None,
        "value": number(margin.quantity.value) if margin else None,
        "limit": number(margin.nearest_limit()) if margin else None,
        **(of_node(margin.quantity) if margin else dict.fromkeys(("unit", "ucum", "reference", "air_state"))),
        "margin": number(margin.slack()) if margin else None,
        "found": fact.found if fact else f.outcome.words if isinstance(f.outcome, Missing) else None,
        "wanted": fact.wanted if fact else None,
        "reason": f.reason,
        "remedy": f.remedy,
        "origin": str(f.rule.cite),
        "waived_because": f.waived_because or None,
        "missing": list(f.missing),
        "voided_by": f.voided_by or None,
    }


def error(problem: PurgecalcError) -> dict[str, Any]:
    """An error as data."""
    if isinstance(problem, ScenarioError):
        listed = [{"file": p.file, "line": p.line or None, "key": p.key, "message": p.message} for p in problem.problems]
    else:
        listed = [{"message": str(problem)}]
    return {"schema": SCHEMA, "error": type(problem).__name__, "exit_code": problem.exit_code, "problems": listed}


def dumps(data: dict[str, Any]) -> str:
    """Text of the result, one key a line, in a stable order."""
    return in_json(json.dumps(data, indent=1, ensure_ascii=True, allow_nan=False))
