"""The blast of one line followed in time."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from purgecalc import air_sources, transient
from purgecalc.air_sources._blast import BLAST_BRANCHES, BLAST_TOLERANCE
from purgecalc.design import Design
from purgecalc.errors import NoPhysicalAnswer

Array = NDArray[np.float64]


@dataclass(frozen=True)
class BlastTrace:
    """History of a blast. Pressures gauge Pa, flows kg/s, slug length m, receiver temperature K, times s."""

    t: Array
    source: Array
    inlet: Array
    outlet: Array
    flow_in: Array
    flow_out: Array
    slug: Array
    temperature: Array
    blast: float
    delivered: float
    outcome: str
    what: str
    begins: str = ""
    """Where a receiver begins, in words."""


def trace(design: Design, branches: int = BLAST_BRANCHES, tolerance: float = BLAST_TOLERANCE) -> BlastTrace:
    """Integrate the blast of a single design and keep its history.

    ``branches`` of the hose and relative ``tolerance`` of a step: as they are,
    the delivery time of a direct source is that of a check.
    A receiver is followed from cut-out with the likely heat from its wall. Raises ``NoPhysicalAnswer`` where the
    integration does not come to an end.
    """
    source = air_sources.of(design.inputs.choice("source.kind"))
    blast = source.one_blast(design.sheet, design.inputs, design.supply)
    result = transient.simulate(blast, branches, tolerance, keep_history=True)
    h = result.trace
    outcome = transient.Outcome(int(result.outcome))
    if h is None or outcome == transient.Outcome.NOT_CONVERGED:
        raise NoPhysicalAnswer(f"{design.inputs.line}: the integration stopped at {float(result.outcome_time):.3g} s")
    p_atm = design.number("site.pressure")
    return BlastTrace(
        h.t,
        h.p_source - p_atm,
        h.p_inlet - p_atm,
        h.p_outlet - p_atm,
        h.flow_valve,
        np.maximum(h.flow_head, 0.0),
        h.slug,
        h.T_source,
        design.number("schedule.blast"),
        float(result.delivery_time),
        outcome.name,
        design.inputs.line,
        ", receiver at cut-out" if design.has_receiver else "",
    )
