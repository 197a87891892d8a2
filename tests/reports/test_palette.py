"""The palette in numbers: read on dark and on light grounds, and never the only sign."""

import re

import pytest

from purgecalc.reports.page import STYLE_SHEET
from purgecalc.reports.palette import HEADLINES, LEVEL_STYLES
from purgecalc.rules import Level

GROUNDS = ("#000000", "#1e1e1e", "#282c34", "#002b36", "#ffffff", "#fdf6e3", "#eeeeee")
STEPS = (0, 95, 135, 175, 215, 255)
"""Of red, green and blue in the colour cube of a terminal of 256 colours."""
COLOURS = {style: int(found[1]) for style in LEVEL_STYLES.values() if (found := re.search(r"color\((\d+)\)", style))}


def of_terminal(number: int) -> str:
    """Colour 16 to 231 of a terminal, as hexadecimal digits."""
    cube = number - 16
    assert 0 <= cube < 216
    return "#" + "".join(f"{STEPS[cube // part % 6]:02x}" for part in (36, 6, 1))


def luminance(colour: str) -> float:
    """Relative luminance as WCAG 2 defines it."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(a: str, b: str) -> float:
    low, high = sorted(map(luminance, (a, b)))
    return (high + 0.05) / (low + 0.05)


def test_the_yardstick() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.01)
    assert (of_terminal(16), of_terminal(231), of_terminal(166)) == ("#000000", "#ffffff", "#d75f00")


@pytest.mark.parametrize("ground", GROUNDS)
def test_every_colour_is_read_on_every_ground(ground: str) -> None:
    assert len(COLOURS) == 3
    for number in COLOURS.values():
        assert contrast(of_terminal(number), ground) >= 3.0, (number, ground)


def test_colour_is_never_the_only_sign() -> None:
    for level in ("STOP", "FIX", "WATCH", "PASS"):
        assert HEADLINES[level].split()[0].isupper()
        assert "bold" in LEVEL_STYLES[level].split()
    assert LEVEL_STYLES["STOP"] == "bold reverse"
    assert {level.name for level in Level} <= set(LEVEL_STYLES)
    assert len({style for style in LEVEL_STYLES.values() if style}) == 4


def test_a_page_of_html_has_the_same_colours() -> None:
    for style in LEVEL_STYLES.values():
        assert set(style.split()) <= set(STYLE_SHEET)
    for number in COLOURS.values():
        assert STYLE_SHEET[f"color({number})"] == f"color: {of_terminal(number)}"
