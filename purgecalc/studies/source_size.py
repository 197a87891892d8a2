"""Which source: the smallest flow that still works on this line, and for a receiver the smallest volume and lowest band."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from purgecalc.inputs import Inputs
from purgecalc.studies.grades import Change, Graded, Subject, graded, varied
from purgecalc.studies.search import Array, Key, find_edge
from purgecalc.working import Given, Origin

SOURCE_GROUPS = ("head", "hose", "source")
NOT_BY_SOURCE = ("hose-length", "valve-share", "transition", "delivery-sharp")
"""Nothing a source can clear, and friction that is less well known, which forbids none."""
LEAST_SHARE, MOST_SHARE = 0.05, 8.0
"""How far below and above the present size is looked."""
BETWEEN = (4.0, 2.0, 1.4, 1.0, 0.7, 0.5, 0.25, 0.12)
"""Shares of it at which the integrated blast is looked at in any case."""


@dataclass(frozen=True)
class Smallest:
    """Smallest size (SI, of the input named) at which all rules that depend on it pass; nan where none does.

    ``limit`` is the rule that ends it; ``largest`` is where it starts to fail upwards, as far as was looked.
    """

    given: Given
    size: float
    largest: float
    limit: str
    open_ended: bool = True
    """Whether the largest size looked at passes too."""
    apart: tuple[Key, ...] = ()
    """Rules that fail whatever the size, each with its line."""


def smallest_source(subject: Subject) -> tuple[Smallest, ...]:
    """The sizes of the source that may be made smaller, each with everything else as it is."""
    inputs = subject.inputs
    if inputs.choice("source.kind") == "direct":
        return (_flow(subject),)
    found = [_one(subject, inputs["source.volume"], lambda v: {"source.volume": v})]
    width = inputs["source.cut_out"].value - inputs["source.cut_in"].value
    most = 1.5
    if "source.dead_head" in inputs:  # cut-out stays below it
        room = float(inputs["source.dead_head"].value - width) / float(inputs["source.cut_in"].value)
        most = max(1.0, min(most, 0.999 * room))
    found.append(_one(subject, inputs["source.cut_in"], lambda p: {"source.cut_in": p, "source.cut_out": p + width}, most))
    found.append(_flow(subject))
    return tuple(found)


def _flow(subject: Subject) -> Smallest:
    """Smallest flow: free air or displacement as given, or all points of a measured curve together."""
    inputs = subject.inputs
    if inputs.curve:
        first = inputs.curve[0][1]
        return _search(subject, first, lambda q: _on_curve(subject, q / first.value))
    id = "source.flow" if "source.flow" in inputs else "source.displacement"
    return _one(subject, inputs[id], lambda q: {id: q})


def _on_curve(subject: Subject, factor: Array) -> list[Inputs]:
    def larger(q: Given) -> Given:
        return replace(q, value=q.value * factor, origin=Origin("override", "varied"), text="")

    return [replace(i, curve=tuple((p, larger(q)) for p, q in i.curve)) for i in subject.lines]


def _one(subject: Subject, given: Given, changes: Callable[[Array], Mapping[str, Change]], most: float = MOST_SHARE) -> Smallest:
    def lines(size: Array) -> list[Inputs]:
        return varied(subject.lines, changes(size), subject.line)

    return _search(subject, given, lines, most)


def _search(subject: Subject, given: Given, lines: Callable[[Array], list[Inputs]], most: float = MOST_SHARE) -> Smallest:
    def grade(size: Array, rows: NDArray[np.int_], *, unsteady: bool) -> Graded:
        return graded(lines(size), subject.limits, subject.waive, unsteady, aside=False, silence=False)

    present = float(given.value)
    between = [share * present for share in BETWEEN]
    edge = find_edge(grade, np.array([most * present]), np.array([LEAST_SHARE * present]), SOURCE_GROUPS, NOT_BY_SOURCE, between)
    size, largest = float(edge.last[0]), float(edge.first[0])
    return Smallest(given, size, largest, edge.limit[0], largest >= 0.999 * most * present, edge.apart)
