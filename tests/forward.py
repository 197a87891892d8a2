"""Flow from the pressures at both ends, as the sources print it: what the package inverts."""

from __future__ import annotations

from typing import Any

import numpy as np

from purgecalc.formulas.air import R_AIR, RHO_ANR
from purgecalc.formulas.head import PSI_CHOKED
from purgecalc.formulas.valve import T_ANR


def valve_flow(C: Any, b: Any, p_1: Any, p_2: Any, T: Any) -> Any:
    """ISO 6358: choked below the critical ratio ``b``, a quarter of an ellipse above it."""
    past = np.maximum(p_2 / p_1 - b, 0.0) / (1 - b)
    return C * p_1 * RHO_ANR.value * np.sqrt(T_ANR.value / T) * np.sqrt(1 - past**2)


def hose_flow(A: Any, p_in: Any, p_out: Any, T: Any, N: Any) -> Any:
    """Isothermal flow with friction, acceleration included."""
    return A * np.sqrt((p_in**2 - p_out**2) / (R_AIR.value * T * (N + 2 * np.log(p_in / p_out))))


def conductance_of_area(S: Any) -> Any:
    """Sonic conductance of an ideal nozzle of effective area ``S``."""
    return PSI_CHOKED.value * S / (RHO_ANR.value * np.sqrt(R_AIR.value * T_ANR.value))
