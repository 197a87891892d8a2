"""Inputs nobody gave, numbers and words, and inputs set on the command line: each once, or line by line where lines differ."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence

from purgecalc.design import Design
from purgecalc.inputs import SHARED_TABLES
from purgecalc.shown import text_of
from purgecalc.working import Origin

_BEARS: Mapping[str, Callable[[Design], bool]] = {
    "source.dead_head_set_by": lambda d: "source.dead_head" in d.inputs and d.inputs["source.dead_head"].state == "gauge",
    "source.compressor_starts": lambda d: d.has_receiver,
    "head.check_valve_at": lambda d: "head.check_valve" in d.inputs,
    "probe.sensor": lambda d: "reading.bump" in d,
}
"""When a word has any bearing on the figures; one that is not named here always has."""


def listed(designs: Sequence[Design], how: str, worded: Callable[[str], str] = "({})".format) -> list[str]:
    """Inputs that were assumed ("default"), or set on the command line ("override"); ``worded`` says what a value rests on."""
    found: dict[str, list[tuple[str, str]]] = {}
    for d in designs:
        for id, value, origin in _inputs(d, how):
            where = origin.where if how == "default" else str(origin)
            found.setdefault(id, []).append((d.inputs.line, f"{id} = {value} {worded(where)}" if where else f"{id} = {value}"))
    out = []
    for id, said in found.items():
        alike = len({text for _, text in said}) == 1
        if alike and (len(said) == len(designs) or id.split(".")[0] in SHARED_TABLES):
            out.append(said[0][1])
        else:
            out += [f"{line}: {text}" for line, text in said]
    return out


def _inputs(d: Design, how: str) -> Iterator[tuple[str, str, Origin]]:
    for g in d.sheet.givens():
        if g.origin.how == how and (how == "default" or g.id in d.inputs):
            yield g.id, text_of(g), g.origin
    for id, origin in d.inputs.origins.items():
        if origin.how == how and _BEARS.get(id, _always)(d):
            yield id, d.inputs.choice(id), origin


def _always(d: Design) -> bool:
    return True
