"""How far each figure may be off because its inputs are: the design worked out for a sample of what the inputs may be.

Bands of the note: every uncertain input evenly spread within its ``[uncertainty]`` (what JCGM 100 does where only
limits are known, quoted from memory), a Latin hypercube of 192 with a fixed seed, the middle nine tenths of the result.
Blasts of direct sources are not integrated for it: what is integrated there (delivery) is judged one-sided. A line
passes within the wider of band and gauge error, capped by common practice.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from purgecalc.catalogue.probes import probe_kind
from purgecalc.design import Design, design_all
from purgecalc.design.holes import LEAST, MOST, UNSAID
from purgecalc.formulas.hose import RE_LAMINAR, RE_TURBULENT
from purgecalc.inputs import Inputs
from purgecalc.studies.hose_table import given_of
from purgecalc.working import Given, Node, Origin

Array = NDArray[np.float64]

SPREAD_SAMPLE = 192
SEED = 20
COVERAGE = 0.9
"""Share of the sample inside a band."""
RELATIVE = {
    "bore": ("hose.bore",),
    "source_flow": ("source.flow", "source.displacement"),
    "dead_head": ("source.dead_head",),
    "hole": ("head.hole_diameter",),
    "discharge": ("head.discharge_coefficient",),
    "loss": ("hose.loss_coefficient",),
    "check_valve": ("head.check_valve",),
    "conductance": ("valve.conductance",),
    "volume": ("source.volume",),
    "wall": ("source.wall_conductance",),
    "response": ("probe.t90", "probe.t63", "probe.t95", "probe.t98", "probe.t99", "probe.timed_fall"),
    "clearing": ("probe.clear_time", "probe.mix_time"),
}
SETTINGS = {"cut_in": ("source.cut_in",), "cut_out": ("source.cut_out",), "regulator": ("source.regulator",)}
"""As far off as the dead-head, each by itself: three springs, set one by one."""
SHIFTED = {
    "depth": ("head.depth", "head.deepest", "head.shallowest"),
    "temperature": ("site.air_temperature", "water.temperature"),
}
FACTOR_INPUTS = {"settling": "probe.settling_factor", "falling": "probe.falling_factor"}
"""Figures of the catalogue that are off within its own range, where nobody has stated them."""
ASSUMED = ("probe.clear_time", "probe.mix_time", "probe.t90", "head.discharge_coefficient")
"""Inputs that the sheet takes from elsewhere where they are not given."""
WORKED_OUT = ("hose.loss_coefficient", "source.wall_conductance")
"""Inputs that the sheet works out where they are not given."""
HIGHEST = {"head.discharge_coefficient": 1.0}


@dataclass(frozen=True)
class Band:
    """Ends of the band of a figure (SI), and its half-width as a share of the figure."""

    low: float
    high: float
    share: float


@dataclass(frozen=True)
class Spread:
    """Sampled designs of one line, beside the line as it is."""

    design: Design
    sample: Design

    def band(self, id: str) -> Band:
        """Band of a figure: the middle nine tenths of the sample, widened to hold the figure itself."""
        value = self.design.number(id)
        found = np.asarray(self.sample.value(id), float)
        found = found[np.isfinite(found)]
        if found.ndim == 0 or not len(found):
            return Band(value, value, 0.0)
        tail = (1 - COVERAGE) / 2
        low, high = np.quantile(found, [tail, 1 - tail])
        low, high = min(float(low), value), max(float(high), value)
        return Band(low, high, (high - low) / 2 / abs(value) if value else 0.0)


def spread(lines: tuple[Inputs, ...], designs: Sequence[Design]) -> list[Spread]:
    """Sample every line of a scenario once, all inputs off independently and evenly within what the scenario allows.

    The sample is a Latin hypercube with a fixed seed: the same scenario gives the same bands. Where a compressor blows
    directly, steady figures are all that bands are asked of, and the blasts are not integrated; a receiver's are.
    """
    integrated = lines[0].choice("source.kind") == "receiver"
    several = [_sampled(inputs, d, i) for i, (inputs, d) in enumerate(zip(lines, designs, strict=True))]
    with np.errstate(all="ignore"):  # what some of a sample cannot reach is nan or inf there
        sampled = design_all(several, unsteady=integrated, corners=False)
    return [Spread(d, s) for d, s in zip(designs, sampled, strict=True)]


def _sampled(inputs: Inputs, design: Design, index: int) -> Inputs:
    """The line with arrays in place of every input that is not known exactly."""
    names = [*RELATIVE, *SHIFTED, *FACTOR_INPUTS, "friction", *SETTINGS]
    columns = dict(zip(names, hypercube(SPREAD_SAMPLE, len(names), SEED), strict=True))
    if index:
        # what belongs to a line alone is off by itself; the source and the site are the same for all
        own = dict(zip(names, hypercube(SPREAD_SAMPLE, len(names), SEED + index), strict=True))
        shared = ("source_flow", "dead_head", *SETTINGS, "volume", "wall", "temperature")
        columns = {name: columns[name] if name in shared else own[name] for name in names}
    for name, ids in [*RELATIVE.items(), *SHIFTED.items(), *SETTINGS.items()]:
        off = _sided(columns[name], *sides(design, name))
        move: Callable[[float, Array], Array] = _plus if name in SHIFTED else _times
        for id in ids:
            node = _known(inputs, design, id)
            if node is not None:
                inputs = inputs.with_given(_array(node, id, move(float(node.value), off)))
        if name == "discharge" and "head.thinness" in design:
            inputs = _other_holes(inputs, off)
        if name == "source_flow" and inputs.curve:
            inputs = replace(inputs, curve=tuple((p, replace(q, value=q.value * (1 + off))) for p, q in inputs.curve))
    inputs = _scattered(inputs, design, columns["friction"])
    inputs = _switching(inputs, design)
    for name, id in FACTOR_INPUTS.items():
        if not_stated(design, id):
            values = float(design[id].value) * (1 + _sided(columns[name], *sides(design, name)))
            inputs = inputs.with_given(_array(design[id], id, values))
    return inputs


def _other_holes(inputs: Inputs, off: Array) -> Inputs:
    """A coefficient that follows from the wall is off by as much as holes of the same shape and more or less area would be."""
    for id in ("head.hole_diameter", "head.wall"):
        inputs = inputs.with_given(_array(inputs[id], id, inputs[id].value * np.sqrt(1 + off)))
    return inputs


def _scattered(inputs: Inputs, design: Design, off: Array) -> Inputs:
    """Between laminar and turbulent flow the hose's friction is off as well: more or less loss, as fittings would give."""
    if not RE_LAMINAR.value < design.number("hose.reynolds") < RE_TURBULENT.value:
        return inputs
    node = inputs.get("hose.loss_coefficient") or design["hose.loss_coefficient"]
    friction = design.number("hose.resistance") - design.number("hose.loss_coefficient")
    moved = node.value + design.number("uncertainty.friction") * friction * off
    return inputs.with_given(_array(node, "hose.loss_coefficient", moved))


def _switching(inputs: Inputs, design: Design) -> Inputs:
    """With the cut-in no nearer to the cut-out than half their difference as set: a switch keeps a difference."""
    if "source.cut_in" not in inputs or inputs["source.cut_in"].state != inputs["source.cut_out"].state:
        return inputs
    low, high = (design.inputs[f"source.{end}"].value for end in ("cut_in", "cut_out"))
    most = inputs["source.cut_out"].value - (high - low) / 2
    return inputs.changed({"source.cut_in": np.minimum(inputs["source.cut_in"].value, most)}, "sampled")


def sides(design: Design, name: str) -> tuple[float, float]:
    """How far an input may be off, downwards and upwards: a share, or in SI where it is one of ``SHIFTED``.

    Where the scenario states how far the response or the coefficient of the holes may be off, that is all of it.
    """
    kind = probe_kind(design.inputs.choice("probe.kind"))
    stated = design.inputs["uncertainty.response"].origin.how != "default"
    if name in FACTOR_INPUTS and stated:
        return 0.0, 0.0
    if name in FACTOR_INPUTS:
        figure = getattr(kind, name)
        value, low, high = (x.value for x in (figure.value, figure.low, figure.high))
        return 1 - low / value, high / value - 1
    given = design.inputs[f"uncertainty.{'dead_head' if name in SETTINGS else name}"]
    if name == "discharge" and not_stated(design, "head.discharge_coefficient") and given.origin.how == "default":
        return 1 - LEAST / float(UNSAID), MOST / float(UNSAID) - 1
    off = float(given.value)
    wide = name == "response" and not stated and kind.falling and _rise_or_fall(design)
    return off, max(off, kind.falling.high.value - 1) if wide and kind.falling else off


def _rise_or_fall(design: Design) -> bool:
    """Whether the reading has to fall, and nobody has said that its response time is that of a fall."""
    told = "probe.t90_of" in design.inputs.choices or "probe.timed_fall" in design.inputs
    return not told and "reading.driving_difference" in design and design.number("reading.driving_difference") > 0


def not_stated(design: Design, id: str) -> bool:
    """Whether a figure on the sheet is the catalogue's."""
    node = design.get(id)
    return isinstance(node, Given) and node.origin.how == "default"


def _sided(off: Array, down: float, up: float) -> Array:
    return off * np.where(off < 0, down, up)


def hypercube(size: int, columns: int, seed: int) -> list[Array]:
    """Columns of a Latin hypercube between -1 and 1: in each, one value in every ``size``-th part."""
    source = np.random.default_rng(seed)
    strata = (np.arange(size) + 0.5) / size
    return [2 * source.permutation(strata) - 1 for _ in range(columns)]


def _times(value: float, off: Array) -> Array:
    return value * (1 + off)


def _plus(value: float, off: Array) -> Array:
    return value + off


def _known(inputs: Inputs, design: Design, id: str) -> Node | None:
    """The figure as given, or as the sheet assumes it where a given can stand in for it."""
    given = given_of(inputs, id)
    if given is not None:
        return given
    assumed = design.get(id) if id in (*WORKED_OUT, *ASSUMED) else None
    return assumed if isinstance(assumed, Given) or id in WORKED_OUT else None


def _array(node: Node, id: str, values: Array) -> Given:
    values = np.clip(values, None, HIGHEST.get(id, np.inf))
    if node.kind in ("length", "pressure difference", "time"):
        values = np.maximum(values, 0.0)
    state = node.state if isinstance(node, Given) else ""
    return Given(id, node.title, node.kind, values, Origin("override", "sampled"), "", state)
