"""Units at the edge: text in, SI floats inside, text out. The only module that imports pint.

``parse("45 psig", "pressure")`` gives a ``Measure`` in SI that remembers whether it was gauge or absolute, or at
which reference state a flow of air was stated. ``show(0.0076, "length")`` gives text. Number and unit are split
by a strict pattern before pint sees the unit: left alone, pint reads "6,5 bar" as 65 bar and cfm as a length.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, SupportsFloat

from purgecalc.kinds import ABSOLUTE, AIR_FLOW_FORMS, COMMON_UNITS, GAUGE, KINDS, OFFSET_UNITS, PRESSURE_UNITS, SPELLINGS, Kind
from purgecalc.wording import nearest, quoted

if TYPE_CHECKING:
    import pint

_FRACTION = re.compile(r"\s*(?:(\d+)[\s-]+)?(\d+)/(\d+)\s*(in|inch)\s*$")
_LARGEST = 10**300
_SMALL_LITRE = re.compile(r"(?:(?<=\b[Nmu])|\b)l\b")
_NUMBER_AND_UNIT = re.compile(r"\s*([+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)(.*)$", re.S)


class UnitProblem(ValueError):
    """Text that is not a quantity of the wanted kind. The message says what was given, what is wanted, what would work."""


@dataclass(frozen=True)
class Measure:
    """A parsed quantity: SI value, its kind, the text it came from, and ``state``: ``gauge`` or ``absolute`` for a pressure,
    ``inlet``, ``ANR``, ``normal`` or ``US`` for a flow of air."""

    value: float
    kind: str
    text: str
    state: str = ""

    def __str__(self) -> str:
        return self.text


@lru_cache(maxsize=1)
def registry() -> pint.UnitRegistry[float]:
    """The pint registry of this trade, read from units.txt."""
    import pint

    return pint.UnitRegistry(str(Path(__file__).with_name("units.txt")), autoconvert_offset_to_baseunit=True)


@lru_cache(maxsize=512)
def _scale(unit: str, si: str) -> tuple[float, float]:
    """Factor and offset from ``unit`` to ``si``: from the table of common units, or else from pint."""
    if unit in OFFSET_UNITS and si == "K":
        return OFFSET_UNITS[unit]
    try:
        return _plain_factor(unit) / _plain_factor(si), 0.0
    except (KeyError, ValueError):
        return scale_by_pint(unit, si)


def _plain_factor(expression: str) -> float:
    """SI factor of a quotient of common units such as "ft**3/min"; raises KeyError or ValueError on anything else."""
    factor = 1.0
    for i, part in enumerate(expression.split("/")):
        name, _, power = part.partition("**")
        value = COMMON_UNITS[name] ** int(power or 1)
        factor = factor / value if i else factor * value
    return factor


def scale_by_pint(unit: str, si: str) -> tuple[float, float]:
    """Factor and offset as pint has them. Importing pint costs a tenth of a second, so common units do without."""
    ureg = registry()
    zero = float(ureg.Quantity(0.0, unit).m_as(si))
    probe = ureg.Quantity(1.0, "delta_" + unit) if zero else ureg.Quantity(1.0, unit)
    return float(probe.m_as(si)), zero


def to_si(value: float, unit: str, si: str) -> float:
    """Convert a number in a pint unit to another pint unit."""
    factor, offset = _scale(unit, si)
    return value * factor + offset


def parse(text: object, kind: str, example: str = "") -> Measure:
    """Read ``text`` as a quantity of ``kind``; ``example`` is offered in messages instead of the kind's own.

    Raises ``UnitProblem`` with what was given, what is wanted and an example that would work.
    """
    wanted = replace(KINDS[kind], example=example) if example else KINDS[kind]
    if isinstance(text, bool) or not isinstance(text, str | int | float):
        raise UnitProblem(f"{quoted(text)} is not a quantity; {_wanted(wanted)}")
    if isinstance(text, int | float):
        if "" not in wanted.accepts:
            raise UnitProblem(
                f'{quoted(text)} has no unit; {wanted.article} {wanted.name} is text with a unit, e.g. "{wanted.example}"'
            )
        bounded = text if abs(text) < _LARGEST else math.inf  # a whole number may be too large for a float
        return Measure(_finite(float(bounded), quoted(text), wanted), kind, str(text))
    if len(text) > 200:
        raise UnitProblem(f"{quoted(text)} is too long for a quantity; {_wanted(wanted)}")
    number, unit = _split(text, wanted)
    if kind in ("pressure", "gauge pressure"):
        return _pressure(number, unit, text)
    if kind == "air flow":
        return _air_flow(number, unit, text)
    if unit not in wanted.accepts:
        raise UnitProblem(_wrong_unit(text, unit, wanted))
    return Measure(_finite(to_si(number, SPELLINGS[unit], wanted.si), text, wanted), kind, text.strip())


def _finite(value: float, text: str, wanted: Kind) -> float:
    if not math.isfinite(value):
        raise UnitProblem(f'"{text}" is not a finite number; {_wanted(wanted)}')
    return value


def _wanted(wanted: Kind) -> str:
    return f'{wanted.article} {wanted.name} is wanted, e.g. "{wanted.example}"'


def _split(text: str, wanted: Kind) -> tuple[float, str]:
    nominal = _FRACTION.match(text)  # inch sizes are printed as 3/8 in or 1 1/4 in
    if nominal and int(nominal[3]):
        return int(nominal[1] or 0) + int(nominal[2]) / int(nominal[3]), nominal[4]
    match = _NUMBER_AND_UNIT.match(text)
    if not match:
        raise UnitProblem(f'"{text}" does not begin with a number; {_wanted(wanted)}')
    number, rest = match.groups()
    if re.match(r",\d", rest):
        raise UnitProblem(
            f'"{text}" has a comma in the number; write a decimal point and no thousands mark, e.g. "{wanted.example}"'
        )
    if re.match(r"\s+(?!1/)\d", rest) or rest.startswith("*"):
        raise UnitProblem(f'"{text}" holds more than one number; {_wanted(wanted)}')
    unit = " ".join(rest.replace("µ", "u").replace("μ", "u").replace("³", "3").replace("²", "2").replace("·", " ").split())
    unit = _SMALL_LITRE.sub("L", unit)  # the litre may be written with either letter
    return float(number), unit


def _wrong_unit(text: str, unit: str, wanted: Kind) -> str:
    if not unit:
        return f'"{text}" has no unit; {_wanted(wanted)}'
    if unit in PRESSURE_UNITS:
        return f'"{text}" is a pressure; {_wanted(wanted)}'
    for other in KINDS.values():
        if unit in other.accepts and unit not in wanted.accepts and other.name != "ratio":
            return f'"{text}" is {other.article} {other.name}; {_wanted(wanted)}'
    if _pressure_parts(unit):
        if wanted.name == "pressure difference":
            base = (_pressure_parts(unit) or ("bar", ""))[0]
            return f'"{text}": a pressure difference is neither gauge nor absolute; write the unit alone, e.g. "30 {base}"'
        return f'"{text}" is a pressure; {_wanted(wanted)}'
    near = nearest(unit, wanted.accepts, cutoff=0.5)
    lower = [a for a in wanted.accepts if a.lower() == unit.lower()]
    hint = f"; did you mean {(lower or near)[0]}?" if lower or near else ""
    return (
        f'"{text}": unit {unit!r} is not known here; {_wanted(wanted)}; units: {", ".join(a for a in wanted.accepts if a)}{hint}'
    )


def _pressure_parts(unit: str) -> tuple[str, str] | None:
    for base in PRESSURE_UNITS:
        if unit.startswith(base):
            tail = unit[len(base) :]
            if tail in GAUGE:
                return base, "gauge"
            if tail in ABSOLUTE:
                return base, "absolute"
    return None


def _pressure(number: float, unit: str, text: str) -> Measure:
    parts = _pressure_parts(unit)
    if parts is None:
        if unit in PRESSURE_UNITS:
            bare = text.strip()
            raise UnitProblem(f'"{text}" does not say gauge or absolute; write "{bare}(g)" or "{bare}(a)"')
        wanted = Kind("pressure", "Pa", tuple(f"{u}(g)" for u in PRESSURE_UNITS), "3 bar(g)", ())
        raise UnitProblem(_wrong_unit(text, unit, wanted))
    base, state = parts
    value = _finite(to_si(number, SPELLINGS[base], "Pa"), text, KINDS["pressure"])
    return Measure(value, "pressure", text.strip(), state)


def _air_flow(number: float, unit: str, text: str) -> Measure:
    form = AIR_FLOW_FORMS.get(unit)
    if form is None:
        wanted = Kind("air flow", "m**3/s", tuple(AIR_FLOW_FORMS), "60 L/min", (), (), "an")
        if unit in ("slpm", "SLPM", "SL/min", "sL/min"):
            raise UnitProblem(f'"{text}": "standard" litres have no one state; write L/min(ANR) for 20 degC or NL/min for 0 degC')
        raise UnitProblem(_wrong_unit(text, unit, wanted))
    value = _finite(to_si(number, SPELLINGS[form[0]], "m**3/s"), text, KINDS["air flow"])
    return Measure(value, "air flow", text.strip(), form[1])


@dataclass(frozen=True)
class Conversion:
    """From a written unit to SI: ``factor`` and ``offset``, and the state the unit states (see ``Measure``)."""

    factor: float
    offset: float
    state: str = ""


def conversion(unit: str, kind: str) -> Conversion:
    """How a column of numbers in one unit is read; ``unit`` as ``parse`` takes it. Raises ``UnitProblem``."""
    one = parse(f"1 {unit}".strip(), kind)
    parts = _pressure_parts(unit) if one.kind == "pressure" else None
    written = parts[0] if parts else AIR_FLOW_FORMS[unit][0] if kind == "air flow" else unit
    return Conversion(*_scale(SPELLINGS[_split(f"1 {written}", KINDS[kind])[1]], KINDS[kind].si), one.state)


def shown_in(unit: str, kind: str, state: str = "") -> Conversion:
    """The same for a result to be written in ``unit``; ``state`` is what an input's text said of it, which stays."""
    kind = "gauge pressure" if (kind, state) == ("pressure", "gauge") else kind
    own = _PRESSURE_STATES.get(kind, state)
    shown = () if kind == "air flow" and own not in ("", "inlet") else (*KINDS[kind].show_si, *KINDS[kind].show_us)
    labels = {label: name for _, name, label in shown}
    if unit in labels:
        return Conversion(*_scale(labels[unit], KINDS[kind].si))
    found = conversion(unit, kind)
    if found.state not in ("", own or "inlet"):
        units = ", ".join(labels or (form for form, (_, of) in AIR_FLOW_FORMS.items() if of == own))
        raise UnitProblem(f"{unit}: this {KINDS[kind].name} is {own or 'told without a state'}; units: {units}")
    return found


_PRESSURE_STATES = {"pressure": "absolute", "gauge pressure": "gauge"}


def si_label(kind: str) -> str:
    """The SI unit of a kind as a column head has it; a pressure says gauge or absolute."""
    plain = KINDS[kind].si.replace("**", "")
    return plain + {"pressure": "(a)", "gauge pressure": "(g)"}.get(kind, "")


def digits(value: float, figures: int = 3, toward: int = 0) -> str:
    """A number with ``figures`` significant figures, never in exponent form between 1e-4 and 1e7, no trailing zeros.

    ``toward`` is 1 to round up, -1 to round down, 0 for the nearest.
    """
    if value == 0:
        return "0"
    if not math.isfinite(value):
        return "none" if math.isnan(value) else ("unlimited" if value > 0 else "-unlimited")
    places = figures - 1 - math.floor(math.log10(abs(value)))
    rounded = round(value, places)
    if toward and (rounded - value) * toward < -1e-9 * abs(value):
        rounded = round(rounded + toward * 10.0**-places, places)
    if rounded == 0:
        return "0"
    exponent = math.floor(math.log10(abs(rounded)))
    if not -5 < exponent < 7:
        return f"{rounded:.{figures - 1}e}"
    text = f"{rounded:.{max(0, figures - 1 - exponent)}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def unit_for(value: float, kind: str, system: str = "si") -> tuple[str, str]:
    """The pint unit and the label a value of this kind and size is shown in."""
    which = KINDS[kind]
    ladder = which.show_us if system == "us" and which.show_us else which.show_si
    chosen = ladder[0]
    size = abs(value) or 1.0  # nothing is shown in the plain unit: 0 m, not 0 um
    for step in ladder:
        if size >= step[0] * (1 - 1e-9):
            chosen = step
    return chosen[1], chosen[2]


def scaled(value: float, like: float, kind: str, system: str = "si") -> float:
    """A value in the unit that ``like`` is shown in."""
    factor, offset = _scale(unit_for(like, kind, system)[0], KINDS[kind].si)
    return (float(value) - offset) / factor


def show(value: SupportsFloat, kind: str, system: str = "si", figures: int = 3, toward: int = 0) -> str:
    """Text for people: ``show(0.0076, "length")`` is ``"7.6 mm"``. ``system``: si or us; ``toward``: see ``digits``."""
    number = float(value)
    if kind == "flag":
        return "yes" if number else "no"
    if not math.isfinite(number):
        return digits(number)
    label = unit_for(number, kind, system)[1]
    text = digits(scaled(number, number, kind, system), figures, toward)
    return f"{text} {label}" if label else text


def span(low: SupportsFloat, high: SupportsFloat, kind: str, system: str = "si", figures: int = 3) -> str:
    """Two ends in the unit of the larger: ``span(573e3, 627e3, "gauge pressure")`` is ``"5.73 to 6.27 bar(g)"``."""
    both = float(low), float(high)
    like = max(both, key=abs)
    ends = " to ".join(digits(scaled(v, like, kind, system), figures) for v in both)
    return f"{ends} {unit_for(like, kind, system)[1]}".rstrip()
