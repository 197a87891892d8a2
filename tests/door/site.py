"""Results that the tests of the door look at; each is worked out once in a process."""

from functools import cache

from purgecalc import Check, check
from tests.lines import SCENARIOS


@cache
def site(name: str) -> Check:
    """A worked site as the door has it."""
    return check(SCENARIOS / f"{name}.toml")


@cache
def two_lines() -> Check:
    """A source with two lines, the second of them renamed and longer."""
    text = (SCENARIOS / "fernwhistle.toml").read_text(encoding="utf-8").replace("[line]", "[[line]]")
    line = text[text.index("[[line]]") :].replace("lane 2 oxygen", "lane 3 oxygen")
    return check(f"{text}\n{line}", set={"line.2.hose.length": "18 m"})
