"""A value of the sheet as people read it."""

from __future__ import annotations

import re

from purgecalc.units import show
from purgecalc.working import Given, Node

_US = re.compile(r"(ft|in|inch|psi.*|gal|ft3|cfm|scfm|degF|°F|lb|lbf|hp|mmHg)$")


def sentence(text: str) -> str:
    """The text with a capital to begin with, but for what is written so: pH."""
    return text if text[1:2].isupper() else text[:1].upper() + text[1:]


def text_of(node: Node, system: str = "si") -> str:
    """A value for people; an input as its author wrote it, unless it is to be shown in the other system."""
    if (
        isinstance(node, Given)
        and node.text
        and (system == "si" or _US.search(node.text) or node.kind in ("count", "ratio", "fraction"))
    ):
        return node.text
    if isinstance(node, Given) and node.state == "gauge":
        return show(node.value, "gauge pressure", system)
    return show(float(node.value), node.kind, system)
