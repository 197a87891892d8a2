"""What explain prints can be worked by hand: the numbers put in give the result printed."""

import math

import pytest

from purgecalc.reports.explain import plain, put_in, work
from purgecalc.reports.note.closing import LIMITS
from purgecalc.reports.removal import NOT_MEASURED, about_removal
from tests.lines import BARE, RECEIVER, designed

FUNCTIONS = {
    "sqrt": math.sqrt,
    "ln": math.log,
    "log10": math.log10,
    "exp": math.exp,
    "abs": abs,
    "min": min,
    "max": max,
    "floor": math.floor,
    "pi": math.pi,
    "cos": math.cos,
    "acos": math.acos,
    "positive": lambda x: float(x > 0),
}
LINES = [(), RECEIVER, ("line.head.check_valve=none", "line.hose.length=40 m"), (*BARE, "line.probe.kind=pH")]


@pytest.mark.parametrize("settings", LINES, ids=["direct", "receiver", "flooded", "pH"])
def test_six_figures_put_in_give_the_result(settings: tuple[str, ...]) -> None:
    worked = 0
    for step in designed(*settings).sheet.steps():
        if step.formula is None or "fanno" in step.formula.shown:
            continue
        sides = [eval(side, {"__builtins__": {}}, FUNCTIONS) for side in put_in(step).split("=")]  # our own printed equations
        wanted = sides[1] if len(sides) == 2 else float(step.value)
        # a small difference of large numbers keeps few of the six figures; none here keeps fewer than two
        assert sides[0] == pytest.approx(wanted, rel=2e-2, abs=1e-9), step.id
        worked += sides[0] == pytest.approx(wanted, rel=2e-5, abs=1e-12)
    assert worked > 60


def test_zeros_that_only_carry_a_unit_are_not_shown() -> None:
    assert plain("max(abs(A)/tol, 1 + 0*abs(A)/tol)") == "max(abs(A)/tol, 1)"
    assert plain("max(t_blast - t_del, 0*t_blast)") == "max(t_blast - t_del, 0)"
    assert plain("10*t + 20*x") == "10*t + 20*x"


def test_every_quantity_can_be_explained() -> None:
    d = designed()
    for node in d.sheet:
        text = "\n".join(work(d, node.id))
        assert node.id in text
        assert "0x" not in text


def test_deep_explanation_ends_at_the_file() -> None:
    text = "\n".join(work(designed(), "source.energy_per_year", deep=True))
    assert "site.toml:" in text


def test_what_rests_on_removal_says_that_nobody_has_measured_it() -> None:
    d = designed()
    for id in ("fouling.critical_interval", "fouling.removal"):
        assert NOT_MEASURED in "\n".join(work(d, id)), id
    assert NOT_MEASURED not in "\n".join(work(d, "hose.pressure_drop"))
    assert about_removal(d).startswith(NOT_MEASURED)
    assert about_removal(designed("drop:fouling", "drop:worth")) == ""
    assert any(NOT_MEASURED in text for text in LIMITS)
