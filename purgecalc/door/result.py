"""``check`` and ``load``, and the result of a check."""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any, Literal

from purgecalc.door.line import Lines, PurgeLine
from purgecalc.door.quantity import Quantity
from purgecalc.door.shown import WIDTH, Explanation, Shown
from purgecalc.door.source import Set, Source, read
from purgecalc.door.studies import Grid, Sizing, Varied, texts_of
from purgecalc.errors import UsageError
from purgecalc.reports import as_json
from purgecalc.reports.first_screen import print_first_screen
from purgecalc.reports.page import Page
from purgecalc.reports.summary import counts, summarise
from purgecalc.scenario import ScenarioInputs
from purgecalc.studies.checked import Checked


def check(scenario: Source = None, set: Set = None) -> Check:
    """Work out and judge a scenario, as ``purgecalc check`` does.

    Arguments:
        scenario: a path, the text of a scenario (TOML), a dict of its tables, or what ``load`` gave; without one ``set``
            goes over the built-in reference installation. Every figure with a unit is text: ``"6 m"``, ``"3 bar(g)"``.
        set: values over those of the scenario, by key.

    Raises ``ScenarioError`` with every problem, its place and what would work; ``NoPhysicalAnswer`` where such a line cannot
    blow at all; ``UsageError`` for a call that means nothing. All are ``PurgecalcError``.

    >>> from purgecalc import check
    >>> r = check(set={"line.hose.length": "60 m", "line.hose.bore": "4 mm"})
    >>> r.verdict, r.findings[0].rule.id
    ('FIX', 'jet-strength')
    """
    return Check.of(read(scenario, set))


def load(scenario: Source, set: Set = None) -> ScenarioInputs:
    """Read a scenario without working it out; arguments as those of ``check``, which takes the result.

    Raises ``ScenarioError`` with every problem, its place and what would work.

    >>> from purgecalc import load
    >>> [line.line for line in load(None, set={"line.name": "north basin"}).lines]
    ['north basin']
    """
    return read(scenario, set)


@dataclass(frozen=True, eq=False, repr=False)
class Check(Checked, Shown):
    """A scenario, worked out and judged. Nothing in it changes; another ``check`` gives another one.

    ``verdict`` is PASS, WATCH, FIX or STOP; ``findings`` are worst first, ``not_judged`` those for want of an input,
    ``site_questions`` what only a person on site can tell; ``designs`` hold the calculation sheets. ``print(r)`` and a
    notebook show the screen of ``purgecalc check``.

    >>> r["hose.pressure_drop"].value == r.lines["lane 1"]["hose.pressure_drop"].value
    True
    """

    @cached_property
    def lines(self) -> Lines:
        """The purge lines by name."""
        names = [d.inputs.line for d in self.designs]
        ours = [tuple(f for f in self.findings if f.line in ("", name)) for name in names]
        return Lines({name: PurgeLine(d, found) for name, d, found in zip(names, self.designs, ours, strict=True)})

    def line(self, name: str = "") -> PurgeLine:
        """The line called ``name``, which may be left out where there is one. Raises ``UsageError`` with the names there are."""
        if not name and len(self.designs) > 1:
            names = ", ".join(map(repr, self.lines))
            raise UsageError(f"this scenario has {len(self.designs)} lines; say which: r.lines[name], or line=name, of {names}")
        return self.lines[name or self.designs[0].inputs.line]

    def explain(self, id: str, *, line: str = "", at: str = "normal", everything: bool = False) -> Explanation:
        """Work one quantity by hand: equation, numbers put in, result, source.

        Arguments:
            id: of the quantity, e.g. ``blast.delivery_time``.
            line: its name, where there are several.
            at: depth it is worked at, ``normal``, ``shallowest`` or ``deepest``.
            everything: whether all it rests on follows.

        Raises ``UsageError`` for an id, a line or a depth that is not there.
        """
        return self.line(line).at(at).explain(id, everything=everything)

    def to_dict(self, *, detail: bool = False) -> dict[str, Any]:
        """The result as plain data, as ``purgecalc check --json`` has it; with ``detail`` what is to be measured too."""
        if not detail:
            return as_json.result(self)
        from purgecalc.studies.commissioning import to_measure

        return as_json.result(self, to_measure(self))

    def note(self, file: str | os.PathLike[str], *, card: bool = False, force: bool = False) -> Path:
        """Write the commissioning note, or with ``card`` the field card, and give its path.

        Arguments:
            file: ends in .html, .pdf or .md.
            force: replaces a file that is there.

        Raises ``UsageError`` where it cannot be written.
        """
        from purgecalc.cli.output import Target
        from purgecalc.reports.note.written import form_of, written
        from purgecalc.scenario.read import named_shortly
        from purgecalc.studies.commissioning import gather

        name = os.fspath(file)
        form = form_of(name)
        target = Target(name, force, [self.scenario.file], by_hand=False)
        short = named_shortly(self.scenario)
        checked: Checked = self if short is self.scenario else Checked.of(short)
        target.write(written(gather(checked), form, card=card))
        return Path(name)

    def size(self, *, line: str = "", free: str | Sequence[str] = "") -> Sizing:
        """Size one line: longest hose, smallest source, best schedule and head, what clears the findings. Takes some seconds.

        Arguments:
            line: its name, where there are several.
            free: what may change, e.g. ``"hose.bore,hose.length"``; everything unless given.

        Raises ``UsageError`` for what cannot be changed or is not there.
        """
        from purgecalc.studies.size import free_ids, size

        ids = free_ids(free if isinstance(free, str) else ",".join(free))
        name = self.line(line).name
        place = list(self.lines).index(name) + 1 if len(self.lines) > 1 else 0
        return Sizing(self.scenario.title, size(self, name, ids), place)

    def sweep(
        self,
        vary: Mapping[str, Varied],
        *,
        of: Sequence[str] = (),
        line: str = "",
        blast: Literal["integrated", "estimate"] = "integrated",
    ) -> Grid:
        """Vary one to three figures over a grid and judge every design of it, as ``purgecalc sweep`` does.

        Arguments:
            vary: values by key, ``{"line.hose.length": "3:60:40 m"}`` (from, to, how many), ``"4,6,8 mm"``, texts with a unit, or
                numbers under a key with its unit, ``"line.hose.length [m]"``. Put in rising order.
            of: quantities to tell, e.g. ``"hose.pressure_drop"``.
            line: whose figures and quantities, where there are several.
            blast: ``integrated`` follows every blast in time; ``estimate`` takes delivery by hand, which is quick.

        Raises ``UsageError`` for what cannot be varied, ``ScenarioError`` where a design of the grid is none the scenario takes.
        """
        from purgecalc.studies.sweep import axis, of_line, sweep, with_present

        if blast not in ("integrated", "estimate"):
            raise UsageError(f"blast={blast!r}: there is integrated and estimate")
        name = self.line(line).name if line else ""
        texts = texts_of(vary)
        if len(texts) > 3:
            raise UsageError("at most three figures can be varied")
        axes = with_present([axis(of_line(text, name, self.scenario)) for text in texts], self.scenario)
        return Grid(sweep(self.scenario, axes, of, blast == "integrated", name))

    def page(self, width: int = WIDTH) -> Page:
        """The screen of ``purgecalc check``, laid out for ``width`` columns."""
        page = Page(width)
        print_first_screen(page, summarise(self))
        return page

    def __getitem__(self, id: str) -> Quantity:
        return self.line()[id]

    def __contains__(self, id: object) -> bool:
        return id in self.line()

    def __iter__(self) -> Iterator[str]:
        return iter(self.line())

    def keys(self) -> list[str]:
        """Ids of all quantities, where there is one line. Raises ``UsageError`` where there are several."""
        return self.line().keys()

    def _ipython_key_completions_(self) -> list[str]:
        return self.keys() if len(self.designs) == 1 else []

    def __repr__(self) -> str:
        lines = f"{len(self.designs)} line{'s' if len(self.designs) > 1 else ''}"
        return f"<Check of {self.scenario.title!r}: {self.verdict}, {lines}; findings: {counts(self.findings) or 'none'}>"
