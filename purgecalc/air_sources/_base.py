"""What every air source must offer, and the compressor's flow curve that all of them share."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from purgecalc import transient
from purgecalc.formulas import operating_point, site
from purgecalc.formulas import source as src
from purgecalc.formulas.air import RHO_ANR, RHO_NORMAL, RHO_US
from purgecalc.inputs import Inputs
from purgecalc.working import Given, Node, Origin, Sheet, Step, renamed


class LineSupply(Protocol):
    """The upstream end of one line's steady flow."""

    law: operating_point.Supply
    highest: Node
    """Highest absolute pressure it can stand at when the blast starts."""
    highest_possible: Node
    """Highest absolute pressure it reaches as it is switched: the dead-head, or the cut-out of a receiver."""
    stops: Node | None
    """Absolute pressure at which the compressor itself stops delivering, switch or not; None where nobody has said."""

    def close(self, sheet: Sheet, inputs: Inputs) -> None:
        """Write up what the source gives at the pressure found."""

    def pressure_for_flow(self, sheet: Sheet, m: Node) -> Node:
        """Pressure at which it delivers ``m``."""

    def rests_on(self) -> dict[str, Node]:
        """What its law was made of, by symbol."""

    def rated_flow(self, sheet: Sheet, inputs: Inputs) -> tuple[Node, Node] | None:
        """Rated pressure and the flow there, where a rating limits it."""


class AirSource(Protocol):
    """One kind of air source."""

    kind: str

    def supply(self, sheet: Sheet, inputs: Inputs) -> LineSupply:
        """Put the source's own lines on the sheet and give its law."""

    def blast(self, sheet: Sheet, inputs: Inputs, supply: LineSupply, *, unsteady: bool) -> None:
        """Delivery time, useful time and air of a blast, source pressures, recovery."""

    def one_blast(self, sheet: Sheet, inputs: Inputs, supply: LineSupply) -> transient.Blast:
        """The blast of a single design as the unsteady solver takes it, for its history."""

    def duty(self, sheet: Sheet, inputs: Inputs, others: Sequence[Sheet]) -> None:
        """Run share, worst window, starts; ``others`` are the sheets of the other lines on the source."""

    def run_within(self, sheet: Sheet, inputs: Inputs, others: Sequence[Sheet], words: tuple[str, str], W: Node) -> Node:
        """Most running time in any window of length ``W``, all lines together, by id and title; after ``duty``."""


@dataclass(frozen=True)
class CurvePoint:
    """A point of the flow curve: absolute pressure and mass flow."""

    pressure: Node
    flow: Node


def absolute(sheet: Sheet, given: Given, id: str, title: str, read: Mapping[str, Node] | None = None) -> Node:
    """A given pressure as absolute pressure, whichever way it was written; ``read`` is what decided that it stands as it is."""
    if given.state == "absolute":
        return sheet.add(renamed(given, id, title, "pressure"))
    return sheet.do(site.absolute_pressure, as_id=id, title=title, p_gauge=given, p_atm=sheet["site.pressure"], read=read)


def _density(sheet: Sheet, state: str) -> Node:
    """Density of the state a flow of air was stated in."""
    return {"inlet": sheet["air.density"], "ANR": RHO_ANR, "normal": RHO_NORMAL, "US": RHO_US}[state]


def _flow(sheet: Sheet, inputs: Inputs) -> tuple[Node, str]:
    """Open flow and the state it is counted in; displacement is marked down first."""
    if "source.flow" in inputs:
        given = inputs["source.flow"]
        return given, given.state
    swept, eta = inputs["source.displacement"], inputs["source.volumetric_efficiency"]
    return sheet.do(src.flow_of_displacement, Q_swept=swept, eta_v=eta), "inlet"


def _highest_gauge(sheet: Sheet, inputs: Inputs, given: Given, id: str) -> Node:
    """Plate pressure carried to the site, absolute: with altitude where the clearance volume sets it, unchanged where not."""
    title, read = "Highest pressure of the source, absolute", inputs.words("source.dead_head_set_by")
    if given.state == "absolute" or inputs.choice("source.dead_head_set_by") == "relief":
        return absolute(sheet, given, id, title, read)
    p_atm = sheet["site.pressure"]
    here = sheet.do(src.dead_head_at_site, as_id=f"{id}.gauge", p_plate=given, p_atm=p_atm, read=read)
    return sheet.do(site.absolute_pressure, as_id=id, title=title, p_gauge=here, p_atm=sheet["site.pressure"])


def curve_points(sheet: Sheet, inputs: Inputs, end: Node | None = None) -> list[CurvePoint]:
    """Points of the compressor's curve at this site, put on the sheet; ``end`` closes a source of constant flow."""
    if inputs.curve:
        return _measured_points(sheet, inputs)
    Q, state = _flow(sheet, inputs)
    m = sheet.do(src.inlet_mass_flow, as_id="source.open_flow", title="Open flow of the source", Q=Q, rho=_density(sheet, state))
    first = CurvePoint(sheet["site.pressure"], m)
    if "source.dead_head" in inputs:
        stop = _highest_gauge(sheet, inputs, inputs["source.dead_head"], "source.dead_head_absolute")
        return [first, CurvePoint(stop, _no_flow(sheet))]
    assert end is not None  # the scenario refuses a direct source without a dead-head
    return [first, CurvePoint(end, m)]


def _no_flow(sheet: Sheet) -> Node:
    return sheet.add(
        Given("source.flow_at_dead_head", "flow at dead-head", "mass flow", 0.0, Origin("other", "definition of dead-head"), "0")
    )


def _measured_points(sheet: Sheet, inputs: Inputs) -> list[CurvePoint]:
    points = []
    for i, (p, q) in enumerate(inputs.curve, 1):
        pressure = _highest_gauge(sheet, inputs, p, f"source.point_{i}.pressure")
        flow = sheet.do(
            src.inlet_mass_flow,
            as_id=f"source.point_{i}.flow",
            title=f"Mass flow of point {i} of the source",
            Q=q,
            rho=_density(sheet, q.state),
        )
        points.append(CurvePoint(pressure, flow))
    if np.any(inputs.curve[-1][1].value > 0) and "source.dead_head" in inputs:
        stop = _highest_gauge(sheet, inputs, inputs["source.dead_head"], "source.dead_head_absolute")
        points.append(CurvePoint(stop, _no_flow(sheet)))
    return points


def read_for_curve(points: Sequence[CurvePoint]) -> dict[str, Node]:
    """Pressures and flows of a flow curve, by symbol."""
    named: dict[str, Node] = {}
    for i, point in enumerate(points, 1):
        named |= {f"p_{i}": point.pressure, f"m_{i}": point.flow}
    return named


def law_of(points: list[CurvePoint]) -> operating_point.Supply:
    """The solver's view of a flow curve."""
    return operating_point.Supply(
        points=tuple(np.asarray(p.pressure.value, float) for p in points),
        flows=tuple(np.asarray(p.flow.value, float) for p in points),
    )


def flow_at(sheet: Sheet, points: list[CurvePoint], p: Node, id: str, title: str) -> Step:
    """Flow of the source at ``p``, from the two points around it."""
    below, above = _around([q.pressure for q in points], points, p, rising=True)
    return sheet.do(
        src.flow_between, as_id=id, title=title, p=p, p_a=below.pressure, p_b=above.pressure, m_a=below.flow, m_b=above.flow
    )


def around_flow(points: list[CurvePoint], m: Node) -> tuple[CurvePoint, CurvePoint]:
    """The two points whose flows enclose ``m``."""
    return _around([q.flow for q in points], points, m, rising=False)


def _around(keys: list[Node], points: list[CurvePoint], at: Node, *, rising: bool) -> tuple[CurvePoint, CurvePoint]:
    if len(points) == 2:
        return points[0], points[1]
    sign = 1.0 if rising else -1.0
    inner = [sign * np.asarray(k.value, float) for k in keys[1:-1]]
    index = np.sum(np.broadcast_arrays(*(sign * np.asarray(at.value, float) >= k for k in inner)), axis=0)
    if np.ndim(index) == 0:
        i = int(index)
        return points[i], points[i + 1]
    return _chosen(points, index, 0), _chosen(points, index, 1)


def _chosen(points: list[CurvePoint], index: NDArray[np.int_], shift: int) -> CurvePoint:
    """Points picked element by element, for arrays of designs on a measured curve."""
    where = Origin("other", "point of the source's curve beside the working point")

    def pick(nodes: list[Node], kind: str, name: str) -> Given:
        stacked = np.stack([np.broadcast_to(n.value, index.shape) for n in nodes])
        value = np.take_along_axis(stacked, (index + shift)[None], axis=0)[0]
        return Given(f"source.curve.{name}.{shift}", f"curve point {name}", kind, value, where)

    return CurvePoint(
        pick([p.pressure for p in points], "pressure", "pressure"), pick([p.flow for p in points], "mass flow", "flow")
    )
