"""What the check screen says, in which order, before anyone decides how it looks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from purgecalc.catalogue.probes import probe_kind
from purgecalc.design import Design
from purgecalc.reports.assumed import listed
from purgecalc.reports.basis import explained
from purgecalc.reports.cautions import CAUTIONS
from purgecalc.reports.details import where_to_look
from purgecalc.reports.rows import MORE, Row, deciding, figures, shares_source, source_duty
from purgecalc.reports.running_back import runs_back
from purgecalc.reports.sketch import DrawnCycle, below, height
from purgecalc.rules import Finding, Level
from purgecalc.scenario.facts import SiteQuestions
from purgecalc.shown import text_of
from purgecalc.studies.checked import Checked
from purgecalc.units import show


@dataclass(frozen=True)
class Bar:
    """One part of the pressure budget."""

    label: str
    text: str
    share: float


@dataclass(frozen=True)
class LineSummary:
    """Everything the screen shows of one line."""

    name: str
    description: str
    settings: str
    """The schedule, in order of time."""
    advice: str
    ten: tuple[Row, ...]
    """The figures of the first screen, each at the depth that decides it."""
    deciding: bool
    """Whether that is another than the normal depth for any."""
    rows: tuple[Row, ...]
    """Those of the detail alone."""
    budget_title: str
    budget: tuple[Bar, ...]
    cycle: DrawnCycle


@dataclass(frozen=True)
class Summary:
    """The whole screen."""

    title: str
    verdict: str
    counts: str
    lines: tuple[LineSummary, ...]
    findings: tuple[Finding, ...]
    defaults: tuple[str, ...]
    overrides: tuple[str, ...]
    questions: SiteQuestions
    asks: bool
    """Whether the scenario has a table of answers: what it leaves open is then listed."""
    shared: tuple[Row, ...] = ()
    """Figures of the source that several lines draw on: they belong to no line and are not to be added up."""
    system: str = "si"
    cautions: tuple[str, ...] = CAUTIONS
    pointers: tuple[str, ...] = ()
    moved: tuple[str, ...] = ()
    """What the settings of the command line changed, moved and brought."""

    def worst_of(self, line: str) -> int:
        """The worst level that fails on a line, the source's findings left aside; 0 where none does."""
        return max((int(f.level) for f in self.findings if f.state == "fails" and f.line == line), default=0)


def summarise(checked: Checked, system: str = "si") -> Summary:
    """Choose what to show and word it."""
    designs, findings = checked.designs, checked.findings
    lines = tuple(_line(d, [f for f in findings if f.line in ("", d.inputs.line)], system) for d in designs)
    return Summary(
        checked.scenario.title,
        checked.verdict,
        counts(findings),
        lines,
        findings,
        tuple(listed(designs, "default", explained)),
        tuple(listed(designs, "override")),
        checked.site_questions,
        any(id.startswith("site_facts.") for id in designs[0].inputs.choices),
        shared_rows(designs, findings, system),
        system,
        pointers=where_to_look(designs),
    )


def counts(findings: Sequence[Finding]) -> str:
    """ "1 to stop, 2 to fix, 1 note, 1 waived" """
    words = {Level.STOP: "stop", Level.FIX: "to fix", Level.WATCH: "to watch", Level.NOTE: "note"}
    parts = []
    for level, word in words.items():
        n = sum(f.state == "fails" and f.level == level for f in findings)
        if n:
            parts.append(f"{n} {word}{'s' if level == Level.NOTE and n > 1 else ''}")
    waived = sum(f.state == "waived" for f in findings)
    if waived:
        parts.append(f"{waived} waived")
    return ", ".join(parts)


def describe(d: Design, system: str = "si") -> str:
    """The line in one sentence."""
    t = {k: text_of(d[k], system) for k in ("hose.length", "hose.bore", "head.hole_diameter", "head.depth")}
    ends = [text_of(c["head.depth"], system) for c in d.corners.values() if c["head.depth"].value != d["head.depth"].value]
    if ends:
        t["head.depth"] += f" ({' to '.join(ends)})" if len(ends) > 1 else f" (or {ends[0]})"
    holes = int(float(d["head.holes"].value))
    source = "direct source" if d.inputs.choice("source.kind") == "direct" else f"{text_of(d['source.volume'], system)} receiver"
    return f"{source}, {t['hose.length']} of {t['hose.bore']} hose, {holes} x {t['head.hole_diameter']} head at {t['head.depth']}"


def settings(d: Design) -> str:
    """The schedule in order of time."""
    parts = (("hold lead", "hold_lead"), ("blast", "blast"), ("hold-off", "hold_off"), ("interval", "interval"))
    return ", ".join(f"{label} {text_of(d[f'schedule.{id}'])}" for label, id in parts if d.number(f"schedule.{id}"))


def _line(d: Design, findings: Sequence[Finding], system: str) -> LineSummary:
    by_rule = {f.rule.id: f for f in findings}
    kind = probe_kind(d.inputs.choice("probe.kind"))
    (ten, other_depth), more = deciding(d, by_rule, system), tuple(figures(d, by_rule, system, MORE))
    gauge = text_of(d["source.gauge_pressure"], system)
    s = {k: float(d[f"schedule.{k}"].value) for k in ("hold_lead", "blast", "hold_off", "interval")}
    live = show(s["interval"] - s["hold_lead"] - s["blast"] - s["hold_off"], "time")
    lead = f"f held before air {text_of(d['schedule.hold_lead'])}   " if s["hold_lead"] else ""
    legend = f"{lead}B blast {text_of(d['schedule.blast'])}   h hold-off {text_of(d['schedule.hold_off'])}   . live {live}"
    cycle = DrawnCycle(s["hold_lead"], s["blast"], s["hold_off"], s["interval"], legend, d.cycle)
    if d.cycle is not None:
        top = show(height(cycle), "concentration", system)
        cycle = replace(cycle, key=f"Reading beneath: _ at rest, then . - + # up to {top} above{below(cycle)}")
    return LineSummary(
        d.inputs.line,
        describe(d, system),
        settings(d),
        " ".join(filter(None, (f"{kind.title}: {kind.advice}", runs_back(d)))),
        ten,
        other_depth,
        more,
        f"Where the pressure goes, {gauge} at the source",
        _budget(d, system),
        cycle,
    )


def shared_rows(designs: Sequence[Design], findings: Sequence[Finding], system: str = "si") -> tuple[Row, ...]:
    """What the source does for all lines together; nothing where there is one line, whose own figures these are."""
    d = designs[0]
    if not shares_source(d):
        return ()
    by_rule = {f.rule.id: f for f in findings if f.line in ("", d.inputs.line)}
    energy = (Row("Energy", text_of(d["source.energy_per_year"]), "a year, all lines"),) if "source.energy_per_year" in d else ()
    return (source_duty(d, by_rule, system), *energy)


def _budget(d: Design, system: str) -> tuple[Bar, ...]:
    parts = [
        ("depth", "water.depth_pressure"),
        ("head", "head.overpressure"),
        ("hose", "hose.pressure_drop"),
        ("check valve", "head.check_valve"),
        ("valve", "valve.pressure_drop"),
    ]
    total = float(d["source.gauge_pressure"].value)
    found = [(label, d[id]) for label, id in parts if id in d and float(d[id].value) > 0]
    return tuple(Bar(label, show(float(n.value), "pressure difference", system), float(n.value) / total) for label, n in found)
