"""``purgecalc size``."""

from __future__ import annotations

import sys
import time
from pathlib import Path

from purgecalc.cli.console import show_page, tell, width_of
from purgecalc.cli.explain import chosen
from purgecalc.cli.output import Target
from purgecalc.cli.progress import Progress
from purgecalc.errors import FindingsAtOrAbove, UsageError
from purgecalc.reports.as_csv import csv_text, size_rows
from purgecalc.reports.basis import print_legend
from purgecalc.reports.cautions import CAUTIONS
from purgecalc.reports.page import Page, Text, cut, hanging
from purgecalc.reports.size import print_size
from purgecalc.reports.summary import describe
from purgecalc.reports.terminal import print_list
from purgecalc.scenario import ScenarioInputs, load, loads
from purgecalc.studies.checked import Checked
from purgecalc.studies.proposal import Proposal
from purgecalc.studies.size import free_ids, size

AS_LONG = 10.0
"""How many times as long as judging it takes to size a line: 3 to 40 times on the worked sites, mostly 5 to 10."""


def run_size(file: str, settings: list[str], line: str, free: str, system: str, output: str, force: bool) -> None:
    """Size one line of a scenario; with ``output`` write the proposed scenario, which then passes ``check``."""
    if output and Path(output).suffix.lower() not in (".toml", ".csv"):
        raise UsageError(f"-o {output}: size writes a scenario, .toml, or a table, .csv")
    target = Target(output, force, [file]) if output else None
    ids = free_ids(free)
    scenario = load(file, settings)
    start = time.monotonic()
    checked = Checked.of(scenario, system)
    design = chosen(checked.designs, line)
    with Progress("sizing", counted=False) as progress:
        progress.expect(AS_LONG * (time.monotonic() - start))
        sized = size(checked, design.inputs.line, ids)
    page = Page(width_of(sys.stdout))
    head = Text(cut(sized.proposal.headline, page.width), style="bold")
    page.print(head)
    page.print(Text(scenario.title))
    hanging(page, f"{design.inputs.line}: {describe(design, system)}", "")
    print_size(page, sized, system)
    print_list(page, "Cautions", CAUTIONS)
    print_legend(page)
    page.print()
    page.print(head)
    show_page(page)
    if target and target.name.lower().endswith(".csv"):
        target.write(csv_text(size_rows(sized)))
    elif target:
        _write(scenario, settings, sized.proposal, design.inputs.line, target)
    if sized.proposal.left:
        raise FindingsAtOrAbove("")


def _write(scenario: ScenarioInputs, settings: list[str], proposal: Proposal, line: str, target: Target) -> None:
    """The scenario with the proposed values, its comments kept; refused where it would not pass."""
    from purgecalc.scenario.rewrite import rewritten, with_settings

    output = target.name
    if proposal.left:
        left = ", ".join(f.rule.id for f in proposal.left)
        raise UsageError(
            f"{output} not written: {left} would be left to fix, and no change of a figure clears that; change the scenario first"
        )
    changes = {c.lever.id: int(c.given.value) if c.given.kind == "count" else c.text for c in proposal.changes}
    said = [f"sized by purgecalc: {c.words}" for c in proposal.changes] or ["sized by purgecalc: nothing to change"]
    text = rewritten(with_settings(scenario.text, settings), changes, line, said)
    loads(text, output)  # what is written must be a scenario
    target.write(text)
    for line in dict.fromkeys(f.line for f in proposal.elsewhere):
        tell(f"still to fix on another line: size {output} --line {line!r}")
    tell(f"Check it: purgecalc check {output}")
