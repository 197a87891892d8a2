"""Electrical supply: scenario figures worked by hand, inverses, and the printed equations of the site-safety formulas."""

import builtins
import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from purgecalc import formulas
from purgecalc.formulas import supply
from purgecalc.units import registry
from purgecalc.working import CONSTANTS, FORMULAS, Formula

formulas.load()
RHO, X = supply.RHO_COPPER.value, supply.REACTANCE.value
MINE = ("contact", "supply", "moisture", "pressure", "noise", "upkeep", "lifting")
RECORDS = [f for f in FORMULAS.values() if f.function.__module__.rsplit(".", 1)[1] in MINE]

# ordinary values by argument unit, and by name where the unit is not enough
BY_UNIT = {
    "m": 0.7,
    "m**2": 5e-5,
    "m**3": 0.03,
    "s": 1800.0,
    "K": 288.0,
    "Pa": 2e5,
    "kg": 2.3,
    "kg/s": 1.1e-3,
    "kg/m**3": 917.0,
    "m/s": 139.0,
    "N": 0.04,
    "W": 3e-4,
    "J": 300.0,
    "": 0.4,
    "V": 230.0,
    "A": 1.6,
    "Hz": 50.0,
    "ohm": 0.4,
    "ohm*m": 2.25e-8,
    "ohm/m": 8e-5,
    "1/K": 0.01,
    "1/s": 1e-5,
}
BY_NAME = {
    "p_in": 1e5,
    "e": 1100.0,
    "e_w": 2100.0,
    "w_in": 0.007,
    "w_out": 0.001,
    "dV": 3.0,
    "p_b": 1.1e5,
    "p_2": 1.2e5,
    "p_atm": 1e5,
    "p_crack": 3e3,
    "U_low": 90.0,
    "U_high": 110.0,
    "f_plate": 60.0,
    "L_W": 97.0,
    "L_p": 85.0,
    "L_1": 70.0,
    "L_a": 80.0,
    "L_b": 75.0,
    "t_run": 30.0,
    "t_blast": 30.0,
    "t_on": 300.0,
    "D_i": 0.5,
    "n": 4.0,
    "n_open": 1.0,
    "n_rated": 1e6,
    "Re_h": 1.6e4,
    "rho": 1.4,
    "d": 1.5e-3,
    "x": 0.012,
    "x_c": 8e-5,
    "d_b": 0.03,
    "I_rated": 9.0,
    "T_dew": 262.0,
    "T_frost": 263.0,
    "k": 6.0,
}


def evaluate(shown: str, values: dict[str, Any]) -> Any:
    """The printed equation as Python, on floats or on quantities."""
    mathematics = {
        "sqrt": lambda x: x**0.5,
        "ln": np.log,
        "log10": np.log10,
        "exp": np.exp,
        "abs": abs,
        "floor": np.floor,
        "min": builtins.min,
        "max": builtins.max,
        "cos": np.cos,
        "acos": np.arccos,
        "pi": math.pi,
    }
    return eval(shown, {"__builtins__": {}}, {**mathematics, **values})


@pytest.mark.parametrize("hot", [1.0, 1.07, 0.9])
@pytest.mark.parametrize("record", RECORDS, ids=lambda r: r.id)
def test_printed_equation_gives_the_same_number_in_the_declared_unit(record: Formula, hot: float) -> None:
    units = record.argument_units()
    args = {n: BY_NAME.get(n, BY_UNIT[u]) * (1.0 if n in ("cos_phi", "T_dew", "T_frost") else hot) for n, u in units.items()}
    got = record.function(**args)
    constants = {c.symbol: c for c in CONSTANTS.values()}
    plain = {s: c.value for s, c in constants.items()}
    assert evaluate(record.shown, {**plain, **args}) == pytest.approx(got, rel=1e-9)
    Q = registry().Quantity
    with_units = {**{s: Q(c.value, c.si_unit) for s, c in constants.items()}, **{n: Q(v, units[n]) for n, v in args.items()}}
    quantity = Q(evaluate(record.shown, with_units))
    assert record.unit == record.result_unit()
    assert quantity.m_as(record.unit) == pytest.approx(got, rel=1e-9)


@pytest.mark.parametrize("record", RECORDS, ids=lambda r: r.id)
def test_arrays_give_what_single_values_give(record: Formula) -> None:
    units = record.argument_units()
    one = {n: BY_NAME.get(n, BY_UNIT[u]) for n, u in units.items()}
    scale = np.array([1.0, 0.97, 0.9])
    many = record.function(**{n: v * scale for n, v in one.items()})
    assert np.asarray(many).shape == (3,)
    each = [record.function(**{n: v * s for n, v in one.items()}) for s in scale]
    assert many == pytest.approx(each, rel=1e-12)


def drop(S: float, I: float, L: float = 60.0, cos_phi: float = 1.0, b: float = 2.0) -> float:  # noqa: E741
    return float(supply.voltage_drop(b, RHO, X, L, S, cos_phi, I))


def dip(S: float, I: float, L: float = 60.0, cos_phi: float = 1.0, U: float = 230.0) -> float:  # noqa: E741
    across = supply.cross_drop(2.0, RHO, X, L, S, cos_phi, I)
    return float(supply.start_share(U, supply.start_voltage(U, drop(S, I, L, cos_phi), across)))


def test_long_thin_cable_of_a_small_compressor() -> None:
    run, start = drop(1.5e-6, 1.6), drop(1.5e-6, supply.start_current(6.0, 1.6))
    assert run == pytest.approx(2 * 0.0225 * 60 / 1.5 * 1.6)
    assert supply.drop_share(run, 115.0) == pytest.approx(0.025, abs=5e-4)
    assert supply.drop_share(run, 110.0) == pytest.approx(0.026, abs=5e-4)
    assert supply.drop_share(start, 115.0) == pytest.approx(0.15, abs=5e-4)
    assert supply.drop_share(start, 110.0) == pytest.approx(0.157, abs=5e-4)
    assert supply.drop_share(drop(2.5e-6, 9.6), 110.0) == pytest.approx(0.094, abs=5e-4)
    assert dip(1.5e-6, 9.6, U=110.0) == pytest.approx(0.157 / 1.157, abs=2e-4)  # the standing motor draws less as it sags
    assert dip(2.5e-6, 9.6, U=110.0) == pytest.approx(0.0861, abs=1e-4)


def test_starting_dip_is_that_of_two_impedances_in_series() -> None:
    """The drop of the current at full voltage, 13.9 % here, is no upper bound: the resistance counts whatever the angle."""
    Z_motor = 230 / 9.6 * np.exp(1j * np.arccos(0.22))
    Z_cable = 2 * (RHO * 500.0 / 1.5e-6 + 1j * X * 500.0)
    want = 1 - abs(Z_motor / (Z_motor + Z_cable))
    assert drop(1.5e-6, 9.6, 500.0, 0.22) / 230 == pytest.approx(0.139, abs=0.002)
    assert want == pytest.approx(0.226, abs=0.002)
    assert dip(1.5e-6, 9.6, 500.0, 0.22) == pytest.approx(want, rel=1e-12)


def test_smallest_core_for_running_and_starting() -> None:
    def needed(I: float, share: float) -> float:  # noqa: E741
        return float(supply.conductor_needed(2.0, RHO, X, 60.0, 1.0, I, share, 110.0))

    start = needed(9.6, 0.10)
    assert start == pytest.approx(2.12e-6, rel=1e-3)
    assert dip(start, 9.6, U=110.0) == pytest.approx(0.10)


def test_no_core_is_enough_where_the_reactance_alone_takes_it_all() -> None:
    assert np.isinf(supply.conductor_needed(2.0, RHO, X, 1000.0, 0.5, 100.0, 0.05, 230.0))


cables = st.tuples(st.floats(1, 300), st.floats(1e-6, 16e-6), st.floats(0.3, 1.0), st.floats(0.1, 20))


@given(cables, st.floats(0.1, 10))
def test_drop_is_linear_in_length_and_in_current(cable: tuple[float, float, float, float], k: float) -> None:
    L, S, cos_phi, I = cable  # noqa: E741
    base = drop(S, I, L, cos_phi)
    assert drop(S, I, k * L, cos_phi) == pytest.approx(k * base)
    assert drop(S, k * I, L, cos_phi) == pytest.approx(k * base)
    assert drop(S, I, L, cos_phi, b=1.0) == pytest.approx(base / 2)
    assert drop(1.01 * S, I, L, cos_phi) < base


@given(cables)
def test_core_and_length_invert_the_dip(cable: tuple[float, float, float, float]) -> None:
    L, S, cos_phi, I = cable  # noqa: E741
    share = dip(S, I, L, cos_phi)
    assert supply.conductor_needed(2.0, RHO, X, L, cos_phi, I, share, 230.0) == pytest.approx(S, rel=1e-6)
    assert supply.longest_cable(2.0, RHO, X, S, cos_phi, I, share, 230.0) == pytest.approx(L)


@pytest.mark.parametrize(
    ("U", "low", "high", "fits"),
    [
        (230, 220, 240, True),
        (110, 100, 120, True),
        (230, 100, 120, False),
        (110, 220, 240, False),
        (240, 230, 230, True),
        (200, 220, 240, False),
    ],
)
def test_voltage_class(U: float, low: float, high: float, fits: bool) -> None:
    assert (supply.voltage_departure(U, low, high) <= supply.PLATE_BAND.value) == fits


def test_a_departure_is_counted_on_what_the_motor_is_rated_for() -> None:
    assert supply.voltage_departure(218.6, 230.0, 230.0) == pytest.approx(11.4 / 230)  # 4.96 %, within zone A
    assert supply.voltage_departure(242.0, 230.0, 230.0) == pytest.approx(12 / 230)  # 5.22 %, outside
    assert supply.voltage_departure(np.array([95.0, 110.0, 126.0]), 100.0, 120.0) == pytest.approx([0.05, 0.0, 0.05])


def test_frequency_fifty_is_not_sixty() -> None:
    assert supply.frequency_departure(50.0, 50.0) == 0
    assert supply.frequency_departure(60.0, 50.0) > supply.PLATE_HERTZ.value
    assert supply.frequency_departure(50.0, 60.0) > supply.PLATE_HERTZ.value
