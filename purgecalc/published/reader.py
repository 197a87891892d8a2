"""Reads the published cases: numbers in the source's own units and digits, in, SI floats out.

A value is text, ``"100 psi(g)"`` or ``"0.1833"``. Gauge pressures need the case's ``atmosphere``. The tolerance of an
expected figure is half its last printed digit; a case that needs more says how much and why.
"""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path

from purgecalc.units import registry

HERE = Path(__file__).parent
SEEN = ("seen", "worked solution seen", "memory", "closed form", "measured")
"""``measured`` is an experiment: its tolerance is how far its own points scatter, and not how it is printed."""

# The units old books use and the calculator does not need: factor and the unit it multiplies.
_TRADE: dict[str, tuple[float, str]] = {
    "": (1.0, ""),
    "%": (0.01, ""),
    "in": (1.0, "inch"),
    "in2": (1.0, "inch**2"),
    "ft3": (1.0, "ft**3"),
    "cm3": (1.0, "mL"),
    "mm2": (1.0, "mm**2"),
    "m2": (1.0, "m**2"),
    "m3": (1.0, "m**3"),
    "cfm": (1.0, "ft**3/min"),
    "cfh": (1.0, "ft**3/h"),
    "m3/h": (1.0, "m**3/h"),
    "m3/min": (1.0, "m**3/min"),
    "m3/s": (1.0, "m**3/s"),
    "degR": (5 / 9, "K"),
    "kg/m3": (1.0, "kg/m**3"),
    "lb/ft3": (1.0, "lb/ft**3"),
    "mg/L": (1.0, "mg/L"),
    "g/kg": (1.0, "g/kg"),
    "ft lbf/min": (1.0, "ft*lbf/min"),
    "ft lbf/(lb degR)": (1.8, "ft*lbf/(lb*K)"),
    "J/(kg K)": (1.0, "J/(kg*K)"),
    "kJ/(kg K)": (1e3, "J/(kg*K)"),
    "kJ/kg": (1.0, "kJ/kg"),
    "rpm": (1 / 60, "1/s"),
    "Btu/(lbmol degR)": (1055.05585262 / 453.59237 * 1.8, "J/(mol*K)"),
    "Btu/lbmol": (1055.05585262 / 453.59237, "J/mol"),
    "mN/m": (1.0, "mN/m"),
    "uPa s": (1.0, "uPa*s"),
    "Pa s": (1.0, "Pa*s"),
    "dm3/(s bar)": (1.0, "L/s/bar"),
    "ohm mm2/m": (1.0, "ohm*mm**2/m"),
    "umol/kg": (1e-6, "mol/kg"),
    "lb degR**0.5/(lbf s)": ((5 / 9) ** 0.5, "lb*K**0.5/(lbf*s)"),
}
_PRINTED_NUMBER = re.compile(r"(?P<number>[+-]?\d+(?:\.(?P<decimals>\d*))?(?:e(?P<exponent>[+-]?\d+))?)(?: (?P<unit>.*))?")


@dataclass(frozen=True)
class Printed:
    """A printed number: value and half its last digit, both in SI; ``slope`` and ``zero`` lead from its own unit to SI."""

    text: str
    value: float
    half_digit: float
    slope: float = 1.0
    zero: float = 0.0

    @property
    def unit(self) -> str:
        """The unit it is printed in."""
        return self.text.partition(" ")[2]

    def in_unit(self, value: float) -> float:
        """A value in SI as this one is printed."""
        return (value - self.zero) / self.slope


def read(text: str, atmosphere: str = "") -> Printed:
    """``text`` in SI, with the half-digit that its printing leaves open."""
    match = _PRINTED_NUMBER.fullmatch(text)
    if match is None:
        raise ValueError(f"{text!r} is not a number and a unit")
    number, unit = match["number"], match["unit"] or ""
    decimals, exponent = match["decimals"], match["exponent"]
    offset = 0.0
    if unit.endswith("(g)"):
        if not atmosphere:
            raise ValueError(f"{text!r}: a gauge pressure needs the atmosphere of the case")
        unit, offset = unit[:-3], read(atmosphere).value
    factor, base = _TRADE.get(unit, (1.0, unit))
    slope, zero = _to_si(base)
    step = 10.0 ** (int(exponent or 0) - len(decimals or ""))
    slope, zero = factor * slope, zero + offset
    return Printed(text, float(number) * slope + zero, 0.5 * step * slope, slope, zero)


@lru_cache(maxsize=128)
def _to_si(unit: str) -> tuple[float, float]:
    """Slope and zero from a pint unit to kg, m, s, K, mol."""
    ureg = registry()
    zero, one = (ureg.Quantity(x, unit).to_base_units() for x in (0.0, 1.0))
    to_kg = 1e-3 ** float(str(one.dimensionality.get("[mass]", 0)))
    return (float(one.magnitude) - float(zero.magnitude)) * to_kg, float(zero.magnitude) * to_kg


@dataclass(frozen=True)
class Case:
    """One published figure or group of figures."""

    id: str
    title: str
    source: str
    seen: str
    inputs: dict[str, float | list[float]]
    expected: dict[str, Printed]
    allowed: dict[str, float]
    why: str = ""
    formula: str = ""
    procedure: str = ""
    covers: tuple[str, ...] = field(default_factory=tuple)
    file: str = ""


_CASE_KEYS = {
    "id",
    "title",
    "source",
    "seen",
    "inputs",
    "expected",
    "tolerance",
    "why",
    "formula",
    "procedure",
    "covers",
    "atmosphere",
}


def _case(raw: dict[str, object], file: str) -> Case:
    unknown = set(raw) - _CASE_KEYS
    if unknown:
        raise ValueError(f"{file}: {raw.get('id')}: unknown keys {sorted(unknown)}")
    atmosphere = str(raw.get("atmosphere", ""))
    expected = raw["expected"]
    figures = expected if isinstance(expected, dict) else {"result": expected}
    printed = {name: read(str(text), atmosphere) for name, text in figures.items()}
    tolerance = raw.get("tolerance", {})
    wider = tolerance if isinstance(tolerance, dict) else dict.fromkeys(printed, tolerance)
    allowed = {name: p.half_digit for name, p in printed.items()}
    for name, text in wider.items():
        share = re.fullmatch(r"([\d.e-]+) %", str(text))
        allowed[name] = abs(printed[name].value) * float(share[1]) / 100 if share else _span(str(text))
    inputs = raw.get("inputs", {})
    assert isinstance(inputs, dict)
    covers = raw.get("covers", [])
    assert isinstance(covers, list)
    formula = str(raw.get("formula", ""))
    return Case(
        id=str(raw["id"]),
        title=str(raw["title"]),
        source=str(raw["source"]),
        seen=str(raw["seen"]),
        inputs={name: _input(text, atmosphere) for name, text in inputs.items()},
        expected=printed,
        allowed=allowed,
        why=str(raw.get("why", "")),
        formula=formula,
        procedure=str(raw.get("procedure", "")),
        covers=tuple(str(c) for c in covers) or ((formula,) if formula else ()),
        file=file,
    )


def _input(text: object, atmosphere: str) -> float | list[float]:
    """A number, or a row of them in one unit, which stands behind the last: ``["0.2", "0.4 s"]`` is in seconds."""
    if not isinstance(text, list):
        return read(str(text), atmosphere).value
    unit = f" {text[-1].split(' ', 1)[1]}" if " " in text[-1] else ""
    return [read(t if t is text[-1] else t + unit, atmosphere).value for t in text]


def _span(text: str) -> float:
    """A tolerance in a unit: a difference, so that degrees of a scale count without its zero."""
    unit = text.split(" ", 1)[1] if " " in text else ""
    return read(text).value - read(f"0 {unit}").value


def cases() -> list[Case]:
    """Every case of every file in this folder, in file and written order."""
    return [case for path in files() for case in cases_of(path)]


def files() -> list[Path]:
    """The files of cases."""
    return sorted(HERE.glob("*.toml"))


def cases_of(path: Path) -> list[Case]:
    """The cases of one file, in written order."""
    data = tomllib.loads(path.read_text(encoding="utf-8"))
    return [_case(raw, path.name) for raw in data["case"]]
