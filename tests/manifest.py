"""Writes the list of files by which ``purgecalc verify`` tells a changed one: ``python -m tests.manifest``."""

from __future__ import annotations

from purgecalc.published.manifest import MANIFEST, manifest_text

if __name__ == "__main__":
    MANIFEST.write_text(manifest_text(), encoding="utf-8", newline="\n")
