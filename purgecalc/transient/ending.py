"""The ways a blast can end, by name."""

from __future__ import annotations

from enum import IntEnum


class Outcome(IntEnum):
    """How the blast ended."""

    OK = 0
    SOURCE_EXHAUSTED = 1
    """Receiver and hose fell to the head's closing pressure before the valve closed; ``outcome_time`` says when."""
    NO_FLOW = 2
    """The hose end never rose above the head's closing pressure: the source is too weak for the depth."""
    WATER_REMAINS = 3
    """The water column had not left the hose when the valve closed."""
    NOT_CONVERGED = 4
    """Step limit reached at ``outcome_time``; every other number of that design is nan."""
