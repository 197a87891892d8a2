"""Which corner of a design decides: the worst outcome along the axis of depths, element by element for arrays."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import reduce
from typing import Any

import numpy as np
from numpy.typing import NDArray

from purgecalc.design import Design
from purgecalc.rules._outcomes import Fact, Level, Margin, Missing, Outcome, grade
from purgecalc.working import Node

Found = tuple[Design, Outcome | None]


def worst(found: Sequence[Found], base: Level) -> Found:
    """The design that decides, and its outcome; where two are as bad, the earlier.

    Of arrays the first design, with an outcome that is each time that of the corner that decides.
    """
    if all(np.ndim(grade(outcome, base)) == 0 for _, outcome in found):
        return reduce(lambda a, b: b if bool(_worse(a[1], b[1], base)) else a, found)
    return found[0][0], reduce(lambda a, b: _joined(a, b, base), (outcome for _, outcome in found))


def _worse(a: Outcome | None, b: Outcome | None, base: Level) -> NDArray[np.bool_]:
    """Where the second is worse: of a higher level, or of the same and nearer to its limit, or further beyond it."""
    one, other = grade(a, base), grade(b, base)
    nearer: Any = False
    if isinstance(a, Margin) and isinstance(b, Margin):
        p, q = a.slack(), b.slack()
        nearer = q < p - 1e-9 * np.abs(p)
    return np.asarray((other > one) | ((other == one) & nearer))


def _joined(a: Outcome | None, b: Outcome | None, base: Level) -> Outcome | None:
    """Each time the worse of two."""
    if a is None or b is None:
        return a or b
    if isinstance(a, Fact) or isinstance(b, Fact):
        assert isinstance(a, Fact)
        assert isinstance(b, Fact)
        levels = [np.asarray(f.level, int) for f in (a, b) if f.level is not None]
        level = reduce(np.maximum, levels) if levels else None
        return replace(a, holds=np.asarray(a.holds, bool) & np.asarray(b.holds, bool), level=level)
    if isinstance(a, Missing) or isinstance(b, Missing):
        assert isinstance(a, Missing)
        assert isinstance(b, Missing)
        return replace(a, hazard=np.asarray(a.hazard) | np.asarray(b.hazard))
    where = _worse(a, b, base)

    def picked(one: Any, other: Any) -> Any:
        one, other = (bound.value if isinstance(bound, Node) else bound for bound in (one, other))
        return None if one is None else np.where(where, other, one)

    # ``level`` holds what the circumstances of each have made of it, whether the rule's own or a second limit's
    return Margin(
        replace(a.quantity, value=picked(a.quantity.value, b.quantity.value)),
        picked(a.at_least, b.at_least),
        picked(a.at_most, b.at_most),
        None,
        np.where(where, b.level(base), a.level(base)),
        picked(a.applies, b.applies),
        a.missing,
    )
