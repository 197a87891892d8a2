"""Values are changed in the text of a scenario, and nothing else is."""

import pytest

from purgecalc.scenario import loads
from purgecalc.scenario.rewrite import rewritten, with_settings
from tests.lines import BASE, RECEIVER

TWO = BASE.replace("[line]", "[[line]]") + BASE[BASE.index("[line]") :].replace("[line]", "[[line]]").replace("lane 2", "lane 3")


def test_only_the_value_changes() -> None:
    text = rewritten(BASE, {"hose.bore": "10 mm"}, "lane 2 oxygen")
    assert text == BASE.replace('bore = "8 mm"', 'bore = "10 mm"')


def test_a_table_that_is_not_there_is_made() -> None:
    text = rewritten(BASE, {"valve.conductance": "2 dm3/(s bar)", "supply.voltage": "230 V"}, "lane 2 oxygen")
    with pytest.raises(Exception, match="supply"):  # the electrical table wants more than a voltage: it was written
        loads(text)
    text = rewritten(BASE, {"valve.conductance": "2 dm3/(s bar)"}, "lane 2 oxygen")
    assert loads(text).lines[0]["valve.conductance"].value == pytest.approx(2e-8)


def test_the_line_named_is_changed_and_the_other_is_not() -> None:
    lines = loads(rewritten(TWO, {"hose.bore": "10 mm", "source.flow": "70 L/min"}, "lane 3 oxygen")).lines
    assert [line["hose.bore"].text for line in lines] == ["8 mm", "10 mm"]
    assert {line["source.flow"].text for line in lines} == {"70 L/min"}


def test_a_bore_stands_in_place_of_tube_sizes() -> None:
    tube = BASE.replace('bore = "8 mm"', 'outside_diameter = "8 mm", wall = "1 mm"')
    assert loads(rewritten(tube, {"hose.bore": "8 mm"}, "lane 2 oxygen")).lines[0]["hose.bore"].value == 0.008


@pytest.mark.parametrize(
    "settings",
    [
        ("line.hose.length=12 m",),
        ("line.2.hose.length=12 m", "site.altitude=300 m"),
        ("line.probe.t90=70 s", "line.2.probe.kind=membrane-oxygen"),
        ("line.probe.t63=70 s",),
        RECEIVER[:1],
    ],
)
def test_settings_are_written_as_they_are_applied(settings: tuple[str, ...]) -> None:
    if settings == RECEIVER[:1]:
        text, settings = BASE, RECEIVER
    else:
        text = TWO
    by_text, by_setting = loads(with_settings(text, settings)).lines, loads(text, settings=settings).lines
    for a, b in zip(by_text, by_setting, strict=True):
        assert {k: v.value for k, v in a.values.items()} == {k: v.value for k, v in b.values.items()}
        assert a.choices == b.choices
