"""``purgecalc sweep``."""

from __future__ import annotations

import sys
from pathlib import Path

from purgecalc.cli.console import show_page, width_of
from purgecalc.cli.output import Target
from purgecalc.cli.progress import Progress
from purgecalc.errors import UsageError
from purgecalc.reports.page import Page
from purgecalc.reports.sweep import print_sweep
from purgecalc.scenario.read import load_below
from purgecalc.studies.sweep import Sweep, axis, first_settings, of_line, sweep, with_present
from purgecalc.studies.table import ROWS_AT_ONCE, rows_of

SWEEP_FORMS = (".csv", ".html", ".png", ".svg")


def run_sweep(
    file: str, vary: list[str], of: list[str], line: str, settings: list[str], integrate: bool, output: str, force: bool
) -> None:
    """Vary, show, and write where a file is named."""
    suffix = Path(output).suffix.lower() if output else ""
    if output and suffix not in SWEEP_FORMS:
        raise UsageError(f"-o {output}: sweep writes {', '.join(SWEEP_FORMS)}")
    if len(vary) > (2 if suffix in SWEEP_FORMS[1:] else 3):
        raise UsageError("a picture shows one or two figures varied" if len(vary) < 4 else "at most three figures can be varied")
    target = Target(output, force, [file]) if output else None
    axes = [axis(text) for text in vary]
    scenario, whole = load_below(file, settings, first_settings(axes))
    if line:
        axes = [axis(of_line(text, line, scenario)) for text in vary]
    axes = with_present(axes, scenario) if whole else axes
    with Progress("designs") as progress:
        done = sweep(scenario, axes, of, integrate, line, progress.at)
    page = Page(width_of(sys.stdout))
    print_sweep(page, done, plain="utf" not in (sys.stdout.encoding or "").lower())
    show_page(page)
    if target is not None and suffix == ".csv":
        with target.opened() as out:
            out.write(",".join(done.heads) + "\n")
            for start in range(0, done.verdict.size, ROWS_AT_ONCE):
                out.write("".join(rows_of(done.rows(start, start + ROWS_AT_ONCE))))
    elif target is not None:
        target.write(_picture(done, suffix))


def _picture(done: Sweep, suffix: str) -> bytes:
    """The sweep as the bytes of a picture, or of a page that holds it."""
    from purgecalc.reports.charts import image
    from purgecalc.reports.sweep_picture import alt_text, figure, html

    picture = figure(done)
    if suffix == ".html":
        return html(done, image(picture, "svg", alt_text(done))).encode()
    return image(picture, suffix[1:], alt_text(done))
