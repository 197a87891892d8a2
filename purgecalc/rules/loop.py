"""Rules on the control loop that acts on the reading; not applicable where the probe only monitors."""

from __future__ import annotations

import numpy as np

from purgecalc.design import Design
from purgecalc.references import COMMON_PRACTICE, DERIVED, OUR_JUDGEMENT
from purgecalc.rules._base import rule
from purgecalc.rules._outcomes import Fact, Level, Margin


@rule(
    "excursion",
    "The oxygen does not move far while the reading is held",
    noun="oxygen excursion",
    level=Level.FIX,
    cite=DERIVED.at("oxygen balance under a load step; limit our judgement, and at most 25 % of the set point"),
    limit="0.5 mg/L",
    kind="concentration",
)
def excursion(d: Design, limit: float) -> Margin | None:
    """Airflow is held for {reading.hold_time}, and the load is not.

    Shorten blast or hold-off, or fit a faster sensor. Go as far as their own rules allow. Or add feed-forward from the load, or
    control by a second probe that is purged at another time.
    """
    if "loop.excursion" not in d:
        return None
    return Margin(d["loop.excursion"], at_most=np.minimum(limit, 0.25 * d["probe.set_point"].value))


@rule(
    "integrator-tracking",
    "The controller stands still while the reading is held",
    noun="controller tracking",
    level=Level.FIX,
    also=(Level.NOTE, Level.WATCH),
    cite=COMMON_PRACTICE.at(
        "output tracking while the measurement is not valid; NOTE where it moves less than a fifth of the limit, our judgement"
    ),
    limit="5 %",
    kind="fraction",
)
def integrator_tracking(d: Design, limit: float) -> Fact | None:
    """A controller left live goes on integrating the error of a value that cannot answer.

    It may move the airflow by {loop.integrator_ramp} in one hold. Let the controller track its own output while the
    status is held, and take over without a step. Tracking does not replace the hold-off: released too early, the loop still
    follows the false reading.
    """
    if "loop.uptake" not in d:
        return None
    if d.inputs.choice("loop.tracking") == "yes":
        return Fact("output tracked", "output tracked while held", True)
    ways = [np.abs(d.value(id)) for id in ("loop.integrator_ramp", "loop.live_furthest") if id in d]
    moved = np.max(np.broadcast_arrays(*ways), axis=0)
    level = np.where(moved <= limit / 5, Level.NOTE, np.where(moved <= limit, Level.WATCH, Level.FIX))
    return Fact("controller left live", "output tracked while held", False, level)


@rule(
    "substitute-value",
    "A substitute value does not step the blowers",
    noun="substitute value",
    level=Level.FIX,
    cite=OUR_JUDGEMENT.at("5 % of the airflow"),
    limit="5 %",
    kind="fraction",
)
def substitute_value(d: Design, limit: float) -> Margin | None:
    """The controller takes the substituted value for the truth, at once and again at release.

    Hold the last value, or let the controller track its output. Or substitute the set point.
    """
    return Margin(d["loop.substitute_step"], at_least=-limit, at_most=limit) if "loop.substitute_step" in d else None
