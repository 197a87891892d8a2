"""How long the compressor of a receiver runs: random receivers against a simulation event by event."""

from itertools import permutations

import numpy as np
import pytest

from purgecalc.design import Design, design_all
from purgecalc.inputs import Inputs
from tests.lines import RECEIVER, designed, finding, read
from tests.receiver_events import FlowCurve, Vessel, running, worst_window

WAITS = (*RECEIVER, "source.compressor_starts=at cut-in")
W = 600.0


def random_lines(n: int, seed: int, lines: int = 1, intervals: tuple[float, float] = (120, 900)) -> list[Inputs]:
    """Lines on ``n`` random receivers whose compressors wait for their switch, as arrays."""
    rng = np.random.default_rng(seed)

    def between(a: float, b: float) -> np.ndarray:
        return np.exp(rng.uniform(np.log(a), np.log(b), n))

    cut_in = rng.uniform(2e5, 5.5e5, n)
    cut_out = cut_in + between(0.3e5, 3e5)
    shared = {
        "source.volume": between(2e-3, 0.2),
        "source.flow": between(15, 120) / 6e4,
        "source.cut_in": cut_in,
        "source.cut_out": cut_out,
        "source.dead_head": cut_out + between(0.3e5, 8e5),
    }
    out = []
    for _ in range(lines):
        blast = between(2, 90)
        own = {
            "hose.length": rng.uniform(2, 40, n),
            "hose.bore": rng.choice([5e-3, 6e-3, 8e-3, 10e-3], n),
            "schedule.blast": blast,
            "head.hole_diameter": rng.uniform(1e-3, 2e-3, n),
            "head.depth": rng.uniform(0.3, 6, n),
            "schedule.interval": np.maximum(between(*intervals), 2 * blast),
        }
        out.append(read(*WAITS).lines[0].changed({**shared, **own}))
    return out


def worked(lines: list[Inputs], unsteady: bool = True) -> list[Design]:
    with np.errstate(all="ignore"):
        return design_all(lines, unsteady=unsteady, aside=False)


def against_events(n: int, seed: int, horizon: float, isothermal: bool = False) -> tuple[np.ndarray, np.ndarray]:
    """Window and share told over simulated, for receivers whose compressor can rest at all."""
    (line,) = random_lines(n, seed)
    (d,) = worked([line])
    blast, T = line["schedule.blast"].value, line["schedule.interval"].value
    on = running(Vessel.of(d, n, isothermal), [FlowCurve.of(d, n)], [blast], [T], np.linspace(0, 1, 6), horizon)
    window = worst_window(on, W).max(axis=0)
    cycles = np.maximum(0.7 * horizon // T, 1)
    steps = np.round(cycles * T / 0.25).astype(int)
    share = np.array([on[-k:, :, j].mean(axis=0).max() for j, k in enumerate(steps)])
    told, of_time = d.value("source.run_in_window"), np.minimum(d.value("source.duty_fraction"), 1)
    rests = np.isfinite(told) & (window > 0)
    # share of a switch that rests for several blasts is only seen over many of them
    band = d.value("source.volume") * (d.value("source.cut_out_absolute") - d.value("source.cut_in_absolute"))
    turns = d.value("blast.air_mass") * 287.05 * d.value("site.air_temperature") / band * cycles
    seen = rests & (share > 0) & ((d.value("source.run_from_cut_out") > 0) | (turns > 8))
    # the simulation tells time in steps: half of one for each start and stop
    ends = 0.25 * (1 + W / T)
    return (told / np.maximum(window - ends, 1e-9))[rests], of_time[seen] / share[seen]


def test_no_window_and_no_share_is_told_below_a_simulation_event_by_event() -> None:
    window, share = against_events(14, 1, 5400.0)
    assert len(window) > 10
    assert len(share) > 8
    assert window.min() > 0.98
    assert share.min() > 0.98
    assert np.median(window) < 1.05
    assert np.median(share) < 1.1


@pytest.mark.campaign
@pytest.mark.parametrize("seed", range(10))
def test_many_random_receivers_against_the_simulation(seed: int) -> None:
    window, share = against_events(50, 100 + seed, 12000.0)
    assert window.min() > 0.98
    assert share.min() > 0.98
    assert np.median(window) < 1.05
    assert np.median(share) < 1.1
    warm, _ = against_events(50, 100 + seed, 5400.0, isothermal=True)
    assert warm.min() > 0.86  # another vessel: air that filling never warms reaches cut-out later (0.92 is not met)


def test_a_small_vessel_runs_as_long_as_its_blast_makes_it() -> None:
    """Not the 13 to 33 s of the vessel's own air, nor the 225 to 504 s of all air at the flow at cut-out."""
    litres, blast = np.array([5, 10, 5, 2]), np.array([120.0, 120, 60, 60])
    (line,) = read(*WAITS, "source.flow=100 L/min", "line.schedule.interval=60 min").lines
    (d,) = worked([line.changed({"source.volume": litres * 1e-3, "schedule.blast": blast})])
    on = running(Vessel.of(d, 4), [FlowCurve.of(d, 4)], [blast], [np.full(4, 3600.0)], np.linspace(0, 1, 3), 1200.0)
    longest = worst_window(on, W).max(axis=0)
    assert longest == pytest.approx([147, 176, 87, 71], abs=2)
    for told in (d.value("source.run_in_window"), d.value("source.duty_fraction") * 3600):
        assert (told > 0.98 * longest).all()
        assert (told < 1.03 * longest).all()


def test_a_compressor_that_overruns_its_rating_in_one_blast_is_found() -> None:
    settings = (
        *WAITS,
        "source.flow=100 L/min",
        "source.volume=5 L",
        "line.schedule.blast=120 s",
        "line.schedule.interval=60 min",
        "source.duty=S3 20 %",
    )
    assert finding("duty", *settings).state == "fails"


def test_a_run_that_meets_the_next_blast_is_counted_close_to_cut_out() -> None:
    """There the compressor delivers least: it never stops, though the mean flow of the band would let it."""
    settings = (
        *WAITS,
        "source.volume=175 L",
        "source.cut_in=5 bar(g)",
        "source.cut_out=6.4 bar(g)",
        "source.dead_head=6.7 bar(g)",
        "source.flow=150 L/min",
        "line.schedule.blast=16 s",
        "line.schedule.interval=400 s",
    )
    d = designed(*settings)
    (line,) = read(*settings).lines
    (wide,) = worked([line.changed({"hose.length": np.full(1, line["hose.length"].value)})])
    on = running(Vessel.of(wide, 1), [FlowCurve.of(wide, 1)], [np.full(1, 16.0)], [np.full(1, 400.0)], np.zeros(1), 4000.0)
    assert d.number("source.run_calm") < 0.95 * 400
    assert on[-int(2000 / 0.25) :].mean() == 1.0
    assert d.number("source.duty_fraction") > 1
    assert finding("keeps-up", *settings).state == "fails"


@pytest.mark.parametrize("seed", [2, 3])
def test_by_hand_no_run_is_told_shorter_than_integrated(seed: int) -> None:
    """Tables and sweeps that do not integrate blasts tell upper ends, but for the heat of filling, which they leave out."""
    lines = random_lines(200, seed)
    (full,), (hand,) = worked(lines), worked(lines, unsteady=False)
    for id, median in (("source.run_in_window", 1.3), ("source.duty_fraction", 1.5), ("blast.air_mass", 1.3)):
        share = hand.value(id) / full.value(id)
        share = share[np.isfinite(share)]
        assert share.min() > 0.93, id
        assert np.median(share) < median, id


def in_order(lines: list[Inputs], order: tuple[int, ...]) -> Design:
    return worked([lines[i] for i in order])[0]


@pytest.mark.parametrize(("seed", "count"), [(4, 2), pytest.param(5, 3, marks=pytest.mark.campaign)])
def test_order_of_lines_never_matters(seed: int, count: int) -> None:
    lines = random_lines(8, seed, count)
    named = ("source.run_in_window", "source.duty_fraction", "source.starts_per_hour", "source.longest_run")
    first = in_order(lines, tuple(range(count)))
    for order in permutations(range(count)):
        d = in_order(lines, order)
        for id in named:
            assert d.value(id) == pytest.approx(first.value(id), rel=1e-9, nan_ok=True), (id, order)


def worst_of_phases(n: int, seed: int, count: int, horizon: float) -> np.ndarray:
    """Running time told over the longest that any order and moment of the lines' blasts gives, each blowing once."""
    lines = random_lines(n, seed, count, (700, 900))
    ds = worked(lines)
    stops = [d.value("source.run_stopping") for d in ds]
    firsts = [np.maximum(d.value("source.refill_time"), d.value("source.run_calm")) for d in ds]
    moments = np.array([0, 0.5, 0.8, 0.9, 0.95, 0.98, 1.0, 1.05])[:, None]
    vessel, curves = Vessel.of(ds[0], n), [FlowCurve.of(d, n) for d in ds]
    once, longest = [np.full(n, 1e9)] * count, np.zeros(n)
    for order in permutations(range(count)):
        total, phases = firsts[order[0]], [0 * moments * firsts[0]] * count
        for i in order[1:]:
            phases[i], total = moments * total, total + stops[i]
        on = running(
            vessel, curves, [x["schedule.blast"].value for x in lines], once, np.zeros(len(moments)), horizon, phases=phases
        )
        longest = np.maximum(longest, on.sum(axis=0).max(axis=0) * 0.25)
    told = ds[0].value("source.longest_run")
    fits = np.isfinite(told) & (told < 0.9 * horizon)
    return (told / (longest - 0.25 * count))[fits]


@pytest.mark.parametrize("count", [2, pytest.param(3, marks=pytest.mark.campaign)])
def test_lines_that_share_a_receiver_run_it_as_long_as_their_worst_moments_do(count: int) -> None:
    told = worst_of_phases(8, 6, count, 900.0)
    assert len(told) > 3
    assert told.min() > 0.98
    assert told.max() < 1.12


@pytest.mark.campaign
@pytest.mark.parametrize(("seed", "count"), [(7, 2), (8, 2), (9, 3)])
def test_many_pairs_and_triples_against_the_simulation(seed: int, count: int) -> None:
    told = worst_of_phases(40, seed, count, 3000.0)
    assert told.min() > 0.98
    assert told.max() < 1.12
    assert np.median(told) < 1.05


@pytest.mark.campaign
def test_several_lines_with_short_intervals_are_not_told_below_the_simulation() -> None:
    lines = random_lines(8, 11, 2)
    ds = worked(lines)
    blasts, T = ([x[f"schedule.{id}"].value for x in lines] for id in ("blast", "interval"))
    longest = np.zeros(8)
    for moment in (0.0, 0.3, 0.6, 0.9):
        phases = [np.zeros((3, 8)), np.broadcast_to(moment * np.minimum(ds[0].value("source.refill_time"), T[1]), (3, 8))]
        on = running(
            Vessel.of(ds[0], 8), [FlowCurve.of(d, 8) for d in ds], blasts, T, np.linspace(0, 1, 3), 2400.0, phases=phases
        )
        longest = np.maximum(longest, worst_window(on, W).max(axis=0))
    told = ds[0].value("source.run_in_window")
    rests = np.isfinite(told) & (longest > 0)
    assert (told / np.maximum(longest - 0.25 * (1 + W / T[0] + W / T[1]), 1e-9))[rests].min() > 0.98
