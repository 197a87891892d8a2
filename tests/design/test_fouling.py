"""Film between blasts and wipes on the sheet, each account against its own steps, and purge against wiping."""

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from purgecalc.design import design
from purgecalc.design.worth import WORTH_VERDICTS
from purgecalc.formulas import fouling, worth
from tests.lines import designed, finding, read

MG = 1e-3


def at(id: str, *settings: str) -> float:
    return designed(*settings).number(id)


def test_bias_at_the_wipe_takes_the_worse_account_of_the_film() -> None:
    slow = at("fouling.bias_at_wipe")
    assert slow == pytest.approx(0.0125 * MG, rel=1e-3)  # r T / eta
    wins = at("fouling.bias_at_wipe", "line.schedule.interval=150 min", "line.fouling.bias_at_full=3 mg/L")
    assert wins == pytest.approx(3 * MG * at("fouling.equilibrium", "line.schedule.interval=150 min"), rel=1e-3)
    assert wins > 0.5 * MG


@pytest.mark.parametrize(("interval", "wipe", "want"), [("7 d", "13 d", 0.738), ("7 d", "1 d", 0.06), ("7 d", "14 d", 0.798)])
def test_bias_at_the_wipe_with_few_blasts_is_stepped(interval: str, wipe: str, want: float) -> None:
    rare = (f"line.schedule.interval={interval}", f"line.fouling.wipe_interval={wipe}", "line.fouling.removal=10 %")
    assert at("fouling.bias_at_wipe", *rare, "line.fouling.bias_rate=0.06 mg/L/d") == pytest.approx(want * MG)


def test_bias_at_the_wipe_is_no_more_than_that_of_a_full_film() -> None:
    quick = ("line.fouling.bias_rate=1.2 mg/L/d", "line.fouling.bias_at_full=0.19 mg/L")
    assert at("fouling.bias_at_wipe", "line.fouling.bias_rate=1.2 mg/L/d") == pytest.approx(0.25 * MG)
    assert at("fouling.bias_at_wipe", *quick) == pytest.approx(0.19 * MG)
    assert finding("bias-at-wipe", *quick).state == "passes"  # the tolerance is 0.2 mg/L


def film_stepped(mu: float, eta: float, T: float, W: float, full: float) -> float:
    """Logistic film from what a wipe leaves, integrated blast by blast."""
    X, t, peak = fouling.FOULING_LEFT.value * (1 - eta), 0.0, 0.0
    while t + T <= W:
        X = solve_ivp(lambda _, x: mu * x * (1 - x), (0, T), [X], rtol=1e-9, atol=1e-12).y[0][-1]
        t, peak, X = t + T, X, X * (1 - eta)
    X = solve_ivp(lambda _, x: mu * x * (1 - x), (0, W - t), [X], rtol=1e-9, atol=1e-12).y[0][-1]
    return full * float(max(peak, X))


@pytest.mark.parametrize(("interval", "wipe"), [(0.4, 5.0), (7.0, 13.0), (7.0, 1.0), (0.1, 3.0)])
def test_film_between_few_blasts_is_stepped_too(interval: float, wipe: float) -> None:
    rare = (f"line.schedule.interval={interval} d", f"line.fouling.wipe_interval={wipe} d", "line.fouling.bias_at_full=3 mg/L")
    want = film_stepped(1.5, 0.1, interval, wipe, 3 * MG)
    assert -at("fouling.bias", *rare) == pytest.approx(want, rel=1e-6)  # it reads low


def purge_stepped(r: float, T: float, eta: float, W: float, full: float) -> tuple[float, float]:
    """Mean and largest bias (without sign) between two wipes, worked interval by interval on a clipped ramp."""
    b, t, area, largest = 0.0, 0.0, 0.0, 0.0
    while t < W * (1 - 1e-12):
        step = min(T, W - t)
        rising = min(step, (full - b) / r)
        area += (b + r * rising / 2) * rising + full * (step - rising)
        b = min(b + r * step, full)
        largest, t = max(largest, b), t + step
        if step == T:
            b *= 1 - eta
    return area / W, largest


@pytest.mark.parametrize("interval", ["30 min", "150 min", "7 d", "20 d"])
@pytest.mark.parametrize("rate", ["0.06 mg/L/d", "1 mg/L/d", "5 mg/L/d"])
@pytest.mark.parametrize("full", ["0.1 mg/L", "1 mg/L"])
def test_mean_and_largest_bias_of_the_purge_are_those_of_the_cycles(interval: str, rate: str, full: str) -> None:
    d = designed(f"line.schedule.interval={interval}", f"line.fouling.bias_rate={rate}", f"line.fouling.bias_at_full={full}")
    r, T, eta, b_full = (
        d.number(f"{k}") for k in ("fouling.bias_rate", "schedule.interval", "fouling.removal", "fouling.bias_at_full")
    )
    mean, largest = purge_stepped(r, T, eta, worth.MONTH, b_full)
    assert d.number("worth.purge.mean_bias") == pytest.approx(-mean, rel=1e-6)
    assert d.number("worth.purge.bias_at_wipe") == pytest.approx(-largest, rel=1e-9)


@pytest.mark.parametrize(
    ("rate", "full", "want"),
    [
        ("0.06 mg/L/d", "1 mg/L", "justified"),
        ("0.0005 mg/L/d", "1 mg/L", "not needed"),
        ("5 mg/L/d", "3 mg/L", "another method"),
        ("0.5 mg/L/d", "0.1 mg/L", "not needed"),
    ],
)
def test_purge_against_wiping_is_the_sum_of_its_parts(rate: str, full: str, want: str) -> None:
    v = designed(f"line.fouling.bias_rate={rate}", f"line.fouling.bias_at_full={full}").number
    r, b_full, year = v("fouling.bias_rate"), v("fouling.bias_at_full"), 365.25 * 86400
    mean, end = purge_stepped(r, v("schedule.interval"), v("fouling.removal"), worth.MONTH, b_full)
    hours = v("worth.visit") * year / worth.MONTH + v("worth.service")
    parts = {"purge": (mean, end, v("source.energy_per_year") + v("worth.standing"), hours)}
    for name, W in worth.WIPES.items():
        t = np.linspace(0, W, 100_001)
        visits = 0.0 if name == "none" else v("worth.visit") * year / W
        parts[name.split()[0]] = (float(np.mean(np.minimum(r * t, b_full))), min(r * W, b_full), 0.0, visits)
    totals, kept = {}, {}
    for key, (bias, last, spent, labour) in parts.items():
        over = bias / (v("loop.effective_saturation") - v("probe.set_point") - bias)  # the probe reads low, so air is wasted
        totals[key] = over * v("loop.blower_power") * year + spent + labour * v("worth.labour_power")
        assert v(f"worth.{key}.total") == pytest.approx(totals[key], rel=1e-4), key
        assert -v(f"worth.{key}.bias_at_wipe") == pytest.approx(last), key
        kept[key] = last <= v("probe.tolerance")
    others = [totals[key] for key in kept if kept[key] and key != "purge"]
    cheaper = kept["purge"] and all(totals["purge"] < other for other in others)
    said = WORTH_VERDICTS[int(v("worth.verdict"))]
    assert said == want == ("justified" if cheaper else "not needed" if others else "another method")


def test_likelihood_that_a_purge_pays_is_the_share_of_a_sample() -> None:
    rates = np.geomspace(0.0005, 0.9, 61) * MG / 86400
    many = design(read().lines[0].changed({"fouling.bias_rate": rates}), unsteady=False)
    words = np.array(WORTH_VERDICTS)[np.asarray(many.value("worth.verdict"), int)]
    first = int(np.argmax(words == "justified"))
    assert 0 < first < 60
    assert set(words[:first]) == {"not needed"}  # once it pays it pays for anything that fouls faster
    assert set(words[first:]) == {"justified"}
