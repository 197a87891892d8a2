"""The first row of a command is its answer, and the last row says it again; tables go to files."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import pytest

from tests.command import run
from tests.lines import SCENARIOS

FERN, TANSY, SANDS = (str(SCENARIOS / f"{name}.toml") for name in ("fernwhistle", "long-tansy", "pellwick"))


@pytest.mark.parametrize(
    ("site", "answer"),
    [(TANSY, "CHANGE ONE THING: bore 4 mm -> 6.3 mm"), (FERN, "NO CHANGE NEEDED"), (SANDS, "NOT BY FIGURES ALONE: left to fix")],
)
def test_size_says_what_to_change_first_and_last(site: str, answer: str) -> None:
    rows = run("size", site, "--free", "hose.bore,schedule.hold_off").stdout.rstrip().splitlines()
    assert rows[0].startswith(answer)
    assert rows[-1] == rows[0]


def test_sweep_says_how_many_pass_first_and_last() -> None:
    rows = run("sweep", FERN, "--vary", "line.hose.length=3,7,60[m]").stdout.rstrip().splitlines()
    assert rows[0] == "2 OF 3 DESIGNS PASS, 1 more with care"
    assert rows[-1] == rows[0]


def test_trace_says_when_the_blast_is_delivered_as_check_does() -> None:
    first = run("trace", FERN).stdout.splitlines()[0]
    told = next(row for row in run("check", FERN).stdout.splitlines() if "Delivery time" in row)
    assert f"Delivered {told.split()[2]} s after the command" in first


def test_a_receiver_says_where_its_trace_begins() -> None:
    assert "receiver at cut-out" in " ".join(run("trace", str(SCENARIOS / "trivet-mill.toml")).stdout.split())


def test_check_writes_its_figures_and_findings_as_a_table(tmp_path: Path) -> None:
    assert run("check", TANSY, "-o", "t.csv", "--fail-on", "never", cwd=tmp_path).returncode == 0
    rows = list(csv.DictReader(io.StringIO((tmp_path / "t.csv").read_text("utf-8"))))
    data = json.loads(run("check", TANSY, "--json").stdout)
    assert rows[0]["id"] == data["verdict"]
    figures = {r["id"]: r for r in rows if r["kind"] == "figure"}
    quantities = data["lines"][0]["quantities"]
    assert figures.keys() == quantities.keys()
    assert float(figures["hose.pressure_drop"]["value"]) == quantities["hose.pressure_drop"]["value"]
    assert figures["line.flow_anr"]["air_state"] == "ANR"
    fails = {r["id"] for r in rows if r["kind"] == "finding" and r["state"] == "fails"}
    assert fails == {f["rule"] for f in data["findings"] if f["state"] == "fails"}


def test_size_writes_what_it_proposes_as_a_table(tmp_path: Path) -> None:
    run("size", TANSY, "-o", "s.csv", cwd=tmp_path)
    rows = list(csv.reader(io.StringIO((tmp_path / "s.csv").read_text("utf-8"))))
    assert rows[1][:2] == ["answer", "CHANGE ONE THING: bore 4 mm -> 6.3 mm"]
    assert ["change", "hose.bore", "0.0063", "6.3 mm", ""] in rows
    assert any(row[0] == "longest hose" and row[4] == "jet-strength" for row in rows)


@pytest.mark.parametrize("command", ["check", "size"])
def test_another_ending_is_refused_with_what_would_do(command: str) -> None:
    done = run(command, FERN, "-o", "x.xlsx")
    assert done.returncode == 2
    assert ".csv" in done.stderr
