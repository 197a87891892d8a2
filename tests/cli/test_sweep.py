"""A sweep through the command: table, map and chart at every width; CSV, page and picture."""

import csv
import re
from pathlib import Path

import pytest

from tests.cli.test_commands import S1
from tests.command import run
from tests.lines import BASE

LENGTH, BORE = "line.hose.length=3:60:40[m]", "line.hose.bore=4,6,8,10[mm]"


def test_one_figure_is_a_table_with_the_scenario_marked() -> None:
    done = run("sweep", S1, "--vary", "line.hose.length=6,30,90[m]")
    assert done.returncode == 0
    assert re.search(r"^ 6 m +1.01 +42.2 mbar +0.5\d+ s +27.4 L  PASS  <$", done.stdout, re.M)
    assert re.search(r"^30 m .* WATCH +hose-length$", done.stdout, re.M)
    assert "every blast followed in time" in done.stdout
    assert "The scenario as it stands (6 m) is nearest to the row at <" in done.stdout


def test_two_figures_are_a_map_of_letters() -> None:
    done = run("sweep", S1, "--vary", LENGTH, "--vary", BORE)
    assert re.search(r"^  10 mm \|P{4}W{36}\|$", done.stdout, re.M)
    assert re.search(r"^   8 mm \|P{4}W{36}\| <$", done.stdout, re.M)
    assert re.search(r"^   4 mm \|PPW+F+\|$", done.stdout, re.M)
    top = done.stdout.splitlines()
    assert next(line for line in top if line.strip() == "^").index("^") == next(x for x in top if " 8 mm" in x).index("|") + 3
    assert "P  PASS: passes" in done.stdout
    assert done.stderr == ""


def test_what_cannot_work_is_a_letter_of_its_own() -> None:
    done = run("sweep", S1, "--vary", "line.head.depth=1,10,60[m]", "--vary", "source.flow=30,60[L/min]", "--blast", "estimate")
    assert "|PSx| <" in done.stdout  # 7.6 m of hose reach no head at 10 m
    assert "x  IMPOSSIBLE: cannot work at all" in done.stdout
    assert "hand estimate" in done.stdout


def test_three_figures_are_a_map_for_each_value_of_the_third() -> None:
    done = run("sweep", S1, "--vary", LENGTH, "--vary", BORE, "--vary", "line.head.depth=1,3[m]", "--blast", "estimate")
    assert done.stdout.count("line.head.depth = ") == 2
    assert done.stdout.count("| <\n") == 1


@pytest.mark.parametrize("width", ["60", "80", "120"])
@pytest.mark.parametrize(
    "vary",
    [("line.hose.length=3:60:7[m]",), (LENGTH, BORE), ("line.hose.length=3:60:130[m]", "line.hose.bore=4:10:130[mm]")],
    ids=["one", "two", "many"],
)
def test_nothing_is_wider_than_the_screen(width: str, vary: tuple[str, ...]) -> None:
    done = run("sweep", S1, *(w for v in vary for w in ("--vary", v)), "--blast", "estimate", COLUMNS=width)
    assert done.returncode == 0
    assert max(map(len, done.stdout.splitlines())) <= int(width)
    assert "<" in done.stdout
    assert not [line for line in done.stdout.splitlines() if line != line.rstrip()]
    if len(vary) == 2 and "130" in vary[0]:
        assert "of 130 values across is shown" in done.stdout or width == "150"


def test_one_quantity_along_one_figure_is_drawn() -> None:
    args = ("sweep", S1, "--vary", "line.hose.length=3:60:9[m]", "--of", "hose.pressure_drop [mbar]", "--blast", "estimate")
    fine = run(*args, PYTHONIOENCODING="utf-8").stdout
    assert "Hose pressure drop against length of the hose" in fine
    assert any("\u2800" < c < "\u28ff" for c in fine)
    plain = run(*args, PYTHONIOENCODING="ascii", PYTHONUTF8="0").stdout
    assert plain.isascii()
    assert plain.count("*") > 40
    assert re.search(r"^ +3 m +60 m$", plain, re.M)


def test_colour_is_never_the_only_sign() -> None:
    args = ("sweep", S1, "--vary", LENGTH, "--vary", BORE, "--blast", "estimate")
    painted = run(*args, FORCE_COLOR="1", TERM="xterm-256color").stdout
    assert "\x1b[" in painted
    assert re.sub(r"\x1b\[[0-9;]*m", "", painted) == run(*args).stdout


def test_table_file_has_units_nine_figures_and_the_cells_of_the_grid(tmp_path: Path) -> None:
    file = tmp_path / "s.csv"
    done = run("sweep", S1, "--vary", LENGTH, "--vary", BORE, "-o", str(file))
    assert (done.returncode, done.stderr) == (0, f"wrote {file}\n")
    found = list(csv.DictReader(file.read_text().splitlines()))
    assert len(found) == 160
    assert [found[0][k] for k in ("line.hose.length [m]", "line.hose.bore [mm]", "delivery")] == ["3", "4", "6 branches"]
    assert len(found[0]["hose.pressure_drop [Pa]"]) == 10  # nine figures and the point
    again = run("batch", str(file), "-o", "-", "--base", S1)  # only its inputs are a table
    assert "verdict" in again.stderr
    assert run("sweep", S1, "--vary", LENGTH, "-o", str(file)).returncode == 2


def test_pictures_are_pictures_and_repeat_to_the_byte(tmp_path: Path) -> None:
    for name in ("a.svg", "b.svg", "c.png", "one.svg"):
        vary = ("--vary", "line.hose.length=3:60:6[m]") + (() if name == "one.svg" else ("--vary", BORE))
        assert run("sweep", S1, *vary, "--blast", "estimate", "-o", str(tmp_path / name)).returncode == 0
    assert (tmp_path / "a.svg").read_bytes() == (tmp_path / "b.svg").read_bytes()
    assert (tmp_path / "c.png").read_bytes().startswith(b"\x89PNG")
    assert b"Of 24 designs" in (tmp_path / "a.svg").read_bytes()


def test_the_page_stands_alone_and_says_in_words_what_the_picture_shows(tmp_path: Path) -> None:
    file = tmp_path / "s.html"
    title = 'title=<b>"works" & tank</b>'
    vary = ("--vary", "line.hose.length=3,30[m]", "--vary", BORE)
    assert run("sweep", S1, *vary, "--set", title, "-o", str(file)).returncode == 0
    page = file.read_text()
    alt = re.search(r'alt="([^"]*)"', page)
    assert alt
    assert "Of 8 designs: 4 PASS" in alt[1]
    assert "<b>" not in page.split("<body>")[1].replace("<tbody>", "")
    assert not re.search(r'(?:src|href)="(?!data:)', page)
    assert page.count("<tr>") == 9


@pytest.mark.parametrize(
    ("args", "code", "words"),
    [
        (("--vary", "line.hose.lenght=3,4[m]"), 2, "did you mean line.hose.length"),
        (("--vary", "line.hose.length=0,4[m]"), 3, "out of range"),
        (("--vary", "line.schedule.blast=10,3000[s]"), 3, "do not fit in interval"),
        (("--vary", LENGTH, "--of", "hose.pressure"), 2, "is not a quantity"),
        (("--vary", LENGTH, "-o", "x.pdf"), 2, "sweep writes .csv, .html, .png, .svg"),
        (("--vary", LENGTH, "--vary", BORE, "--vary", "line.head.depth=1,2[m]", "-o", "x.png"), 2, "one or two figures"),
        (("--vary", LENGTH) * 4, 2, "at most three"),
        ((), 2, "--vary"),
    ],
)
def test_wrong_calls_are_told_without_a_traceback(args: tuple[str, ...], code: int, words: str) -> None:
    done = run("sweep", S1, *args)
    assert (done.returncode, done.stdout) == (code, "")
    assert words in done.stderr
    assert "Traceback" not in done.stderr


def test_a_line_called_for_is_the_one_varied_and_marked(tmp_path: Path) -> None:
    second = BASE[BASE.index("[line]") :].replace("[line]", "[[line]]").replace("lane 2", "lane 3").replace('"7.6 m"', '"21 m"')
    file = tmp_path / "two.toml"
    file.write_text(BASE.replace("[line]", "[[line]]") + second, encoding="utf-8")
    done = run("sweep", str(file), "--line", "lane 3 oxygen", "--vary", "line.hose.length=5:45:5[m]", "--blast", "estimate")
    assert done.returncode == 0, done.stderr
    assert "(21 m)" in done.stdout


def test_a_map_with_too_many_rows_and_columns_is_thinned_both_ways_and_keeps_the_present_design() -> None:
    done = run(
        "sweep",
        S1,
        "--vary",
        "line.hose.length=3:60:316[m]",
        "--vary",
        "line.hose.bore=4:10:316[mm]",
        "--blast",
        "estimate",
        COLUMNS="80",
    )
    rows = [line for line in done.stdout.splitlines() if line.count("|") == 2]
    assert len(rows) == -(-316 // 5)
    assert {len(line.split("|")[1]) for line in rows} == {-(-316 // 5)}
    assert sum(line.endswith("| <") for line in rows) == 1
    assert "one in 5 of 316 values across is shown, one in 5 of 316 values up" in " ".join(done.stdout.split())
    here = next(line for line in rows if line.endswith("| <"))
    mark = next(line for line in done.stdout.splitlines() if line.strip() == "^")
    assert here.strip().startswith("8 mm")
    assert here[mark.index("^")] in "PW"


def test_a_map_with_few_columns_shows_every_row() -> None:
    done = run("sweep", S1, "--vary", "line.hose.length=3:60:130[m]", "--vary", BORE, "--blast", "estimate", COLUMNS="80")
    assert len([line for line in done.stdout.splitlines() if line.count("|") == 2]) == 130
    assert "is shown" not in done.stdout


def test_a_page_may_do_nothing_but_show_itself(tmp_path: Path) -> None:
    run("sweep", S1, "--vary", "line.hose.length=3,9[m]", "--blast", "estimate", "-o", "a.html", cwd=tmp_path)
    run("note", S1, "-o", "note.html", cwd=tmp_path)
    sweep, note = (
        re.findall(r'http-equiv="Content-Security-Policy" content="([^"]*)"', (tmp_path / name).read_text(encoding="utf-8"))
        for name in ("a.html", "note.html")
    )
    assert sweep == [re.sub(r"script-src '[^']*'; ", "", note[0])]
    assert sweep[0].startswith("default-src 'none'; ")
    assert "<script" not in (tmp_path / "a.html").read_text(encoding="utf-8")
