"""``purgecalc note``."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from purgecalc.cli.console import say, tell
from purgecalc.cli.output import Target
from purgecalc.errors import ScenarioError, UsageError
from purgecalc.files import input_name, read_text
from purgecalc.reports.blocks import Document
from purgecalc.scenario import ScenarioInputs, load, loads
from purgecalc.scenario.read import read_text as scenario_text
from purgecalc.studies.checked import Checked
from purgecalc.studies.commissioning import Commissioning, gather, outside_lines
from purgecalc.studies.readings import Readings, blank_form, read_form

NOTE_FORMS = (".html", ".pdf", ".md")


def run_note(file: str, settings: list[str], output: str, readings: str, filled: str, card: bool, force: bool) -> None:
    """Write the note, the field card or the blank readings form."""
    form = Path(output).suffix.lower() if output else ""
    if file == filled == "-":
        raise UsageError("standard input can be read once; name a file for the scenario or for --with")
    if output and form not in NOTE_FORMS:
        raise UsageError(f"-o {output}: note writes {', '.join(NOTE_FORMS)}")
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
    scenario = _named_shortly(file, settings)
    commissioning = gather(Checked.of(scenario))
    if sheet:
        sheet.write(blank_form(scenario, commissioning.lines))
    if filled:
        commissioning = replace(commissioning, readings=_filled(filled, commissioning))
        _tell_readings(commissioning)
    if form:
        _write(_document(commissioning, card, form), form, target)


def _named_shortly(file: str, settings: list[str]) -> ScenarioInputs:
    """The scenario, its places named by file name alone: the note is read elsewhere than it is made."""
    name = Path(file).name
    if file in ("", "-", name):
        return load(file, settings)
    try:
        return loads(scenario_text(file)[0], name, settings)
    except ScenarioError:
        return load(file, settings)  # says again what is wrong, and where in full


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


def _document(c: Commissioning, card: bool, form: str) -> Document:
    if card:
        from purgecalc.reports.note.card import field_card

        return field_card(c)
    from purgecalc.reports.note import commissioning_note
    from purgecalc.reports.note.pictures import pictures

    return commissioning_note(c, tuple(pictures(c, drawn=form != ".md")))


def _write(document: Document, form: str, target: Target | None) -> None:
    content: str | bytes
    if form == ".pdf":
        from purgecalc.reports.as_pdf import pdf

        content = pdf(document)
    elif form == ".html":
        from purgecalc.reports.as_html import html

        content = html(document)
    else:
        from purgecalc.reports.as_markdown import markdown

        content = markdown(document)
    if target:
        target.write(content)
    else:
        say(str(content))
