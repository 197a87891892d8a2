"""The curve of bias against hold-off goes through the figures of the sheet."""

import numpy as np
import pytest

from purgecalc.studies.residual import SHARES, residual_curve
from tests.lines import designed


@pytest.mark.parametrize("sensor", ["one-lag", "two-lags"])
def test_the_curve_falls_and_meets_the_tolerance_at_the_hold_off_needed(sensor: str) -> None:
    d = designed("line.probe.t90=120 s", f"line.probe.sensor={sensor}")
    curve = residual_curve(d)
    assert curve is not None
    t_hold, bias = curve
    late = bias[SHARES >= 0.5]
    assert np.all(np.diff(late) < 0)
    assert bias[SHARES == 1.0][0] == pytest.approx(d.number("probe.tolerance"), rel=1e-6)
    assert t_hold[SHARES == 1.0][0] == d.number("reading.hold_off_needed")


def test_no_curve_where_no_bump_can_be_worked_out() -> None:
    from tests.lines import BARE

    assert residual_curve(designed(*BARE, "line.probe.kind=turbidity")) is None
