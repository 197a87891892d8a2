"""``purgecalc new``."""

from __future__ import annotations

from importlib.resources import files

from purgecalc.cli.console import say, tell, write_file


def run_new(file: str) -> None:
    """Write the commented starter scenario; an existing file is never replaced."""
    text = files("purgecalc.scenario").joinpath("starter.toml").read_text(encoding="utf-8")
    if not file or file == "-":
        say(text.rstrip())
        return
    write_file(file, text, force=False)
    tell(f"edit it, then: purgecalc check {file}")
