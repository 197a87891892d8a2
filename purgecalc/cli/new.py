"""``purgecalc new``."""

from __future__ import annotations

from purgecalc.cli.console import say, tell
from purgecalc.cli.output import Target
from purgecalc.scenario.reference import reference_text


def run_new(file: str, force: bool) -> None:
    """Write the commented starter scenario; an existing file is replaced only by force."""
    text = reference_text()
    if not file or file == "-":
        say(text.rstrip())
        return
    Target(file, force).write(text)
    tell(f"edit it, then: purgecalc check {file}")
