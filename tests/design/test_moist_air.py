"""Water in the air along the line against CoolProp's humid air, which knows neither our formulas nor our sheet."""

import pytest
from CoolProp.HumidAirProp import HAPropsSI

from tests.lines import designed

RUN = ("line.route.coldest=-10 degC", "line.route.exposed_length=5 m")


@pytest.mark.parametrize(("intake", "humidity"), [(5, 90), (20, 50), (35, 70)])
@pytest.mark.parametrize("bore", ["4 mm", "8 mm"])
def test_dew_points_along_a_line_are_those_of_humid_air(intake: int, humidity: int, bore: str) -> None:
    settings = (f"moisture.intake_temperature={intake} degC", f"moisture.intake_humidity={humidity} %")
    d = designed(*RUN, *settings, f"line.hose.bore={bore}")
    p_atm, T = d.number("site.pressure"), 273.15 + intake
    w = HAPropsSI("W", "T", T, "P", p_atm, "R", humidity / 100)
    for id, pressure in (("source", "source.pressure"), ("run", "hose.inlet_pressure")):
        dew = HAPropsSI("D", "T", 333.15, "P", d.number(pressure), "W", w)  # warm, so that nothing falls out on the way
        assert d.number(f"moisture.{id}_dew_point") == pytest.approx(dew, abs=0.35), id
        assert d.number(pressure) > 1.1 * p_atm


def test_water_that_falls_out_is_what_humid_air_cannot_carry() -> None:
    warm = ("moisture.intake_temperature=30 degC", "moisture.intake_humidity=80 %", "line.route.coldest=5 degC")
    d = designed(*RUN, *warm)
    p_run = d.number("hose.inlet_pressure")
    w_in = HAPropsSI("W", "T", 303.15, "P", d.number("site.pressure"), "R", 0.8)
    w_out = HAPropsSI("W", "T", 278.15, "P", p_run, "R", 1.0)
    per_blast = d.number("moisture.water_per_blast") / d.number("blast.air_mass")
    assert per_blast == pytest.approx(w_in - w_out, rel=0.02)
