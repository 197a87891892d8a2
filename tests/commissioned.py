"""Scenarios taken as far as their commissioning note. Each is worked out once in a process, whichever module asks first."""

from functools import cache

from purgecalc.reports.blocks import Document
from purgecalc.reports.note import commissioning_note
from purgecalc.scenario import ScenarioInputs, loads
from purgecalc.studies.checked import Checked
from purgecalc.studies.commissioning import Commissioning, gather
from tests.lines import SCENARIOS, read


def commissioned(scenario: ScenarioInputs) -> Commissioning:
    """A scenario worked out, judged and given its bands."""
    return gather(Checked.of(scenario))


@cache
def of_line(*settings: str) -> Commissioning:
    """The reference line with settings over it, as ``tests.lines.read`` takes them."""
    return commissioned(read(*settings))


@cache
def of_site(name: str, *settings: str) -> Commissioning:
    """A worked site, by the name of its file."""
    name = f"{name.removesuffix('.toml')}.toml"
    return commissioned(loads((SCENARIOS / name).read_text(encoding="utf-8"), name, list(settings)))


@cache
def note_of_line(*settings: str) -> Document:
    """The note of the reference line, without pictures."""
    return commissioning_note(of_line(*settings))
