"""``purgecalc note`` as a person runs it: files written once and whole, forms filled in, errors in words."""

import resource
import subprocess
from pathlib import Path

import pytest

from tests.command import command, environment, run
from tests.lines import SCENARIOS

S1 = str(SCENARIOS / "fernwhistle.toml")


def test_the_same_scenario_gives_the_same_bytes_and_nothing_is_overwritten(tmp_path: Path) -> None:
    first, again = tmp_path / "a.html", tmp_path / "b.html"
    for file in (first, again):
        done = run("note", S1, "-o", str(file))
        assert done.returncode == 0, done.stderr
    assert first.read_bytes() == again.read_bytes()
    refused = run("note", S1, "-o", str(first))
    assert refused.returncode == 2
    assert "exists; choose another name, or add --force" in refused.stderr
    assert run("note", S1, "-o", str(first), "--force").returncode == 0


@pytest.mark.parametrize(("suffix", "starts"), [(".pdf", b"%PDF-"), (".md", b"# Commissioning note: Fernwhistle")])
def test_the_form_follows_the_suffix(suffix: str, starts: bytes, tmp_path: Path) -> None:
    file = tmp_path / f"note{suffix}"
    assert run("note", S1, "-o", str(file)).returncode == 0
    assert file.read_bytes().startswith(starts)


def test_a_write_that_fails_leaves_the_old_file_and_nothing_else(tmp_path: Path) -> None:
    file = tmp_path / "note.md"
    file.write_text("old", encoding="utf-8")

    def disk_full() -> None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (2000, 2000))

    done = subprocess.run(
        command("note", S1, "-o", str(file), "--force"),
        env={**environment(), "PYTHONDONTWRITEBYTECODE": "1"},
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        preexec_fn=disk_full,
        check=False,
    )
    assert done.returncode == 2
    assert "cannot be written: File too large" in done.stderr
    assert file.read_text(encoding="utf-8") == "old"
    assert list(tmp_path.iterdir()) == [file]


def test_a_folder_in_the_way_is_told_and_left(tmp_path: Path) -> None:
    folder = tmp_path / "note.md"
    folder.mkdir()
    done = run("note", S1, "-o", str(folder), "--force")
    assert done.returncode == 2
    assert "Traceback" not in done.stderr
    assert folder.is_dir()
    assert list(tmp_path.iterdir()) == [folder]


def test_readings_go_out_blank_and_come_back_judged(tmp_path: Path) -> None:
    form, note = tmp_path / "readings.toml", tmp_path / "note.md"
    assert run("note", S1, "--readings", str(form)).returncode == 0
    text = form.read_text(encoding="utf-8")
    at = text.index('[reading."source.gauge_pressure"]')
    form.write_text(text[:at] + text[at:].replace('value = ""', 'value = "0.5 bar(g)"', 1), encoding="utf-8")
    done = run("note", S1, "--with", str(form), "-o", str(note))
    assert done.returncode == 0, done.stderr
    row = next(line for line in note.read_text(encoding="utf-8").splitlines() if line.startswith("| Source pressure during"))
    assert "0.5 bar(g)" in row
    assert "outside, high: restriction (high)" in row
    assert "## Baseline" in note.read_text(encoding="utf-8")
    assert "**MEASURED OUTSIDE what passes: 1 of 1 readings; DRAFT" in note.read_text(encoding="utf-8")
    assert "1 outside what passes\n  outside: source.gauge_pressure" in done.stderr
    card = run("note", S1, "--card", "--with", str(form))
    assert "0.5 bar(g): outside, high" in card.stdout
    other = run("note", S1, "--set", "line.hose.length=9 m", "--with", str(form), "-o", str(tmp_path / "other.md"))
    assert "made for other inputs" in other.stderr


def test_the_card_goes_to_the_screen_where_no_file_is_named() -> None:
    done = run("note", S1, "--card")
    assert done.returncode == 0
    assert done.stdout.startswith("# Field card: Fernwhistle Works, lane 2")
    assert "Five numbers in ten minutes" in done.stdout


@pytest.mark.parametrize(
    ("words", "message"),
    [
        ((), "say what to write: -o note.html"),
        (("-o", "note.docx"), "note writes .html, .pdf, .md"),
        (("--readings", "form.html"), "the form is a .toml file"),
        (("--readings", "form.toml", "--card"), "say where the card goes"),
    ],
)
def test_wrong_words_are_told(words: tuple[str, ...], message: str) -> None:
    done = run("note", S1, *words)
    assert done.returncode == 2
    assert message in done.stderr


def test_a_form_that_is_not_there_is_bad_input(tmp_path: Path) -> None:
    done = run("note", S1, "--with", "none.toml", "-o", "x.md", cwd=tmp_path)
    assert (done.returncode, done.stderr) == (3, "none.toml: does not exist\n")
