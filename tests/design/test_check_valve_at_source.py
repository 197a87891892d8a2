"""A check valve keeps its pressure where it sits: behind the source, the hose runs at what is left."""

from dataclasses import replace

import numpy as np
import pytest

from purgecalc.air_sources import _blast, direct
from purgecalc.design import Design, design_all
from purgecalc.formulas import hose, valve
from purgecalc.formulas.operating_point import Airway, Supply, solve
from purgecalc.scenario import load
from purgecalc.transient import Blast, simulate
from tests.lines import RECEIVER, SCENARIOS, designed


def _with_blast(lines: list, monkeypatch: pytest.MonkeyPatch) -> tuple[Design, Blast]:  # type: ignore[type-arg]
    asked: list[Blast] = []
    integrate = _blast.integrate
    monkeypatch.setattr(direct, "integrate", lambda blast: asked.append(blast) or integrate(blast))
    (d,) = design_all(lines)
    return d, asked[0]


@pytest.mark.parametrize("site", ["pellwick", "fernwhistle"])
def test_the_blast_comes_to_the_steady_solution(site: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """With nothing between hose and holes, hose end and head are one place."""
    d, blast = _with_blast(load(str(SCENARIOS / f"{site}.toml"), ["line.head.check_valve_at=source"]).lines, monkeypatch)
    assert d.value("hose.outlet_pressure") == d.value("head.pressure")
    assert d.value("hose.fed_pressure") - d.value("hose.inlet_pressure") == pytest.approx(d.value("head.check_valve"))
    trace = simulate(blast, keep_history=True).trace
    assert trace is not None
    t = float(blast.duration) - 0.01
    at = {name: np.interp(t, trace.t, getattr(trace, name)) for name in ("p_source", "p_inlet", "p_outlet", "flow_head")}
    assert at["p_outlet"] == pytest.approx(d.value("head.pressure"), abs=100)
    assert at["p_inlet"] == pytest.approx(d.value("hose.inlet_pressure"), abs=100)
    assert at["p_source"] == pytest.approx(d.value("source.pressure"), abs=100)
    assert at["flow_head"] == pytest.approx(d.value("line.mass_flow"), rel=1e-3)


def test_where_it_sits_is_where_it_acts_with_a_valve_too() -> None:
    moved = [designed(*RECEIVER, f"line.head.check_valve_at={place}") for place in ("head", "source")]
    head, source = moved
    kept = head.value("head.check_valve")
    assert head.value("hose.outlet_pressure") - head.value("head.pressure") == pytest.approx(kept)
    assert source.value("hose.outlet_pressure") == source.value("head.pressure")
    for d, behind in ((head, 0.0), (source, kept)):
        slope = (
            d.value("line.mass_flow")
            / d.value("valve.conductance")
            / 1.185
            / np.sqrt(293.15 / d.inputs["site.air_temperature"].value)
        )
        p_1 = valve.inlet_pressure_from(slope, d.inputs["valve.critical_ratio"].value, d.value("hose.inlet_pressure") + behind)
        assert d.value("source.pressure") == pytest.approx(float(p_1), rel=1e-9)


@pytest.mark.parametrize("kind", ["curve", "pressure"])
def test_the_steady_solver_closes_on_both_ends(kind: str) -> None:
    """Many lines at once, each marched again from its head by the formulas of the sheet."""
    g = np.random.default_rng(5)
    n = 200
    way = Airway(
        p_back=1.1e5 + g.uniform(0, 8e4, n),
        crack=0.0,
        hole_area=g.uniform(1e-6, 8e-6, n),
        T=288.15,
        mu=1.8e-5,
        D=g.uniform(4e-3, 1e-2, n),
        L=g.uniform(2, 80, n),
        eps=5e-6,
        K=2.0,
        valve_slope=g.uniform(0, 1e8, n),
        valve_b=0.3,
        crack_in=g.uniform(1e3, 3e4, n),
    )
    supply = Supply(pressure=np.full(n, 6e5))
    if kind == "curve":
        supply = Supply((np.asarray(1e5), np.asarray(5e5)), (np.asarray(1.2e-3), np.asarray(0.0)))
    point = solve(way, supply)
    assert np.nanmax(np.abs(point.mismatch)) < 1e-9
    re = hose.reynolds(point.mass_flow, way.D, way.mu)
    f = hose.friction_factor(hose.laminar_friction(re), hose.turbulent_friction(re, way.eps, way.D), re)
    inlet = hose.inlet_pressure(
        point.mass_flow, hose.bore_area(way.D), point.head, way.T, hose.resistance(f, way.L, way.D, way.K)
    )
    free = point.outlet == point.head  # the others choke at the hose end
    assert free.sum() > n / 2
    np.testing.assert_allclose(point.inlet[free], np.asarray(inlet)[free], rtol=1e-9)
    fed = valve.inlet_pressure_from(point.mass_flow * way.valve_slope, way.valve_b, point.inlet + way.crack_in)
    np.testing.assert_allclose(point.source, fed, rtol=1e-9)
    closer = solve(replace(way, crack=way.crack_in, crack_in=0.0), supply)
    assert not np.allclose(closer.mass_flow, point.mass_flow, rtol=1e-5)
