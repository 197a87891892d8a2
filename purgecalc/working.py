"""The calculation sheet: every number remembers its formula, its inputs and where each input came from.

A formula is a pure function on SI floats or arrays with a record beside it. ``Sheet.do(formula, **inputs)`` calls it
and keeps the step; only ``Given``, ``Constant`` or earlier ``Step`` objects may go in, so no naked number can enter
and every result is a tree down to file lines and cited constants. Inside iterative solves the bare functions are
called and nothing is recorded; the converged point is recorded once, with its residual.
"""

from __future__ import annotations

import inspect
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import ParamSpec

from purgecalc.kinds import KINDS
from purgecalc.references import Citation
from purgecalc.registry import Registry
from purgecalc.si import Num, units_of

P = ParamSpec("P")


@dataclass(frozen=True, repr=False)
class Formula:
    """What is known about one formula besides its code.

    ``takes`` says of each argument what it is, "name: meaning; name: meaning". ``shown`` is the equation as text. With a
    single ``=`` in it, it is an implicit equation in which ``symbol`` stands for the result. ``unpublished`` says why there
    is no published case to test against (or is empty when there is one).
    """

    id: str
    symbol: str
    title: str
    kind: str
    takes: str
    shown: str
    cite: Citation
    valid: str
    unpublished: str
    function: Callable[..., Num]

    def __repr__(self) -> str:
        return f"<Formula {self.id}: {self.title}>"

    @property
    def unit(self) -> str:
        return KINDS[self.kind].si

    def meanings(self) -> dict[str, str]:
        """What each argument is, in the order of ``takes``."""
        return dict(argument.split(": ", 1) for argument in self.takes.split("; "))

    def argument_units(self) -> dict[str, str]:
        """SI unit of each argument, read from the annotations."""
        return {name: unit for name, unit in units_of(self.function).items() if name != "return"}

    def result_unit(self) -> str:
        return units_of(self.function)["return"]

    def told(self) -> str:
        """What ``help`` shows below the function's own sentences."""
        units = {name: unit or "-" for name, unit in units_of(self.function).items()}
        return "\n".join(
            [
                "Takes SI numbers, or arrays of them that broadcast; pressures absolute unless said:",
                *(f"    {name} [{units[name]}]: {meaning}" for name, meaning in self.meanings().items()),
                f"Gives {self.symbol} [{units['return']}]: {self.title}",
                f"    {self.shown}",
                f"Valid: {self.valid}. Source: {self.cite}.",
                "Raises nothing on arrays: nan or inf where there is no answer; on plain floats perhaps ArithmeticError.",
            ]
        )

    def place(self) -> str:
        """Module and line of the function, for a reader who wants the code."""
        line = inspect.getsourcelines(self.function)[1]
        return f"{self.function.__module__.replace('.', '/')}.py:{line}"


FORMULAS: Registry[Formula] = Registry("formula")
_BY_FUNCTION: dict[Callable[..., Num], Formula] = {}


def formula(
    id: str, *, symbol: str, title: str, kind: str, takes: str, shown: str, cite: Citation, valid: str, unpublished: str = ""
) -> Callable[[Callable[P, Num]], Callable[P, Num]]:
    """Attach a record to a pure function and return the function itself: calling it costs nothing extra.

    The function's docstring goes on with the record, so that ``help`` shows arguments, units, validity and source.
    """

    def attach(function: Callable[P, Num]) -> Callable[P, Num]:
        record = Formula(id, symbol, title, kind, takes, shown, cite, valid, unpublished, function)
        function.__doc__ = f"{inspect.cleandoc(function.__doc__ or '')}\n\n{record.told()}"
        FORMULAS.add(id, record)
        _BY_FUNCTION[function] = record
        return function

    return attach


def record_of(function: Callable[..., Num]) -> Formula:
    """The record ``@formula`` attached to a function."""
    return _BY_FUNCTION[function]


@dataclass(frozen=True)
class Origin:
    """Where an input came from: ``how`` is given, default, override, catalogue or other; ``where`` a place or a reason."""

    how: str
    where: str

    def __str__(self) -> str:
        return self.where if self.how == "given" else f"{self.how}: {self.where}"


@dataclass(frozen=True, repr=False)
class Node:
    """One number of the sheet, in SI, with the name people and other tools know it by."""

    id: str
    title: str
    kind: str
    value: Num

    @property
    def unit(self) -> str:
        return KINDS[self.kind].si

    @property
    def number(self) -> float:
        """The value of a single design."""
        return float(self.value)

    def __repr__(self) -> str:
        shape = getattr(self.value, "shape", ())
        many = f"array of {shape}" if shape else self.value
        return f"<{type(self).__name__} {self.id} = {many} {self.unit}".rstrip() + ">"


@dataclass(frozen=True, repr=False)
class Given(Node):
    """An input. ``text`` is what the author wrote; ``state`` tells gauge from absolute, or the state of an air flow.

    ``read`` holds what it was looked up by (the word that names a hose material), or taken from.
    """

    origin: Origin = Origin("given", "")
    text: str = ""
    state: str = ""
    read: Mapping[str, Node] = field(default_factory=dict)


def symbol_of(id: str) -> str:
    """The id as a name that can stand in an equation."""
    return id.replace(".", "_")


def renamed(given: Given, id: str, title: str, kind: str, origin: Origin | None = None) -> Given:
    """An input that stands on the sheet under another id, and says which input it is."""
    return replace(given, id=id, title=title, kind=kind, origin=origin or given.origin, read={symbol_of(given.id): given})


@dataclass(frozen=True, repr=False)
class Word(Node):
    """A word of the scenario that decided how a figure is worked out; it has no number."""

    origin: Origin = Origin("given", "")
    word: str = ""

    @property
    def unit(self) -> str:
        return ""


@dataclass(frozen=True, repr=False)
class Constant(Node):
    """A physical or conventional constant, cited. Its unit is its own, since few constants are of a kind people enter."""

    value: float
    symbol: str = ""
    si_unit: str = ""
    cite: Citation | None = None

    @property
    def unit(self) -> str:
        return self.si_unit


CONSTANTS: Registry[Constant] = Registry("constant")


def constant(symbol: str, value: float, unit: str, title: str, cite: Citation) -> Constant:
    """Declare a constant that printed equations may name by ``symbol``."""
    node = Constant(f"constant.{symbol}", title, "ratio", value, symbol, unit, cite)
    CONSTANTS.add(symbol, node)
    return node


@dataclass(frozen=True, repr=False)
class Step(Node):
    """A computed number: the formula, what went in, and for a solved value how well it closes.

    ``read`` holds what was read to choose the formula or its inputs and stands in no equation: words, mostly.
    """

    formula: Formula | None = None
    inputs: Mapping[str, Node] = field(default_factory=dict)
    note: str = ""
    read: Mapping[str, Node] = field(default_factory=dict)


def rests_on(node: Node) -> dict[str, Node]:
    """Everything a number was worked out from, by id, itself included."""
    found: dict[str, Node] = {}
    todo = [node]
    while todo:
        one = todo.pop()
        if one.id not in found:
            found[one.id] = one
            for inner in (getattr(one, "inputs", {}), getattr(one, "read", {})):
                todo.extend(inner.values())
    return found


class Sheet:
    """Nodes in working order, found by id."""

    def __init__(self) -> None:
        self._nodes: dict[str, Node] = {}

    def add(self, node: Node) -> Node:
        """Put a node on the sheet. The same id twice is a fault of the sheet, not an update."""
        if node.id in self._nodes:
            raise ValueError(f"two lines of the sheet are called {node.id!r}")
        self._nodes[node.id] = node
        return node

    def do(
        self,
        function: Callable[..., Num],
        /,
        *,
        as_id: str = "",
        title: str = "",
        kind: str = "",
        note: str = "",
        value: Num | None = None,
        read: Mapping[str, Node] | None = None,
        **inputs: Node,
    ) -> Step:
        """Work one formula and keep the step.

        ``as_id``, ``title`` and ``kind`` rename it where one formula serves several lines. ``value`` is given only
        when an iterative solve already holds the converged result; ``note`` then says how well it closes. ``read`` is
        what decided that this formula, or one of these inputs, is the right one.
        """
        record = record_of(function)
        for name, node in inputs.items():
            if not isinstance(node, Node):
                raise TypeError(f"{record.id}: {name} is {node!r}; only lines of the sheet, givens and constants may go in")
            if isinstance(node, Given) and node.id not in self._nodes:
                self.add(node)
        if value is None:
            value = function(**{name: node.value for name, node in inputs.items()})
        step = Step(as_id or record.id, title or record.title, kind or record.kind, value, record, inputs, note, read or {})
        self.add(step)
        return step

    def __getitem__(self, id: str) -> Node:
        return self._nodes[id]

    def get(self, id: str) -> Node | None:
        return self._nodes.get(id)

    def __contains__(self, id: object) -> bool:
        return id in self._nodes

    def __iter__(self) -> Iterator[Node]:
        return iter(self._nodes.values())

    def steps(self) -> list[Step]:
        return [n for n in self if isinstance(n, Step)]

    def givens(self) -> list[Given]:
        return [n for n in self if isinstance(n, Given)]
