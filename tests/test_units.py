"""Units at the edge: what is read, what is refused and with which words, what is shown."""

from __future__ import annotations

import math
from pathlib import Path

import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import purgecalc.units as units
from purgecalc.kinds import AIR_FLOW_FORMS, KINDS, SPELLINGS, Kind
from purgecalc.units import UnitProblem, digits, parse, show, to_si, unit_for

PSI = 6894.757293168361
CFM = 0.3048**3 / 60


@pytest.mark.parametrize(
    ("text", "kind", "value", "state"),
    [
        ("7.6 m", "length", 7.6, ""),
        ("7.6m", "length", 7.6, ""),
        ("  7.6   m ", "length", 7.6, ""),
        ("7.6\u00a0m", "length", 7.6, ""),
        ("+5 m", "length", 5.0, ""),
        (".5 m", "length", 0.5, ""),
        ("5. m", "length", 5.0, ""),
        ("1.5e1 ft", "length", 4.572, ""),
        ("-3 m", "length", -3.0, ""),
        ("3/8 in", "length", 0.009525, ""),
        ("1 1/4 in", "length", 0.03175, ""),
        ("5 um", "length", 5e-6, ""),
        ("5 \u00b5m", "length", 5e-6, ""),
        ("5 \u03bcm", "length", 5e-6, ""),
        ("7 mm\u00b2", "area", 7e-6, ""),
        ("5 dm\u00b3", "volume", 5e-3, ""),
        ("24 L", "volume", 0.024, ""),
        ("24 l", "volume", 0.024, ""),
        ("24 ml", "volume", 24e-6, ""),
        ("1 gal", "volume", 3.785411784e-3, ""),
        ("20 degC", "temperature", 293.15, ""),
        ("20 \u00b0C", "temperature", 293.15, ""),
        ("-20 degC", "temperature", 253.15, ""),
        ("68 degF", "temperature", 293.15, ""),
        ("293.15 K", "temperature", 293.15, ""),
        ("3 barg", "pressure", 3e5, "gauge"),
        ("3 bar(g)", "pressure", 3e5, "gauge"),
        ("3 bar (g)", "pressure", 3e5, "gauge"),
        ("3 bar g", "pressure", 3e5, "gauge"),
        ("3 bar gauge", "pressure", 3e5, "gauge"),
        ("3 bara", "pressure", 3e5, "absolute"),
        ("3 bar(a)", "pressure", 3e5, "absolute"),
        ("3 bar abs", "pressure", 3e5, "absolute"),
        ("101.3 kPa(a)", "pressure", 101300.0, "absolute"),
        ("45 psig", "pressure", 45 * PSI, "gauge"),
        ("45 psia", "pressure", 45 * PSI, "absolute"),
        ("1013.25 hPa(a)", "pressure", 101325.0, "absolute"),
        ("1 mmHg(a)", "pressure", 133.322387415, "absolute"),
        ("101.3 kPa (a)", "pressure", 101300.0, "absolute"),
        ("30 mbar", "pressure difference", 3000.0, ""),
        ("60 L/min", "air flow", 1e-3, "inlet"),
        ("60 l/min", "air flow", 1e-3, "inlet"),
        ("2 cfm", "air flow", 2 * CFM, "inlet"),
        ("2 cfm", "volume flow", 2 * CFM, ""),
        ("3.6 m3/h", "air flow", 1e-3, "inlet"),
        ("3.6 m\u00b3/h", "air flow", 1e-3, "inlet"),
        ("60 L/min(ANR)", "air flow", 1e-3, "ANR"),
        ("60 L/min ANR", "air flow", 1e-3, "ANR"),
        ("60 NL/min", "air flow", 1e-3, "normal"),
        ("60 Nl/min", "air flow", 1e-3, "normal"),
        ("3.6 Nm3/h", "air flow", 1e-3, "normal"),
        ("2.1 scfm", "air flow", 2.1 * CFM, "US"),
        ("2 mg/L", "concentration", 2e-3, ""),
        ("2 mg/l", "concentration", 2e-3, ""),
        ("36 mg/l/h", "concentration rate", 1e-5, ""),
        ("36 mg/(L\u00b7h)", "concentration rate", 1e-5, ""),
        ("1 dm3/(s\u00b7bar)", "sonic conductance", 1e-8, ""),
        ("35 g/kg", "salinity", 0.035, ""),
        ("12 1/h", "rate", 12 / 3600, ""),
        ("50 %", "fraction", 0.5, ""),
        ("50%", "fraction", 0.5, ""),
        ("0.5", "fraction", 0.5, ""),
        ("0.8", "ratio", 0.8, ""),
        (4, "count", 4.0, ""),
        (0.25, "ratio", 0.25, ""),
        ("1 hp", "power", 745.6998715822702, ""),
        ("1 lbf", "force", 4.4482216152605, ""),
        ("1 lb", "mass", 0.45359237, ""),
        ("1 kWh", "energy", 3.6e6, ""),
        ("1 ft/s", "speed", 0.3048, ""),
    ],
)
def test_is_read(text: object, kind: str, value: float, state: str) -> None:
    measure = parse(text, kind)
    assert measure.value == pytest.approx(value, rel=1e-12)
    assert measure.state == state
    assert str(measure) == str(text).strip()


@pytest.mark.parametrize(
    ("text", "kind", "words"),
    [
        ("6,5 bar", "pressure difference", "comma in the number"),
        ("1,000 psig", "pressure", "comma in the number"),
        ("1000,5 mbar", "pressure difference", "comma in the number"),
        ("2**10 m", "length", "more than one number"),
        ("3 m 2", "length", "'m 2' is not known"),
        ("3 4 m", "length", "more than one number"),
        ("6 bar bar", "pressure difference", "did you mean bar"),
        ("nan bar", "pressure difference", "does not begin with a number"),
        ("inf m", "length", "does not begin with a number"),
        ("1e400 m", "length", "not a finite number"),
        ("", "length", "does not begin with a number"),
        ("  ", "length", "does not begin with a number"),
        ("m", "length", "does not begin with a number"),
        ("5", "length", "has no unit"),
        (5, "length", "has no unit"),
        (7.6, "pressure", "has no unit"),
        ("3 bar", "pressure", 'write "3 bar(g)" or "3 bar(a)"'),
        ("45 psi", "gauge pressure", "gauge or absolute"),
        ("30 mbar(g)", "pressure difference", "neither gauge nor absolute"),
        ("45 PSIG", "pressure", "is not known"),
        ("4 PSI", "pressure difference", "did you mean psi"),
        ("4 Bar", "pressure difference", "did you mean bar"),
        ("4 KW", "power", "did you mean kW"),
        ("7 M", "length", "did you mean m"),
        ("60 slpm", "air flow", "L/min(ANR)"),
        ("60 nl/min", "air flow", "is not known"),
        ("60 bar", "length", "is a pressure"),
        ("60 bar(g)", "length", "is a pressure"),
        ("60 m", "pressure", "is a length"),
        ("60 m", "time", "is a length"),
        ("50 %", "ratio", "is a fraction"),
        ("0x10 m", "length", "is not known"),
        ("1_000 m", "length", "is not known"),
        ("3 m; 4 m", "length", "is not known"),
        ("__import__('os')", "length", "does not begin with a number"),
        ("3 C", "temperature", "is not known"),
        (True, "count", "not a quantity"),
        (False, "fraction", "not a quantity"),
        (None, "length", "not a quantity"),
        ([1, 2], "length", "not a quantity"),
        ({"m": 3}, "length", "not a quantity"),
        (math.nan, "count", "not a finite number"),
        (math.inf, "ratio", "not a finite number"),
        (10**400, "count", "not a finite number"),
        ("9" * 5000 + " m", "length", "too long"),
        ("5 " + "m" * 5000, "length", "too long"),
        ([0] * 5000, "length", "not a quantity"),
    ],
)
def test_is_refused_and_says_what_would_work(text: object, kind: str, words: str) -> None:
    with pytest.raises(UnitProblem) as problem:
        parse(text, kind)
    message = str(problem.value)
    assert words in message
    assert len(message) < 600
    if "gauge or absolute" not in message and "standard" not in message and "neither" not in message:
        assert KINDS[kind].example in message or "has no unit" in message


def test_example_of_the_field_is_offered_instead_of_the_kind_s() -> None:
    with pytest.raises(UnitProblem, match="12 m"):
        parse("5", "length", example="12 m")


@pytest.mark.parametrize("kind", KINDS.values(), ids=lambda k: k.name)
def test_every_spelling_is_a_unit_of_the_kind(kind: Kind) -> None:
    ureg = units.registry()
    for spelling in kind.accepts:
        assert ureg.Quantity(1.0, SPELLINGS[spelling]).check(ureg.Quantity(1.0, kind.si).dimensionality), spelling
        measure = parse(f"2 {spelling}", kind.name)
        assert measure.value == pytest.approx(to_si(2.0, SPELLINGS[spelling], kind.si), rel=1e-12)
        assert measure.kind == kind.name
    if kind.accepts or kind.name in ("pressure", "gauge pressure", "air flow"):
        assert math.isfinite(parse(kind.example, kind.name).value), "the example offered has to be acceptable itself"


@pytest.mark.parametrize("kind", KINDS.values(), ids=lambda k: k.name)
def test_every_unit_shown_is_of_the_kind(kind: Kind) -> None:
    ureg = units.registry()
    for ladder in (kind.show_si, kind.show_us):
        assert list(ladder) == sorted(ladder, key=lambda step: step[0])
        for _, unit, label in ladder:
            assert ureg.Quantity(1.0, unit).check(ureg.Quantity(1.0, kind.si).dimensionality), label
    assert kind.show_si[0][0] == 0


@pytest.mark.parametrize("form", AIR_FLOW_FORMS)
def test_every_form_of_air_flow_is_read(form: str) -> None:
    measure = parse(f"2 {form}", "air flow")
    base, state = AIR_FLOW_FORMS[form]
    assert measure.value == pytest.approx(to_si(2.0, SPELLINGS[base], "m**3/s"), rel=1e-12)
    assert measure.state == state


@pytest.mark.parametrize(
    ("unit", "si", "factor"),
    [
        ("inch", "m", 0.0254),
        ("ft", "m", 0.3048),
        ("psi", "Pa", PSI),
        ("atm", "Pa", 101325.0),
        ("mmHg", "Pa", 133.322387415),
        ("gal", "m**3", 231 * 0.0254**3),
        ("lb", "kg", 0.45359237),
        ("lbf", "N", 0.45359237 * 9.80665),
        ("hp", "W", 550 * 0.3048 * 0.45359237 * 9.80665),
        ("day", "s", 86400.0),
        ("kWh", "J", 3.6e6),
    ],
)
def test_factors_of_the_definitions_file(unit: str, si: str, factor: float) -> None:
    assert to_si(1.0, unit, si) == pytest.approx(factor, rel=1e-12)


def test_only_our_own_definitions_are_loaded() -> None:
    ureg = units.registry()
    with pytest.raises(pint.UndefinedUnitError):
        ureg.Unit("furlong")
    with pytest.raises(pint.UndefinedUnitError):
        ureg.Unit("cfm")
    assert len(dir(ureg)) < 400, "pint's default registry has a thousand and more"
    assert units.registry() is ureg


def test_definitions_are_read_from_the_file_beside_the_module(monkeypatch: pytest.MonkeyPatch) -> None:
    opened: list[str] = []
    real = pint.UnitRegistry

    def noted(file: str, **options: bool) -> object:
        opened.append(file)
        return real(file, **options)  # type: ignore[arg-type]

    monkeypatch.setattr(pint, "UnitRegistry", noted)
    units.registry.__wrapped__()
    assert opened == [str(Path(units.__file__).with_name("units.txt"))]


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (0, "0"),
        (-0.0, "0"),
        (1, "1"),
        (12.0, "12"),
        (100, "100"),
        (123456, "123000"),
        (9.994, "9.99"),
        (9.996, "10"),
        (99.95, "100"),
        (999.6, "1000"),
        (9995, "10000"),
        (0.0009996, "0.001"),
        (0.0001, "0.0001"),
        (0.00012345, "0.000123"),
        (-3.456, "-3.46"),
        (999999, "1000000"),
        (9.9e6, "9900000"),
        (1e7, "1.00e+07"),
        (1e-5, "1.00e-05"),
        (math.inf, "unlimited"),
        (-math.inf, "-unlimited"),
        (math.nan, "none"),
    ],
)
def test_significant_figures(value: float, text: str) -> None:
    assert digits(value) == text


@given(st.floats(1.001e-4, 9.9e6), st.integers(2, 6))
@settings(derandomize=True, deadline=None, max_examples=200)
def test_no_exponent_and_no_figure_lost(value: float, figures: int) -> None:
    text = digits(value, figures)
    assert "e" not in text
    assert float(text) == pytest.approx(value, rel=0.5000001 * 10.0 ** (1 - figures))
    assert not ("." in text and text.endswith(("0", ".")))
    assert len(text.replace(".", "").strip("0")) <= figures


@pytest.mark.parametrize(
    ("value", "kind", "si", "us"),
    [
        (0.0076, "length", "7.6 mm", "0.299 in"),
        (7.6, "length", "7.6 m", "24.9 ft"),
        (0.0, "length", "0 m", "0 ft"),
        (1.0, "length", "1 m", "3.28 ft"),
        (293.15, "temperature", "20 degC", "68 degF"),
        (273.15, "temperature", "0 degC", "32 degF"),
        (101325.0, "pressure", "1.01 bar(a)", "14.7 psia"),
        (3e5, "gauge pressure", "3 bar(g)", "43.5 psig"),
        (1880.0, "pressure difference", "18.8 mbar", "0.273 psi"),
        (1e-3, "air flow", "60 L/min", "2.12 cfm"),
        (0.151, "force", "151 mN", "0.0339 lbf"),
        (0.151, "fraction", "15.1 %", "15.1 %"),
        (1.0, "flag", "yes", "yes"),
        (0.0, "flag", "no", "no"),
        (math.inf, "length", "unlimited", "unlimited"),
        (math.nan, "pressure", "none", "none"),
    ],
)
def test_is_shown(value: float, kind: str, si: str, us: str) -> None:
    assert show(value, kind) == si
    assert show(value, kind, "us") == us


def _readable(kind: Kind, system: str) -> bool:
    """Whether every label a kind is shown with is also a spelling that is read."""
    ladder = kind.show_us if system == "us" and kind.show_us else kind.show_si
    return kind.name in ("pressure", "gauge pressure") or all(label in kind.accepts for _, _, label in ladder)


ROUND_TRIP = [(k.name, s) for k in KINDS.values() for s in ("si", "us") if _readable(k, s) and k.name != "flag"]


@pytest.mark.parametrize(("kind", "system"), ROUND_TRIP)
def test_what_is_shown_can_be_read_again(kind: str, system: str) -> None:
    low, high = (200.0, 400.0) if kind == "temperature" else (1e3, 1e6) if "pressure" in kind else (1e-3, 1e3)
    for i in range(25):
        value = low * (high / low) ** (i / 24)
        factor_unit, _ = unit_for(value, kind, system)
        if "e" in digits(value / to_si(1.0, factor_unit, KINDS[kind].si) if kind != "temperature" else value, 6):
            continue
        again = parse(show(value, kind, system, figures=6), kind)
        assert again.value == pytest.approx(value, rel=1e-5)


def test_round_trip_covers_what_people_enter_most() -> None:
    often = {"length", "volume", "temperature", "pressure", "force", "concentration", "speed", "fraction", "time", "power"}
    assert {(kind, "si") for kind in often} <= set(ROUND_TRIP)


@given(st.text(max_size=30), st.sampled_from(sorted(KINDS)))
@settings(derandomize=True, deadline=None, max_examples=300)
def test_any_text_is_read_or_refused_with_words(text: str, kind: str) -> None:
    try:
        value = parse(text, kind).value
    except UnitProblem as problem:
        value, words = 0.0, str(problem)
    else:
        words = "read as a quantity of this kind"
    assert math.isfinite(value)
    assert len(words) > 20


def test_the_table_of_common_units_is_what_pint_says() -> None:
    """Every unit that may be written or shown: the short way and pint's way give the same factor."""
    from purgecalc.units import _scale, scale_by_pint

    shown = {(unit, k.si) for k in KINDS.values() for ladder in (k.show_si, k.show_us) for _, unit, _ in ladder}
    written = {(SPELLINGS[u], k.si) for k in KINDS.values() for u in k.accepts}
    for unit, si in shown | written:
        assert _scale(unit, si) == pytest.approx(scale_by_pint(unit, si), rel=1e-14), (unit, si)


def test_common_units_do_without_pint() -> None:
    import subprocess
    import sys

    code = "import sys; from purgecalc.units import parse, show; parse('7.6 m', 'length'); parse('15 degC', 'temperature');"
    code += "parse('60 L/min', 'air flow'); show(3e5, 'pressure'); sys.exit('pint' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


@pytest.mark.parametrize(
    ("low", "high", "kind", "text"),
    [
        (573e3, 627e3, "gauge pressure", "5.73 to 6.27 bar(g)"),
        (900, 5400, "time", "15 to 90 min"),
        (50, 90, "time", "50 to 90 s"),
        (95e3, 1.2e5, "gauge pressure", "0.95 to 1.2 bar(g)"),
        (0.5, 0.7, "ratio", "0.5 to 0.7"),
    ],
)
def test_a_span_says_its_unit_once(low: float, high: float, kind: str, text: str) -> None:
    from purgecalc.units import span

    assert span(low, high, kind) == text
