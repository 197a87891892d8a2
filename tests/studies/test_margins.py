"""The share of a limit that is used: 1 on the limit, less inside it."""

import numpy as np
import pytest

from purgecalc.design import design_all
from purgecalc.rules import Margin
from purgecalc.studies.margins import closest, used_share
from purgecalc.working import Given
from tests.lines import designs


def node(value: object, kind: str = "time") -> Given:
    return Given("x", "x", kind, value)


@pytest.mark.parametrize(
    ("margin", "share"),
    [
        (Margin(node(30.0), at_most=60.0), 0.5),
        (Margin(node(60.0), at_least=30.0), 0.5),
        (Margin(node(0.95, "fraction"), at_least=0.9), 0.5),
        (Margin(node(20.0), at_least=10.0, at_most=80.0), 0.5),
        (Margin(node(0.0), at_most=60.0), 0.0),
        (Margin(node(60.0), at_most=60.0), 1.0),
    ],
)
def test_share_used(margin: Margin, share: float) -> None:
    assert float(used_share(margin)) == pytest.approx(share)


def test_arrays_are_shares_element_by_element() -> None:
    assert used_share(Margin(node(np.array([15.0, 90.0])), at_most=60.0)).tolist() == [0.25, 1.5]


def test_the_nearest_limits_come_first_and_none_that_is_broken() -> None:
    found = closest(designs("line.hose.length=12 m"), {})
    shares = [share for _, share in found]
    assert shares == sorted(shares, reverse=True)
    assert "hose-length" not in dict(found)
    assert max(shares) <= 1


@pytest.mark.parametrize("id", ["hose.length", "head.depth"])
def test_margins_of_jet_and_delivery_fall_steadily_as_it_gets_harder(id: str) -> None:
    line = designs()[0].inputs.changed({id: np.linspace(1.0, 6.0, 12) * (5 if id == "hose.length" else 1)})
    (d,) = design_all([line])
    assert np.all(np.diff(d.value("head.jet_thrust_ratio")) < 0)
    if id == "hose.length":
        assert np.all(np.diff(d.value("blast.delivery_share")) > 0)
