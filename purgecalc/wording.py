"""What a person wrote, as our messages repeat it: quoted, shortened, and with what was perhaps meant."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

LONGEST_QUOTE = 60
"""Characters of a value that a message repeats."""
LONGEST_GUESS = 100
"""Characters of a word for which a similar one is looked for; the effort grows with the square of the length."""
_LONG_WHOLE = 10**LONGEST_QUOTE


def shortened(text: str, most: int) -> str:
    """``text``, its middle left out where it is longer than ``most`` characters: both ends say something."""
    if len(text) <= most:
        return text
    tail = (most - 5) // 2
    return f"{text[: most - 5 - tail]} ... {text[-tail:]}"


def quoted(value: object) -> str:
    """A value as a scenario's author would have written it, shortened if it is long."""
    if isinstance(value, str):
        return '"' + (value if len(value) <= LONGEST_QUOTE else value[: LONGEST_QUOTE - 3] + "...") + '"'
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, int) and abs(value) >= _LONG_WHOLE:
        return f"a whole number of more than {LONGEST_QUOTE} digits"
    text = repr(value)
    return text if len(text) <= LONGEST_QUOTE else text[: LONGEST_QUOTE - 3] + "..."


def nearest(word: str, known: Iterable[str], most: int = 1, cutoff: float = 0.6) -> list[str]:
    """Up to ``most`` of the known words that ``word`` may have been meant for, the likeliest first."""
    if len(word) > LONGEST_GUESS:
        return []
    import difflib  # only here: nobody who makes no mistake needs it

    return difflib.get_close_matches(word, list(known), n=most, cutoff=cutoff)


def sentence(text: str) -> str:
    """The text with a capital to begin with, but for what is written so: pH."""
    return text if text[1:2].isupper() else text[:1].upper() + text[1:]
