"""Facts that two rules could tell: where both fail for one reason, the rule that names the cause tells it alone."""

from __future__ import annotations

from collections.abc import Collection, Mapping

import numpy as np
from numpy.typing import NDArray

from purgecalc.rules._outcomes import ABSENT, Margin, Outcome, number_of

TOLD_BY: Mapping[str, str] = {"delivery-time": "slug"}
"""Rules that are silent, each by the one that tells the same fact; both judge figures of one unit, of one line."""

Key = tuple[str, str]  # rule, line


def told_once(
    grades: Mapping[Key, NDArray[np.int_]], outcomes: Mapping[Key, Outcome | None], waived: Collection[str]
) -> dict[Key, NDArray[np.int_]]:
    """Grades of rules whose fact another that fails tells: what the other judges taken off, they would pass.

    A finding that is waived tells nothing.
    """
    out = {}
    for (rule, line), grade in grades.items():
        teller = TOLD_BY.get(rule, ""), line
        mine, other = outcomes.get((rule, line)), outcomes.get(teller)
        if not isinstance(mine, Margin) or not isinstance(other, Margin) or mine.at_most is None or teller[0] in waived:
            continue
        with np.errstate(invalid="ignore"):
            rest = np.asarray(mine.quantity.value, float) - np.asarray(other.quantity.value, float)
            same = (grade > 0) & (grades[teller] > 0) & (rest <= number_of(mine.at_most))
        out[rule, line] = np.where(same, ABSENT, grade)
    return out
