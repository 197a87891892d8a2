"""The typer application: each command declared here, its work in a file of its own, imported when it runs."""

from __future__ import annotations

import sys
from collections.abc import Callable
from importlib import import_module
from typing import Annotated

import typer
from typer.models import CommandInfo

from purgecalc.cli.boundary import run_inside
from purgecalc.cli.options import (
    Base,
    BlastMethod,
    FailOn,
    Follow,
    Force,
    Json,
    LineName,
    Of,
    Output,
    Report,
    ScenarioFile,
    Settings,
    Units,
    UnitSystem,
)

app = typer.Typer(
    name="purgecalc",
    help="Design calculator for compressed-air purge cleaning of submerged water-quality probes.\n\n"
    "Begin with: purgecalc new site.toml --ask, then purgecalc check site.toml",
    no_args_is_help=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
    epilog="Exit codes: 0 fine; 1 a fault of purgecalc; 2 wrong usage or an output that cannot be written; "
    "3 scenario refused; 4 no such flow exists; 5 findings at or above --fail-on, or verify does not agree; 130 interrupted.",
)


_work: list[Callable[[], None]] = []


def _do(module: str, function: str, *args: object) -> None:
    """Note what to run. It runs once typer has finished with the words of the call, inside our own error boundary."""
    _work.append(lambda: getattr(import_module(f"purgecalc.cli.{module}"), function)(*args))


def _version(value: bool) -> None:
    if value:
        from purgecalc import __version__

        sys.stdout.write(f"purgecalc {__version__}\n")
        raise typer.Exit


@app.callback()
def _main(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Print the version and stop.")
    ] = False,
) -> None:
    pass


@app.command()
def check(
    scenario: ScenarioFile,
    settings: Settings = None,
    units: Units = UnitSystem.si,
    fail_on: Annotated[
        FailOn, typer.Option("--fail-on", help="End with code 5 at findings of this level or above.")
    ] = FailOn.FIX,
    detail: Annotated[bool, typer.Option("--detail", help="Show rules that passed, with their margins.")] = False,
    as_json: Json = False,
    output: Output = "",
    force: Force = False,
) -> None:
    """Judge a scenario: will the line work, why, and what to change."""
    _do("check", "run_check", scenario, settings or [], units.value, fail_on.value, detail, as_json, output, force)


@app.command()
def compare(
    a: Annotated[str, typer.Argument(metavar="A", help="Scenario file, or - for standard input.")],
    b: Annotated[str, typer.Argument(metavar="B", help="The scenario to compare it with.")],
    settings: Settings = None,
    units: Units = UnitSystem.si,
    as_json: Json = False,
) -> None:
    """Compare two scenarios: inputs, figures, findings come and gone."""
    _do("compare", "run_compare", a, b, settings or [], units.value, as_json)


@app.command()
def explain(
    scenario: ScenarioFile,
    quantity: Annotated[str, typer.Argument(help="Id of a quantity, e.g. hose.pressure_drop; without it all are listed.")] = "",
    everything: Annotated[bool, typer.Option("--all", help="Also work everything the quantity rests on.")] = False,
    line: Annotated[str, typer.Option("--line", help="Name of the line; the first unless given.")] = "",
    at: Annotated[
        str, typer.Option("--at", help="Depth it is worked at: normal, shallowest or deepest.", show_default=False)
    ] = "",
    settings: Settings = None,
) -> None:
    """Work any number by hand: equation, numbers put in, source."""
    _do("explain", "run_explain", scenario, quantity, everything, line, settings or [], at)


@app.command()
def trace(
    scenario: ScenarioFile,
    settings: Settings = None,
    line: Annotated[str, typer.Option("--line", help="Name of the line; the first unless given.")] = "",
    output: Annotated[
        str,
        typer.Option(
            "-o", "--output", metavar="FILE", help="Write .csv, .svg or .png instead of the screen.", show_default=False
        ),
    ] = "",
    force: Force = False,
) -> None:
    """Follow a blast in time: pressures, flows, water in the hose."""
    _do("trace", "run_trace", scenario, settings or [], line, output, force)


@app.command()
def sweep(
    scenario: ScenarioFile,
    vary: Annotated[
        list[str],
        typer.Option(
            "--vary",
            metavar="KEY=VALUES",
            help="Figure to vary, e.g. line.hose.length=3:60:40[m] (from, to, how many) or line.hose.bore=4,6,8[mm]. "
            "One to three.",
        ),
    ],
    of: Of = None,
    line: LineName = "",
    settings: Settings = None,
    blast: Follow = BlastMethod.integrated,
    output: Annotated[
        str, typer.Option("-o", "--output", metavar="FILE", help="Write .csv, .html, .png or .svg as well.", show_default=False)
    ] = "",
    force: Force = False,
) -> None:
    """Vary one to three figures: which designs work, and where the edge lies."""
    _do("sweep", "run_sweep", scenario, vary, of or [], line, settings or [], blast is BlastMethod.integrated, output, force)


@app.command()
def batch(
    table: Annotated[
        str, typer.Argument(metavar="TABLE", help="CSV with scenario keys and units as heads, or - for standard input.")
    ],
    output: Annotated[str, typer.Option("-o", "--output", metavar="OUT", help="CSV to write, or - for the screen.")],
    base: Base = "",
    of: Of = None,
    line: LineName = "",
    settings: Settings = None,
    blast: Follow = BlastMethod.integrated,
    fail_on: Annotated[
        FailOn, typer.Option("--fail-on", help="End with code 5 if a row has findings of this level or above.")
    ] = FailOn.never,
    raw: Annotated[bool, typer.Option("--raw", help="Carry cells along as they are, formulas of spreadsheets too.")] = False,
    force: Force = False,
) -> None:
    """Judge a table of designs, one a row; the answers stand beside each row in OUT.

    A cell that a spreadsheet would run (it begins with =, +, - or @ and is no number) gets an apostrophe in front; see --raw.
    """
    integrate = blast is BlastMethod.integrated
    _do("batch", "run_batch", table, output, base, of or [], line, settings or [], integrate, fail_on.value, raw, force)


@app.command()
def size(
    scenario: ScenarioFile,
    settings: Settings = None,
    line: Annotated[str, typer.Option("--line", help="Name of the line; the first unless given.")] = "",
    free: Annotated[
        str,
        typer.Option(
            "--free", metavar="KEYS", help="What may change, e.g. hose.bore,hose.length; all unless given.", show_default=False
        ),
    ] = "",
    units: Units = UnitSystem.si,
    output: Annotated[
        str, typer.Option("-o", "--output", metavar="FILE", help="Write the sized scenario (.toml).", show_default=False)
    ] = "",
    force: Force = False,
) -> None:
    """Size a line: longest hose, smallest source, best schedule and head, and what clears each finding."""
    _do("size", "run_size", scenario, settings or [], line, free, units.value, output, force)


@app.command()
def note(
    scenario: ScenarioFile,
    settings: Settings = None,
    output: Annotated[
        str, typer.Option("-o", "--output", metavar="FILE", help="Write FILE: .html, .pdf or .md.", show_default=False)
    ] = "",
    readings: Annotated[
        str,
        typer.Option("--readings", metavar="FILE", help="Write the blank form for measured values (.toml).", show_default=False),
    ] = "",
    filled: Annotated[
        str,
        typer.Option("--with", metavar="FILE", help="Put in the values of a filled-in form and judge them.", show_default=False),
    ] = "",
    card: Annotated[bool, typer.Option("--card", help="One page for the kiosk door instead of the whole note.")] = False,
    force: Force = False,
) -> None:
    """Write the commissioning note: what was designed, why it will do, what to measure."""
    _do("note", "run_note", scenario, settings or [], output, readings, filled, card, force)


@app.command()
def new(
    file: Annotated[
        str, typer.Argument(help="File to write, or - for standard output. Without it new prints, and new --ask asks for a name.")
    ] = "",
    ask: Annotated[bool, typer.Option("--ask", help="Ask plain questions, write the answers, show what check says.")] = False,
    units: Units = UnitSystem.si,
    force: Force = False,
) -> None:
    """Write a commented starter scenario, or one from plain questions."""
    if ask:
        _do("ask", "run_ask", file, force, units.value)
    else:
        _do("new", "run_new", file, force)


@app.command()
def rules(
    as_json: Json = False, markdown: Annotated[bool, typer.Option("--markdown", help="Print the rule book as Markdown.")] = False
) -> None:
    """List the rule book: what is judged, by which limit, on what basis."""
    _do("lists", "list_rules", as_json, markdown)


@app.command()
def terms(as_json: Json = False) -> None:
    """List the terms and what each means."""
    _do("lists", "list_terms", as_json)


@app.command()
def units() -> None:
    """List the units that may be written, by kind of quantity."""
    _do("lists", "list_units")


@app.command()
def probes(as_json: Json = False) -> None:
    """List the probe kinds of the catalogue with their usual figures."""
    _do("lists", "list_probes", as_json)


@app.command()
def hoses(as_json: Json = False) -> None:
    """List the hose materials and fittings of the catalogue."""
    _do("lists", "list_hoses", as_json)


@app.command()
def schema() -> None:
    """Print the JSON Schema of a scenario, for editors that check and complete."""
    _do("lists", "print_schema")


@app.command()
def verify(output: Report = "", force: Force = False) -> None:
    """Prove it on this machine: work the published and measured cases, compare the files with those handed out."""
    _do("verify", "run_verify", output, force)


def run() -> int:
    """Run the application; the exit code."""
    every = app.registered_commands
    # typer looks into every command it has before it does one: with one it is there sooner
    app.registered_commands = [c for c in every if _name(c) in sys.argv[1:2]] or every
    try:
        return run_inside(app, _work)
    finally:
        app.registered_commands = every


def _name(command: CommandInfo) -> str:
    return str(command.name or getattr(command.callback, "__name__", ""))
