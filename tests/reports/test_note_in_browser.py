"""The page in a browser: it fits, can be read, judges what is typed, writes the readings file, and is whole without script and on paper."""

import base64
import shutil
import subprocess
import time
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from purgecalc.reports.as_html import html
from purgecalc.reports.blocks import Measurements
from tests.reports.note_sample import CALM, WILD
from tests.reports.readings_file_text import readings_toml

CHROMIUM, DRIVER = Path("/usr/bin/chromium"), Path("/usr/bin/chromedriver")
pytestmark = pytest.mark.skipif(
    not (CHROMIUM.exists() and DRIVER.exists()), reason="needs /usr/bin/chromium and /usr/bin/chromedriver"
)
FLAGS = (
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--disable-dev-shm-usage",
)
ROWS = next(b for b in CALM.blocks if isinstance(b, Measurements))


@pytest.fixture(scope="module")
def pages(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("pages")
    (folder / "calm.html").write_text(html(CALM), encoding="utf-8")
    (folder / "wild.html").write_text(html(WILD), encoding="utf-8")
    return folder


@pytest.fixture(scope="module")
def browser(pages: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Any]:
    from selenium import webdriver

    options = webdriver.ChromeOptions()
    options.binary_location = str(CHROMIUM)
    for flag in (*FLAGS, f"--user-data-dir={tmp_path_factory.mktemp('profile')}"):
        options.add_argument(flag)
    options.set_capability("goog:loggingPrefs", {"browser": "ALL"})
    driver = webdriver.Chrome(options=options, service=webdriver.ChromeService(str(DRIVER)))
    driver.execute_cdp_cmd("Browser.setDownloadBehavior", {"behavior": "allow", "downloadPath": str(pages)})
    yield driver
    driver.quit()


def show(browser: Any, pages: Path, name: str, width: int = 900, script: bool = True) -> None:
    browser.execute_cdp_cmd(
        "Emulation.setDeviceMetricsOverride", {"width": width, "height": 800, "deviceScaleFactor": 1, "mobile": False}
    )
    browser.execute_cdp_cmd("Emulation.setScriptExecutionDisabled", {"value": not script})
    browser.get((pages / f"{name}.html").as_uri())


def type_in(browser: Any, id_: str, text: str) -> str:
    """Type into the field of a row; what the row says then."""
    from selenium.webdriver.common.by import By

    row = browser.find_element(By.CSS_SELECTOR, f'tr[data-id="{id_}"]')
    field = row.find_element(By.TAG_NAME, "input")
    field.clear()
    field.send_keys(text)
    return str(row.find_element(By.TAG_NAME, "output").text)


@pytest.mark.parametrize("name", ["calm", "wild"])
@pytest.mark.parametrize("width", [360, 720, 900, 1400])
def test_no_page_is_wider_than_its_window(browser: Any, pages: Path, name: str, width: int) -> None:
    show(browser, pages, name, width)
    assert browser.execute_script("return innerWidth") == width
    wide, room = browser.execute_script("const page = document.documentElement; return [page.scrollWidth, page.clientWidth]")
    assert wide <= room


def test_nothing_runs_and_nothing_complains(browser: Any, pages: Path) -> None:
    for name in ("calm", "wild"):
        show(browser, pages, name)
        assert browser.get_log("browser") == []
        assert browser.execute_script("return document.scripts.length") == 1


def test_headings_tables_fields_and_drawings_have_names(browser: Any, pages: Path) -> None:
    show(browser, pages, "calm")
    tree = browser.execute_cdp_cmd("Accessibility.getFullAXTree", {})["nodes"]
    seen = [
        (n["role"]["value"], n.get("name", {}).get("value", "")) for n in tree if not n.get("ignored") and n["role"].get("value")
    ]
    names = lambda role: [name for r, name in seen if r.lower() == role]  # noqa: E731
    assert names("image") == ["Pressure at the head against time", "Flow out of the head against time"]
    assert sorted(names("table")) == ["Figures of the line", "Fill in while commissioning", "Signed by"]
    assert names("textbox") == [f"Measured {m.quantity}" + (f", {m.unit}" if m.unit else "") for m in ROWS.rows]
    assert all(names("checkbox"))
    assert len(names("rowheader")) == 60 + len(ROWS.rows) + 3
    assert names("heading")[0] == CALM.title


CONTRAST = """
const lin = c => (c /= 255) <= .04045 ? c / 12.92 : ((c + .055) / 1.055) ** 2.4;
const parts = s => s.match(/[\\d.]+/g).map(Number);
const light = ([r, g, b]) => .2126 * lin(r) + .7152 * lin(g) + .0722 * lin(b);
const under = e => { for (; e; e = e.parentElement) { const p = parts(getComputedStyle(e).backgroundColor); if (p.length < 4 || p[3] === 1) return p; } return [255, 255, 255]; };
const out = [];
for (const e of document.querySelectorAll("body *:not(script):not(svg):not(svg *)")) {
  if (!e.checkVisibility() || ![...e.childNodes].some(n => n.nodeType === 3 && n.data.trim())) continue;
  const [a, b] = [light(parts(getComputedStyle(e).color)), light(under(e))].sort((x, y) => y - x);
  out.push([(a + .05) / (b + .05), e.tagName + "." + e.className, e.textContent.slice(0, 30)]);
}
return out.sort((a, b) => a[0] - b[0]);
"""


@pytest.mark.parametrize("grade", ["pass", "care", "draft", "fix", "stop"])
def test_text_stands_out_from_what_is_under_it(browser: Any, pages: Path, grade: str) -> None:
    show(browser, pages, "calm")
    browser.execute_script(f"document.querySelector('.status').className = 'status {grade}'")
    type_in(browser, "source.pressure", "9")
    type_in(browser, "receiver.pressure_after", "3")
    measured = browser.execute_script(CONTRAST)
    assert len(measured) > 150
    assert measured[0][0] >= 4.5, measured[0]


@pytest.mark.parametrize(
    ("id_", "typed", "said"),
    [
        ("source.pressure", "4.5", "passes"),
        ("source.pressure", "6", "passes"),
        ("source.pressure", "6.0001", "outside"),
        ("source.pressure", "4.4", "outside"),
        ("source.pressure", "5,2", "not taken: write 6.5, not 6,5"),
        ("source.pressure", "five", "not taken: not a number"),
        ("source.pressure", "0x5", "not taken: not a number"),
        ("source.pressure", " ", ""),
        ("receiver.pressure_after", "99", "passes"),
        ("receiver.pressure_after", "1.99", "outside"),
        ("blast.delay", "-1", "passes"),
        ("blast.delay", "1.5", "passes"),
        ("blast.delay", "1.6", "outside"),
        ("duty.temperature", "61", "noted"),
    ],
)
def test_a_row_is_judged_in_words(browser: Any, pages: Path, id_: str, typed: str, said: str) -> None:
    show(browser, pages, "calm")
    assert type_in(browser, id_, typed) == said


def download(browser: Any, pages: Path) -> str:
    from selenium.webdriver.common.by import By

    file = pages / "readings.toml"
    file.unlink(missing_ok=True)
    browser.find_element(By.CSS_SELECTOR, ".tools button").click()
    until = time.monotonic() + 20
    while not file.exists() or not file.stat().st_size:  # the name is there a moment before what is in it
        assert time.monotonic() < until, "no file came"
        time.sleep(0.05)
    return file.read_text(encoding="utf-8")


def test_the_file_offered_is_the_file_that_python_writes(browser: Any, pages: Path) -> None:
    from selenium.webdriver.common.by import By

    show(browser, pages, "calm")
    for id_, typed in (("source.pressure", "5.2"), ("receiver.pressure_after", " 1.5 "), ("duty.temperature", "61,5")):
        type_in(browser, id_, typed)
    values = [("source.pressure", "bar(g)", "5.2"), ("receiver.pressure_after", "bar(g)", " 1.5 "), ("blast.delay", "s", "0.8")]
    assert download(browser, pages) == readings_toml(ROWS.head, values)
    assert browser.find_element(By.CSS_SELECTOR, ".tools [role=status]").text == "3 readings, 1 left out: not a number"


def test_tables_of_one_readings_file_go_into_one_file(browser: Any, pages: Path) -> None:
    more = Measurements("Second line", (replace(ROWS.rows[0], id="second.pressure"),), ROWS.head)
    other = Measurements("Elsewhere", (replace(ROWS.rows[0], id="elsewhere.pressure"),), "other = 1\n")
    (pages / "two.html").write_text(html(replace(CALM, blocks=(*CALM.blocks, more, other))), encoding="utf-8")
    show(browser, pages, "two")
    for id_ in ("source.pressure", "second.pressure", "elsewhere.pressure"):
        type_in(browser, id_, "5")
    values = [("source.pressure", "bar(g)", "5"), ("blast.delay", "s", "0.8"), ("second.pressure", "bar(g)", "5")]
    assert download(browser, pages) == readings_toml(ROWS.head, values)


def test_hostile_ids_and_units_are_quoted_as_python_quotes_them(browser: Any, pages: Path) -> None:
    show(browser, pages, "wild")
    tables = [b for b in WILD.blocks if isinstance(b, Measurements)]
    browser.execute_script(
        "window.offered = []; URL.createObjectURL = b => { offered.push(b); return '#'; }; HTMLAnchorElement.prototype.click = () => {};"
        "for (const f of document.querySelectorAll('.measurements input')) f.value = '1.5';"
        "for (const b of document.querySelectorAll('.tools button')) b.click();"
    )
    offered = browser.execute_async_script("Promise.all(offered.map(b => b.text())).then(arguments[0])")
    # marks that turn a line are taken out of every text before it is shown
    plain = lambda text: "".join(c for c in text if not "\u202a" <= c <= "\u202e" and not "\u2066" <= c <= "\u2069")  # noqa: E731
    assert offered == [readings_toml(b.head, [(plain(m.id), plain(m.unit), "1.5") for m in b.rows]) for b in tables]


def test_the_page_is_whole_without_script(browser: Any, pages: Path) -> None:
    from selenium.webdriver.common.by import By

    show(browser, pages, "calm", script=False)
    text = browser.find_element(By.TAG_NAME, "body").text
    for said in (CALM.title, CALM.status, "Serial number", "Pressure at stage 60", "Re = 24500", "For the works", "6.5, not 6,5"):
        assert said in text
    assert "Download readings" not in text  # a button that cannot work is not shown
    browser.execute_cdp_cmd("Emulation.setScriptExecutionDisabled", {"value": False})


def test_what_is_for_screens_only_is_not_printed(browser: Any, pages: Path) -> None:
    show(browser, pages, "calm")
    seen = "return [...document.querySelectorAll('.measurements input, button, nav, .line')].filter(e => e.checkVisibility()).map(e => e.tagName)"
    fields = len(ROWS.rows)
    assert sorted(browser.execute_script(seen)) == ["BUTTON", *["INPUT"] * fields, "NAV"]
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": "print"})
    printed = browser.execute_script(seen)
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": ""})
    assert printed == ["SPAN"] * fields


@pytest.mark.skipif(not shutil.which("pdftotext"), reason="needs pdftotext of poppler")
@pytest.mark.parametrize("paper", [(21.0, 29.7), (21.59, 27.94)], ids=["A4", "Letter"])
def test_on_paper_fields_are_lines_and_heads_repeat(browser: Any, pages: Path, paper: tuple[float, float]) -> None:
    from selenium.webdriver.common.print_page_options import PrintOptions

    show(browser, pages, "calm")
    type_in(browser, "source.pressure", "5.27")
    options = PrintOptions()
    options.page_width, options.page_height = paper
    (pages / "print.pdf").write_bytes(base64.b64decode(browser.print_page(options)))
    done = subprocess.run(
        ["pdftotext", "-layout", "print.pdf", "-"], cwd=pages, capture_output=True, text=True, check=True, timeout=300
    )
    sheets = done.stdout.rstrip("\f").split("\f")
    assert "5.27" in done.stdout
    for gone in ("Download", "Contents", "6.5, not 6,5"):
        assert gone not in done.stdout
    assert sum("Pressure at stage" in sheet for sheet in sheets) > 1
    for n, sheet in enumerate(sheets, 1):
        assert f"Page {n} of {len(sheets)}" in sheet
        assert CALM.foot in sheet
        if "Pressure at stage" in sheet:
            assert "Remark" in sheet, "the head of the table stands on each of its pages"
