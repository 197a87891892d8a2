"""Everything a commissioning note is made from, gathered once."""

from __future__ import annotations

from dataclasses import dataclass

from purgecalc.design import Design
from purgecalc.rules import Finding
from purgecalc.scenario import ScenarioInputs
from purgecalc.studies.checked import Checked
from purgecalc.studies.expected import Expected, expected
from purgecalc.studies.readings import FormLine, Readings, form_lines, judged
from purgecalc.studies.spread import spread


@dataclass(frozen=True)
class Commissioning:
    """A scenario worked out and judged, what is to be measured, and what was."""

    checked: Checked
    lines: tuple[FormLine, ...]
    readings: Readings | None = None

    @property
    def scenario(self) -> ScenarioInputs:
        """What was read."""
        return self.checked.scenario

    @property
    def designs(self) -> tuple[Design, ...]:
        """Every line, worked out."""
        return self.checked.designs

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What the rules find, worst first."""
        return self.checked.findings

    @property
    def many(self) -> bool:
        """Whether there are several purge lines."""
        return len(self.designs) > 1

    def design_of(self, line: str) -> Design:
        """The design of the line called so."""
        return self.checked.design_of(line)


def gather(checked: Checked) -> Commissioning:
    """Work out the bands and the table of what is to be measured."""
    names = [inputs.line for inputs in checked.scenario.lines]
    return Commissioning(checked, tuple(form_lines([*zip(names, to_measure(checked), strict=True)])))


def to_measure(checked: Checked) -> list[list[Expected]]:
    """What is to be measured of every line at commissioning, with bands: a sample of designs is worked out for it."""
    return [expected(s) for s in spread(checked.scenario.lines, checked.designs)]


def outside_lines(c: Commissioning) -> list[FormLine]:
    """Lines whose reading is outside what passes."""
    taken = c.readings.values if c.readings else {}
    return [line for line in c.lines if line.id in taken and judged(line.expected, taken[line.id]).startswith("outside")]
