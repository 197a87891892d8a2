"""What the same figures gave before, within a process of the tests: blasts integrated once, cycles simulated once.

Both are functions of their arguments alone. Most tests change something that neither depends on, the price of power or a contact.
What is asked for by many calculations side by side, or for many designs at once, is worked out as ever.
"""

from functools import lru_cache

import purgecalc.cycle
from purgecalc.transient import shared
from purgecalc.transient.blast import Blast
from purgecalc.transient.outcome import Result
from purgecalc.transient.solver import simulate

_SOLVED = shared.Solved()


def remember() -> None:
    """From here on, in this process."""
    shared._SIMULATE.set(_once)
    purgecalc.cycle.simulate = lru_cache(maxsize=512)(purgecalc.cycle.simulate)


def _once(blast: Blast, branches: int, tolerance: float) -> Result:
    if blast.shape():
        return simulate(blast, branches, tolerance)
    return _SOLVED.results([(blast, branches, tolerance)])[0]
