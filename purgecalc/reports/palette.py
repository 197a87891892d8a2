"""What the levels are called and painted with.

Words say everything that paint does. Blue, ochre and brown, no red and green; STOP takes the terminal's own colours, turned over.
"""

from __future__ import annotations

HEADLINES = {
    "STOP": "STOP: do not commission",
    "FIX": "FIX before use",
    "WATCH": "PASS by calculation, with care",
    "PASS": "PASS by calculation",
}
LEVEL_STYLES = {
    "STOP": "bold reverse",
    "FIX": "bold color(166)",
    "WATCH": "bold color(101)",
    "NOTE": "",
    "PASS": "bold color(32)",
}
"""Colours of the 256 of a terminal that are read on dark and on light grounds; only marks and verdicts are painted."""
