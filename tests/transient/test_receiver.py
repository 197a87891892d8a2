"""Receiver and compressor over a blast, against values computed independently: straight-line air balance, isothermal wall."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from purgecalc.transient import Blast, Control, Head, Hose, Source, Valve, simulate

ATM, T, R = 100.37e3, 288.15, 287.05
HOLES = 0.8 * 7.0686e-6
CRACK, BACK = 5e3, ATM + 998.2 * 9.80665 * 1.2


def blast(
    start: float = 6.0,
    litres: float = 24.0,
    control: Control = Control.COMMANDED,
    holes: float = HOLES,
    duration: float = 10.0,
    made: float = 25.0,
) -> Blast:
    """80 m above the sea, 15 degC: 7.6 m of 6 mm hose, switch from 4.5 to 6 bar; ``made`` L/min of free air at the site."""
    flow = ATM / (R * T) * made / 6e4
    return Blast(
        source=Source(
            volume=litres * 1e-3,
            pressure=ATM + start * 1e5,
            control=control,
            curve_pressure=(0.0, 2e6),
            curve_flow=(flow, flow),
            cut_in=ATM + 4.5e5,
            cut_out=ATM + 6e5,
            wall_temperature=T,
        ),
        valve=Valve(conductance=1e-8, critical_ratio=0.3),
        hose=Hose(bore=6e-3, length=7.6, roughness=5e-6, fittings=4.0),
        head=Head(hole_area=holes, crack=CRACK),
        back_pressure=BACK,
        duration=duration,
        atmosphere=ATM,
        temperature=T,
    )


def end(got: Any) -> float:
    return float(got.source_pressure_end - ATM) / 1e5


def test_commanded_compressor_runs_from_the_start_of_a_blast_at_cut_out() -> None:
    got = simulate(blast(), keep_history=True)
    assert end(got) == pytest.approx(4.40, rel=0.02)
    assert got.recovery_time == pytest.approx(92, rel=0.02)
    flow = ATM / (R * T) * 25 / 6e4
    assert got.air_made > flow * 10.0  # all through the blast
    assert np.isnan(got.restart_time)
    assert got.trace is not None
    over = (got.trace.p_outlet - CRACK - BACK) / 1e5  # ahead of the holes
    assert np.interp(10.0, got.trace.t, over) == pytest.approx(2.22, rel=0.02)
    assert np.interp(1.0, got.trace.t, over) == pytest.approx(3.11, rel=0.02)


def test_pressure_switch_alone_waits_for_cut_in() -> None:
    got = simulate(blast(control=Control.SWITCH))
    assert end(got) == pytest.approx(4.27, rel=0.01)
    assert got.recovery_time == pytest.approx(100, rel=0.02)
    assert 5 < got.restart_time < 10


def test_from_cut_in_and_with_half_the_holes_blocked() -> None:
    assert end(simulate(blast(start=4.5))) == pytest.approx(3.28, rel=0.02)
    assert end(simulate(blast(holes=0.5 * HOLES))) == pytest.approx(4.92, rel=0.02)


def test_commanded_compressor_stops_when_the_pressure_rises_through_cut_out() -> None:
    """Started below cut-out with a flow above what the head takes, it stops there; nothing but the valve's share is lost."""
    got = simulate(blast(start=5.9, made=400.0, holes=0.1 * HOLES, duration=20.0))
    assert got.source_pressure_peak < ATM + 6e5 * 1.001
    assert got.air_made < 0.5 * ATM / (R * T) * 400 / 6e4 * 20.0


def test_commanded_compressor_above_cut_out_stops_with_the_valve() -> None:
    """More air than the head takes: it is not held back during the blast, and stands still once the valve has shut."""
    got = simulate(blast(made=400.0, holes=0.1 * HOLES, duration=3.0))
    flow = ATM / (R * T) * 400 / 6e4
    assert got.air_made == pytest.approx(flow * 3.02, rel=0.01)
    assert got.recovery_time == 0


@pytest.mark.parametrize(("litres", "made", "expected"), [(5.0, 0.0, 0.17), (24.0, 0.0, 1.96), (24.0, 25.0, 2.31)])
def test_vessel_after_half_a_minute(litres: float, made: float, expected: float) -> None:
    got = simulate(blast(litres=litres, made=made, control=Control.COMMANDED if made else Control.NONE, duration=30.0))
    assert end(got) == pytest.approx(expected, rel=0.02)


def test_nothing_passes_a_shut_valve() -> None:
    """What has left the receiver stays out of it: the tail changes nothing, whatever the steps in it."""
    short, long = (simulate(replace(blast(control=Control.NONE), tail=tail)) for tail in (0.02, 60.0))
    assert long.air_through_valve == pytest.approx(short.air_through_valve, rel=1e-6)
