"""``purgecalc check``."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from purgecalc.cli.console import height_of, say, show_page, width_of
from purgecalc.cli.output import Target
from purgecalc.design import Design
from purgecalc.errors import FindingsAtOrAbove, NoPhysicalAnswer, ScenarioError, UsageError
from purgecalc.reports import as_json
from purgecalc.rules import Level
from purgecalc.scenario import load, loads
from purgecalc.studies.checked import Checked

if TYPE_CHECKING:
    from purgecalc.reports.page import Page
    from purgecalc.studies.expected import Expected


def run_check(
    file: str, settings: list[str], system: str, fail_on: str, detail: bool, json_only: bool, output: str, force: bool
) -> None:
    """Calculate, judge, show; end with code 5 where findings reach ``fail_on``."""
    suffix = Path(output).suffix.lower() if output else ""
    if suffix not in ("", ".json", ".txt", ".csv"):
        raise UsageError(f"-o {output}: check writes .json, .csv or .txt")
    target = Target(output, force, [file]) if output not in ("", "-") else None
    as_data = json_only or suffix == ".json"
    checked = Checked.of(load(file, settings), "si" if as_data else system)
    if as_data:
        _out(as_json.dumps(as_json.result(checked, _to_measure(checked) if detail else ())), target)
    elif target and suffix == ".csv":
        from purgecalc.reports.as_csv import check_rows, csv_text

        target.write(csv_text(check_rows(checked)))
    else:
        _screen(checked, system, target, detail=detail)
    if fail_on != "never" and checked.fails(Level[fail_on]):
        raise FindingsAtOrAbove("")


def _to_measure(checked: Checked) -> list[list[Expected]]:
    from purgecalc.studies.commissioning import to_measure  # only --detail needs it

    return to_measure(checked)


def _out(text: str, target: Target | None) -> None:
    if target:
        target.write(text + "\n")
    else:
        say(text)


def _screen(checked: Checked, system: str, target: Target | None, *, detail: bool) -> None:
    from purgecalc.reports.page import Page

    page = Page(100 if target else width_of(sys.stdout))
    if detail:
        print_all(page, checked, system)
    else:
        from purgecalc.reports.first_screen import print_first_screen
        from purgecalc.reports.summary import summarise

        summary = replace(summarise(checked, system), moved=_moved(checked, system))
        print_first_screen(page, summary, height=None if target else height_of(sys.stdout))
    if target:
        target.write(page.plain())
    else:
        show_page(page)


def _moved(checked: Checked, system: str) -> tuple[str, ...]:
    """What the settings of the command line moved; nothing where the file says nothing without them."""
    scenario = checked.scenario
    if not scenario.settings:
        return ()
    from purgecalc.reports.compare import moved_words
    from purgecalc.studies.compare import compare

    try:
        before = Checked.of(loads(scenario.text, scenario.file), system)
    except (ScenarioError, NoPhysicalAnswer):
        return ()
    return moved_words(compare(before, checked), system)


def print_all(page: Page, checked: Checked, system: str) -> None:
    """The first screen, all that it leaves out, and the verdict once more."""
    from purgecalc.reports.basis import print_legend
    from purgecalc.reports.first_screen import print_first_screen, print_last_row
    from purgecalc.reports.summary import summarise
    from purgecalc.reports.terminal import print_detail, print_list

    summary = summarise(checked, system)
    print_first_screen(page, summary, last=False)
    print_detail(page, summary)
    _details(page, checked.designs)
    print_list(page, "Cautions", summary.cautions)
    print_legend(page)
    page.print()
    print_last_row(page, summary)


def _details(page: Page, designs: Sequence[Design]) -> None:
    """What only ``--detail`` shows below the screen; imported only then."""
    from purgecalc.reports.details import print_plan, print_truth
    from purgecalc.reports.removal import about_removal
    from purgecalc.reports.response import about_response
    from purgecalc.reports.terminal import print_curve, print_wipe_sheet, print_words
    from purgecalc.studies.contact_table import truth_table
    from purgecalc.studies.residual import residual_curve
    from purgecalc.studies.upkeep import upkeep_plan

    for design in designs:
        for words in filter(None, (about_response(design), about_removal(design))):
            print_words(page, words)
        curve = residual_curve(design)
        if curve is not None:
            print_curve(page, design.inputs.line, *curve)
        table = truth_table(design)
        if table is not None:
            print_truth(page, design.inputs.line, table)
    if any("fouling.growth" in design for design in designs):
        print_wipe_sheet(page)
    dates = upkeep_plan(designs)
    if dates:
        print_plan(page, dates)
