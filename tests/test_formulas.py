"""Every formula's printed equation says what its function does: on numbers, in units, and element by element.

Arguments are drawn, from a fixed seed, from the ranges below by unit and name; a new formula needs no entry here
unless its arguments must be chosen together.
"""

from __future__ import annotations

import ast
import contextlib
import inspect
import math
import re
import zlib
from collections.abc import Callable
from dataclasses import replace
from typing import Any, get_type_hints

import numpy as np
import pint
import pytest
from numpy.typing import NDArray
from scipy.optimize import brentq

from purgecalc import formulas
from purgecalc.formulas import fanno, hose
from purgecalc.si import Metre, MetrePerSecond, Second
from purgecalc.units import registry
from purgecalc.working import CONSTANTS, FORMULAS, Formula

formulas.load()
DRAWS = 60
ENOUGH = 20  # draws for which the formula has to have an answer

# Ranges by unit; a range that starts above zero and spans more than tenfold is drawn evenly in the logarithm.
BY_UNIT: dict[str, tuple[float, float]] = {
    "m": (0.5, 50.0),
    "m**2": (1e-5, 1e-4),
    "m**3": (1e-5, 0.1),
    "s": (1.0, 1000.0),
    "1/s": (1e-6, 1e-3),
    "K": (274.0, 313.0),
    "Pa": (1e5, 8e5),
    "Pa*s": (1e-5, 2e-3),
    "kg": (1e-4, 1.0),
    "kg/s": (2e-4, 2e-3),
    "kg/m**3": (1e-4, 2e-2),
    "kg/m**3/s": (1e-7, 1e-4),
    "m**3/s": (1e-5, 1e-2),
    "m**3/s/Pa": (1e-9, 1e-7),
    "m/s": (0.1, 340.0),
    "N": (0.01, 5.0),
    "W": (10.0, 1000.0),
    "V": (12.0, 400.0),
    "A": (0.1, 20.0),
    "Hz": (40.0, 70.0),
    "": (0.05, 0.95),
}
BY_NAME: dict[tuple[str, str], tuple[float, float]] = {
    ("D", "m"): (3e-3, 25e-3),
    ("d", "m"): (2e-4, 5e-3),
    ("w", "m"): (5e-4, 2e-3),
    ("OD", "m"): (6e-3, 30e-3),
    ("eps", "m"): (1e-7, 1e-4),
    ("z", "m"): (-400.0, 5000.0),
    ("H", "m"): (-400.0, 5000.0),
    ("p_crack", "Pa"): (0.0, 3e4),
    ("e", "Pa"): (100.0, 5000.0),
    ("e_w", "Pa"): (100.0, 5000.0),
    ("p_w", "Pa"): (600.0, 7000.0),
    ("dp", "Pa"): (1e3, 3e5),
    ("rho", "kg/m**3"): (1.0, 10.0),
    ("rho_a", "kg/m**3"): (1.0, 10.0),
    ("rho_w", "kg/m**3"): (995.0, 1030.0),
    ("rho_c", "ohm*m"): (1.7e-8, 4e-8),
    ("x_c", "ohm/m"): (0.0, 1e-4),
    ("S", ""): (0.0, 0.04),
    ("N", ""): (1.0, 200.0),
    ("K", ""): (0.0, 20.0),
    ("Re", ""): (500.0, 1e6),
    ("f", ""): (0.01, 0.06),
    ("f_lam", ""): (0.01, 0.06),
    ("f_turb", ""): (0.01, 0.06),
    ("x_T", ""): (0.5, 0.8),
    ("b", ""): (0.05, 0.6),
    ("n", ""): (1.0, 8.0),
    ("theta", ""): (0.0006, 0.001),
    ("X_0", ""): (0.001, 0.5),
    ("Eo", ""): (0.05, 30.0),
    ("Mo", ""): (1e-11, 1e-10),
    ("q", ""): (-0.5, 2.0),
}
# Arguments that some formula needs elsewhere than their name says.
BY_FORMULA: dict[str, dict[str, tuple[float, float]]] = {
    "hose.turbulent_friction": {"Re": (4000.0, 1e7)},
    "valve.inlet_pressure": {"m": (1e-4, 2e-3), "C": (5e-9, 1e-7)},
    "valve.outlet_pressure": {"m": (1e-4, 1e-3), "C": (1e-8, 1e-7)},
    "supply.conductor_needed": {"L": (5.0, 50.0), "I": (0.1, 2.0), "du": (0.03, 0.1), "U": (100.0, 250.0)},
    "reading.t90_of_fall": {
        "t_fall": (50.0, 200.0),
        "t_clear": (1.0, 9.0),
        "t_mix": (1.0, 9.0),
        "dC": (2e-3, 2e-2),
        "t_blast": (20.0, 60.0),
        "tol": (1e-4, 3e-4),
    },
    "sensor.two_lag_peak_time": {"t_blast": (5.0, 100.0), "tau": (5.0, 50.0)},
    "sensor.dead_time_residual": {"t_hold": (5.0, 200.0), "tau": (5.0, 100.0), "tau_f": (5.0, 100.0)},
    "sensor.fall_stretch": {"f_set": (1.0, 1.4), "f_fall": (1.0, 1.5), "dC": (-9e-3, 9e-3)},
    "sensor.slow_constant": {"t_90": (20.0, 60.0), "t_x": (60.0, 160.0), "x": (0.94, 0.995), "s": (0.05, 0.3)},
    "sensor.quick_constant": {"t_90": (20.0, 60.0), "tau_s": (30.0, 60.0), "s": (0.05, 0.25)},
    "sensor.slow_share_settling": {
        "A": (2e-3, 8e-3),
        "dC": (8e-3, 9e-3),
        "t_blast": (60.0, 90.0),
        "tau": (5.0, 20.0),
        "tau_s": (20.0, 60.0),
        "s": (0.05, 0.3),
        "k": (1.0, 1.5),
        "tol": (1e-4, 3e-4),
    },
    "sensor.slow_share_residual": {"t_hold": (5.0, 200.0), "tau": (5.0, 50.0), "tau_s": (50.0, 200.0), "k": (1.0, 1.5)},
    "moisture.frost_point": {"e": (10.0, 600.0)},
}
# (larger, smaller): exchanged when drawn the wrong way round.
ORDER = [
    ("p_in", "p_out"),
    ("p_h", "p_b"),
    ("p", "p_w"),
    ("OD", "w"),
    ("C_star", "C"),
    ("t_90", "t_d"),
    ("T", "t_run"),
    ("T", "t_blast"),
    ("t_allowed", "t_run"),
    ("W", "t_allowed"),
]


def rng_of(record: Formula) -> np.random.Generator:
    return np.random.default_rng(zlib.crc32(record.id.encode()))


def draw(record: Formula, count: int = DRAWS) -> dict[str, NDArray[np.float64]]:
    """``count`` values of each argument, within its range and in a possible order."""
    rng, out = rng_of(record), {}
    for name, unit in record.argument_units().items():
        low, high = BY_FORMULA.get(record.id, {}).get(name) or BY_NAME.get((name, unit)) or BY_UNIT.get(unit, (0.1, 10.0))
        in_log = low > 0 and high / low > 10
        out[name] = np.exp(rng.uniform(math.log(low), math.log(high), count)) if in_log else rng.uniform(low, high, count)
    for large, small in ORDER:
        if large in out and small in out:
            out[large], out[small] = np.maximum(out[large], out[small]), np.minimum(out[large], out[small])
    return out


def fanno_inlet(m: Any, A: Any, p_out: Any, T_0: Any, N: Any) -> Any:
    """The adiabatic source-end pressure by another road: two bracketed roots, one value at a time."""
    bare = [float(getattr(x, "magnitude", x)) for x in (m, A, p_out, T_0, N)]
    unit = registry().Quantity(1.0, "Pa") if hasattr(p_out, "magnitude") else 1.0
    flow, area, p, T, n = bare
    g, R = CONSTANTS["gamma"].value, CONSTANTS["R_air"].value
    wanted = flow / (area * p) * math.sqrt(R * T / g)
    M_out = brentq(lambda M: M * math.sqrt(1 + (g - 1) / 2 * M * M) - wanted, 1e-9, 2.0, xtol=1e-15, rtol=1e-14)
    target = n + float(fanno.length(M_out))
    M_in = math.exp(brentq(lambda y: float(fanno.length(math.exp(y))) - target, math.log(1e-5), 0.0, xtol=1e-15, rtol=1e-14))
    return p * float(fanno.pressure_ratio(M_in) / fanno.pressure_ratio(M_out)) * unit


def _bare(x: Any) -> float:
    """A dimensionless number, whether pint carries it or not."""
    return float(x.m_as("")) if hasattr(x, "m_as") else float(x)


def _of_number(function: Callable[[float], float]) -> Callable[[Any], float]:
    return lambda x: function(_bare(x))


FUNCTIONS: dict[str, Any] = {
    "sqrt": lambda x: x**0.5,
    "ln": _of_number(math.log),
    "log10": _of_number(math.log10),
    "exp": _of_number(math.exp),
    "floor": _of_number(math.floor),
    "abs": abs,
    "min": min,
    "max": max,
    "positive": lambda x: 1.0 if x > 0 * x else 0.0,
    "pi": math.pi,
    "fanno_inlet": fanno_inlet,
}
ALLOWED_NODES = (
    ast.Expression,
    ast.BinOp,
    ast.UnaryOp,
    ast.Call,
    ast.Name,
    ast.Load,
    ast.Constant,
    ast.Add,
    ast.Sub,
    ast.Mult,
    ast.Div,
    ast.Pow,
    ast.USub,
)


def sides(record: Formula) -> list[str]:
    """The printed equation, split where it is implicit."""
    return [side.strip() for side in record.shown.split("=")]


def names_in(text: str) -> set[str]:
    return {node.id for node in ast.walk(ast.parse(text, mode="eval")) if isinstance(node, ast.Name)}


def evaluate(text: str, values: dict[str, Any]) -> Any:
    return eval(compile(ast.parse(text, mode="eval"), "shown", "eval"), {"__builtins__": {}}, values)


def constants(in_units: bool) -> dict[str, Any]:
    make = registry().Quantity
    return {s: make(CONSTANTS[s].value, CONSTANTS[s].unit) if in_units else CONSTANTS[s].value for s in CONSTANTS}


def check_value(record: Formula, arguments: dict[str, float], tolerance: float = 1e-9) -> None:
    """The printed equation on floats against the function."""
    result = float(record.function(**arguments))
    values = {**FUNCTIONS, **constants(in_units=False), **arguments}
    parts = sides(record)
    if len(parts) == 1:
        assert float(evaluate(parts[0], values)) == pytest.approx(result, rel=tolerance, abs=1e-300), arguments
    else:
        left, right = (float(evaluate(p, {**values, record.symbol: result})) for p in parts)
        assert left == pytest.approx(right, rel=tolerance), arguments


def check_unit(record: Formula, arguments: dict[str, float]) -> None:
    """The printed equation on quantities comes out in the declared unit, with the same number."""
    make = registry().Quantity
    result = float(record.function(**arguments))
    carried = {n: make(arguments[n], u) for n, u in record.argument_units().items()}
    values = {**FUNCTIONS, **constants(in_units=True), **carried}
    parts = sides(record)
    if len(parts) == 1:
        out = evaluate(parts[0], values)
        assert float(make(out).m_as(record.unit)) == pytest.approx(result, rel=1e-9, abs=1e-300)
    else:
        left, right = (make(evaluate(p, {**values, record.symbol: make(result, record.unit)})) for p in parts)
        assert left.check(right.dimensionality), f"{left.dimensionality} = {right.dimensionality}"
        assert float(left.to_base_units().magnitude) == pytest.approx(float(right.to_base_units().magnitude), rel=1e-9)


def usable(record: Formula) -> list[dict[str, float]]:
    """Drawn arguments for which the formula has a finite answer."""
    drawn = draw(record)
    found = []
    for i in range(DRAWS):
        arguments = {name: float(values[i]) for name, values in drawn.items()}
        if math.isfinite(float(record.function(**arguments))):
            found.append(arguments)
    return found


def every_formula(test: Callable[[Formula], None]) -> Callable[[Formula], None]:
    return pytest.mark.parametrize("record", FORMULAS.values(), ids=lambda f: f.id)(test)


@every_formula
def test_shown_is_an_equation_of_known_names(record: Formula) -> None:
    parts = sides(record)
    assert len(parts) in (1, 2), record.shown
    used: set[str] = set()
    for part in parts:
        for node in ast.walk(ast.parse(part, mode="eval")):
            assert isinstance(node, ALLOWED_NODES), f"{type(node).__name__} in {part!r}"
        used |= names_in(part)
    arguments = set(record.argument_units())
    assert arguments <= used, f"arguments that the printed equation does not name: {sorted(arguments - used)}"
    own = {record.symbol} if len(parts) == 2 else set()
    unknown = used - arguments - own - set(FUNCTIONS) - set(CONSTANTS)
    assert not unknown, f"{sorted(unknown)} are neither arguments, constants nor functions"
    assert own <= used, f"the implicit equation does not name its result {record.symbol}"


@every_formula
def test_shown_equals_the_function(record: Formula) -> None:
    cases = usable(record)
    assert len(cases) >= ENOUGH, f"only {len(cases)} of {DRAWS} draws have an answer; give {record.id} ranges of its own"
    for arguments in cases:
        check_value(record, arguments)


@every_formula
def test_shown_comes_out_in_the_declared_unit(record: Formula) -> None:
    for arguments in usable(record)[:3]:
        check_unit(record, arguments)


@every_formula
def test_annotation_is_the_unit_of_the_kind(record: Formula) -> None:
    make = registry().Quantity
    assert make(1.0, record.result_unit()).m_as(record.unit) == pytest.approx(1.0, rel=1e-12)
    for name, unit in record.argument_units().items():
        assert make(1.0, unit).dimensionality is not None, name


@every_formula
def test_array_is_its_elements(record: Formula) -> None:
    drawn = draw(record, 12)
    together = np.asarray(record.function(**drawn))
    assert together.shape == (12,), f"{record.id} on arrays of 12 gives shape {together.shape}"
    single = [float(record.function(**{n: float(v[i]) for n, v in drawn.items()})) for i in range(12)]
    assert together == pytest.approx(np.array(single), rel=1e-12, nan_ok=True)
    grid = {n: v.reshape(3, 4) for n, v in drawn.items()}
    assert np.shape(record.function(**grid)) == (3, 4)


@every_formula
def test_record_is_filled_in(record: Formula) -> None:
    assert record.title
    assert record.valid
    assert record.symbol
    assert record.title[0].isupper(), record.title
    assert record.cite.source.work
    assert record.function.__doc__


ARGUMENT = re.compile(r"    (\w+) \[(.+)\]: (.{4,})")
ODD = (0.0, -1.0, 1.0, 1e-300, 1e300, math.inf, -math.inf, math.nan)


def check_told(record: Formula) -> None:
    """What ``help`` shows against the signature, its aliases and the record."""
    own, _, told = (record.function.__doc__ or "").partition("\n\nTakes ")
    assert own.strip(), "no sentence of its own"
    of_alias = get_type_hints(record.function, include_extras=True)
    wanted = [(name, of_alias[name].__metadata__[0].name or "-") for name in inspect.signature(record.function).parameters]
    shown = [match.groups() for match in map(ARGUMENT.fullmatch, told.splitlines()) if match]
    assert [(name, unit) for name, unit, _ in shown] == wanted
    for name, _, meaning in shown:
        assert meaning != name
        assert not meaning.endswith((".", ";", " "))
    assert f"Valid: {record.valid}. Source: {record.cite}." in told
    assert "Raises " in told


@every_formula
def test_help_tells_arguments_units_validity_and_source(record: Formula) -> None:
    check_told(record)


@every_formula
def test_arrays_raise_nothing_and_floats_at_most_arithmetic_error(record: Formula) -> None:
    drawn = rng_of(record).choice(ODD, (10, len(record.meanings())))
    with np.errstate(all="ignore"):
        record.function(*drawn.T)
        for row in drawn:
            with contextlib.suppress(ArithmeticError):
                record.function(*(float(x) for x in row))


@pytest.mark.parametrize(
    "takes",
    ["L: length of the hose", "c: speed of the wave; L: length of the hose", "L: length of the hose; c: c", "L: ; c: speed"],
)
def test_wrong_meanings_are_found(takes: str) -> None:
    def late(L: Metre, c: MetrePerSecond) -> Second:
        """Travel of a wave."""
        return L / c

    real = FORMULAS["blast.wave_time"]
    late.__doc__ = f"{late.__doc__}\n\n{replace(real, function=late).told()}"
    check_told(replace(real, function=late))
    late.__doc__ = f"Travel.\n\n{replace(real, takes=takes, function=late).told()}"
    with pytest.raises(AssertionError):
        check_told(replace(real, function=late))


def _fake(shown: str, unit_kind: str = "speed") -> Formula:
    real = FORMULAS["blast.wave_time"]
    return Formula("fake", "t", "Fake", unit_kind, real.takes, shown, real.cite, "any", "", real.function)


@pytest.mark.parametrize("shown", ["L/c*(1 + 1e-8)", "c/L", "t*c = 2*L"])
def test_wrong_number_is_found(shown: str) -> None:
    check_value(_fake("t*c = L", "time"), {"L": 3.0, "c": 300.0})
    with pytest.raises(AssertionError):
        check_value(_fake(shown, "time"), {"L": 3.0, "c": 300.0})


def test_wrong_unit_is_found() -> None:
    with pytest.raises(pint.DimensionalityError):
        check_unit(_fake("L/c", "speed"), {"L": 3.0, "c": 300.0})
    with pytest.raises(pint.DimensionalityError):
        check_unit(_fake("L/c + 0*c", "time"), {"L": 3.0, "c": 300.0})


def test_unknown_name_is_found() -> None:
    with pytest.raises(AssertionError, match="neither arguments"):
        test_shown_is_an_equation_of_known_names(_fake("L/c*wobble", "time"))
    with pytest.raises(AssertionError, match="does not name"):
        test_shown_is_an_equation_of_known_names(_fake("L", "time"))


def test_constants_have_units_pint_knows() -> None:
    for symbol in CONSTANTS:
        assert registry().Quantity(1.0, CONSTANTS[symbol].unit) is not None
        assert np.isfinite(CONSTANTS[symbol].value)
        assert CONSTANTS[symbol].cite is not None, symbol


def test_no_constant_hides_behind_a_function_name() -> None:
    assert not set(CONSTANTS) & set(FUNCTIONS)


def test_colebrook_is_solved_over_its_whole_range() -> None:
    Re = np.logspace(math.log10(4000), 8, 200)
    for rough in (0.0, 1e-6, 1e-4, 1e-2, 0.05):
        x = np.asarray(hose.turbulent_friction(Re, rough, 1.0)) ** -0.5
        assert x == pytest.approx(-2 * np.log10(rough / 3.7 + 2.51 * x / Re), rel=1e-12)


WHEN = re.compile(r"interval|window|wipe|year|day|cycle|blast|hold|hour|minute|time|long run|mean|steady", re.IGNORECASE)
WHICH = re.compile(r"absolute|gauge|pressure|difference|vapour", re.IGNORECASE)


@pytest.mark.parametrize("record", FORMULAS.values(), ids=lambda f: f.id)
def test_a_rate_a_window_and_a_pressure_say_over_what_and_which(record: Formula) -> None:
    """A worst window where a day is meant, or cut-in where cut-out is, is a right formula with a wrong number in it."""
    own = (record.function.__doc__ or "").partition("\n\nTakes ")[0]
    for name, meaning in (record.meanings() | {"return": f"{own} {record.valid} {record.cite}"}).items():
        kind = record.function.__annotations__[name]
        if kind in ("PerSecond", "ConcentrationRate") or (kind == "Second" and name in ("T", "W")):
            assert WHEN.search(meaning), name
        if kind == "Pascal" and name != "return":
            assert WHICH.search(meaning), name
