"""What is handed out works: the wheel, installed in an empty environment away from the repository, does what the sources do."""

import os
import shutil
import subprocess
import sys
import venv
from pathlib import Path

import pytest

from tests.command import run
from tests.lines import ROOT, SCENARIOS

PLAIN = {
    k: v for k, v in os.environ.items() if not k.startswith("PYTHON") and k not in ("VIRTUAL_ENV", "PYTEST_ADDOPTS", "COLUMNS")
}


def done(*words: str | Path, cwd: Path) -> str:
    """What a command prints that must go well."""
    said = subprocess.run(words, cwd=cwd, env=PLAIN, capture_output=True, text=True, check=False, timeout=600)
    assert said.returncode == 0, f"{words}\n{said.stdout}\n{said.stderr}"
    return said.stdout


@pytest.fixture(scope="module")
def installed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of commands of an environment that holds the wheel and what the wheel asks for."""
    folder = tmp_path_factory.mktemp("wheel")
    done(sys.executable, "-m", "pip", "wheel", "-q", "--no-deps", "-w", folder, ROOT, cwd=folder)
    (wheel,) = folder.glob("purgecalc-*.whl")
    venv.create(folder / "empty", with_pip=True)
    commands = folder / "empty" / "bin"
    done(commands / "python", "-m", "pip", "install", "-q", wheel, cwd=folder)
    return commands


@pytest.fixture
def site(tmp_path: Path) -> Path:
    """A folder with a scenario in it and nothing of ours."""
    shutil.copy(SCENARIOS / "fernwhistle.toml", tmp_path / "site.toml")
    return tmp_path


@pytest.mark.campaign
def test_it_is_imported_from_where_it_was_installed(installed: Path, site: Path) -> None:
    where = done(installed / "python", "-c", "import purgecalc; print(purgecalc.__file__)", cwd=site)
    assert Path(where.strip()).is_relative_to(installed.parent)


@pytest.mark.campaign
def test_the_licence_is_in_it(installed: Path) -> None:
    (record,) = installed.parent.rglob("purgecalc-*.dist-info/RECORD")
    texts = [line.split(",")[0] for line in record.read_text().splitlines() if "LICENSE" in line]
    assert any(text.startswith("purgecalc-") for text in texts)
    assert all("Permission is hereby granted" in (record.parent.parent / text).read_text() for text in texts)


@pytest.mark.campaign
@pytest.mark.parametrize(
    "words", [("check", "site.toml", "--detail"), ("check", "site.toml", "--json"), ("probes",), ("schema",)]
)
def test_it_prints_what_the_sources_print(words: tuple[str, ...], installed: Path, site: Path) -> None:
    assert done(installed / "purgecalc", *words, cwd=site) == run(*words, cwd=site).stdout


@pytest.mark.campaign
@pytest.mark.parametrize("suffix", ["html", "pdf", "md"])
def test_it_writes_the_note_that_the_sources_write(suffix: str, installed: Path, site: Path) -> None:
    done(installed / "purgecalc", "note", "site.toml", "-o", f"installed.{suffix}", cwd=site)
    assert run("note", "site.toml", "-o", f"sources.{suffix}", cwd=site).returncode == 0
    assert (site / f"installed.{suffix}").read_bytes() == (site / f"sources.{suffix}").read_bytes()


@pytest.mark.campaign
def test_it_meets_the_published_cases(installed: Path, site: Path) -> None:
    said = done(installed / "purgecalc", "verify", "-o", "report.json", cwd=site)
    assert said.splitlines()[0] == run("verify").stdout.splitlines()[0]
    assert (site / "report.json").stat().st_size > 10_000
