"""The files that decide the figures, and whether they are still those that were handed out.

``files.sha256`` lists them as ``sha256sum`` does: ``sha256sum -c published/files.sha256``, called in the folder of the package,
says the same without purgecalc. Line ends do not count. Nothing else is imported: a broken file must not keep this from
being told.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from pathlib import Path

PACKAGE = Path(__file__).parent.parent
MANIFEST = Path(__file__).parent / "files.sha256"
_DECIDE = ("formulas/*.py", "published/*.py", "published/*.toml", "transient/*.py")


@dataclass(frozen=True)
class FileState:
    """One file: its path in the package, its hash (empty where it is missing), and what is wrong with it (empty if nothing)."""

    path: str
    sha256: str
    wrong: str = ""


def sha256(file: Path) -> str:
    """Hash of a text file; empty where there is none to read."""
    try:
        return hashlib.sha256(file.read_bytes().replace(b"\r\n", b"\n")).hexdigest()
    except OSError:
        return ""


def present() -> dict[str, str]:
    """Hashes of the files that are there, by path in the package."""
    files = sorted(file for pattern in _DECIDE for file in PACKAGE.glob(pattern))
    return {file.relative_to(PACKAGE).as_posix(): sha256(file) for file in files}


def manifest_text() -> str:
    """What the list must say for the files that are there."""
    return "".join(f"{digest}  {path}\n" for path, digest in present().items())


def states() -> list[FileState]:
    """Every file that is there or ought to be, compared with the list."""
    there, listed = present(), _listed()
    return [FileState(path, there.get(path, ""), _wrong(there.get(path), listed.get(path))) for path in sorted(there | listed)]


def _listed() -> dict[str, str]:
    """Hashes of the list by path; empty where there is no list."""
    try:
        lines = MANIFEST.read_text(encoding="utf-8").splitlines()
    except (OSError, UnicodeDecodeError):
        return {}
    return {path: digest for digest, _, path in (line.partition("  ") for line in lines)}


def _wrong(there: str | None, listed: str | None) -> str:
    if there is None:
        return "is missing"
    if listed is None:
        return "is not in the list of files"
    return "" if there == listed else "was changed"
