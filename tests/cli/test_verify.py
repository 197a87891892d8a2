"""``purgecalc verify``: real runs, on the package as it stands and on copies of it that somebody changed."""

import csv
import hashlib
import json
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from purgecalc.published import reader
from purgecalc.reports.verify import FORMS
from purgecalc.studies.verify import verify
from tests.command import Done, environment, run
from tests.lines import ROOT


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> tuple[Done, Path]:
    """A run that writes its report as data."""
    file = tmp_path_factory.mktemp("verify") / "report.json"
    return run("verify", "-o", str(file)), file


@pytest.fixture
def copy(tmp_path: Path) -> Path:
    """The package in a folder of its own, to be changed."""
    shutil.copytree(ROOT / "purgecalc", tmp_path / "purgecalc", ignore=shutil.ignore_patterns("__pycache__"))
    return tmp_path


def changed(file: Path, old: str, new: str) -> None:
    text = file.read_text(encoding="utf-8")
    assert old in text
    file.write_text(text.replace(old, new, 1), encoding="utf-8")


def verified(folder: Path, *words: str) -> Done:
    """A run of the package that lies in ``folder``."""
    called = [sys.executable, "-m", "purgecalc", "verify", *words]
    return subprocess.run(called, cwd=folder, env=environment(), capture_output=True, text=True, timeout=120, check=False)


def test_the_package_agrees_in_few_lines(whole: tuple[Done, Path]) -> None:
    done, file = whole
    lines = done.stdout.splitlines()
    assert done.returncode == 0, done.stdout
    assert lines[0] == lines[-1]
    assert lines[0].startswith("AGREES: ")
    assert len(lines) <= 22
    assert done.stderr == f"wrote {file}\n"


def test_the_report_holds_every_figure_and_file(whole: tuple[Done, Path]) -> None:
    report = json.loads(whole[1].read_text())
    assert report["agrees"] is True
    assert len(report["figures"]) == sum(len(case.expected) for case in reader.cases())
    assert (
        report["counts"]["quoted from memory only"] == sum(f["seen"] == "quoted from memory only" for f in report["figures"]) > 0
    )
    assert report["counts"]["measured"] > 40
    fanno = next(f for f in report["figures"] if (f["case"], f["quantity"]) == ("F-01", "fL_over_D"))
    assert (fanno["expected"], fanno["tolerance"]) == ("14.53", pytest.approx(0.005))
    assert fanno["got"] == pytest.approx(14.53, abs=0.005)
    assert "Massey" in fanno["source"]
    files = {f["path"]: f["sha256"] for f in report["files"]}
    without = report["without_case"]
    assert "not that it is right" in without["meaning"]
    assert without["formulas"]
    assert all(w["sha256"] == files[w["path"]] != "" for w in without["formulas"])
    assert {"Python", "numpy", "scipy", "fluids", "pint"} <= report["versions"].keys()
    assert report["signed"] == {"name": None, "date": None, "signature": None}


def test_a_table_and_a_page_say_the_same(whole: tuple[Done, Path]) -> None:
    report, found = json.loads(whole[1].read_text()), verify()
    rows = list(csv.reader(FORMS[".csv"](found).splitlines()))
    assert len({len(row) for row in rows}) == 1
    assert [r[:2] for r in rows[1 : len(report["figures"]) + 1]] == [[f["case"], f["quantity"]] for f in report["figures"]]
    assert ["verdict", report["verdict"]] in [r[:2] for r in rows]
    assert [r[0] for r in rows[-3:]] == ["name", "date", "signature"]
    page = re.sub("<wbr>", "", FORMS[".html"](found))
    assert all(f["sha256"] in page for f in report["files"])
    assert all(f">{f['case']} " in page for f in report["figures"])
    assert report["list_sha256"] in page
    assert "Signature" in page


def test_a_changed_case_and_a_changed_formula_are_named(copy: Path) -> None:
    changed(copy / "purgecalc/published/compressible_pipe.toml", 'fL_over_D = "14.53"', 'fL_over_D = "14.63"')
    changed(copy / "purgecalc/formulas/hose.py", "return 4 * m / (np.pi * D * mu)", "return 4.001 * m / (np.pi * D * mu)")
    done = verified(copy, "-o", "report.csv")
    assert done.returncode == 5, done.stderr
    assert done.stdout.startswith("DOES NOT AGREE (")
    assert "FILE  formulas/hose.py was changed" in done.stdout
    assert "FILE  published/compressible_pipe.toml was changed" in done.stdout
    assert "FAIL  F-01 fL_over_D: printed 14.63, got 14.53" in done.stdout
    assert len(done.stdout.splitlines()) <= 22
    assert "file published/compressible_pipe.toml" in (copy / "report.csv").read_text()


def test_files_that_break_are_named_too(copy: Path) -> None:
    (copy / "purgecalc/formulas/fanno.py").write_text("def (\n")
    (copy / "purgecalc/published/air.toml").write_text("[[case]\n")
    (copy / "purgecalc/published/valves.toml").unlink()
    (copy / "purgecalc/formulas/mine.py").write_text("")
    done = verified(copy, "-o", "report.html")
    assert done.returncode == 5, done.stderr
    for said in ("fanno.py was changed", "air.toml was changed", "valves.toml is missing", "mine.py is not in the list"):
        assert said in done.stdout
    assert "published/air.toml cannot be read" in done.stdout
    assert "the formulas cannot be loaded (SyntaxError" in done.stdout
    assert "DOES NOT AGREE" in (copy / "report.html").read_text()


@pytest.mark.parametrize(("output", "said"), [("report.txt", "verify writes .json, .csv, .html"), ("no/such/r.csv", "no folder")])
def test_what_cannot_be_written_is_refused_at_once(output: str, said: str, tmp_path: Path) -> None:
    done = run("verify", "-o", output, cwd=tmp_path)
    assert (done.returncode, done.stdout) == (2, "")
    assert said in done.stderr


def test_the_list_can_be_checked_without_purgecalc() -> None:
    package = ROOT / "purgecalc"
    rows = [line.split("  ") for line in (package / "published/files.sha256").read_text().splitlines()]
    assert len(rows) > 60
    assert all(hashlib.sha256((package / path).read_bytes()).hexdigest() == digest for digest, path in rows)
