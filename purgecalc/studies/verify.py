"""Works the published and measured cases on the machine at hand, and looks whether the files are those that were handed out."""

from __future__ import annotations

import math
import platform
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from importlib.metadata import PackageNotFoundError, version
from typing import TYPE_CHECKING

from purgecalc import __version__
from purgecalc.published.manifest import MANIFEST, FileState, sha256, states

if TYPE_CHECKING:  # imported when it runs: a broken file of formulas must be told, not end the command
    from purgecalc.published.agreement import Compared
    from purgecalc.published.reader import Case

LIBRARIES = ("numpy", "scipy", "fluids", "pint", "pydantic")
MEMORY = "memory"
HOW_SEEN = {
    "seen": "read in the source",
    "worked solution seen": "worked solution read",
    "closed form": "closed form",
    "measured": "measured",
    MEMORY: "quoted from memory only",
}
"""How a figure was seen: as the cases say it, and in words."""


@dataclass(frozen=True)
class CheckedFigure:
    """One printed figure and ours, in the ``unit`` of the source. ``fault`` is what kept it from being compared."""

    case: str
    title: str
    quantity: str
    formulas: tuple[str, ...]
    expected: str
    unit: str
    got: float
    tolerance: float
    agrees: bool
    seen: str
    source: str
    why: str
    fault: str = ""


@dataclass(frozen=True)
class WithoutCase:
    """A formula that is compared with nothing: why, and the file whose hash is all there is to tell of it."""

    formula: str
    reason: str
    path: str
    sha256: str


@dataclass(frozen=True)
class Verification:
    """All that was compared. ``faults`` are files that could not be read or loaded at all."""

    worked: str
    versions: dict[str, str]
    checked: tuple[CheckedFigure, ...]
    without: tuple[WithoutCase, ...]
    files: tuple[FileState, ...]
    list_sha256: str
    faults: tuple[str, ...]

    @property
    def failed(self) -> list[CheckedFigure]:
        return [c for c in self.checked if not c.agrees]

    @property
    def changed(self) -> list[FileState]:
        return [f for f in self.files if f.wrong]

    @property
    def agrees(self) -> bool:
        """Whether every figure is met and every file as it was handed out."""
        return bool(self.checked) and not (self.failed or self.changed or self.faults)


def verify() -> Verification:
    """Compare everything; what cannot be worked is a fault of the report, not of the command."""
    files = tuple(states())
    checked: list[CheckedFigure] = []
    faults: list[str] = []
    without: list[WithoutCase] = []
    try:
        cases = list(_cases(faults))
        for case in cases:
            checked += _worked(case)
        without = _without(cases, {f.path: f.sha256 for f in files})
    except Exception as fault:
        faults.append(f"the formulas cannot be loaded ({_words(fault)})")
    now = datetime.now(UTC).strftime("%Y-%m-%d %H:%M UTC")
    return Verification(now, _versions(), tuple(checked), tuple(without), files, sha256(MANIFEST), tuple(faults))


def _cases(faults: list[str]) -> Iterator[Case]:
    """The cases of every file that can be read."""
    from purgecalc.published import reader

    for path in reader.files():
        try:
            yield from reader.cases_of(path)
        except Exception as fault:
            faults.append(f"published/{path.name} cannot be read ({_words(fault)})")


def _worked(case: Case) -> list[CheckedFigure]:
    """Every figure of a case; all of them failed where it cannot be worked or leaves out a formula that it is there for."""
    from purgecalc.published.agreement import Compared, work

    try:
        figures, unused = work(case)
        fault = f"{', '.join(unused)} took no part" if unused else ""
    except Exception as error:
        figures = [Compared(name, printed, math.nan, case.allowed[name]) for name, printed in case.expected.items()]
        fault = f"could not be worked: {_words(error)}"
    return [_checked(case, figure, fault) for figure in figures]


def _checked(case: Case, figure: Compared, fault: str) -> CheckedFigure:
    printed = figure.printed
    return CheckedFigure(
        case=case.id,
        title=case.title,
        quantity=figure.name,
        formulas=case.covers,
        expected=printed.text.partition(" ")[0],
        unit=printed.unit,
        got=printed.in_unit(figure.got),
        tolerance=figure.allowed / printed.slope,
        agrees=figure.met and not fault,
        seen=case.seen,
        source=case.source,
        why=case.why or "half the last digit",
        fault=fault,
    )


def _without(cases: list[Case], hashes: dict[str, str]) -> list[WithoutCase]:
    """Formulas that no case covers."""
    from purgecalc.working import FORMULAS

    covered = {id for case in cases for id in case.covers}
    bare = [f for f in FORMULAS.values() if f.id not in covered]
    paths = [f.function.__module__.split(".", 1)[1].replace(".", "/") + ".py" for f in bare]
    return [WithoutCase(f.id, f.unpublished, path, hashes.get(path, "")) for f, path in zip(bare, paths, strict=True)]


def _versions() -> dict[str, str]:
    """What the figures were worked with."""
    found = {"purgecalc": __version__, "Python": platform.python_version()}
    for name in LIBRARIES:
        try:
            found[name] = version(name)
        except PackageNotFoundError:
            found[name] = "unknown"
    return found | {"machine": f"{platform.system()} {platform.machine()}"}


def _words(error: Exception) -> str:
    return f"{type(error).__name__}: {error}"
