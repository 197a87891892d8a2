"""A quantity asked of many designs is told in its own reference: gauge stays gauge, and air keeps its state."""

import pytest

from purgecalc.errors import UsageError
from purgecalc.studies.quantities import asked
from tests.lines import read


def told(of: str, *settings: str) -> tuple[str, float]:
    lines = read(*settings).lines
    (one,), _ = asked([of], lines, lines[0].line)
    return one.head, float(one.written(lines[0].values[one.id].value))


@pytest.mark.parametrize(
    ("of", "settings", "head", "value"),
    [
        ("source.dead_head [bar(g)]", (), "source.dead_head [bar(g)]", 3.0),
        ("source.dead_head", (), "source.dead_head [Pa(g)]", 3e5),
        ("source.dead_head [bar(a)]", ("source.dead_head=4 bar(a)",), "source.dead_head [bar(a)]", 4.0),
        ("source.flow [m3/h]", (), "source.flow [m3/h]", 3.6),
        ("source.flow [NL/min]", ("source.flow=50 NL/min",), "source.flow [NL/min]", 50.0),
    ],
)
def test_a_stated_figure_comes_back_as_it_was_stated(of: str, settings: tuple[str, ...], head: str, value: float) -> None:
    assert told(of, *settings) == (head, pytest.approx(value))


@pytest.mark.parametrize(
    ("of", "settings", "units"),
    [
        ("source.dead_head [bar(a)]", (), "bar(g)"),
        ("source.dead_head [bar(g)]", ("source.dead_head=4 bar(a)",), "bar(a)"),
        ("source.flow [NL/min]", (), "L/min"),
        ("source.flow [L/min]", ("source.flow=50 NL/min",), "NL/min"),
        ("source.flow [cfm]", ("source.flow=2 scfm",), "scfm"),
    ],
)
def test_no_other_reference_or_state_is_put_on_it(of: str, settings: tuple[str, ...], units: str) -> None:
    with pytest.raises(UsageError, match=r"this .* is ") as refused:
        told(of, *settings)
    assert units in str(refused.value).split("units: ")[1]
