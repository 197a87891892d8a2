"""The kinds of quantity this trade works with: SI unit, spellings accepted, example to offer, units to show."""

from __future__ import annotations

from dataclasses import dataclass

# What a reader may write, by the unit pint knows it as. Spellings are matched exactly (bar is not Bar).
SPELLINGS: dict[str, str] = {
    **{u: u for u in ("m", "mm", "cm", "um", "km", "ft", "s", "ms", "min", "h", "d", "K", "Pa", "kPa", "MPa", "hPa")},
    **{u: u for u in ("bar", "mbar", "psi", "atm", "mmHg", "L", "mL", "W", "kW", "hp", "V", "A", "Hz", "N", "mN", "kg", "g")},
    **{"in": "inch", "inch": "inch", "sec": "s", "hr": "h", "day": "d", "degC": "degC", "°C": "degC", "degF": "degF"},
    **{"°F": "degF", "lb": "lb", "lbf": "lbf", "gal": "gal", "m3": "m**3", "dm3": "L", "cm3": "mL", "ft3": "ft**3"},
    **{"mm2": "mm**2", "cm2": "cm**2", "m2": "m**2", "in2": "inch**2", "%": "percent", "": "", "kJ": "kJ", "J": "J"},
    **{"L/min": "L/min", "L/s": "L/s", "L/h": "L/h", "dm3/min": "L/min", "dm3/s": "L/s", "m3/h": "m**3/h"},
    **{"m3/min": "m**3/min", "m3/s": "m**3/s", "cfm": "ft**3/min", "ft3/min": "ft**3/min", "cfh": "ft**3/h"},
    **{"dm3/(s bar)": "L/s/bar", "dm3/s/bar": "L/s/bar", "L/(s bar)": "L/s/bar", "m3/(s Pa)": "m**3/s/Pa"},
    **{"mg/L": "mg/L", "ug/L": "ug/L", "g/m3": "g/m**3", "g/L": "g/L", "kg/m3": "kg/m**3", "g/kg": "g/kg", "kg/s": "kg/s"},
    **{
        "mg/L/h": "mg/L/h",
        "mg/(L h)": "mg/L/h",
        "g/m3/h": "g/m**3/h",
        "mg/L/d": "mg/L/d",
        "1/d": "1/d",
        "1/h": "1/h",
        "per day": "1/d",
        "per hour": "1/h",
    },
    "%/(mg/L)": "percent/mg/L**-1",
    **{"m/s": "m/s", "ft/s": "ft/s", "J/K": "J/K", "W/K": "W/K", "W/(m2 K)": "W/m**2/K", "kWh": "kWh", "kg/h": "kg/h"},
}
PRESSURE_UNITS = ("bar", "mbar", "Pa", "kPa", "MPa", "hPa", "psi", "atm", "mmHg")
FLOW_UNITS = ("L/min", "L/s", "L/h", "dm3/min", "dm3/s", "m3/h", "m3/min", "m3/s", "cfm", "ft3/min")
GAUGE = ("(g)", " (g)", "g", " g", " gauge")
ABSOLUTE = ("(a)", " (a)", "a", " a", " abs", "(abs)", " (abs)")

Ladder = tuple[tuple[float, str, str], ...]  # (from this SI magnitude, pint unit, label), ascending


@dataclass(frozen=True)
class Kind:
    """A sort of quantity: SI unit inside, spellings accepted, example to offer, units to show it in."""

    name: str
    si: str
    accepts: tuple[str, ...]
    example: str
    show_si: Ladder
    show_us: Ladder = ()
    article: str = "a"


_PLAIN_PRESSURE: Ladder = ((0, "mbar", "mbar"), (1e5, "bar", "bar"))
_ALL = [
    Kind(
        "length",
        "m",
        ("m", "mm", "cm", "um", "ft", "in", "inch"),
        "6 m",
        ((0, "um", "um"), (1e-3, "mm", "mm"), (1, "m", "m")),
        ((0, "inch", "in"), (0.3048, "ft", "ft")),
    ),
    Kind("altitude", "m", ("m", "km", "ft"), "60 m", ((0, "m", "m"),), ((0, "ft", "ft"),), "an"),
    Kind("area", "m**2", ("mm2", "cm2", "m2", "in2"), "7.07 mm2", ((0, "mm**2", "mm2"),), ((0, "inch**2", "in2"),), "an"),
    Kind(
        "volume",
        "m**3",
        ("L", "mL", "m3", "dm3", "cm3", "gal", "ft3"),
        "24 L",
        ((0, "mL", "mL"), (1e-3, "L", "L"), (1, "m**3", "m3")),
        ((0, "ft**3", "ft3"),),
    ),
    Kind(
        "time",
        "s",
        ("s", "ms", "sec", "min", "h", "hr", "d", "day"),
        "30 s",
        ((0, "ms", "ms"), (0.1, "s", "s"), (300, "min", "min"), (7200, "h", "h"), (172800, "d", "d")),
    ),
    Kind("temperature", "K", ("degC", "°C", "degF", "°F", "K"), "15 degC", ((0, "degC", "degC"),), ((0, "degF", "degF"),)),
    Kind("pressure", "Pa", (), "3 bar(g)", ((0, "bar", "bar(a)"),), ((0, "psi", "psia"),)),
    Kind("gauge pressure", "Pa", (), "3 bar(g)", ((0, "mbar", "mbar(g)"), (1e5, "bar", "bar(g)")), ((0, "psi", "psig"),)),
    Kind("pressure difference", "Pa", PRESSURE_UNITS, "30 mbar", _PLAIN_PRESSURE, ((0, "psi", "psi"),)),
    Kind(
        "air flow",
        "m**3/s",
        (),
        "60 L/min",
        ((0, "L/min", "L/min"), (1 / 60, "m**3/min", "m3/min")),
        ((0, "ft**3/min", "cfm"),),
        "an",
    ),
    Kind(
        "volume flow",
        "m**3/s",
        FLOW_UNITS,
        "60 L/min",
        ((0, "L/min", "L/min"), (1 / 60, "m**3/min", "m3/min")),
        ((0, "ft**3/min", "cfm"),),
    ),
    Kind("daily volume", "m**3/s", (), "1 m3/d", ((0, "L/d", "L/d"), (1.16e-5, "m**3/d", "m3/d")), ((0, "ft**3/d", "ft3/d"),)),
    Kind("mass flow", "kg/s", ("kg/s", "kg/h"), "1 kg/h", ((0, "g/s", "g/s"),), ((0, "lb/h", "lb/h"),)),
    Kind("mass", "kg", ("kg", "g", "lb"), "5 kg", ((0, "g", "g"), (1, "kg", "kg")), ((0, "lb", "lb"),)),
    Kind(
        "sonic conductance",
        "m**3/s/Pa",
        ("dm3/(s bar)", "dm3/s/bar", "L/(s bar)", "m3/(s Pa)"),
        "1.0 dm3/(s bar)",
        ((0, "L/s/bar", "dm3/(s bar)"),),
    ),
    Kind("concentration", "kg/m**3", ("mg/L", "ug/L", "g/m3", "g/L"), "2.0 mg/L", ((0, "mg/L", "mg/L"),)),
    Kind("concentration rate", "kg/m**3/s", ("mg/L/h", "mg/(L h)", "g/m3/h", "mg/L/d"), "40 mg/L/h", ((0, "mg/L/h", "mg/L/h"),)),
    Kind("controller gain", "m**3/kg", ("%/(mg/L)",), "10 %/(mg/L)", ((0, "percent/mg/L**-1", "%/(mg/L)"),)),
    Kind("salinity", "kg/kg", ("g/kg",), "35 g/kg", ((0, "g/kg", "g/kg"),)),
    Kind("density", "kg/m**3", ("kg/m3",), "1000 kg/m3", ((0, "kg/m**3", "kg/m3"),), ((0, "lb/ft**3", "lb/ft3"),)),
    Kind("viscosity", "Pa*s", (), "18 uPa s", ((0, "uPa*s", "uPa s"),)),
    Kind("speed", "m/s", ("m/s", "ft/s"), "0.25 m/s", ((0, "m/s", "m/s"),), ((0, "ft/s", "ft/s"),)),
    Kind("force", "N", ("N", "mN", "lbf"), "150 mN", ((0, "mN", "mN"), (1, "N", "N")), ((0, "lbf", "lbf"),)),
    Kind("power", "W", ("W", "kW", "hp"), "180 W", ((0, "W", "W"), (1e3, "kW", "kW"))),
    Kind("energy", "J", ("J", "kJ", "kWh"), "1 kJ", ((0, "J", "J"), (1e3, "kJ", "kJ"))),
    Kind("electrical energy", "J", ("kWh",), "26 kWh", ((0, "kWh", "kWh"),)),
    Kind("rate", "1/s", ("per hour", "1/h", "per day", "1/d"), "12 per hour", ((0, "1/h", "per hour"),)),
    Kind("growth rate", "1/s", ("per day", "1/d", "per hour", "1/h"), "1.5 per day", ((0, "1/d", "per day"),)),
    Kind("heat conductance", "W/K", ("W/K",), "2 W/K", ((0, "W/K", "W/K"),)),
    Kind("heat transfer coefficient", "W/m**2/K", ("W/(m2 K)",), "10 W/(m2 K)", ((0, "W/m**2/K", "W/(m2 K)"),)),
    Kind("voltage", "V", ("V",), "230 V", ((0, "V", "V"),)),
    Kind("current", "A", ("A",), "1.6 A", ((0, "A", "A"),)),
    Kind("frequency", "Hz", ("Hz",), "50 Hz", ((0, "Hz", "Hz"),)),
    Kind("fraction", "", ("%", ""), "50 %", ((0, "percent", "%"),)),
    Kind("ratio", "", ("",), "0.8", ((0, "", ""),)),
    Kind("count", "", ("",), "4", ((0, "", ""),)),
    Kind("flag", "", ("",), "1", ((0, "", ""),)),
]
KINDS = {kind.name: kind for kind in _ALL}

# Codes of the SI units inside, for programs: UCUM, case-sensitive form (from memory of the open standard). Temperatures are in
# kelvin there, fractions are not in per cent.
UCUM: dict[str, str] = {
    "": "1",
    "1/s": "/s",
    "A": "A",
    "Hz": "Hz",
    "J": "J",
    "K": "K",
    "N": "N",
    "Pa": "Pa",
    "Pa*s": "Pa.s",
    "V": "V",
    "W": "W",
    "W/K": "W/K",
    "W/m**2/K": "W/(m2.K)",
    "kg": "kg",
    "kg/kg": "kg/kg",
    "kg/m**3": "kg/m3",
    "kg/m**3/s": "kg/(m3.s)",
    "kg/s": "kg/s",
    "m": "m",
    "m**2": "m2",
    "m**3": "m3",
    "m**3/kg": "m3/kg",
    "m**3/s": "m3/s",
    "m**3/s/Pa": "m3/(s.Pa)",
    "m/s": "m/s",
    "s": "s",
}

# The state a flow of air was measured at. Plain litres in a field defined as free air delivered are at the
# inlet of the source (ISO 1217). US standard flow is ambiguous (14.7 psia at 60 or 70 degF, or 14.5 psia at
# 68 degF); the compressor trade's last one is taken, from memory, and named in the output.
FLOW_STATES = {
    "inlet": "air at the site's inlet state (free air delivered, FAD)",
    "ANR": "ISO 8778 (20 degC, 100 kPa, 65 % RH)",
    "normal": "DIN 1343 (0 degC, 101.325 kPa, dry)",
    "US": "scfm at 68 degF, 14.5 psia, dry",
}
AIR_FLOW_FORMS = {
    **{u: (u, "inlet") for u in FLOW_UNITS},
    **{f"{u}(ANR)": (u, "ANR") for u in FLOW_UNITS},
    **{f"{u} (ANR)": (u, "ANR") for u in FLOW_UNITS},
    **{f"{u} ANR": (u, "ANR") for u in FLOW_UNITS},
    **{f"N{u}": (u, "normal") for u in ("L/min", "L/s", "L/h", "m3/h", "m3/min")},
    "scfm": ("cfm", "US"),
}

# Factors to SI of the units people write every day; units.txt holds them for pint too, and a test holds both equal.
COMMON_UNITS: dict[str, float] = {
    "": 1.0,
    "1": 1.0,
    "percent": 0.01,
    "m": 1.0,
    "km": 1e3,
    "cm": 1e-2,
    "mm": 1e-3,
    "um": 1e-6,
    "inch": 0.0254,
    "ft": 0.3048,
    "s": 1.0,
    "ms": 1e-3,
    "min": 60.0,
    "h": 3600.0,
    "d": 86400.0,
    "K": 1.0,
    "Hz": 1.0,
    "V": 1.0,
    "A": 1.0,
    "kg": 1.0,
    "g": 1e-3,
    "mg": 1e-6,
    "ug": 1e-9,
    "lb": 0.45359237,
    "L": 1e-3,
    "mL": 1e-6,
    "gal": 231 * 0.0254**3,
    "N": 1.0,
    "mN": 1e-3,
    "lbf": 4.4482216152605,
    "Pa": 1.0,
    "hPa": 1e2,
    "kPa": 1e3,
    "MPa": 1e6,
    "mbar": 1e2,
    "bar": 1e5,
    "psi": 4.4482216152605 / 0.0254**2,
    "atm": 101325.0,
    "mmHg": 133.322387415,
    "uPa": 1e-6,
    "Pa*s": 1.0,
    "uPa*s": 1e-6,
    "J": 1.0,
    "kJ": 1e3,
    "kWh": 3.6e6,
    "W": 1.0,
    "kW": 1e3,
    "hp": 550 * 0.3048 * 4.4482216152605,
}
OFFSET_UNITS = {"degC": (1.0, 273.15), "degF": (5 / 9, 233.15 + 200 / 9)}
