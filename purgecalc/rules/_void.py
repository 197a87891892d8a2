"""Which broken rules leave figures without a meaning, and which rules judge such figures.

Duty, starts, air, energy and noise of an inverted contact are those of the contact as wired, and are judged.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from purgecalc.rules._outcomes import VOID

VOIDED: Mapping[str, tuple[str, ...]] = {
    # air flows at rest and none in a blast: there is no blast, no bump and no time in which the reading is right
    "contact-at-rest": (
        "blast-arrives",
        "blast-frost",
        "blast-usual",
        "bias-at-wipe",
        "delivery-sharp",
        "delivery-time",
        "excursion",
        "fouling-interval",
        "hold-lead",
        "hold-off",
        "hold-off-usual",
        "integrator-tracking",
        "interval-usual",
        "lines-apart",
        "live-share",
        "longest-hold",
        "purge-justified",
        "recovery",
        "slug",
        "substitute-value",
        "useful-time",
    ),
    # the line worked out is not the one that will be fitted
    "hose-reaches-head": (
        "blast-arrives",
        "choked-element",
        "delivery-sharp",
        "delivery-time",
        "face-pressure",
        "hose-length",
        "jet-gentle",
        "jet-strength",
        "noise-in-air",
        "recovery",
        "slug",
        "source-rating",
        "transition",
        "useful-time",
        "valve-share",
    ),
}
"""Rules by the one that voids them where it is broken, waived or not."""

Key = tuple[str, str]  # rule, line


def voided(grades: Mapping[Key, NDArray[np.int_]]) -> dict[Key, tuple[str, NDArray[np.int_]]]:
    """Grades of what a broken rule leaves without a meaning, with the rule that does; those of other lines stand."""
    out: dict[Key, tuple[str, NDArray[np.int_]]] = {}
    for (rule, line), broken in grades.items():
        if rule not in VOIDED or not np.any(broken > 0):
            continue
        for other in VOIDED[rule]:
            key = other, line
            if key in grades and key not in out:
                judged = (broken > 0) & (grades[key] >= 0)
                out[key] = rule, np.where(judged, VOID, grades[key])
    return out
