"""The working names everything: what moves a figure stands in its tree, whether a number or a word."""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pytest

from purgecalc.design import design_all
from purgecalc.errors import PurgecalcError
from purgecalc.inputs import SHARED_TABLES, Inputs
from purgecalc.scenario import load
from purgecalc.working import Sheet, rests_on
from tests.random_sites import SITES, random_site, words_allowed

MOVE = 0.03
FELT = 2e-3
"""Relative change of a figure that counts as moved: above the scatter of an integrated blast."""
ALLOWED = words_allowed()
SETS_THE_KIND = ("source.kind", "probe.kind")
"""Words that say which other inputs there are: another one is another scenario."""


def unnamed_numbers(line: Inputs) -> Iterator[tuple[str, str]]:
    """Steps, each with an input that moves it and does not stand in its tree; one array call moves all inputs in turn."""
    ids = [i for i, g in line.values.items() if np.ndim(g.value) == 0 and g.value and not i.startswith("uncertainty")]
    # shares move down: a power factor of 0.99 has no room above
    sizes = np.array([-MOVE if line.values[i].kind in ("fraction", "ratio") else MOVE for i in ids])
    factor = 1 + np.diag([*sizes, 0.0])[:-1]
    moved = design_all([line.changed({i: line.values[i].value * factor[k] for k, i in enumerate(ids)})])[0].sheet
    for step in design_all([line])[0].sheet.steps():
        if step.id not in moved:
            continue
        values = np.broadcast_to(np.asarray(moved[step.id].value, float), (len(ids) + 1,))
        with np.errstate(invalid="ignore"):  # a life without end stays without end
            changed = np.abs(values[:-1] - values[-1]) > FELT * max(abs(float(values[-1])), 1e-12)
        named = rests_on(step)
        yield from ((step.id, ids[k]) for k in np.flatnonzero(changed) if ids[k] not in named)


def _moved(before: Sheet, after: Sheet) -> Iterator[str]:
    for node in before:
        if node.id in after:
            was, now = float(np.max(node.value)), float(np.max(after[node.id].value))
            if abs(was - now) > FELT * max(abs(was), 1e-12):
                yield node.id


def unnamed_words(line: Inputs) -> Iterator[tuple[str, str]]:
    """Lines of the sheet, each with a word that moves it and does not stand in its tree."""
    before = design_all([line])[0].sheet
    for id, word in line.choices.items():
        for other in ALLOWED.get(id, ()):
            if other == word or id in SETS_THE_KIND:
                continue
            try:
                after = design_all([replace(line, choices={**line.choices, id: other})])[0].sheet
            except (KeyError, PurgecalcError):  # that word needs inputs this scenario does not state, or nothing can flow
                continue
            yield from ((step, id) for step in _moved(before, after) if id not in rests_on(before[step]))


@pytest.mark.parametrize("site", SITES, ids=lambda p: p.stem)
def test_every_figure_names_the_numbers_that_move_it(site) -> None:
    lines = load(str(site)).lines
    assert [found for line in lines for found in unnamed_numbers(line)] == []


@pytest.mark.parametrize("site", SITES, ids=lambda p: p.stem)
def test_every_figure_names_the_words_that_decide_it(site) -> None:
    lines = load(str(site)).lines
    assert [found for line in lines for found in unnamed_words(line)] == []


def test_words_are_told_apart_from_numbers() -> None:
    assert {"source.dead_head_set_by", "head.check_valve_at", "probe.sensor"} <= set(ALLOWED)
    assert SHARED_TABLES[0] not in ALLOWED


@pytest.mark.campaign
@pytest.mark.parametrize("seed", range(200))
def test_every_figure_of_a_random_scenario_names_what_moves_it(seed: int) -> None:
    for line in random_site(seed).lines:
        try:
            design_all([line])
        except PurgecalcError:  # no air can leave the head: nothing is worked out
            return
        assert list(unnamed_numbers(line)) == []
        if seed % 5 == 0:  # every word means a blast of its own
            assert list(unnamed_words(line)) == []
