"""The end of the note: how far to trust it, upkeep, cautions, who signs."""

from __future__ import annotations

from collections.abc import Iterator

from purgecalc.catalogue.probes import probe_kind
from purgecalc.design import Design
from purgecalc.formulas.oxygen import MOST_CHECKED
from purgecalc.formulas.upkeep import Due
from purgecalc.reports.assumed import listed
from purgecalc.reports.blocks import Block, Cautions, Heading, Paragraph, Signatures, Table
from purgecalc.reports.cautions import CAUTIONS
from purgecalc.reports.note.sentences import each_line
from purgecalc.reports.removal import NOT_MEASURED
from purgecalc.reports.response import still_water
from purgecalc.reports.running_back import runs_back
from purgecalc.shown import text_of
from purgecalc.studies.commissioning import Commissioning
from purgecalc.studies.spread import FACTOR_INPUTS, not_stated, sides
from purgecalc.studies.upkeep import upkeep_plan
from purgecalc.units import show
from purgecalc.wording import sentence
from purgecalc.working import Given

LIMITS = (
    "Air is an ideal gas, dry, at the temperature of the air in the hose; valid to about 10 bar and Mach 0.8 in the hose.",
    "Friction is laminar below Reynolds 2000, Colebrook's above 3000; between, where pipes scatter by 15 %, a straight line.",
    "The bore decides most: 5 % on the bore is 25 % on the loss. Measure it.",
    "Nobody has published how much thrust cleans a probe face. The jet is compared with one line known in practice; that growth "
    "comes off is not promised. Scale, shell and grease skin are not moved by air.",
    f"{NOT_MEASURED} Removal and growth of fouling are what the scenario says; only two wipes on site tell.",
)

UNCERTAIN_INPUTS = {
    "uncertainty.volume": "source.volume",
    "uncertainty.conductance": "valve.conductance",
    "uncertainty.check_valve": "head.check_valve",
}
"""Uncertainties of what not every line has."""


def limitations(c: Commissioning) -> Iterator[Block]:
    """Limits of the calculation, defaults used, what was changed on the command line."""
    yield Heading("Limitations, assumptions, defaults", "limitations")
    for text in (*LIMITS, *each_line(c, _of_line)):
        if text:
            yield Paragraph(text)
    for how, caption in (("default", "Assumed, because the scenario does not say"), ("override", "Set on the command line")):
        found = tuple(_split(text) for text in listed(c.designs, how))
        if found:
            yield Table(caption, ("Input", "Value and where it is from"), found)
    off = [g for id, g in c.designs[0].inputs.values.items() if id.startswith("uncertainty.") and _is_there(c, id)]
    rows = [(sentence(g.title), _either_way(c, g), str(g.origin)) for g in off] + [*_factors(c)]
    yield Table("How far inputs are taken to be off, for the bands", ("Input", "Either way", "From"), tuple(rows))


def _either_way(c: Commissioning, given: Given) -> str:
    """As stated, or both sides where one of them is the wider."""
    name, as_stated = given.id.removeprefix("uncertainty."), (given.value, given.value)
    ends = max((sides(d, name) for d in c.designs), key=lambda e: e[1]) if name in ("response", "discharge") else as_stated
    return text_of(given) if ends == as_stated else f"{show(ends[0], 'fraction')} less, {show(ends[1], 'fraction')} more"


def _factors(c: Commissioning) -> Iterator[tuple[str, str, str]]:
    """Figures of the catalogue that are off within its own range."""
    seen = set()
    for d in c.designs:
        for name, id in FACTOR_INPUTS.items():
            figure, node = getattr(probe_kind(d.inputs.choice("probe.kind")), name), d.get(id)
            if isinstance(node, Given) and not_stated(d, id) and figure.low.value < figure.high.value and figure not in seen:
                seen.add(figure)
                yield sentence(node.title), f"{figure.low.text} to {figure.high.text}", str(node.origin)


def _of_line(d: Design) -> str:
    """What is not judged of this line, and what is worked out beyond the range its formula is stated for."""
    said = []
    if "reading.bump" not in d and "probe.timed_fall" not in d:
        said.append(
            "The height of the bump of this probe is not known: the hold-off is judged by bubbles, mixing and t90, after which a "
            "tenth of the bump is left. Time its fall by hand (probe.timed_fall)."
        )
    said += [still_water(d), runs_back(d)]
    if "oxygen.bubble_saturation" in d and d.number("water.back_pressure") > MOST_CHECKED:
        said.append(
            f"The height of the bump rests on oxygen saturation at {text_of(d['water.back_pressure'])} in the bubbles, beyond "
            "the pressures its correction is stated for (0.5 to 1.1 atm)."
        )
    return " ".join(filter(None, said))


def _is_there(c: Commissioning, id: str) -> bool:
    """Whether any line has the part an uncertainty is of."""
    part = UNCERTAIN_INPUTS.get(id)
    return part is None or any(d.inputs.get(part) or (part == "valve.conductance" and part in d) for d in c.designs)


def _split(text: str) -> tuple[str, str]:
    name, _, rest = text.partition(" = ")
    return name, rest


def upkeep(c: Commissioning) -> Iterator[Block]:
    """First dates of upkeep, where a start date is stated."""
    yield Heading("Upkeep", "upkeep")
    dates = upkeep_plan(c.designs)
    if dates:
        rows = tuple((due.name, due.on.isoformat(), _between(due), str(due.cite)) for due in dates)
        yield Table("First dates, soonest first", ("Task", "Date", "Between", "Basis"), rows)
    else:
        yield Paragraph(
            "No start date is stated ([upkeep] start), so no dates are given. Intake filter monthly to quarterly, drain monthly, "
            "check valve yearly, comparison with a reference monthly (common practice, no source)."
        )


def _between(due: Due) -> str:
    return "" if due.earliest == due.latest else f"{due.earliest.isoformat()} to {due.latest.isoformat()}"


def cautions(c: Commissioning) -> Iterator[Block]:
    """Plain words to whoever runs the line."""
    yield Heading("Cautions to whoever runs it", "cautions")
    yield Cautions(
        (
            *CAUTIONS,
            "Do not lengthen or change the hose without working the line out again.",
            "This note is not a pressure examination, an area classification or a lifting plan.",
        )
    )


def sign_off(c: Commissioning) -> Iterator[Block]:
    """Who signs."""
    yield Heading("Sign-off", "sign-off")
    yield Signatures(("Installer", "Control engineer", "Process", "Safety", "Client"))
