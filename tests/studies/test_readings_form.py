"""The readings form: blank, filled in, read back and judged."""

import tomllib

import pytest

from purgecalc.errors import ScenarioError
from purgecalc.studies.readings import Reading, blank_form, judged, read_form
from tests.commissioned import of_line


def filled(**values: str) -> str:
    c = of_line()
    rows = "".join(f'[reading."{id.replace("__", ".")}"]\nvalue = "{v}"\n' for id, v in values.items())
    return f'scenario = "x"\ninput_hash = "{c.scenario.hash}"\ndate = "2026-03-02"\nby = "M."\n{rows}'


def test_the_blank_form_is_toml_and_reads_back_as_nothing_measured() -> None:
    c = of_line()
    text = blank_form(c.scenario, c.lines)
    assert set(tomllib.loads(text)["reading"]) == {line.id for line in c.lines}
    readings = read_form(text, "readings.toml", c.scenario, c.lines)
    assert readings.values == {}
    assert not readings.other_scenario


def test_every_figure_the_form_expects_is_accepted_as_it_is_printed() -> None:
    c = of_line()
    text = blank_form(c.scenario, c.lines)
    for line in text.splitlines():
        if line.startswith('value = ""'):
            text = text.replace(line, f"value = {line.split('e.g. ', 1)[1]}", 1)
    readings = read_form(text, "readings.toml", c.scenario, c.lines)
    assert set(readings.values) == {line.id for line in c.lines}
    for line in c.lines:
        assert judged(line.expected, readings.values[line.id]) == "passes", line.id


def test_values_come_back_in_si_and_are_judged() -> None:
    c = of_line()
    text = filled(source__gauge_pressure="0.32 bar(g)", head__gauge_pressure="150 mbar(g)", blast__delivery_time="1.1 s")
    readings = read_form(text, "readings.toml", c.scenario, c.lines)
    lines = {line.id: line.expected for line in c.lines}
    found = {id: judged(lines[id], reading) for id, reading in readings.values.items()}
    assert readings.values["source.gauge_pressure"].value == pytest.approx(32e3)
    assert found["source.gauge_pressure"] == "passes"
    assert found["head.gauge_pressure"].startswith("outside, low: restriction or leak")
    assert found["blast.delivery_time"] == "passes"
    assert (readings.date, readings.by) == ("2026-03-02", "M.")


def test_an_instrument_coarser_than_the_band_tells_nothing() -> None:
    e = next(line.expected for line in of_line().lines if line.id == "source.gauge_pressure")
    assert judged(e, Reading(e.value, "x", instrument=16e3)).startswith("cannot tell")
    assert judged(e, Reading(e.value, "x", instrument=1e3)) == "passes"


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ('[reading."source.pressure"]\nvalue = "3 bar(g)"', "did you mean source.gauge_pressure?"),
        ('[reading."source.gauge_pressure"]\nvalue = "0.32 bar"', "gauge or absolute"),
        ('[reading."source.gauge_pressure"]\nvalue = "1.3 bar(a)"', "is absolute; this line wants what a gauge reads"),
        ('[reading."source.gauge_pressure"]\nvalue = "0,32 bar(g)"', "decimal"),
        ('[reading."source.gauge_pressure"]\nvalve = "x"', "unknown key valve"),
        ('[reading]\n"source.gauge_pressure" = 3', "is not a table"),
        ("[reading", "not TOML"),
    ],
)
def test_what_cannot_be_read_is_refused_with_place(text: str, message: str) -> None:
    c = of_line()
    with pytest.raises(ScenarioError) as refused:
        read_form(text, "readings.toml", c.scenario, c.lines)
    assert message in str(refused.value)
    assert str(refused.value).startswith("readings.toml")


def test_a_form_made_for_other_inputs_is_noticed() -> None:
    c = of_line("line.hose.length=8 m")
    assert read_form(filled(), "readings.toml", c.scenario, c.lines).other_scenario
