"""What is known of how much fouling a blast takes off, in words."""

from __future__ import annotations

from purgecalc.design import Design
from purgecalc.shown import text_of

REMOVAL = "fouling.removal"
NOT_MEASURED = "Nobody has measured how well a blast removes fouling."


def about_removal(d: Design) -> str:
    """That what a blast takes off is a guess; nothing where no figure rests on it."""
    removal = d.given(REMOVAL)
    if removal is None:
        return ""
    return f"{NOT_MEASURED} Interval and bias of {d.inputs.line} rest on {text_of(removal)} a blast ({removal.origin})."
