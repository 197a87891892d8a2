"""Keys as people write them (``line.hose.length``, ``line.2.hose.length``, ``source.flow``), and columns of their values.

A key leads to the input it sets, its line, its kind and its limits; a column adds the unit its numbers are written in.
Values of a column meet the limits that the scenario sets for one, all at once.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import Annotated, Any, Literal, get_args, get_origin

import numpy as np
from numpy.typing import NDArray
from pydantic import BaseModel, ConfigDict, TypeAdapter, ValidationError

from purgecalc.inputs import SHARED_TABLES
from purgecalc.kinds import KINDS
from purgecalc.renamed import now_called
from purgecalc.scenario.descriptions import inner_model
from purgecalc.scenario.fields import LONGEST_WORDS, meta_of, outside, range_text
from purgecalc.scenario.messages import message_of
from purgecalc.scenario.model import Scenario
from purgecalc.scenario.positions import number_of_line
from purgecalc.scenario.replaced import literal
from purgecalc.units import Conversion, UnitProblem, conversion
from purgecalc.wording import nearest, shortened

Array = NDArray[np.float64]
NAMING_KEYS = ("title", "line.name", "note.")
"""Names of things and what is printed on the note: no figures of a design."""
PICKS_A_ROW = ("moisture.dryer_class",)
"""Whole numbers that stand for a row of a table: designs with one are worked out together, as for a word."""


class KeyProblem(ValueError):
    """A key or column that cannot be used; the message says what would do."""


@dataclass(frozen=True)
class Key:
    """``id`` is the input's; ``line`` counts from 0, None means every line. ``sort``: quantity, number, whole or word."""

    text: str
    id: str
    line: int | None
    sort: str
    kind: str
    meta: dict[str, Any]
    title: str

    @property
    def plain(self) -> str:
        """The key without the number of a line."""
        return self.text if self.line is None else "line." + self.id

    @property
    def is_word(self) -> bool:
        return self.sort == "word"


@lru_cache(maxsize=1)
def _known() -> dict[str, Any]:
    """Field of every plain value of a scenario, by its key without a line number."""
    return dict(_walk(Scenario, ""))


def _walk(model: type[BaseModel], prefix: str) -> Iterator[tuple[str, Any]]:
    for name, info in model.model_fields.items():
        inner = inner_model(info.annotation)
        if inner is not None:
            yield from _walk(inner, f"{prefix}{name}.")
        elif not f"{prefix}{name}".startswith(NAMING_KEYS) and _sort(info):
            yield f"{prefix}{name}", info


def key_of(id: str) -> str:
    """The key of an input, without a line's number."""
    return id if id.split(".")[0] in SHARED_TABLES else f"line.{id}"


def typed(key: str, text: str) -> str | int | float:
    """A word of an answer as a scenario writes it under ``key``: a bare number where that is wanted."""
    info = _known().get(key)
    sort = _sort(info) if info else "word"
    return int(text) if sort == "whole" else float(text) if sort == "number" else text


def _sort(info: Any) -> str:
    """What is written for a field; empty for tables and lists."""
    if "kind" in meta_of(info.json_schema_extra):
        return "quantity"
    types = set(_plain_types(info.annotation))
    if dict in types or tuple in types:
        return ""
    return "whole" if int in types else "number" if float in types else "word"


def _plain_types(annotation: Any) -> Iterator[Any]:
    origin = get_origin(annotation)
    if origin in (dict, tuple):
        yield origin
    elif origin is Literal or not get_args(annotation):
        yield annotation
    else:
        for arg in get_args(annotation):
            yield from _plain_types(arg)


@lru_cache(maxsize=64)
def _reader(plain: str) -> TypeAdapter[Any]:
    """Reads the value of a key by itself, as the model does."""
    info = _known()[plain]
    annotation: Any = Annotated[(info.annotation, *info.metadata)] if info.metadata else info.annotation
    return TypeAdapter(annotation, config=ConfigDict(str_max_length=LONGEST_WORDS))


def find_key(text: str) -> Key:
    """The key people mean; raises ``KeyProblem`` with a proposal where there is none."""
    parts = [part.strip() for part in text.split(".")]
    line = number_of_line(parts[1]) if parts[0] == "line" and len(parts) > 2 else None
    parts = parts if line is None else [parts[0], *parts[2:]]
    plain = ".".join(parts)
    info = _known().get(plain)
    if info is None or line == -1:
        raise KeyProblem(_unknown(text, plain))
    sort, meta = _sort(info), meta_of(info.json_schema_extra)
    id = plain.removeprefix("line.")
    kind = meta.get("kind") or {"whole": "count", "number": "ratio", "word": ""}[sort]
    return Key(text, id, line, "word" if id in PICKS_A_ROW else sort, kind, meta, info.description or id)


def _unknown(text: str, plain: str) -> str:
    if plain.startswith("limits."):
        return f"a limit is the same for every design of a table or a sweep: --set {shortened(plain, 100)}=..."
    if now := now_called("keys", plain):
        return f"{shortened(text, 100)!r} {now}"
    known = list(_known())
    near = [k for k in known if k.endswith("." + plain)] or nearest(plain, known, 3)
    hint = f"; did you mean {' or '.join(near[:3])}?" if near else "; keys are written as in a scenario, e.g. line.hose.length"
    return f"{shortened(text, 100)!r} is not a key of a scenario whose value can change from design to design{hint}"


UNCONVERTED = Conversion(1.0, 0.0)
"""Numbers without a unit, and words."""


@dataclass(frozen=True)
class Column:
    """A key and the unit that its numbers are written in."""

    key: Key
    unit: str = ""
    reads: Conversion = UNCONVERTED

    @property
    def head(self) -> str:
        """Key and unit, as a table has them."""
        return f"{self.key.text} [{self.unit}]" if self.unit else self.key.text

    def si(self, written: Array) -> Array:
        return written * self.reads.factor + self.reads.offset

    def written(self, si: float) -> float:
        """A value in SI as the column writes it."""
        return (si - self.reads.offset) / self.reads.factor

    def text(self, written: float) -> str:
        """One value as a scenario would have it."""
        return f"{written:.12g} {self.unit}".rstrip()

    def setting(self, written: Any) -> str:
        """One value as ``--set`` takes it."""
        return f"{self.key.text}={written if self.key.is_word else self.text(float(written))}"

    def fault_of_word(self, word: str) -> str:
        """What the scenario would have against a word by itself; nothing where it may stand."""
        try:
            _reader(self.key.plain).validate_python(literal(word))
        except ValidationError as error:
            return message_of(error.errors(include_url=False)[0], tuple(self.key.plain.split(".")))
        return ""

    def faults(self, written: Array) -> Iterator[tuple[int, str]]:
        """Index and account of every value that the scenario would refuse by itself."""
        si = self.si(written)
        bad = outside(si, self.key.meta) if self.key.sort == "quantity" else ~np.isfinite(si)
        for i in np.flatnonzero(bad):
            given = self.text(written[i])
            if not np.isfinite(si[i]):
                yield int(i), f"{self.key.text}: no number is given"
            else:
                yield int(i), f"{self.key.text}: {range_text(given, self.reads.state, self.key.meta)}"
        if self.key.sort == "whole":
            for i in np.flatnonzero(~bad & (si != np.rint(si))):
                yield int(i), f"{self.key.text}: {self.text(written[i])} is not a whole number"


def name_and_unit(text: str) -> tuple[str, str | None] | None:
    """``line.hose.bore [mm]`` taken apart, the unit None where none is stated; None where brackets do not close."""
    name, opened, rest = text.partition("[")
    unit, closed, behind = rest.rpartition("]")
    if bool(opened) != bool(closed) or behind.strip() or "]" in name:
        return None
    return name.strip(), unit.strip() if opened else None


def column(head: str) -> Column:
    """The column a head speaks of, e.g. ``line.hose.bore [mm]``. Raises ``KeyProblem``."""
    parts = name_and_unit(head)
    if parts is None or not parts[0]:
        raise KeyProblem(f"{shortened(head, 100)!r} is not a key with a unit; write e.g. line.hose.bore [mm]")
    return column_of(parts[0], parts[1] or "")


def column_of(key_text: str, unit: str) -> Column:
    """The column of a key with numbers in ``unit``. Raises ``KeyProblem``."""
    key = find_key(key_text)
    if key.sort != "quantity":
        if unit:
            raise KeyProblem(f"{key.text} has no unit; leave out [{unit}]")
        return Column(key)
    try:
        return Column(key, unit, conversion(unit, key.kind))
    except UnitProblem as problem:
        if unit or "" in KINDS[key.kind].accepts:
            raise KeyProblem(f"{key.text} [{unit}]: {str(problem).replace(f'1 {unit}'.strip(), unit, 1)}") from None
        example = key.meta["example"].split(" ", 1)[-1]
        raise KeyProblem(f"{key.text} needs a unit, e.g. {key.text} [{example}]") from None
