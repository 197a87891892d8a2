"""Options that several commands share: their words, what they take, what --help says of them."""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated

import typer


class UnitSystem(StrEnum):
    """Units for people."""

    si = "si"
    us = "us"


class FailOn(StrEnum):
    """Lowest level of finding that makes the command end with code 5."""

    NOTE = "NOTE"
    WATCH = "WATCH"
    FIX = "FIX"
    STOP = "STOP"
    never = "never"


class BlastMethod(StrEnum):
    """How the delivery of a blast is come by."""

    estimate = "estimate"
    integrated = "integrated"


ScenarioFile = Annotated[
    str,
    typer.Argument(
        metavar="SCENARIO",
        help="Scenario file, or - for standard input. Without one, --set changes the built-in reference installation.",
        default_factory=str,
        show_default=False,
    ),
]
Settings = Annotated[
    list[str] | None,
    typer.Option(
        "--set",
        metavar="KEY=VALUE",
        help='Set a value over the file, e.g. line.hose.length="12 m". May be repeated.',
        show_default=False,
    ),
]
Of = Annotated[
    list[str] | None,
    typer.Option(
        "--of",
        metavar="QUANTITY",
        help='What to tell, e.g. head.jet_thrust_ratio or "hose.pressure_drop [mbar]". May be repeated.',
        show_default=False,
    ),
]
Units = Annotated[UnitSystem, typer.Option("--units", help="Units for people: si or us.")]
Follow = Annotated[
    BlastMethod, typer.Option("--blast", help="integrated: every blast followed in time; estimate: delivery by hand, quick.")
]
Json = Annotated[bool, typer.Option("--json", help="Print the result as JSON (unrounded SI), nothing else.")]
Output = Annotated[
    str,
    typer.Option(
        "-o", "--output", metavar="FILE", help="Write to FILE (.json or .txt) instead of the screen.", show_default=False
    ),
]
Report = Annotated[
    str, typer.Option("-o", "--output", metavar="FILE", help="Write the full report (.json, .csv or .html).", show_default=False)
]
Force = Annotated[bool, typer.Option("--force", help="Replace FILE if it exists.")]
LineName = Annotated[str, typer.Option("--line", help="Line whose quantities are told; the first unless given.")]
Base = Annotated[
    str,
    typer.Option(
        "--base",
        metavar="SCENARIO",
        help="Scenario that gives all other values; the built-in reference without it.",
        show_default=False,
    ),
]
