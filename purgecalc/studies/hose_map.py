"""Verdicts over length and bore about one line: the map of the commissioning note."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from purgecalc.catalogue.hoses import STOCK_BORES
from purgecalc.rules import Level
from purgecalc.studies.checked import Checked
from purgecalc.studies.grades import varied
from purgecalc.studies.hose_table import HOSE_GROUPS, bore_given
from purgecalc.studies.resolved import judged
from purgecalc.studies.search import apart
from purgecalc.units import parse
from purgecalc.working import Given, Origin

MAP_LENGTHS = 40
NOT_THE_HOSE = ("hose-length",)


@dataclass(frozen=True)
class HoseMap:
    """Verdict words by bore (rows, m) and length (columns, m), blasts followed as in a table, and the present hose."""

    lengths: NDArray[np.float64]
    bores: NDArray[np.float64]
    verdict: NDArray[np.str_]
    fitted: tuple[float, float]
    apart: tuple[str, ...] = ()
    """Rules that fail whatever the hose, and are left out of it."""


def hose_map(checked: Checked, line: str) -> HoseMap:
    """Judge lengths up to four times the present one (30 m at least) for every stock bore.

    The usual 7.6 m does not count, since it would hide what the bore allows; nor does what no hose clears.
    """
    subject = checked.subject(line)
    inputs = subject.inputs
    length, given = float(inputs["hose.length"].value), bore_given(inputs)
    lengths = np.linspace(1.0, max(30.0, 4 * length), MAP_LENGTHS)
    bores = np.unique([*(parse(text, "length").value for text in STOCK_BORES), float(given.value)])
    waive = {**subject.waive, **dict.fromkeys(NOT_THE_HOSE, "left out of the map")}
    bore = Given(given.id, given.title, given.kind, bores[:, None], Origin("override", "varied"))
    lines = varied(subject.lines, {"hose.bore": bore, "hose.length": lengths[None, :]}, line)
    found = judged(lines, subject.limits, waive, silence=False, least=Level.WATCH)
    aside = apart(found.first, HOSE_GROUPS, ())
    verdict = found.each(lambda graded: graded.without(aside).verdict())
    return HoseMap(lengths, bores, verdict, (length, float(given.value)), tuple(dict.fromkeys(rule for rule, _ in aside)))
