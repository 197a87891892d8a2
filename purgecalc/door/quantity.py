"""One number of a result, with its unit."""

from __future__ import annotations

from dataclasses import dataclass

from purgecalc.door.shown import WIDTH, Shown
from purgecalc.errors import UsageError
from purgecalc.kinds import AIR_FLOW_FORMS, KINDS, PRESSURE_UNITS
from purgecalc.reports.page import Page, hanging
from purgecalc.reports.unit_fields import of_node
from purgecalc.shown import text_of
from purgecalc.units import UnitProblem, shown_in
from purgecalc.wording import nearest
from purgecalc.working import Given, Node


@dataclass(frozen=True, repr=False)
class Quantity(Shown):
    """One number: ``value`` in SI, ``to(unit)`` in any unit that fits, ``text`` as the screens have it.

    A pressure is a gauge or an absolute one and a stated flow of air has its state; ``reference`` and ``air_state`` tell,
    and ``to`` never turns one into the other.

    >>> r["hose.length"].to("mm")
    6000.0
    >>> print(r["hose.length"])
    6 m
    """

    node: Node
    """The line of the calculation sheet it stands for."""

    @property
    def id(self) -> str:
        """Stable name, e.g. ``hose.pressure_drop``."""
        return self.node.id

    @property
    def title(self) -> str:
        """What it is, in words."""
        return self.node.title

    @property
    def kind(self) -> str:
        """What sort of quantity it is, e.g. ``pressure difference``."""
        return self.node.kind

    @property
    def value(self) -> float:
        """The number in ``unit``; nan or inf where there is no such number."""
        return float(self.node.value)

    @property
    def unit(self) -> str:
        """SI unit of ``value``, as ``check --json`` spells it; empty for plain numbers."""
        return KINDS[self.kind].si

    @property
    def reference(self) -> str | None:
        """``gauge`` or ``absolute``, of a pressure."""
        return _told(self.node, "reference")

    @property
    def air_state(self) -> str | None:
        """State that a volume or flow of air is counted at, where it has one."""
        return _told(self.node, "air_state")

    @property
    def text(self) -> str:
        """The number as people read it; an input as its author wrote it."""
        return text_of(self.node)

    def to(self, unit: str) -> float:
        """The number in another unit, spelled as scenarios and screens spell it: ``mbar``, ``bar(g)``, ``L/min``, ``degC``.

        Raises ``UsageError`` with the units there are, where ``unit`` is none of them.

        >>> r["source.gauge_pressure"].to("bar")  # doctest: +ELLIPSIS
        Traceback (most recent call last):
            ...
        purgecalc.errors.UsageError: source.gauge_pressure is a gauge pressure: 'bar' is no unit of it; units: bar(g), ...
        """
        if unit == self.unit and self.reference is None:
            return self.value
        for state in self._states:
            try:
                writes = shown_in(unit.strip(), self.kind, state)
            except UnitProblem:
                continue
            return (self.value - writes.offset) / writes.factor
        raise UsageError(self._not_a_unit(unit))

    @property
    def _states(self) -> tuple[str, ...]:
        """What may be said of a unit: an input's own state; a flow worked out may be asked for plainly too."""
        own = getattr(self.node, "state", "")
        return (own,) if own or self.kind != "air flow" or not self.air_state else ("", self.air_state)

    def _not_a_unit(self, unit: str) -> str:
        kind = KINDS[self.kind]
        name = {"gauge": "a gauge pressure", "absolute": "an absolute pressure"}.get(self.reference or "")
        name, units = name or f"{kind.article} {kind.name}", self.units
        near = [u for u in units if u.lower() == unit.lower()] or nearest(unit, units)
        hint = f"; did you mean {near[0]}?" if near else ""
        return f"{self.id} is {name}: {unit!r} is no unit of it; units: {', '.join(units) or 'none, it is a plain number'}{hint}"

    @property
    def units(self) -> tuple[str, ...]:
        """Units that ``to`` takes; other spellings of them do as well."""
        kind = KINDS[self.kind]
        if self.reference is not None:
            return tuple(f"{u}({self.reference[0]})" for u in PRESSURE_UNITS)
        if kind.name == "air flow":
            states = {state or "inlet" for state in self._states}
            return tuple(u for u, (_, state) in AIR_FLOW_FORMS.items() if state in states and " " not in u)
        labels = [label for _, _, label in (*kind.show_si, *kind.show_us)]
        return tuple(u for u in dict.fromkeys([*labels, *kind.accepts]) if u)

    def __float__(self) -> float:
        return self.value

    def __str__(self) -> str:
        return self.text

    def __repr__(self) -> str:
        return f"<Quantity {self.id} = {self.text}>"

    def page(self, width: int = WIDTH) -> Page:
        """Number, title and, of an input, where it is from, laid out for ``width`` columns."""
        page = Page(width)
        said = f"; {self.node.origin}" if isinstance(self.node, Given) else ""
        hanging(page, f"{self.id} = {self.text}  ({self.title}{said})", "", "    ")
        return page


def _told(node: Node, field: str) -> str | None:
    said: str | None = of_node(node)[field]
    return said
