"""``purgecalc note``."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from purgecalc.cli.console import say, tell
from purgecalc.cli.output import Target
from purgecalc.errors import UsageError
from purgecalc.files import input_name, read_text
from purgecalc.reports.note.written import form_of, written
from purgecalc.scenario import load
from purgecalc.scenario.read import named_shortly
from purgecalc.studies.checked import Checked
from purgecalc.studies.commissioning import Commissioning, gather, outside_lines
from purgecalc.studies.readings import Readings, blank_form, read_form


def run_note(file: str, settings: list[str], output: str, readings: str, filled: str, card: bool, force: bool) -> None:
    """Write the note, the field card or the blank readings form."""
    if file == filled == "-":
        raise UsageError("standard input can be read once; name a file for the scenario or for --with")
    form = form_of(output, "-o ") if output else ""
    if readings and Path(readings).suffix.lower() != ".toml":
        raise UsageError(f"--readings {readings}: the form is a .toml file")
    if card and readings and not output:
        raise UsageError("--card with --readings FILE, the blank form: say where the card goes, -o card.pdf, or leave one out")
    if not output and not readings and (filled or card):
        form = ".md"
    elif not output and not readings:
        raise UsageError("say what to write: -o note.html, note.pdf or note.md, or --readings FILE for the blank form")
    inputs = [file, *([filled] if filled else [])]
    target = Target(output, force, inputs) if output else None
    sheet = Target(readings, force, inputs) if readings else None
    scenario = named_shortly(load(file, settings))
    commissioning = gather(Checked.of(scenario))
    if sheet:
        sheet.write(blank_form(scenario, commissioning.lines))
    if filled:
        commissioning = replace(commissioning, readings=_filled(filled, commissioning))
        _tell_readings(commissioning)
    if form:
        content = written(commissioning, form, card=card)
        if target:
            target.write(content)
        else:
            say(str(content))


def _filled(filled: str, c: Commissioning) -> Readings:
    readings = read_form(read_text(filled), input_name(filled), c.scenario, c.lines)
    if readings.other_scenario:
        tell(f"{filled} was made for other inputs than those of this scenario; the note says so")
    return readings


def _tell_readings(c: Commissioning) -> None:
    outside, taken = outside_lines(c), len(c.readings.values) if c.readings else 0
    tell(f"{taken} of {len(c.lines)} readings taken, {len(outside)} outside what passes")
    for line in outside:
        tell(f"  outside: {line.id}")
