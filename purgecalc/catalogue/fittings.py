"""Fittings by plain names: Darby's 3-K coefficients, taken from the fluids library's table.

The names are ours; ``fluids.fittings.Darby3K`` holds the figures. A small hose loses more in a bend, relative to its
velocity head, than a large pipe does, and the 3-K form follows that down to a few millimetres better than a constant.
"""

from __future__ import annotations

from collections.abc import Mapping

from purgecalc.units import UnitProblem
from purgecalc.wording import nearest, quoted

# our name -> name in fluids' table of 3-K coefficients
FITTING_NAMES = {
    "elbow_90": "Elbow, 90°, threaded, standard, (r/D = 1)",
    "elbow_90_long": "Elbow, 90°, threaded, long radius, (r/D = 1.5)",
    "bend_90": "Elbow, 90°, (r/D = 4)",
    "elbow_45": "Elbow, 45°, threaded standard, (r/D = 1)",
    "tee_run": "Tee, Run-through, threaded, (r/D = 1)",
    "tee_branch": "Tee, Through-branch, (as elbow), threaded, (r/D = 1)",
    "ball_valve": "Valve, Ball valve, standard, β = 1",
    "gate_valve": "Valve, Gate valve, standard, β = 1",
    "globe_valve": "Valve, Globe valve, standard, β = 1",
    "diaphragm_valve": "Valve, Diaphragm, dam type",
    "swing_check": "Valve, Swing check",
    "lift_check": "Valve, Lift check",
}
NOMINAL_RE = 1e4
"""Reynolds number the laminar part of the 3-K form is taken at; a purge line runs at 3e3 to 3e4."""


def coefficients(name: str) -> tuple[float, float, float]:
    """K_1, K_inf and K_d (inch**0.3) of a fitting."""
    from fluids.fittings import Darby

    k_1, k_inf, k_d = Darby[FITTING_NAMES[name]]
    return float(k_1), float(k_inf), float(k_d)


def check_fittings(fittings: Mapping[str, int]) -> None:
    """Refuse unknown names and impossible counts with ``UnitProblem``."""
    for name, count in fittings.items():
        if name not in FITTING_NAMES:
            near = nearest(name, FITTING_NAMES)
            hint = f"did you mean {near[0]}? " if near else ""
            raise UnitProblem(f"{quoted(name)} is not a fitting of the catalogue; {hint}known: {', '.join(FITTING_NAMES)}")
        if not 0 <= count <= 1000:
            raise UnitProblem(f"{name} = {quoted(count)} is out of range; allowed: 0 to 1000")
