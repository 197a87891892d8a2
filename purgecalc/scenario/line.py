"""What may be written of one purge line: valve, hose, head, probe, schedule.

Without a word on the check valve there is none: that is the cautious reading.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal, Self

from pydantic import AfterValidator, model_validator

from purgecalc.scenario.contact import Contact
from purgecalc.scenario.fields import COMMON, JUDGEMENT, Name, Part, Quantity, YesNo, dim, note, wrong
from purgecalc.scenario.fouling import Fouling
from purgecalc.scenario.lifting import Lifting
from purgecalc.scenario.loop import Loop
from purgecalc.scenario.moisture import Route
from purgecalc.scenario.noise import Noise
from purgecalc.scenario.reading import Outputs, Sensing, check_sensing, check_use
from purgecalc.scenario.relations import refuse_broken
from purgecalc.scenario.worth import Worth


def _material(name: str) -> str:
    from purgecalc.catalogue.hoses import hose_material

    return hose_material(name).name


def _kind_of_probe(name: str) -> str:
    from purgecalc.catalogue.probes import probe_kind

    return probe_kind(name).name


class ValvePart(Part):
    """The blast valve; leave it out (or write "none") where the motor itself is switched."""

    conductance: Quantity | None = dim(
        "sonic conductance", "sonic conductance C (ISO 6358)", default=None, least=1e-11, most=1e-6
    )
    kv: float | None = note("flow coefficient Kv (m3/h of water at 1 bar)", default=None)
    cv: float | None = note("flow coefficient Cv (US gal/min at 1 psi)", default=None)
    critical_ratio: Quantity = dim(
        "ratio", "critical pressure ratio b (ISO 6358)", default="0.3", origin=COMMON, least=0, most=0.6
    )
    pressure_ratio_factor: Quantity = dim(
        "ratio",
        "pressure differential ratio factor x_T, used with kv or cv",
        default="0.6",
        origin=f"{JUDGEMENT}; cautious",
        least=0.2,
        most=0.85,
    )
    opening_time: Quantity = dim("time", "time to open or close", default="20 ms", origin=COMMON, least=0.001, most=10)

    @model_validator(mode="after")
    def _one(self) -> Self:
        ways = [k for k in ("conductance", "kv", "cv") if getattr(self, k) is not None]
        if len(ways) != 1:
            raise wrong(
                f"give exactly one of conductance, kv or cv; {' and '.join(ways) + ' are given' if ways else 'none is given'}"
            )
        refuse_broken("valve", self)
        return self


class HosePart(Part):
    """The purge hose from source or valve to the head."""

    length: Quantity = dim("length", "length of the hose", above=0, most=1000)
    bore: Quantity | None = dim("length", "inside diameter", default=None, least=0.5e-3, most=0.1, example="8 mm")
    outside_diameter: Quantity | None = dim("length", "outside diameter, with wall", default=None, least=1e-3, most=0.15)
    wall: Quantity | None = dim("length", "wall thickness, with outside_diameter", default=None, least=1e-4, most=0.02)
    material: Annotated[str, AfterValidator(_material)] | None = note(
        "hose material of the catalogue; sets the roughness", default=None
    )
    roughness: Quantity | None = dim("length", "roughness of the bore", default=None, least=0, most=1e-3, example="5 um")
    loss_coefficient: Quantity | None = dim("ratio", "sum of the fittings' loss coefficients", default=None, least=0, most=10000)
    fittings: dict[str, int] | None = note("fittings by name and count, e.g. { elbow_90 = 2 }", default=None)
    rated_pressure: Quantity | None = dim("pressure", "rated working pressure of the hose", default=None, least=1e4, most=100e5)
    warmest: Quantity | None = dim(
        "temperature",
        "warmest the hose gets, in sun or beside the source",
        default=None,
        least=253.15,
        most=373.15,
        example="45 degC",
    )

    @model_validator(mode="after")
    def _bore(self) -> Self:
        from purgecalc.catalogue.fittings import check_fittings

        tube = self.outside_diameter is not None or self.wall is not None
        if (self.bore is None) == (not tube):
            raise wrong('give either bore, e.g. bore = "8 mm", or outside_diameter and wall')
        if tube:
            if self.outside_diameter is None or self.wall is None:
                raise wrong("outside_diameter and wall go together", "outside_diameter" if self.wall is None else "wall")
            refuse_broken("hose", self)
        if self.loss_coefficient is not None and self.fittings is not None:
            raise wrong("give loss_coefficient or fittings, not both")
        if self.fittings is not None:
            check_fittings(self.fittings)
        return self


class HeadPart(Part):
    """The head at the probe face."""

    holes: int = note("number of holes")
    hole_diameter: Quantity = dim("length", "diameter of each hole", least=1e-4, most=0.05, example="1.5 mm")
    wall: Quantity | None = dim(
        "length", "thickness of the wall at the holes", default=None, least=1e-5, most=0.2, example="3 mm"
    )
    discharge_coefficient: Quantity | None = dim(
        "ratio",
        "discharge coefficient of the holes, in place of what their wall gives",
        default=None,
        least=0.3,
        most=1.0,
        example="0.8",
    )
    depth: Quantity = dim("length", "depth of the head below the water surface", least=0, most=200, example="1.0 m")
    deepest: Quantity | None = dim("length", "greatest depth, where the level or the tide moves", default=None, least=0, most=200)
    shallowest: Quantity | None = dim("length", "least depth, where the level or the tide moves", default=None, least=0, most=200)
    stand_off: Quantity = dim("length", "distance from holes to probe face", default="12 mm", origin=COMMON, above=0, most=1.0)
    check_valve: Quantity | None = dim(
        "pressure difference", 'pressure a check valve keeps (cracking pressure), or "none"', default=None, least=0, most=1e6
    )
    check_valve_at: Literal["head", "source"] = note(
        "where the check valve sits: at the head it keeps the hose dry", default="head", origin=COMMON
    )
    wetted_length: Quantity | None = dim("length", "length of hose below the water surface", default=None, least=0, most=1000)
    within_reach: YesNo | None = note("hands can reach the head while air is on, as when it is lifted", default=None)

    @model_validator(mode="before")
    @classmethod
    def _none(cls, data: Any) -> Any:
        if isinstance(data, dict) and data.get("check_valve") == "none":
            return {k: v for k, v in data.items() if k != "check_valve"}
        return data

    @model_validator(mode="after")
    def _holes(self) -> Self:
        refuse_broken("head", self)
        return self


class Probe(Sensing):
    """The probe the head cleans, and what its reading is used for."""

    kind: Annotated[str, AfterValidator(_kind_of_probe)] = note("kind of probe, e.g. optical-oxygen (see: purgecalc probes)")
    t90: Quantity | None = dim("time", "response time to 90 %", default=None, above=0, most=7200, bound=True)
    t63: Quantity | None = dim("time", "response time to 63.2 % (time constant)", default=None, above=0, most=7200, bound=True)
    t95: Quantity | None = dim("time", "response time to 95 %", default=None, above=0, most=7200, bound=True)
    t98: Quantity | None = dim("time", "response time to 98 %", default=None, above=0, most=7200, bound=True)
    t99: Quantity | None = dim("time", "response time to 99 %", default=None, above=0, most=7200, bound=True)
    timed_fall: Quantity | None = dim(
        "time",
        "time by hand, from air off until the reading is back within its tolerance",
        default=None,
        above=0,
        most=7200,
        example="70 s",
    )
    timed_blast: Quantity | None = dim("time", "blast after which the fall was timed", default=None, least=0.1, most=3600)
    set_point: Quantity | None = dim(
        "concentration", "value the process is held at, or usually reads", default=None, least=0, most=0.05
    )
    tolerance: Quantity | None = dim(
        "concentration", "bias the reading may carry when released", default=None, above=0, most=0.05
    )
    exposure: Quantity = dim(
        "ratio",
        "share of bubble-saturated water the face sees",
        default="1",
        origin=f"{JUDGEMENT}; cautious, 0.3 to 1",
        above=0,
        most=1,
    )
    clear_time: Quantity | None = dim("time", "time for bubbles to leave the face", default=None, least=0, most=600)
    mix_time: Quantity | None = dim("time", "time for the water at the face to be renewed", default=None, least=0, most=3600)
    jet_floor: Quantity | None = dim(
        "ratio", "jet thrust ratio regarded as enough", default=None, above=0, most=100, example="0.7"
    )
    jet_ceiling: Quantity | None = dim(
        "ratio", "jet thrust ratio above which a jet may harm", default=None, above=0, most=1000, example="15"
    )
    face_limit: Quantity | None = dim(
        "pressure difference", "pressure the probe's face bears", default=None, above=0, most=20e5, example="1 bar"
    )

    @model_validator(mode="before")
    @classmethod
    def _share(cls, data: Any) -> Any:
        said = str(data.get("tolerance", "")) if isinstance(data, dict) else ""
        if "%" in said:
            raise wrong(_share_refused(said, data.get("kind", "")), "tolerance")
        return data

    @model_validator(mode="after")
    def _kind(self) -> Self:
        from purgecalc.catalogue.probes import probe_kind

        times = [k for k in ("t90", "t63", "t95", "t98", "t99", "timed_fall") if getattr(self, k) is not None]
        if len(times) > 1 and (times[0] != "t90" or {"t63", "timed_fall"} & {*times}):
            beside = "; t95, t98 or t99 may stand beside t90" if times[0] != "t90" else ""
            raise wrong(f"give one response time, not {' and '.join(times)}{beside}")
        if self.timed_blast is not None and self.timed_fall is None:
            raise wrong("timed_blast goes with timed_fall", "timed_blast")
        check_sensing(self, times, probe_kind(self.kind).t90.value)
        refuse_broken("probe", self)
        floor, ceiling = self.jet_floor or probe_kind(self.kind).jet.floor, self.jet_ceiling or probe_kind(self.kind).jet.ceiling
        if floor.value >= ceiling.value:
            stated = "jet_floor" if self.jet_floor is not None else "jet_ceiling"
            raise wrong(f'jet_floor "{floor}" is not below jet_ceiling "{ceiling}" of this kind of probe; state both', stated)
        return self


def _share_refused(said: str, kind: object) -> str:
    """What to do with a tolerance that is a share of the reading, as the catalogue has it for some kinds."""
    from purgecalc.catalogue.probes import probes

    known = probes().get(str(kind))
    if known is not None and known.parameter != "oxygen":
        todo = "leave it out: its bump is not worked out, and the hold-off is judged until nine tenths of it are gone"
    else:
        todo = 'write what it comes to at the value the probe usually reads, e.g. tolerance = "0.2 mg/L"'
    return f'"{said}" is a share and not a concentration; {todo}'


class Schedule(Part):
    """When the blast comes, how long it lasts and how long the reading is held after it."""

    interval: Quantity = dim(
        "time", "from the start of one blast to the start of the next", least=10, most=31 * 86400, example="30 min"
    )
    blast: Quantity = dim("time", "duration of the blast", least=0.1, most=3600, example="30 s")
    hold_off: Quantity = dim("time", "time the reading is held after the blast", least=0, most=7200, example="90 s")
    hold_lead: Quantity = dim(
        "time", "time the reading is held before the blast", default="0 s", origin=JUDGEMENT, least=0, most=600
    )

    @model_validator(mode="after")
    def _fits(self) -> Self:
        refuse_broken("schedule", self)
        return self


class Line(Part):
    """One purge line."""

    name: Name = note("name of the line", default="line", origin="not named")
    valve: ValvePart | None = note("the blast valve, or none", default=None)
    hose: HosePart = note("the purge hose")
    head: HeadPart = note("the head")
    probe: Probe = note("the probe")
    schedule: Schedule = note("the schedule")
    outputs: Outputs | None = note("users of the reading, and what each gets while it is held", default=None)
    loop: Loop | None = note("the aeration control that acts on the reading, if one does", default=None)
    fouling: Fouling | None = note("fouling of the probe", default=None)
    worth: Worth | None = note("what wiping and purging cost", default=None)
    contact: Contact | None = note("how the command reaches motor or valve", default=None)
    route: Route | None = note("where the hose runs", default=None)
    noise: Noise | None = note("who hears it", default=None)
    lifting: Lifting | None = note("what comes up when the probe is lifted", default=None)

    @model_validator(mode="after")
    def _use(self) -> Self:
        check_use(self.probe.kind, self.probe.set_point, self.loop, self.fouling, self.worth)
        return self

    @model_validator(mode="before")
    @classmethod
    def _no_valve(cls, data: Any) -> Any:
        if isinstance(data, dict) and data.get("valve") == "none":
            return {k: v for k, v in data.items() if k != "valve"}
        return data
