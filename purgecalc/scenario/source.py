"""What may be written of the air source."""

from __future__ import annotations

from typing import Annotated, Any, Literal, Self

from pydantic import AfterValidator, BeforeValidator, WithJsonSchema, model_validator

from purgecalc.scenario.fields import COMMON, JUDGEMENT, Part, Quantity, YesNo, check_duty, dim, note, wrong
from purgecalc.scenario.relations import refuse_broken
from purgecalc.units import UnitProblem, parse


def _curve(value: Any) -> Any:
    """Points of a measured source curve: [["0 bar(g)", "60 L/min"], ...], pressure rising, flow not rising."""
    if value is None:
        return None
    if not isinstance(value, list) or len(value) < 2:
        raise wrong('curve needs two or more points, e.g. [["0 bar(g)", "60 L/min"], ["2 bar(g)", "20 L/min"]]')
    points = []
    for i, row in enumerate(value, 1):
        if not isinstance(row, list | tuple) or len(row) != 2:
            raise wrong(f"point {i} of curve is not a pair of pressure and flow")
        try:
            points.append((parse(row[0], "pressure"), parse(row[1], "air flow")))
        except UnitProblem as problem:
            raise wrong(f"point {i} of curve: {problem}") from None
    for i in range(1, len(points)):
        if points[i][0].state != points[0][0].state or points[i][1].state != points[0][1].state:
            raise wrong(f"point {i + 1} of curve is stated differently from the first (gauge or absolute, state of the air)")
        if points[i][0].value <= points[i - 1][0].value:
            raise wrong(f"point {i + 1} of curve: pressure must rise from point to point")
        if points[i][1].value > points[i - 1][1].value or points[i][1].value < 0:
            raise wrong(f"point {i + 1} of curve: the flow must not rise with pressure nor be negative")
    if points[0][1].value <= 0:
        raise wrong("the first point of curve must deliver air")
    return tuple(points)


Curve = Annotated[
    tuple[tuple[Quantity, Quantity], ...] | None,
    BeforeValidator(_curve),
    WithJsonSchema({"type": "array", "items": {"type": "array", "items": {"type": "string"}, "minItems": 2, "maxItems": 2}}),
]


class SourcePart(Part):
    """The air source: a compressor blowing directly, or filling a receiver that the blast is taken from."""

    kind: Literal["direct", "receiver"] = note("direct (compressor runs for the blast) or receiver")
    flow: Quantity | None = dim(
        "air flow",
        "flow delivered with no back pressure (receiver: at its working pressure); at the inlet unless the unit says ANR or N",
        default=None,
        above=1e-7,
        most=0.1,
    )
    displacement: Quantity | None = dim(
        "volume flow", "swept displacement, where the flow delivered is not known", default=None, above=1e-7, most=0.1
    )
    volumetric_efficiency: Quantity = dim(
        "fraction",
        "share of the displacement delivered",
        default="60 %",
        origin=f"{JUDGEMENT}: 50 to 75 % met",
        least=0.2,
        most=1.0,
    )
    curve: Curve = note("measured points of pressure and flow", default=None)
    dead_head: Quantity | None = dim(
        "pressure", "pressure at which delivery stops (dead-head)", default=None, least=1e3, most=16e5
    )
    dead_head_set_by: Literal["clearance", "relief"] = note(
        "what sets the dead-head: the clearance volume (it falls with altitude) or a relief valve or switch (it does not)",
        default="clearance",
        origin=f"{JUDGEMENT}; the cautious choice",
    )
    rated_pressure: Quantity | None = dim("pressure", "highest continuous pressure", default=None, least=1e3, most=16e5)
    duty: Annotated[str, AfterValidator(check_duty)] | None = note('duty designation of the motor, e.g. "S3 50 %"', default=None)
    duty_window: Quantity = dim(
        "time",
        "cycle the duty designation refers to",
        default="10 min",
        origin="IEC 60034-1, quoted from memory",
        least=60,
        most=7200,
    )
    starts_per_hour: float | None = note("starts an hour the maker allows", default=None)
    warmest: Quantity | None = dim(
        "temperature", "warmest the air about the source gets", default=None, least=253.15, most=343.15, example="45 degC"
    )
    derated: YesNo | None = note("duty and pressures are the maker's for this altitude and warmth of the air", default=None)
    power: Quantity | None = dim("power", "electrical power while running", default=None, above=0, most=20e3)
    run_up: Quantity = dim(
        "time", "time for the motor to come up to speed", default="0.5 s", origin=f"{COMMON}: 0.5 to 2 s", least=0, most=30
    )
    dead_volume: Quantity = dim(
        "volume", "volume between compressor and valve or hose", default="100 mL", origin=JUDGEMENT, least=1e-5, most=0.01
    )
    volume: Quantity | None = dim("volume", "volume of the receiver", default=None, above=1e-4, most=5.0)
    cut_in: Quantity | None = dim("pressure", "pressure at which the compressor starts", default=None, least=1e3, most=16e5)
    cut_out: Quantity | None = dim("pressure", "pressure at which it stops", default=None, least=1e3, most=16e5)
    regulator: Quantity | None = dim(
        "pressure", "set pressure of a regulator after the receiver", default=None, least=1e3, most=16e5
    )
    compressor_starts: Literal["with the blast", "at cut-in"] = note(
        "whether the compressor is commanded with each blast or waits for the pressure switch",
        default="at cut-in",
        origin=f"{COMMON}: a plain pressure switch",
    )
    wall_conductance: Quantity | None = dim(
        "heat conductance", "heat passed from the receiver wall to its air", default=None, least=0, most=1e6
    )

    @model_validator(mode="after")
    def _whole(self) -> Self:
        _check_flow(self)
        if self.kind == "direct":
            stray = [k for k in ("volume", "cut_in", "cut_out", "regulator") if getattr(self, k) is not None]
            if stray:
                raise wrong(f'{", ".join(stray)} belongs to a receiver; this source is kind = "direct"', stray[0])
            if self.dead_head is None and self.curve is None:
                raise wrong('a direct source needs dead_head (its dead-head), e.g. dead_head = "3 bar(g)", or a curve')
        else:
            _check_receiver(self)
        if self.kind == "direct" and self.curve is not None and self.dead_head is None and self.curve[-1][1].value > 0:
            last = self.curve[-1]
            raise wrong(
                f'the source still gives "{last[1]}" at the last point of curve; '
                "add dead_head (its dead-head) or a last point without flow",
                "curve",
            )
        refuse_broken("source", self)
        return self


def _check_flow(source: SourcePart) -> None:
    ways = [k for k in ("flow", "displacement", "curve") if getattr(source, k) is not None]
    if len(ways) != 1:
        given = f"{' and '.join(ways)} are both given" if ways else "none is given"
        raise wrong(f"give exactly one of flow, displacement or curve; {given}")


def _check_receiver(source: SourcePart) -> None:
    missing = [k for k in ("volume", "cut_in", "cut_out") if getattr(source, k) is None]
    if missing:
        raise wrong(f'a receiver needs {", ".join(missing)}, e.g. volume = "24 L", cut_in = "4.5 bar(g)", cut_out = "6 bar(g)"')
    states = {p.state for p in (source.cut_in, source.cut_out, source.regulator) if p is not None}
    if len(states) > 1:
        raise wrong("state cut_in, cut_out and regulator all as gauge or all as absolute")
    last, end = source.curve[-1][0] if source.curve else None, source.cut_out
    if last and end and source.dead_head is None and last.state == end.state and last.value < end.value:
        raise wrong(f'curve ends at "{last}", below cut_out "{end}"; add a point at cut_out or above', "curve")
