"""What belongs to one line and what to its source: running time, energy, noise, wear; and the contact as it is wired."""

from collections.abc import Sequence
from itertools import permutations

import numpy as np
import pytest

from purgecalc.design import Design, design_all
from purgecalc.inputs import Inputs
from purgecalc.rules import judge
from purgecalc.scenario import ScenarioInputs, loads
from purgecalc.studies.expected import TESTS, Expected
from purgecalc.studies.readings import form_lines
from purgecalc.studies.upkeep import upkeep_plan
from tests.campaign import few_or_many
from tests.lines import BASE, RECEIVER, SCENARIOS, designed

TARNBECK = (SCENARIOS / "tarnbeck.toml").read_text(encoding="utf-8")
NOISY = ("line.noise.compressor_level=94", "line.noise.presence=8 h")
YEAR_HOURS = 8766.0


def read_lines(*settings: tuple[str, ...], shared: tuple[str, ...] = (), base: str = BASE) -> ScenarioInputs:
    """The reference line once for each set of settings, all on one source."""
    head, line = base[: base.index("[line]")], base[base.index("[line]") :]
    name = line.split('name = "')[1].split('"')[0]
    parts = [line.replace("[line]", "[[line]]", 1).replace(name, f"line {i}", 1) for i in range(len(settings))]
    own = [s.replace("line.", f"line.{i}.", 1) for i, some in enumerate(settings, 1) for s in some]
    return loads(head + "\n".join(parts), "site.toml", [*shared, *own])


def lines_of(*settings: tuple[str, ...], shared: tuple[str, ...] = (), base: str = BASE, unsteady: bool = True) -> list[Design]:
    """The same, worked out."""
    return design_all(read_lines(*settings, shared=shared, base=base).lines, unsteady=unsteady)


def heard(run: list[float], T: list[float], W: float, step: float = 1.0) -> float:
    """Most seconds in any window of ``W`` in which lines that start together run, one after another counted twice."""
    t = np.arange(0.0, W, step)
    return min(W, sum(float(np.sum(np.mod(t, every) < on)) * step for on, every in zip(run, T, strict=True)))


def test_the_dose_of_a_day_spent_there_is_that_of_sixteen_blasts() -> None:
    (d,) = lines_of(NOISY, base=TARNBECK)
    assert d.number("noise.on_time") == pytest.approx(16 * 30)
    assert d.number("noise.daily_exposure") == pytest.approx(76.2, abs=0.05)


def test_a_minute_spent_there_may_hear_a_whole_blast() -> None:
    (d,) = lines_of(("line.noise.compressor_level=94", "line.noise.presence=1 min"), base=TARNBECK)
    assert d.number("noise.on_time") == pytest.approx(30)


@pytest.mark.parametrize("presence", [20.0, 60.0, 3600.0, 8 * 3600.0])
def test_two_lines_are_heard_as_often_as_both_blow(presence: float) -> None:
    blasts, T = [30.0, 20.0], [1800.0, 1200.0]
    settings = [
        (
            f"line.noise.presence={presence} s",
            "line.noise.compressor_level=94",
            f"line.schedule.blast={b} s",
            f"line.schedule.interval={t} s",
        )
        for b, t in zip(blasts, T, strict=True)
    ]
    ds = lines_of(*settings)
    for d in ds:
        assert d.number("noise.on_time") == pytest.approx(heard(blasts, T, presence))


def test_the_compressor_of_a_receiver_is_heard_while_it_fills() -> None:
    tank = designed(*RECEIVER, "line.noise.compressor_level=94", "line.noise.presence=8 h")
    runs, longest = tank.number("source.run_time"), tank.number("source.longest_run")
    assert runs > 30  # it runs for longer than the blast of ten seconds
    assert tank.number("noise.on_time") == pytest.approx(longest + 15 * runs, rel=0.01)
    short = designed(*RECEIVER, "line.noise.compressor_level=94", "line.noise.presence=1 min")
    assert short.number("noise.on_time") == pytest.approx(min(60.0, longest))


def test_three_equal_lines_take_a_third_of_the_energy_each() -> None:
    ds = lines_of((), (), (), shared=("source.power=3 kW",))
    for d in ds:
        assert d.number("line.energy_per_year") / 3.6e6 == pytest.approx(3 / 60 * YEAR_HOURS, rel=1e-6)
        assert d.number("source.energy_per_year") / 3.6e6 == pytest.approx(3 * 438.3, rel=1e-6)
        others = d.number("worth.purge.total") - d.number("worth.purge.labour") * d.number("worth.labour_power")
        bias = abs(d.number("worth.purge.bias_energy"))
        assert others - bias - d.number("worth.standing") == pytest.approx(d.number("line.energy_per_year"))


@pytest.mark.parametrize("shared", [("source.power=400 W",), (*RECEIVER, "source.power=400 W")], ids=["direct", "receiver"])
def test_what_the_lines_take_comes_to_what_the_source_takes(shared: tuple[str, ...]) -> None:
    source, one = (tuple(s for s in shared if s.startswith(w)) for w in ("source.", "line."))
    ds = lines_of(
        (*one, "line.schedule.interval=20 min"), (*one, "line.schedule.interval=50 min"), (*one,), shared=source, unsteady=False
    )
    own = [d.number("line.energy_per_year") for d in ds]
    assert len({round(e) for e in own}) == 3
    for d in ds:
        assert sum(own) == pytest.approx(d.number("source.energy_per_year"), rel=1e-9)


WIRED = ("line.contact.terminal=NO", "line.contact.coil_at_rest=off", "line.contact.load=motor")
INVERTED = (*WIRED, "line.contact.terminal=NC")
KEPT = ("upkeep.start=2026-03-02", "upkeep.seal_life=3000 h")
FOLLOWS = (
    "source.duty_fraction",
    "line.energy_per_year",
    "source.energy_per_year",
    "blast.air_per_day",
    "blast.air_per_year",
    "upkeep.run_time_of_share",
)


def test_an_inverted_contact_wears_the_seal_out_in_139_days() -> None:
    text = (SCENARIOS / "quillstone.toml").read_text(encoding="utf-8")
    as_wired, mended = (
        design_all(loads(text, "site.toml", [*KEPT, *more]).lines)[0] for more in ([], ["line.contact.terminal=NO"])
    )
    assert as_wired.number("upkeep.seal_lasts") / 86400 == pytest.approx(139, abs=0.5)
    assert mended.number("upkeep.seal_lasts") / 86400 == pytest.approx(1250, abs=0.5)


def test_energy_air_and_wear_follow_the_contact_as_wired() -> None:
    plain, right, wrong = designed(*KEPT), designed(*KEPT, *WIRED), designed(*KEPT, *INVERTED)
    for id in FOLLOWS:
        assert right.number(id) == pytest.approx(plain.number(id), rel=1e-9), id
        assert wrong.number(id) == pytest.approx(59 * plain.number(id), rel=1e-9), id  # 30 s and the rest of half an hour
    assert wrong.number("source.run_in_window") == 600
    assert wrong.number("source.starts_per_hour") == right.number("source.starts_per_hour")


def test_a_receiver_whose_valve_stands_open_at_rest_is_filled_all_the_time() -> None:
    valve = ("line.contact.coil_at_rest=off", "line.contact.load=normally-closed valve")
    plain, right = designed(*RECEIVER), designed(*RECEIVER, *valve, "line.contact.terminal=NO")
    wrong = designed(*RECEIVER, *valve, "line.contact.terminal=NC")
    for id in ("source.duty_fraction", "source.run_in_window"):
        assert right.number(id) == pytest.approx(plain.number(id), rel=1e-9), id
    assert wrong.number("source.duty_fraction") == pytest.approx(1)
    assert wrong.number("source.run_in_window") == 600


def test_every_lines_valve_is_in_the_plan_of_upkeep() -> None:
    """The first blows twice a day, the second each quarter of an hour: its valve is worn out first, and years before."""
    shared = ("upkeep.start=2026-03-02", "upkeep.valve_life=30000")
    valve = "line.valve.conductance=1 dm3/(s bar)"
    ds = lines_of(
        (valve, "line.schedule.interval=12 h"), (valve, "line.schedule.interval=15 min"), (), shared=shared, unsteady=False
    )
    due = {x.name: x.on.year for x in upkeep_plan(ds)}
    assert due["change the blast valve, line 1"] == 2027
    assert due["change the blast valve, line 0"] == 2067
    assert "change the blast valve, line 2" not in due  # it has none
    alone = {x.name for x in upkeep_plan(ds[:1])}
    assert "change the blast valve" in alone


def test_the_leak_test_of_a_shared_receiver_is_the_same_for_every_order_of_lines() -> None:
    source, one = (tuple(s for s in RECEIVER if s.startswith(w)) for w in ("source.", "line."))
    slow, quick = (*one, "line.schedule.interval=12 h"), (*one, "line.schedule.interval=40 min")
    alone = lines_of(quick, shared=source, unsteady=False)[0].number("acceptance.idle_fall")
    assert alone < lines_of((*one, "line.schedule.interval=10 min"), shared=source, unsteady=False)[0].number(
        "acceptance.idle_fall"
    )
    for order in ((slow, quick), (quick, slow)):
        assert [d.number("acceptance.idle_fall") for d in lines_of(*order, shared=source, unsteady=False)] == pytest.approx(
            [alone] * 2
        )


def test_the_sound_level_is_measured_at_the_nearest_ear() -> None:
    (test,) = (t for t in TESTS if t.id == "noise.compressor_at_ear")
    far, near = (Expected(test, "ratio", level, None, (0.0, level + 3), None) for level in (58.0, 70.0))
    for tables in ((("a", [far]), ("b", [near])), (("b", [near]), ("a", [far])), (("a", []), ("b", [near]))):
        (line,) = form_lines(tables)
        assert (line.id, line.line, line.expected) == (test.id, "b", near)


def random_lines(seed: int) -> list[Inputs]:
    """Two or three lines, each with its own schedule, hose, contact and ear, on a direct source or a receiver."""
    rng = np.random.default_rng(seed)
    source = RECEIVER if seed % 2 else ("source.flow=60 L/min",)
    shared = (
        *(s for s in source if s.startswith("source.")),
        "source.duty=S3 20 %",
        f"source.starts_per_hour={rng.integers(4, 12)}",
        "source.power=300 W",
        "upkeep.start=2026-03-02",
        "upkeep.seal_life=500 h",
        "upkeep.valve_life=20000",
    )
    settings = []
    for _ in range(rng.integers(2, 4)):
        own = (
            "line.valve.conductance=1 dm3/(s bar)",
            f"line.schedule.interval={rng.integers(8, 60)} min",
            f"line.schedule.blast={rng.integers(5, 60)} s",
            f"line.hose.length={rng.integers(4, 30)} m",
            f"line.noise.ear_distance={rng.uniform(0.5, 5):.2f} m",
            f"line.noise.compressor_level={rng.integers(70, 105)}",
            f"line.noise.presence={rng.uniform(0.02, 8):.2f} h",
            "line.contact.coil_at_rest=off",
            f"line.contact.terminal={rng.choice(['NO', 'NO', 'NC'])}",
            "line.contact.load=normally-closed valve",
        )
        settings.append(own)
    return list(read_lines(*settings, shared=shared).lines)


OF_THE_SOURCE = (
    "source.run_in_window",
    "source.duty_fraction",
    "source.starts_per_hour",
    "source.energy_per_year",
    "upkeep.seal_lasts",
    "acceptance.idle_fall",
    "source.longest_run",
)
OF_A_LINE = ("line.energy_per_year", "noise.on_time", "interval.shortest", "source.start_share", "upkeep.valve_lasts")


def told(order: Sequence[Inputs]) -> tuple[object, dict[tuple[str, str], float], object]:
    """Findings, figures and dates of some lines, by line where they are of one."""
    designs = design_all(order, unsteady=False)
    found = {(f.rule.id, f.line): (f.state, f.level) for f in judge(designs)}
    figures = {(id, ""): designs[0].number(id) for id in OF_THE_SOURCE if id in designs[0]}
    figures |= {(id, d.inputs.line): d.number(id) for d in designs for id in OF_A_LINE if id in d}
    return found, figures, [(due.name, due.on) for due in upkeep_plan(designs)]


@few_or_many(4, 100)
def test_no_figure_and_no_finding_hangs_on_the_order_of_lines(count: int) -> None:
    for seed in range(count):
        first, *others = (told(order) for order in permutations(random_lines(seed)))
        for other in others:
            assert other[0] == first[0], seed
            assert other[1] == pytest.approx(first[1], rel=1e-9), seed
            assert other[2] == first[2], seed


def test_what_another_line_leaves_is_what_its_own_blast_from_there_ends_at() -> None:
    """Started at cut-in, with the air it takes from there: no compressor to speak of, and a wall that keeps the air warm."""
    source, one = (tuple(s for s in RECEIVER if s.startswith(w)) for w in ("source.", "line."))
    still = (*source, "source.flow=0.1 L/min", "source.wall_conductance=1000000 W/K")
    d = lines_of((*one,), (*one,), shared=still)[0]
    assert d.number("source.after_others") == pytest.approx(d.number("source.end_pressure_from_cut_in"), rel=2e-3)
