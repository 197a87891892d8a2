"""What is refused, and the exact words it is refused with. Each case changes one thing in the reference scenario."""

from dataclasses import dataclass

import pytest

from purgecalc.errors import ScenarioError
from purgecalc.rules import rule_settings
from purgecalc.scenario import loads
from tests.lines import BASE


@dataclass(frozen=True)
class Broken:
    """``old`` in the reference scenario replaced by ``new``; the messages, each without its picture of the line."""

    what: str
    old: str
    new: str
    messages: list[str]


BROKEN = [
    Broken(
        "bare pressure",
        'dead_head = "3.0 bar(g)"',
        'dead_head = "3.0 bar"',
        ['site.toml:19: source.dead_head: "3.0 bar" does not say gauge or absolute; write "3.0 bar(g)" or "3.0 bar(a)"'],
    ),
    Broken(
        "decimal comma",
        'length = "7.6 m"',
        'length = "7,6 m"',
        [
            'site.toml:27: line.hose.length: "7,6 m" has a comma in the number; write a decimal point and no thousands mark, e.g. "6 m"'
        ],
    ),
    Broken(
        "arithmetic",
        'length = "7.6 m"',
        'length = "2**3 m"',
        ['site.toml:27: line.hose.length: "2**3 m" holds more than one number; a length is wanted, e.g. "6 m"'],
    ),
    Broken(
        "two numbers",
        'length = "7.6 m"',
        'length = "7 6 m"',
        ['site.toml:27: line.hose.length: "7 6 m" holds more than one number; a length is wanted, e.g. "6 m"'],
    ),
    Broken(
        "no unit",
        'length = "7.6 m"',
        'length = "7.6"',
        ['site.toml:27: line.hose.length: "7.6" has no unit; a length is wanted, e.g. "6 m"'],
    ),
    Broken(
        "number without quotes",
        'length = "7.6 m"',
        "length = 7.6",
        ['site.toml:27: line.hose.length: 7.6 has no unit; a length is text with a unit, e.g. "6 m"'],
    ),
    Broken(
        "true for a length",
        'length = "7.6 m"',
        "length = true",
        ['site.toml:27: line.hose.length: true is not a quantity; a length is wanted, e.g. "6 m"'],
    ),
    Broken(
        "a list for a length",
        'length = "7.6 m"',
        "length = [1, 2]",
        ['site.toml:27: line.hose.length: [1, 2] is not a quantity; a length is wanted, e.g. "6 m"'],
    ),
    Broken(
        "empty text",
        'length = "7.6 m"',
        'length = ""',
        ['site.toml:27: line.hose.length: "" does not begin with a number; a length is wanted, e.g. "6 m"'],
    ),
    Broken(
        "not a number",
        'length = "7.6 m"',
        'length = "long"',
        ['site.toml:27: line.hose.length: "long" does not begin with a number; a length is wanted, e.g. "6 m"'],
    ),
    Broken(
        "nan",
        'length = "7.6 m"',
        'length = "nan m"',
        ['site.toml:27: line.hose.length: "nan m" does not begin with a number; a length is wanted, e.g. "6 m"'],
    ),
    Broken(
        "infinite",
        'length = "7.6 m"',
        'length = "1e999 m"',
        ['site.toml:27: line.hose.length: "1e999 m" is not a finite number; a length is wanted, e.g. "6 m"'],
    ),
    Broken(
        "wrong dimension",
        'length = "7.6 m"',
        'length = "60 bar"',
        ['site.toml:27: line.hose.length: "60 bar" is a pressure; a length is wanted, e.g. "6 m"'],
    ),
    Broken(
        "unknown unit",
        'length = "7.6 m"',
        'length = "7.6 furlong"',
        [
            'site.toml:27: line.hose.length: "7.6 furlong": unit \'furlong\' is not known here; a length is wanted, e.g. "6 m"; units: m, mm, cm, um, ft, in, inch'
        ],
    ),
    Broken(
        "unit in capitals",
        'length = "7.6 m"',
        'length = "7600 MM"',
        [
            'site.toml:27: line.hose.length: "7600 MM": unit \'MM\' is not known here; a length is wanted, e.g. "6 m"; units: m, mm, cm, um, ft, in, inch; did you mean mm?'
        ],
    ),
    Broken(
        "negative length",
        'length = "7.6 m"',
        'length = "-7.6 m"',
        ['site.toml:27: line.hose.length: "-7.6 m" is out of range; allowed: more than 0 m and at most 1000 m'],
    ),
    Broken(
        "zero length",
        'length = "7.6 m"',
        'length = "0 m"',
        ['site.toml:27: line.hose.length: "0 m" is out of range; allowed: more than 0 m and at most 1000 m'],
    ),
    Broken(
        "bore 0",
        'bore = "8 mm"',
        'bore = "0 mm"',
        ['site.toml:27: line.hose.bore: "0 mm" is out of range; allowed: at least 500 um and at most 100 mm'],
    ),
    Broken(
        "bore in metres",
        'bore = "8 mm"',
        'bore = "8 m"',
        ['site.toml:27: line.hose.bore: "8 m" is out of range; allowed: at least 500 um and at most 100 mm'],
    ),
    Broken(
        "bore and tube",
        'bore = "8 mm"',
        'bore = "8 mm", outside_diameter = "10 mm", wall = "1 mm"',
        ['site.toml:27: line.hose: give either bore, e.g. bore = "8 mm", or outside_diameter and wall'],
    ),
    Broken(
        "no bore",
        'bore = "8 mm", ',
        "",
        ['site.toml:27: line.hose: give either bore, e.g. bore = "8 mm", or outside_diameter and wall'],
    ),
    Broken(
        "tube without wall",
        'bore = "8 mm"',
        'outside_diameter = "10 mm"',
        ["site.toml:27: line.hose.outside_diameter: outside_diameter and wall go together"],
    ),
    Broken(
        "wall too thick",
        'bore = "8 mm"',
        'outside_diameter = "10 mm", wall = "5 mm"',
        ['site.toml:27: line.hose.wall: outside_diameter "10 mm" less two walls of "5 mm" leaves no bore'],
    ),
    Broken(
        "misspelt key",
        'roughness = "5 um"',
        'roughnes = "5 um"',
        [
            'site.toml:27: line.hose.roughnes: unknown key; did you mean "roughness"? known here: length, bore, outside_diameter, wall, material, roughness, loss_coefficient, fittings, rated_pressure, warmest'
        ],
    ),
    Broken(
        "unknown material",
        'roughness = "5 um"',
        'material = "polyuretane"',
        [
            'site.toml:27: line.hose.material: "polyuretane" is not a hose material of the catalogue; did you mean "polyurethane"? known: polyamide, polyethylene, polyurethane, pvc, rubber'
        ],
    ),
    Broken(
        "fittings and coefficient",
        "loss_coefficient = 4",
        "loss_coefficient = 4, fittings = { elbow_90 = 2 }",
        ["site.toml:27: line.hose: give loss_coefficient or fittings, not both"],
    ),
    Broken(
        "unknown fitting",
        "loss_coefficient = 4",
        "fittings = { elbow_9 = 2 }",
        [
            'site.toml:27: line.hose: "elbow_9" is not a fitting of the catalogue; did you mean elbow_90? known: elbow_90, elbow_90_long, bend_90, elbow_45, tee_run, tee_branch, ball_valve, gate_valve, globe_valve, diaphragm_valve, swing_check, lift_check'
        ],
    ),
    Broken(
        "unknown table",
        "[water]",
        "[watter]",
        [
            'site.toml:12: watter: unknown key; did you mean "water"? known here: title, site, water, source, supply, moisture, pressure, upkeep, site_facts, line, limits, waive, uncertainty, note'
        ],
    ),
    Broken(
        "altitude of a balloon",
        'altitude = "60 m"',
        'altitude = "20 km"',
        ['site.toml:9: site.altitude: "20 km" is out of range; allowed: at least -500 m and at most 9000 m'],
    ),
    Broken(
        "ice",
        '[water]\ntemperature = "15 degC"',
        '[water]\ntemperature = "-4 degC"',
        ['site.toml:13: water.temperature: "-4 degC" is out of range; allowed: at least 0 degC and at most 45 degC'],
    ),
    Broken(
        "brine",
        'salinity = "0 g/kg"',
        'salinity = "100 g/kg"',
        ['site.toml:14: water.salinity: "100 g/kg" is out of range; allowed: at least 0 g/kg and at most 42 g/kg'],
    ),
    Broken(
        "unknown kind of source",
        'kind = "direct"',
        'kind = "dirrect"',
        ['site.toml:17: source.kind: "dirrect" is not one of "direct" or "receiver"; did you mean "direct"?'],
    ),
    Broken(
        "gas flow without state",
        'flow = "60 L/min"',
        'flow = "60 slpm"',
        [
            'site.toml:18: source.flow: "60 slpm": "standard" litres have no one state; write L/min(ANR) for 20 degC or NL/min for 0 degC'
        ],
    ),
    Broken(
        "flow as a pressure",
        'flow = "60 L/min"',
        'flow = "60 psi"',
        ['site.toml:18: source.flow: "60 psi" is a pressure; an air flow is wanted, e.g. "60 L/min"'],
    ),
    Broken(
        "both flow and displacement",
        'flow = "60 L/min"',
        'flow = "60 L/min"\ndisplacement = "90 L/min"',
        ["site.toml:16: source: give exactly one of flow, displacement or curve; flow and displacement are both given"],
    ),
    Broken(
        "no flow",
        'flow = "60 L/min"          # delivered with no back pressure\n',
        "",
        ["site.toml:16: source: give exactly one of flow, displacement or curve; none is given"],
    ),
    Broken(
        "no dead-head",
        'dead_head = "3.0 bar(g)"    # dead-head\n',
        "",
        ['site.toml:16: source: a direct source needs dead_head (its dead-head), e.g. dead_head = "3 bar(g)", or a curve'],
    ),
    Broken(
        "curve of one point",
        'flow = "60 L/min"',
        'curve = [["0 bar(g)", "60 L/min"]]',
        ['site.toml:18: source.curve: curve needs two or more points, e.g. [["0 bar(g)", "60 L/min"], ["2 bar(g)", "20 L/min"]]'],
    ),
    Broken(
        "curve that rises",
        'flow = "60 L/min"',
        'curve = [["0 bar(g)", "20 L/min"], ["1 bar(g)", "30 L/min"]]',
        ["site.toml:18: source.curve: point 2 of curve: the flow must not rise with pressure nor be negative"],
    ),
    Broken(
        "curve that goes back",
        'flow = "60 L/min"',
        'curve = [["1 bar(g)", "20 L/min"], ["0 bar(g)", "10 L/min"]]',
        ["site.toml:18: source.curve: point 2 of curve: pressure must rise from point to point"],
    ),
    Broken(
        "curve with a bare pressure",
        'flow = "60 L/min"',
        'curve = [["0 bar", "20 L/min"], ["1 bar", "10 L/min"]]',
        ['site.toml:18: source.curve: point 1 of curve: "0 bar" does not say gauge or absolute; write "0 bar(g)" or "0 bar(a)"'],
    ),
    Broken(
        "short-time duty",
        'duty = "S3 50 %"',
        'duty = "S2 10 min"',
        [
            'site.toml:21: source.duty: "S2 10 min" is short-time duty, which is no rating for repeated blasts; give the S3 figure, e.g. "S3 25 %"'
        ],
    ),
    Broken(
        "duty without share",
        'duty = "S3 50 %"',
        'duty = "half"',
        ['site.toml:21: source.duty: "half" is not a duty designation; write "S1" or "S3 25 %" (IEC 60034-1)'],
    ),
    Broken(
        "starts",
        "starts_per_hour = 12",
        "starts_per_hour = 0",
        ["site.toml:22: source.starts_per_hour: starts_per_hour = 0 is out of range; allowed: more than 0 and at most 1000"],
    ),
    Broken(
        "starts as text",
        "starts_per_hour = 12",
        'starts_per_hour = "often"',
        ['site.toml:22: source.starts_per_hour: "often" is not a number'],
    ),
    Broken(
        "receiver words on a direct source",
        'kind = "direct"',
        'kind = "direct"\ncut_in = "4 bar(g)"',
        ['site.toml:18: source.cut_in: cut_in belongs to a receiver; this source is kind = "direct"'],
    ),
    Broken(
        "receiver without volume",
        'kind = "direct"',
        'kind = "receiver"',
        [
            'site.toml:16: source: a receiver needs volume, cut_in, cut_out, e.g. volume = "24 L", cut_in = "4.5 bar(g)", cut_out = "6 bar(g)"'
        ],
    ),
    Broken(
        "cut-in above cut-out",
        'kind = "direct"',
        'kind = "receiver"\nvolume = "24 L"\ncut_in = "2.5 bar(g)"\ncut_out = "2 bar(g)"',
        ['site.toml:19: source.cut_in: cut_in "2.5 bar(g)" must be below cut_out "2 bar(g)"'],
    ),
    Broken(
        "cut-out never reached",
        'kind = "direct"',
        'kind = "receiver"\nvolume = "24 L"\ncut_in = "4.5 bar(g)"\ncut_out = "6 bar(g)"',
        ['site.toml:16: source: cut_out "6 bar(g)" is never reached: the compressor stops delivering at dead_head "3.0 bar(g)"'],
    ),
    Broken(
        "no holes",
        "holes = 4",
        "holes = 0",
        ["site.toml:28: line.head.holes: holes = 0 is out of range; allowed: at least 1 and at most 1000"],
    ),
    Broken("half a hole", "holes = 4", "holes = 2.5", ["site.toml:28: line.head.holes: 2.5 is not a whole number"]),
    Broken("holes as text", "holes = 4", 'holes = "four"', ['site.toml:28: line.head.holes: "four" is not a whole number']),
    Broken(
        "check valve as gauge",
        'check_valve = "30 mbar"',
        'check_valve = "30 mbar(g)"',
        [
            'site.toml:28: line.head.check_valve: "30 mbar(g)": a pressure difference is neither gauge nor absolute; write the unit alone, e.g. "30 mbar"'
        ],
    ),
    Broken(
        "wetted length below depth",
        'check_valve = "30 mbar"',
        'wetted_length = "0.5 m"',
        ['site.toml:28: line.head.wetted_length: wetted_length "0.5 m" cannot be less than depth "1.0 m"'],
    ),
    Broken(
        "discharge above one",
        "discharge_coefficient = 0.8",
        "discharge_coefficient = 1.3",
        ['site.toml:28: line.head.discharge_coefficient: "1.3" is out of range; allowed: at least 0.3 and at most 1'],
    ),
    Broken(
        "two response times",
        't90 = "30 s"',
        't90 = "30 s", t63 = "13 s"',
        ["site.toml:29: line.probe: give one response time, not t90 and t63"],
    ),
    Broken(
        "response time as a length",
        't90 = "30 s"',
        't90 = "30 mm"',
        ['site.toml:29: line.probe.t90: "30 mm" is a length; a time is wanted, e.g. "30 s"'],
    ),
    Broken(
        "blast longer than interval",
        'interval = "30 min"',
        'interval = "100 s"',
        [
            'site.toml:30: line.schedule: blast "30 s" and hold_off "90 s" together do not fit in interval "100 s"; lengthen the interval or shorten them'
        ],
    ),
    Broken(
        "no schedule",
        'schedule = { interval = "30 min", blast = "30 s", hold_off = "90 s", hold_lead = "2 s" }\n',
        "",
        ["site.toml:25: line.schedule: is missing (the schedule)"],
    ),
    Broken(
        "table where a value belongs",
        'hole_diameter = "1.5 mm"',
        'hole_diameter = { d = "1.5 mm" }',
        ['site.toml:28: line.head.hole_diameter: a table is not a quantity; a length is wanted, e.g. "1.5 mm"'],
    ),
    Broken(
        "text where a table belongs",
        'schedule = { interval = "30 min", blast = "30 s", hold_off = "90 s", hold_lead = "2 s" }',
        'schedule = "30 min"',
        ['site.toml:30: line.schedule: "30 min" is not a table'],
    ),
    Broken(
        "not TOML",
        'duty = "S3 50 %"',
        "duty = S3",
        ['site.toml:21: not TOML: Invalid value (a value with a unit is written in quotes, e.g. length = "6 m")'],
    ),
    Broken(
        "key twice",
        'duty = "S3 50 %"',
        'duty = "S3 50 %"\nduty = "S1"',
        ['site.toml:22: not TOML: Cannot overwrite a value (a value with a unit is written in quotes, e.g. length = "6 m")'],
    ),
    Broken(
        "unknown rule waived",
        "[line]",
        '[waive]\nhose-lenght = "because"\n[line]',
        ["site.toml:26: waive.hose-lenght: no rule is called 'hose-lenght'; did you mean hose-length?"],
    ),
    Broken(
        "limit of wrong kind",
        "[line]",
        '[limits]\nhose-length = "3 bar"\n[line]',
        ['site.toml:26: limits.hose-length: "3 bar" is a pressure; a length is wanted, e.g. "6 m"'],
    ),
    Broken(
        "a line that is a number",
        '[line]\nname = "lane 2 oxygen"\n',
        "[other]\nx=1\n[line]\nname = 3\n",
        [
            "site.toml:28: line.name: 3 is not text in quotes",
            'site.toml:25: other: unknown key; did you mean "note"? known here: title, site, water, source, supply, moisture, pressure, upkeep, site_facts, line, limits, waive, uncertainty, note',
        ],
    ),
    Broken(
        "deepest above depth",
        'depth = "1.0 m"',
        'depth = "1.0 m", deepest = "0.5 m"',
        ['site.toml:28: line.head.deepest: deepest "0.5 m" cannot be less than depth "1.0 m"'],
    ),
    Broken(
        "shallowest below depth",
        'depth = "1.0 m"',
        'depth = "1.0 m", shallowest = "2 m"',
        ['site.toml:28: line.head.shallowest: shallowest "2 m" cannot be more than depth "1.0 m"'],
    ),
]


@pytest.mark.parametrize("case", BROKEN, ids=lambda c: c.what.replace(" ", "-"))
def test_refused_with_place_value_and_way_out(case: Broken) -> None:
    assert case.old in BASE
    with pytest.raises(ScenarioError) as caught:
        rule_settings(loads(BASE.replace(case.old, case.new, 1), "site.toml"))
    assert [str(p).splitlines()[0] for p in caught.value.problems] == case.messages


def test_there_are_enough_of_them() -> None:
    assert len(BROKEN) >= 40


def test_the_caret_points_at_the_value() -> None:
    with pytest.raises(ScenarioError) as caught:
        loads(BASE.replace('bore = "8 mm"', 'bore = "0 mm"'), "site.toml")
    _, shown, caret = str(caught.value.problems[0]).splitlines()
    assert shown[caret.index("^") : caret.rindex("^") + 1] == '"0 mm"'
