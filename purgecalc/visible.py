"""Text made safe to look at: what steers a terminal, turns the direction of a line or cannot be seen is written out."""

from __future__ import annotations

_ENDS = str.maketrans("", "", "\n\t")
JOINERS = "\u200c\u200d"
"""Marks that hold letters together or apart: Persian and Indian words and some pictures need them, and they do nothing else."""


def visible(text: str, kept: str = "\n\t") -> str:
    r"""``text`` with every sign that could act instead of being read as its code: ``\x1b``, ``\u202e``; those ``kept`` stay."""
    if text.isascii() and (text.isprintable() or (kept and text.translate(_ENDS).isprintable())):
        return text
    return "".join(s if _is_plain(s) or s in kept else s.encode("unicode_escape").decode() for s in text)


def _is_plain(sign: str) -> bool:
    if sign.isprintable() or sign in JOINERS:
        return True
    import unicodedata  # only for what is out of the ordinary

    return unicodedata.category(sign) == "Zs"


def stray(text: str, allowed: str = "") -> list[str]:
    """Control characters and ends of line in ``text`` but those allowed, by their numbers, each once."""
    import unicodedata

    found = {sign for sign in text if unicodedata.category(sign) in ("Cc", "Cs", "Zl", "Zp") and sign not in allowed}
    return [f"U+{ord(sign):04X}" for sign in sorted(found)]


def in_json(text: str) -> str:
    """JSON of plain ASCII with the one control character it may hold written as a code: the data stay what they are."""
    return text.replace("\x7f", "\\u007f")
