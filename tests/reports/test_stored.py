"""What may stand shut in the hose: the lesser of the regulator and the highest the source can reach."""

import pytest

from purgecalc.design import design_all
from purgecalc.reports.note.shut_in import highest_in_hose
from purgecalc.scenario import load
from tests.lines import SCENARIOS


@pytest.mark.parametrize(
    ("settings", "told"),
    [
        ((), "7.7 bar(g)"),  # the switch stops it at 6 bar(g), and may stick: relief at 7 bar(g), a tenth above when it blows
        (("source.regulator=8 bar(g)",), "7.7 bar(g)"),
        (("source.regulator=2 bar(g)",), "2 bar(g)"),
    ],
)
def test_the_hose_is_shut_in_at_no_more_than_regulator_and_relief_leave(settings: tuple[str, ...], told: str) -> None:
    (d,) = design_all(load(str(SCENARIOS / "trivet-mill.toml"), list(settings)).lines)
    assert highest_in_hose(d) == told
