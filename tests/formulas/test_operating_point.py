"""The steady operating point against an independent scalar solution, at its edges, and in what must always hold."""

from __future__ import annotations

from typing import Any

import fluids
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from purgecalc.formulas import air, fanno, hose, operating_point
from purgecalc.formulas import head as hd
from purgecalc.formulas.operating_point import TOLERANCE, Airway, Supply, march, solve

GAMMA, R = 1.4, 287.05287
SITE = 100606.3
REFERENCE = {
    "p_back": SITE + 999.1 * 9.80665,
    "crack": 3000.0,
    "hole_area": 0.8 * np.pi * 1.5e-3**2,
    "T": 288.15,
    "mu": 1.79e-5,
    "D": 8e-3,
    "L": 7.6,
    "eps": 5e-6,
    "K": 4.0,
    "valve_slope": 0.0,
    "valve_b": 0.3,
}


def random_designs(n: int, seed: int) -> dict[str, Any]:
    """Ordinary designs and extreme ones: no valve, no hose, no fittings, pinholes and open ends, hair tubes and pipes."""
    rng = np.random.default_rng(seed)

    def between(low: float, high: float) -> Any:
        return rng.uniform(low, high, n)

    def sometimes(value: Any) -> Any:
        return value * (rng.uniform(size=n) > 0.1)

    D = 10 ** between(-2.6, -1.7)
    return {
        "p_back": between(7e4, 2.5e5),
        "crack": sometimes(between(0, 2e4)),
        "hole_area": hose.bore_area(D) * 10 ** between(-4, 1),
        "T": between(263, 323),
        "mu": between(1.65e-5, 2e-5),
        "D": D,
        "L": sometimes(10 ** between(-1, 2)),
        "eps": sometimes(10 ** between(-7, -4)),
        "K": sometimes(10 ** between(-2, 2)),
        "valve_slope": sometimes(10 ** between(5.5, 9)),
        "valve_b": between(0.05, 0.6),
    }


def random_curve(way: dict[str, Any], seed: int, count: int = 2) -> Supply:
    """Curves of falling flow; their top is from just above what the line needs to several bars above."""
    n = len(way["p_back"])
    rng = np.random.default_rng(seed)
    low = rng.uniform(6e4, 7e4, n)
    top = (way["p_back"] + way["crack"]) * (1 + 10 ** rng.uniform(-4, 1, n))
    share = np.sort(rng.uniform(0.02, 0.98, (count - 2, n)), axis=0)
    points = (low, *(low + s * (top - low) for s in share), top)
    full = 10 ** rng.uniform(-5, -1.5, n)
    levels = np.sort(rng.uniform(0, 1, (count - 2, n)) * (rng.uniform(size=n) > 0.1), axis=0)[::-1]
    return Supply(points, (full, *(full * s for s in levels), 0 * full))


def random_pressure(way: dict[str, Any], seed: int) -> Supply:
    """Receivers from a hair above what the line needs to 10 bar."""
    rng = np.random.default_rng(seed)
    return Supply(pressure=way["p_back"] + way["crack"] + 10 ** rng.uniform(1, 6, len(way["p_back"])))


def one(way: dict[str, Any], i: int) -> dict[str, float]:
    return {k: float(v[i]) for k, v in way.items()}


def one_of(supply: Supply, i: int) -> Supply:
    if supply.pressure is not None:
        return Supply(pressure=supply.pressure[i])
    return Supply(tuple(p[i] for p in supply.points), tuple(q[i] for q in supply.flows))


# --- an independent scalar solution --------------------------------------------------------------------------------


def nozzle(area: float, rise: float, p_b: float, T: float) -> float:
    """Mass flow by way of Mach number, temperature and density in the exit; ``rise`` is what the head has above ``p_b``."""
    expansion = np.expm1(np.log1p(rise / p_b) / 3.5) if rise < p_b * (1.2**3.5 - 1) else 0.2
    mach = np.sqrt(5 * expansion)
    p_e, T_e = (p_b + rise) / (1 + expansion) ** 3.5, T / (1 + expansion)
    return float(area * p_e / (R * T_e) * mach * np.sqrt(GAMMA * R * T_e))


def hose_inlet(way: dict[str, float], m: float, out: float, choked: bool) -> float:
    """Friction and isothermal flow by fluids; the density it wants is that at the inlet, whatever its text says."""
    D, T = way["D"], way["T"]
    re = 4 * m / (np.pi * D * way["mu"])
    w = min(max((re - 2000) / 1000, 0.0), 1.0)
    f = (1 - w) * 64 / re + (w and w * fluids.friction.Colebrook(re, way["eps"] / D))
    long = way["L"] + way["K"] * D / f
    if long == 0:
        return out
    n = f * long / D
    most = out / float(fluids.P_isothermal_critical_flow(P=1.0, fd=f, D=D, L=long)) if n < 600 else out * np.sqrt(1 + n)
    if choked:
        return most

    def excess(p: float) -> float:
        return float(fluids.isothermal_gas(rho=p / (R * T), fd=f, P1=p, P2=out, L=long, D=D)) - m

    low, high = out * (1 + 1e-14), most * (1 - 1e-12)
    return float(brentq(excess, low, high, xtol=1e-9, rtol=1e-14)) if excess(low) < 0 else low


def upstream(way: dict[str, float], rise: float) -> tuple[float, float]:
    """Mass flow and source pressure, from what the head has above the water."""
    p_h = way["p_back"] + rise
    m = nozzle(way["hole_area"], rise, way["p_back"], way["T"])
    star = 4 * m / (np.pi * way["D"] ** 2) * np.sqrt(R * way["T"])
    p = hose_inlet(way, m, max(p_h + way["crack"], star), star > p_h + way["crack"])
    if way["valve_slope"] == 0:
        return m, p
    k, b = m * way["valve_slope"], way["valve_b"]

    def valve(p_1: float) -> float:
        return float(p_1 * np.sqrt(1 - (max(p / p_1 - b, 0.0) / (1 - b)) ** 2) - k)

    return m, float(brentq(valve, p, 2 * p + 2 * k, xtol=1e-9, rtol=1e-14))


def independent_flow(way: dict[str, float], supply: Supply) -> float:
    """Root in the excess pressure of the head, on a logarithmic scale since it spans many decades."""

    def excess(log_rise: float) -> float:
        m, p = upstream(way, np.exp(log_rise))
        if supply.pressure is not None:
            return float(p - supply.pressure)
        return m - float(np.interp(p, supply.points, supply.flows))

    high = np.log(float(supply.top()) - way["p_back"])
    return upstream(way, np.exp(brentq(excess, np.log(1e-3), high, xtol=1e-13, rtol=1e-14)))[0]


@pytest.mark.parametrize("kind", ["two points", "five points", "receiver"])
def test_agrees_with_an_independent_solution(kind: str) -> None:
    way = random_designs(120, seed=1)
    supply = random_pressure(way, 2) if kind == "receiver" else random_curve(way, 2, 2 if kind == "two points" else 5)
    point = solve(Airway(**way), supply)
    felt = np.flatnonzero(point.head - way["p_back"] > 0.01)  # with less, round-off of the pressures shows in the flow
    assert len(felt) > 80
    for i in felt:
        assert point.mass_flow[i] == pytest.approx(independent_flow(one(way, i), one_of(supply, i)), rel=1e-6)


# --- what one design gives -----------------------------------------------------------------------------------------


def reference_supply() -> Supply:
    """60 L/min against nothing, none at 3 bar(g)."""
    full = 60.0 / 60000 * air.density(SITE, 288.15)
    return Supply((np.asarray(SITE), np.asarray(SITE + 3e5)), (np.asarray(full), np.asarray(0.0)))


def flow(supply: Supply | None = None, **changes: Any) -> Any:
    return solve(Airway(**{**REFERENCE, **changes}), supply or reference_supply()).mass_flow


def test_a_single_design_gives_plain_numbers() -> None:
    point = solve(Airway(**REFERENCE), reference_supply())
    assert isinstance(point.mass_flow, float)
    assert np.shape(point.source) == ()
    assert point.source - SITE == pytest.approx(0.319e5, abs=50)
    assert air.free_flow(point.mass_flow) * 60000 == pytest.approx(55.0, abs=0.05)
    velocity = hd.jet_velocity(point.head, REFERENCE["p_back"], REFERENCE["T"])
    assert point.mass_flow * velocity == pytest.approx(0.151, abs=0.0005)  # not choked: all the thrust is momentum


@pytest.mark.parametrize("count", [2, 6])
def test_scalar_equals_array(count: int) -> None:
    way = random_designs(150, seed=3)
    supply = random_curve(way, 4, count)
    together = solve(Airway(**way), supply)
    for i in range(150):
        alone = solve(Airway(**one(way, i)), one_of(supply, i))
        for name in ("head", "mass_flow", "outlet", "inlet", "source"):
            assert getattr(alone, name) == pytest.approx(getattr(together, name)[i], rel=1e-12, nan_ok=True)


def test_inputs_broadcast() -> None:
    grid = flow(L=np.linspace(1, 30, 4)[:, None], D=np.array([6e-3, 8e-3, 10e-3]))
    assert grid.shape == (4, 3)
    assert grid[2, 1] == pytest.approx(flow(L=np.linspace(1, 30, 4)[2]), rel=1e-12)
    assert flow(mu=np.full(3, 1.79e-5)).shape == flow(Supply(pressure=np.full(3, 2e5))).shape == (3,)
    assert flow(L=np.zeros((0,))).shape == (0,)


def test_no_flow_where_the_supply_cannot_overcome_the_depth() -> None:
    deep = solve(Airway(**{**REFERENCE, "p_back": np.array([1.1e5, 4.1e5, 4.0e5])}), reference_supply())
    assert list(deep.mass_flow > 0) == [True, False, False]
    assert np.isnan(deep.head[1:]).all()
    assert np.isfinite(deep.head[0])
    alone = solve(Airway(**{**REFERENCE, "p_back": 5e5}), reference_supply())
    assert alone.mass_flow == 0
    assert np.isnan(alone.head)
    spent = Supply(tuple(np.array([1e5, 1.1e5, 4e5])), tuple(np.array([1e-3, 0.0, 0.0])))
    assert flow(spent) == 0


def test_a_flat_curve_gives_its_flow_and_goes_on_beyond_its_points() -> None:
    flat = Supply(tuple(np.array([1e5, 1.2e5, 3e5])), tuple(np.array([8e-4, 8e-4, 8e-4])))
    assert flow(flat) == pytest.approx(8e-4, rel=1e-9)
    narrow = solve(Airway(**{**REFERENCE, "hole_area": 5e-7}), flat)
    assert narrow.mass_flow == pytest.approx(8e-4, rel=1e-9)
    assert narrow.source > 3e5


# --- closing -------------------------------------------------------------------------------------------------------


def closes(way: dict[str, Any], supply: Supply) -> None:
    point = solve(Airway(**way), supply)
    gives = point.mass_flow > 0
    assert np.array_equal(gives, np.isfinite(point.head))
    assert np.max(np.abs(point.mismatch[gives])) <= TOLERANCE
    assert np.all(point.head[gives] >= way["p_back"][gives])
    slack = 1 + 1e-14
    assert np.all((point.inlet * slack >= point.outlet)[gives] & (point.source * slack >= point.inlet)[gives])
    again = hd.mass_flow(1.0, way["hole_area"], point.head, way["p_back"], way["T"])
    rise = np.maximum(point.head / way["p_back"] - 1, 1e-300)
    assert np.all((np.abs(again / point.mass_flow - 1) < 1e-9 + 1e-15 / rise)[gives])


@pytest.mark.parametrize("count", [2, 3, 8])
def test_every_design_on_a_curve_closes(count: int) -> None:
    way = random_designs(20000, seed=5 + count)
    closes(way, random_curve(way, 6, count))


def test_every_design_on_a_receiver_closes() -> None:
    way = random_designs(20000, seed=7)
    closes(way, random_pressure(way, 8))


def test_the_answer_stands_without_the_way_it_was_found(monkeypatch: pytest.MonkeyPatch) -> None:
    way = random_designs(300, seed=9)
    for supply in (random_curve(way, 10, 4), random_pressure(way, 10)):
        quick = solve(Airway(**way), supply).mass_flow
        with monkeypatch.context() as patch:
            patch.setattr(operating_point, "SETTLED", -1.0)  # nothing is taken as settled, so all is left to bisection
            bracketed = solve(Airway(**way), supply).mass_flow
        assert np.all(np.abs(quick - bracketed) <= 3e-9 * bracketed + 1e-12 * np.max(bracketed))


# --- what must always hold -----------------------------------------------------------------------------------------

ways = st.fixed_dictionaries(
    {
        "p_back": st.floats(7e4, 2.5e5),
        "crack": st.floats(0, 2e4),
        "hole_area": st.floats(1e-7, 2e-4),
        "T": st.floats(263, 323),
        "mu": st.floats(1.65e-5, 2e-5),
        "D": st.floats(2.5e-3, 2e-2),
        "L": st.floats(0, 100),
        "eps": st.floats(0, 1e-4),
        "K": st.floats(0, 50),
        "valve_slope": st.floats(3e5, 1e9),
        "valve_b": st.floats(0.05, 0.55),
    }
)
over = st.floats(1e2, 1e6)
always = settings(derandomize=True, max_examples=60, deadline=None)


def held(way: dict[str, float], above: float, kind: str, **changes: float) -> float:
    """Flow of the changed design, the supply staying that of the unchanged one."""
    top = way["p_back"] + way["crack"] + above
    supply = Supply(pressure=np.asarray(top))
    if kind == "curve":
        supply = Supply((np.asarray(5e4), np.asarray(top)), (np.asarray(3e-3), np.asarray(0.0)))
    return float(solve(Airway(**{**way, **changes}), supply).mass_flow)


@pytest.mark.parametrize("kind", ["curve", "receiver"])
@pytest.mark.parametrize(
    ("name", "factor"),
    [("L", 1.1), ("K", 1.1), ("p_back", 1.001), ("valve_slope", 1.1), ("crack", 1.1), ("hole_area", 0.9), ("D", 0.95)],
)
@always
@given(way=ways, above=over)
def test_more_in_the_way_never_means_more_flow(kind: str, name: str, factor: float, way: dict[str, float], above: float) -> None:
    assert held(way, above, kind, **{name: way[name] * factor}) <= held(way, above, kind) * (1 + 1e-8)


@always
@given(way=ways, above=over, scale=st.floats(0.1, 10))
def test_scaling_pressures_and_flows_together_changes_nothing_else(way: dict[str, float], above: float, scale: float) -> None:
    """With Re kept (viscosity scaled alike) the line is homogeneous in pressure and flow."""
    scaled = {**way, "p_back": way["p_back"] * scale, "crack": way["crack"] * scale, "mu": way["mu"] * scale}
    assert held(scaled, above * scale, "receiver") == pytest.approx(scale * held(way, above, "receiver"), rel=1e-7)


def test_flow_is_continuous_through_choking() -> None:
    pressures = np.linspace(2.0e5, 3.5e5, 20001)
    point = solve(Airway(**REFERENCE), Supply(pressure=pressures))
    ratio = REFERENCE["p_back"] / point.head
    assert ratio[0] > hd.CRITICAL_RATIO.value > ratio[-1]
    steps = np.diff(point.mass_flow)
    assert np.all(steps > 0)
    assert np.max(np.abs(np.diff(steps))) < 2e-3 * np.max(steps)  # not even its slope jumps


def test_flow_is_continuous_when_the_hose_end_chokes() -> None:
    wide = {**REFERENCE, "hole_area": 2 * hose.bore_area(8e-3), "crack": 0.0, "L": 1.0, "valve_slope": 0.0}
    point = solve(Airway(**wide), Supply(pressure=np.linspace(1.2e5, 8e5, 20001)))
    choked = point.outlet > point.head * (1 + 1e-12)
    assert not choked[0]
    assert choked[-1]
    steps = np.diff(point.mass_flow)
    assert np.all(steps > 0)
    assert np.max(steps[1:] / steps[:-1]) < 1.1


def test_flow_is_continuous_through_transition() -> None:
    thin = {**REFERENCE, "D": 4e-3, "hole_area": 3e-7 * 4, "crack": 0.0}
    pressures = np.geomspace(REFERENCE["p_back"] * 1.0005, 3e5, 20001)
    point = solve(Airway(**thin), Supply(pressure=pressures))
    re = hose.reynolds(point.mass_flow, thin["D"], thin["mu"])
    assert re[0] < hose.RE_LAMINAR.value
    assert re[-1] > hose.RE_TURBULENT.value
    steps = np.diff(point.mass_flow)
    assert np.all(steps > 0)
    around = re[1:] > 1500
    assert np.max(steps[around] / point.mass_flow[1:][around]) < 2e-3


def test_march_rises_steadily_from_rest() -> None:
    v = np.linspace(0, 3, 5001)
    head, m, outlet, inlet, source = march(v, Airway(**REFERENCE))
    assert m[0] == 0
    assert source[0] == REFERENCE["p_back"] + REFERENCE["crack"]
    for rising in (head, m, outlet, inlet, source):
        assert np.all(np.diff(rising) > 0)


@pytest.mark.parametrize("N", [0.0, 1e-9, 1e-3, 0.5, 5.0, 500.0, 1e5])
@pytest.mark.parametrize("c", [0.0, 1e-9, 0.01, 0.5, 0.99, 1 - 1e-9, 1.0])
def test_the_hose_equation_is_solved_to_round_off(c: float, N: float) -> None:
    q = hose.squared_pressure_ratio(c, N)
    assert q - 1 == pytest.approx(c * (N + np.log(q)), rel=1e-14, abs=4e-16 * q)


def test_a_hose_without_flow_loses_nothing_and_never_ends() -> None:
    area, still = hose.bore_area(0.006), np.array([0.0, 1e-12])
    p_in = fanno.adiabatic_inlet_pressure(still, area, 1.5e5, 288.15, np.array([6.4e13, 1e6]))
    assert p_in == pytest.approx(1.5e5, rel=1e-9)
    assert np.isposinf(hose.length_for_flow(0.006, 6.4e10, 3e5, 1.5e5, 0.0, area, 288.15, 4.0))


def test_adiabatic_and_isothermal_hose_agree_where_air_creeps() -> None:
    area, rho = hose.bore_area(0.006), 1.5e5 / (287.05 * 288.15)
    for mach in (0.99e-4, 1.01e-4):  # on both sides of where friction alone is taken
        m, N = mach * 340.3 * rho * area, 1e6
        p_in = fanno.adiabatic_inlet_pressure(m, area, 1.5e5, 288.15, N)
        assert p_in == pytest.approx(1.5e5 * np.sqrt(1 + 1.4 * mach**2 * N), rel=1e-5)
