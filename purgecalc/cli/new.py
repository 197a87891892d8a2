"""``purgecalc new``."""

from __future__ import annotations

from purgecalc.cli.console import say, tell, write_file
from purgecalc.scenario.reference import reference_text


def run_new(file: str, force: bool) -> None:
    """Write the commented starter scenario; an existing file is replaced only by force."""
    text = reference_text()
    if not file or file == "-":
        say(text.rstrip())
        return
    write_file(file, text, force)
    tell(f"edit it, then: purgecalc check {file}")
