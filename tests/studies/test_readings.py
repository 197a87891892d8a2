"""The readings form: written blank, filled in, read again, refused with file and line where it is wrong."""

import tomllib

import pytest

from purgecalc.design import design_all
from purgecalc.errors import ScenarioError
from purgecalc.studies.checked import Checked
from purgecalc.studies.commissioning import Commissioning, gather
from purgecalc.studies.expected import expected
from purgecalc.studies.readings import POSSIBLE, Readings, blank_form, form_lines, read_form
from purgecalc.studies.spread import spread
from tests.commissioned import of_site
from tests.lines import SCENARIOS
from tests.lines import read as read_lines


def form(c: Commissioning) -> str:
    return blank_form(c.scenario, c.lines)


def read(text: str, c: Commissioning) -> Readings:
    return read_form(text, "readings.toml", c.scenario, c.lines)


def filled(c: Commissioning, id: str, value: str, instrument: str = "") -> str:
    before, mark, after = form(c).partition(f'[reading."{id}"]\n')
    assert mark
    return (
        before
        + mark
        + after.replace('value = ""', f'value = "{value}"', 1).replace('instrument = ""', f'instrument = "{instrument}"', 1)
    )


@pytest.mark.parametrize("name", sorted(p.name for p in SCENARIOS.glob("*.toml")))
def test_a_blank_form_names_every_line_and_reads_back_as_nothing_measured(name: str) -> None:
    c = of_site(name)
    assert set(tomllib.loads(form(c))["reading"]) == {line.id for line in c.lines}
    assert read(form(c), c).values == {}
    assert not read(form(c), c).other_scenario


@pytest.mark.parametrize(
    ("id", "value", "si"),
    [
        ("source.gauge_pressure", "0.32 bar(g)", 32000),
        ("source.gauge_pressure", "4.6 psig", 31716),
        ("blast.delivery_time", "800 ms", 0.8),
        ("source.starts_per_hour", "2 per hour", 2 / 3600),
        ("reading.residual", "0.05 mg/L", 5e-5),
        ("line.flow_inlet", "55 L/min", 55 / 60e3),
    ],
)
def test_a_reading_is_taken_in_any_unit_of_its_kind(id: str, value: str, si: float) -> None:
    c = of_site("fernwhistle.toml")
    found = read(filled(c, id, value), c).values
    assert set(found) == {id}
    assert found[id].value == pytest.approx(si, rel=1e-4)
    assert found[id].text == value


def test_an_instrument_is_given_as_a_share_of_the_value_or_in_its_unit() -> None:
    c = of_site("fernwhistle.toml")
    share = read(filled(c, "source.gauge_pressure", "0.30 bar(g)", "2 %"), c)
    plain = read(filled(c, "source.gauge_pressure", "0.30 bar(g)", "10 mbar"), c)
    assert share.values["source.gauge_pressure"].instrument == pytest.approx(600)
    assert plain.values["source.gauge_pressure"].instrument == pytest.approx(1000)


@pytest.mark.parametrize(
    ("id", "value", "says"),
    [
        ("source.gauge_pressure", "0.32 bar", "does not say gauge or absolute"),
        ("source.gauge_pressure", "1.32 bar(a)", "wants what a gauge reads"),
        ("source.gauge_pressure", "0,32 bar(g)", "comma"),
        ("blast.delivery_time", "12", "has no unit"),
        ("reading.bump", "3 bar(g)", "is a pressure"),
    ],
)
def test_what_cannot_be_read_is_refused_with_its_line(id: str, value: str, says: str) -> None:
    c = of_site("fernwhistle.toml")
    text = filled(c, id, value)
    with pytest.raises(ScenarioError) as caught:
        read(text, c)
    (problem,) = caught.value.problems
    assert says in problem.message
    assert text.splitlines()[problem.line - 1] == f'[reading."{id}"]'


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("reading = 3\n", "is not a table"),
        ('readings = ""\n', "unknown key"),
        ('[reading."source.gauge_presure"]\nvalue = "1 bar(g)"\n', "did you mean source.gauge_pressure"),
        ("[reading.source.gauge_pressure]\nvalue = '1 bar(g)'\n", "nothing to measure is called so"),
        ('[reading."reading.bump"]\nvalue = "1 mg/L"\nunit = "mg/L"\n', "unknown key unit"),
        ('[reading."reading.bump"\n', "not TOML"),
    ],
)
def test_a_form_of_the_wrong_shape_is_refused_in_words(text: str, says: str) -> None:
    with pytest.raises(ScenarioError, match=says):
        read(text, of_site("fernwhistle.toml"))


@pytest.mark.parametrize(
    ("id", "value", "instrument", "says"),
    [
        ("source.gauge_pressure", "-99 bar(g)", "", '"-99 bar(g)" is out of range; allowed: -1 to 100 bar(g)'),
        ("source.gauge_pressure", "1e300 bar(g)", "", "is out of range"),
        ("source.gauge_pressure", "0.3 bar(g)", "1e300 %", 'instrument = "1e300 %" is out of range; allowed: 0 % to 100 %'),
        ("source.gauge_pressure", "0.3 bar(g)", "-5 %", 'instrument = "-5 %" is out of range'),
        ("source.gauge_pressure", "0.3 bar(g)", "-5 mbar", 'instrument = "-5 mbar" is out of range; allowed: 0 to 100 bar'),
        ("blast.delivery_time", "-3 s", "", '"-3 s" is out of range; allowed: 0 to 31 d'),
        ("source.run_time", "99 d", "", "is out of range"),
        ("source.starts_per_hour", "-1 per hour", "", "is out of range"),
        ("line.flow_inlet", "-1 L/min", "", "is out of range"),
        ("reading.bump", "5000 mg/L", "", "is out of range"),
    ],
)
def test_what_no_instrument_reads_is_refused(id: str, value: str, instrument: str, says: str) -> None:
    c = of_site("fernwhistle.toml")
    with pytest.raises(ScenarioError) as caught:
        read(filled(c, id, value, instrument), c)
    assert says in str(caught.value)


@pytest.mark.parametrize(
    ("top", "says"),
    [
        ('date = "yesterday"', 'date: "yesterday" is not a date from 1990 to 2100'),
        ('date = "2026-02-30"', "is not a date"),
        ("date = 9999-01-01", "9999-01-01 is not a date"),
        ("date = 3", "3 is not a date"),
        (f'by = "{"x" * 100_000}"', "is not a name; write plain text of at most 500 characters"),
        ('by = "a\\u0007b"', "is not a name"),
        ('by = "a\\nb"', "is not a name"),
        ("by = 3", "3 is not a name"),
        ("reading = 3", "is not a table"),
        ("\n".join(f'[reading."k{i}"]' for i in range(3000)), "3000 readings are too many"),
        ("\n".join(f"k{i} = 1" for i in range(3000)), "and 2980 more problems"),
        ("x = " + "[" * 1000 + "]" * 1000, "deep"),
        ("x = " + "9" * 5000, "a whole number is far too large"),
        ("x = ", "not TOML"),
    ],
)
def test_a_form_that_no_person_writes_is_refused_in_few_words(top: str, says: str) -> None:
    with pytest.raises(ScenarioError) as caught:
        read(top, of_site("fernwhistle.toml"))
    assert says in str(caught.value)
    assert len(str(caught.value)) < 30_000


@pytest.mark.parametrize("date", ['"2026-03-01"', "2026-03-01", '""'])
def test_a_date_may_stand_with_quotes_or_without(date: str) -> None:
    assert read(f"date = {date}\n", of_site("fernwhistle.toml")).date == date.strip('"')


@pytest.mark.parametrize("name", sorted(p.name for p in SCENARIOS.glob("*.toml")))
def test_every_figure_to_measure_has_a_range_that_holds_it(name: str) -> None:
    for line in of_site(name).lines:
        low, high = POSSIBLE[line.expected.kind]
        assert low <= line.expected.value <= high, line.id


def test_all_that_is_wrong_is_said_at_once() -> None:
    text = 'colour = "red"\n[reading."reading.bump"]\nvalue = "1 bar"\n[reading."nothing"]\nvalue = ""\n'
    with pytest.raises(ScenarioError) as caught:
        read(text, of_site("fernwhistle.toml"))
    assert len(caught.value.problems) == 3


def test_a_form_made_for_other_inputs_is_noticed() -> None:
    c = of_site("fernwhistle.toml")
    assert read(form(of_site("fernwhistle.toml", "line.hose.length=9 m")), c).other_scenario


def test_several_lines_on_one_source_are_told_apart() -> None:
    text = (SCENARIOS / "fernwhistle.toml").read_text()
    from purgecalc.scenario import loads

    head, line = text.split("[line]\n", 1)
    two = head + "[[line]]\n" + line + "\n[[line]]\n" + line.replace("lane 2 oxygen", "lane 3 oxygen")
    scenario = loads(two)
    c = gather(Checked.of(scenario))
    assert {line.id.split(".")[0] for line in c.lines if not line.expected.test.once} == {"1", "2"}
    found = read(filled(c, "2.reading.bump", "8 mg/L"), c)
    assert set(found.values) == {"2.reading.bump"}


def test_what_is_of_the_shared_source_is_measured_once() -> None:
    scenario = read_lines("add:line")
    tables = [(s.design.inputs.line, expected(s)) for s in spread(scenario.lines, design_all(scenario.lines))]
    ids = [line.id for line in form_lines(tables)]
    assert "source.highest_gauge" in ids
    assert not {"1.source.highest_gauge", "2.source.highest_gauge"} & set(ids)
    assert {"1.blast.delivery_time", "2.blast.delivery_time"} <= set(ids)
    assert len(ids) == len(set(ids))
