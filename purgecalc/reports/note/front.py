"""The front of the note: whose it is, what it covers, what was designed, and whether it is good enough."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from purgecalc import __version__
from purgecalc.catalogue.probes import probe_kind
from purgecalc.design import Design
from purgecalc.reports.blocks import Block, Facts, Heading, Paragraph, Table
from purgecalc.reports.rows import Row, figures
from purgecalc.reports.summary import counts, describe, shared_rows
from purgecalc.reports.terminal import found
from purgecalc.rules import Finding, not_judged, verdict
from purgecalc.shown import text_of
from purgecalc.studies.commissioning import Commissioning
from purgecalc.wording import sentence
from purgecalc.working import Given

IDENTITY = {
    "project": "Project",
    "client": "Client",
    "location": "Location",
    "document": "Document",
    "revision": "Revision",
    "date": "Date",
    "author": "Author",
    "checker": "Checked by",
    "drawings": "Drawings, records",
    "phase": "Phase, milestone",
}
VERDICT_TEXTS = {
    "STOP": "Do not commission. At least one finding must be removed before air is put on.",
    "FIX": "To be fixed before use. The line will not do its job, or not for long, as it is designed.",
    "WATCH": "Fit for use by calculation, with findings to watch.",
    "PASS": "Fit for use by calculation. Every rule that could be judged is kept.",
}
DESIGNED = (
    "source.kind",
    "source.flow",
    "source.displacement",
    "source.dead_head",
    "source.rated_pressure",
    "source.duty_rating",
    "source.volume",
    "source.cut_in",
    "source.cut_out",
    "source.regulator",
    "valve.conductance",
    "valve.kv",
    "valve.cv",
    "hose.length",
    "hose.bore",
    "hose.roughness",
    "hose.loss_coefficient",
    "hose.rated_pressure",
    "head.holes",
    "head.hole_diameter",
    "head.wall",
    "head.discharge_coefficient",
    "head.stand_off",
    "head.depth",
    "head.deepest",
    "head.shallowest",
    "head.check_valve",
    "probe.t90",
    "probe.timed_fall",
    "probe.tolerance",
    "probe.set_point",
    "site.altitude",
    "site.pressure",
    "site.air_temperature",
    "water.temperature",
    "water.salinity",
    "supply.voltage",
    "supply.frequency",
)


def identity(c: Commissioning) -> Iterator[Block]:
    """Who, what, when; blank lines where nobody has said."""
    yield Heading("Identity", "identity")
    rows = [("Installation", c.scenario.title), *((label, c.scenario.paper.get(k, "")) for k, label in IDENTITY.items())]
    yield Facts((*rows, ("Inputs", c.scenario.hash), ("Worked out by", f"purgecalc {__version__}")))


def scope(c: Commissioning) -> Iterator[Block]:
    """What the note covers and what it does not."""
    yield Heading("Scope", "scope")
    if "scope" in c.scenario.paper:
        yield Paragraph(c.scenario.paper["scope"])
    n = len(c.designs)
    yield Paragraph(
        f"This note covers one air source and {n} purge line{'s' if n > 1 else ''}: what was designed, why it is held to be good "
        "enough, what to measure and what to expect. It does not replace a pressure examination, an area classification, a "
        "lifting plan, loop tuning or calibration. It presumes that erection is complete and that loop checks are done (phases "
        "as in IEC 62337 and IEC 62382, quoted from memory)."
    )
    if "remarks" in c.scenario.paper:
        yield Paragraph(c.scenario.paper["remarks"])


def as_designed(c: Commissioning) -> Iterator[Block]:
    """The inputs by line, with where each comes from, and the figures that follow."""
    yield Heading("As designed", "as-designed")
    for d in c.designs:
        if c.many:
            yield Heading(d.inputs.line, f"line-{c.designs.index(d) + 1}", 2)
        yield Paragraph(f"{d.inputs.line}: {describe(d)}.")
        kind = probe_kind(d.inputs.choice("probe.kind"))
        yield Paragraph(f"The catalogue says of this kind of probe ({kind.title}): {kind.advice}")
        yield Table("Inputs and where they come from", ("Input", "Value", "From"), tuple(_inputs(d)))
        by_rule = {f.rule.id: f for f in c.findings if f.line in ("", d.inputs.line)}
        yield _figures("Results", tuple(figures(d, by_rule)))
    together = shared_rows(c.designs, c.findings)
    if together:
        yield _figures("The source, for all lines together", together)


def _figures(caption: str, rows: Sequence[Row]) -> Table:
    cells = tuple((r.label, r.value, "; ".join(filter(None, (r.remark, r.limit)))) for r in rows)
    return Table(caption, ("Figure", "Value", "Remark and limit"), cells)


def _inputs(d: Design) -> Iterator[tuple[str, str, str]]:
    for id in DESIGNED:
        if id in d.inputs.choices:
            yield "Kind of source", d.inputs.choice(id), "scenario"
        elif id in d:
            node = d[id]
            origin = str(node.origin) if isinstance(node, Given) else f"worked out: {id}"
            yield sentence(node.title), text_of(node), origin
    for i, (p, q) in enumerate(d.inputs.curve, 1):
        yield f"Point {i} of the source's curve", f"{q.text} at {p.text}", str(p.origin)


def judgement(c: Commissioning) -> Iterator[Block]:
    """Verdict, what fails, what was waived, and by how much the rest passes."""
    yield Heading("Verdict and findings", "verdict")
    words = verdict(c.findings)
    said = counts(c.findings)
    yield Paragraph(f"{VERDICT_TEXTS[words]}{f' ({said})' if said else ''}", strong=True)
    failing = [f for f in c.findings if f.state == "fails"]
    if failing:
        rows = tuple((f.level.name, _where(f, c), found(f), f"{f.reason} {f.remedy}", str(f.rule.cite)) for f in failing)
        yield Table("Findings, worst first", ("Level", "Rule", "Found", "Why, and what to change", "Basis"), rows)
    else:
        yield Paragraph("No rule that could be judged is broken.")
    waived = [f for f in c.findings if f.state == "waived"]
    if waived:
        accepted = tuple((_where(f, c), found(f), f.waived_because) for f in waived)
        yield Table("Findings accepted with a reason", ("Rule", "Found", "Accepted because"), accepted)
    kept = tuple((_where(f, c), found(f), str(f.rule.cite)) for f in c.findings if f.state == "passes")
    yield Table("Rules that are kept, with their margins", ("Rule", "Found and limit", "Basis"), kept)
    yield from _unsettled(c)
    questions = c.checked.site_questions
    if questions.facts:
        asked = tuple((f.level, f.question, f.why) for f in questions.facts)
        yield Table("To be answered on site before commissioning", ("If no", "Question", "Why"), asked)


def _unsettled(c: Commissioning) -> Iterator[Block]:
    """Rules that could not judge, with what would settle them, and figures without a meaning."""
    silent = tuple((f.level.name, _where(f, c), ", ".join(f.missing), f.reason) for f in not_judged(c.findings))
    if silent:
        yield Table(
            "Rules not judged, because nobody has stated what they need", ("Level", "Rule", "Would settle it", "Why"), silent
        )
    void = tuple((_where(f, c), f.voided_by) for f in c.findings if f.state == "void")
    if void:
        yield Table("Rules whose figures have no meaning while another rule is broken", ("Rule", "Broken"), void)


def _where(f: Finding, c: Commissioning) -> str:
    return f"{f.rule.id} ({f.line})" if c.many and f.line else f.rule.id
