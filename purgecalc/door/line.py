"""One purge line of a result: its quantities by id."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from purgecalc.design import Design
from purgecalc.door.quantity import Quantity
from purgecalc.door.shown import WIDTH, Explanation, Shown
from purgecalc.errors import UsageError
from purgecalc.reports.explain import print_quantities
from purgecalc.reports.page import Page
from purgecalc.rules import Finding
from purgecalc.studies.checked import at_corner, node_of

HOW_TO_LIST = "List them: list(line)"


@dataclass(frozen=True, eq=False, repr=False)
class PurgeLine(Shown):
    """One line, worked out. ``line[id]`` is a quantity; ``list(line)`` and ``dict(line)`` have them all.

    >>> line = r.lines["lane 1"]
    >>> line["hose.bore"].to("mm"), "hose.pressure_drop" in line
    (8.0, True)
    """

    design: Design
    """The calculation sheet, with formulas and inputs of every number."""
    findings: tuple[Finding, ...]
    """What the rules say of this line and its source, worst first."""

    @property
    def name(self) -> str:
        """The name its scenario gives it."""
        return self.design.inputs.line

    @property
    def words(self) -> Mapping[str, str]:
        """Words of the scenario by id, e.g. ``source.kind``."""
        return self.design.inputs.choices

    def at(self, depth: str) -> PurgeLine:
        """The line at another depth of its range: ``normal``, ``shallowest`` or ``deepest``. Raises ``UsageError``."""
        return PurgeLine(at_corner(self.design, depth), self.findings)

    def explain(self, id: str, *, everything: bool = False) -> Explanation:
        """Work one quantity by hand; with ``everything`` all it rests on follows. Raises ``UsageError`` for an unknown id."""
        return Explanation(self.design, node_of(self.design, id, HOW_TO_LIST).id, everything=everything)

    def page(self, width: int = WIDTH) -> Page:
        """Every quantity with its title, laid out for ``width`` columns."""
        page = Page(width)
        print_quantities(page, self.design)
        return page

    def __getitem__(self, id: str) -> Quantity:
        return Quantity(node_of(self.design, id, HOW_TO_LIST))

    def __contains__(self, id: object) -> bool:
        return id in self.design

    def __iter__(self) -> Iterator[str]:
        return iter(self.keys())

    def __len__(self) -> int:
        return len(self.keys())

    def keys(self) -> list[str]:
        """Ids of all quantities: the sheet in working order, then inputs that moved nothing."""
        sheet = [node.id for node in self.design.sheet]
        return [*sheet, *(id for id in self.design.inputs.values if id not in self.design.sheet)]

    def _ipython_key_completions_(self) -> list[str]:
        return self.keys()

    def __repr__(self) -> str:
        return f"<PurgeLine {self.name!r}, {len(self)} quantities>"


class Lines(dict[str, PurgeLine]):
    """The purge lines of a scenario by name. A name that is none raises ``UsageError`` with those there are."""

    def __missing__(self, name: object) -> PurgeLine:
        raise UsageError(f"no line is called {name!r}; lines: {', '.join(map(repr, self))}")
