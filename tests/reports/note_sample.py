"""Two documents with every kind of block: one as an engineer would sign it, one whose texts try to be more than text."""

from purgecalc.reports.blocks import (
    Block,
    Cautions,
    Chart,
    Checklist,
    Document,
    Equation,
    Facts,
    Heading,
    Measurement,
    Measurements,
    Paragraph,
    Signatures,
    Table,
)

LONG = "purge" * 100
HOSTILE = (
    "<script>alert(1)</script>",
    "`tick` ``two`` ```three",
    "a | b || c",
    "#let x = 1",
    "# no heading",
    "$x$ and $$y$$",
    "back\\slash \\n \\",
    "end ]]> of data",
    "*star* **two** _under_ __two__ ~~out~~",
    "[link](http://example.invalid) ![image](x)",
    "- item",
    "+ item",
    "12. item",
    "=== line",
    "&lt;b&gt; &amp; &#60;",
    "\"double\" 'single'",
    "{{ 7 * 7 }} {% if x %}",
    "</style></title>-->",
    "@label <ref> // gone /* gone */",
    "5 < 6 > 4 & 7",
    LONG,
)
TURNING = "left \u202eright\u202c \u2066on\u2069 left"
TURNED_BACK = "left right on left"
EMOJI = "tap \U0001f6b0 open"
RIGHT_TO_LEFT = "שלום"

SVG = """<?xml version="1.0" encoding="utf-8" standalone="no"?>
<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" "http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd">
<svg xmlns:xlink="http://www.w3.org/1999/xlink" width="540pt" height="200pt" viewBox="0 0 540 200" xmlns="http://www.w3.org/2000/svg" version="1.1">
 <metadata>made by hand</metadata>
 <defs><style type="text/css">*{stroke-linejoin: round; stroke-linecap: butt}</style>
  <clipPath id="plot"><rect x="40" y="10" width="490" height="160"/></clipPath>
  <path id="mark" d="M 0 0 L 0 5" style="stroke: #000000"/></defs>
 <rect x="40" y="10" width="490" height="160" style="fill: none; stroke: #888888"/>
 <g clip-path="url(#plot)"><path d="M 40 160 C 120 20 240 20 530 30" style="fill: none; stroke: #0072B2; stroke-width: 2"/></g>
 <use xlink:href="#mark" x="140" y="170" style="stroke: #000000"/><use xlink:href="#mark" x="340" y="170"/>
</svg>"""


def measurement(id_: str, quantity: str, unit: str, low: float | None, high: float | None, **more: str) -> Measurement:
    how = "Gauge at the tee behind the valve, blast held open"
    ends = [t for t in (f"from {low:g}" if low is not None else "", f"to {high:g}" if high is not None else "") if t]
    passes = f"{' '.join(ends)} {unit}".strip() if ends else "no test"
    return Measurement(id_, quantity, how, f"2.43 {unit}", f"2.2 to 2.6 {unit}", passes, unit, low=low, high=high, **more)


CALM_BLOCKS: tuple[Block, ...] = (
    Heading("What this note is", "about"),
    Facts(
        (
            ("Site", "Tarnbeck works, aeration lane 2"),
            ("Line", "Lane 2, west"),
            ("Air source", "Receiver, 24 L"),
            ("Tag of the probe", ""),
            ("Serial number", ""),
        )
    ),
    Paragraph(
        "This note says what the purge line should do when it is put to work, how far each figure may lie from what is expected, and how each figure was worked out."
    ),
    Paragraph("Do not leave the purge in automatic until every line of the table of measurements passes.", strong=True),
    Heading("Before starting", "before"),
    Cautions(
        (
            "Compressed air injures. Isolate the source and let the pressure off before any joint is opened.",
            "Local codes and licensed practice come before this note.",
        )
    ),
    Checklist(
        (
            "The guard rail stands and is fixed.",
            "The highest pressure of the source has been proved against the relief valve, and whoever proved it has written down the date and the gauge used.",
        )
    ),
    Heading("Expected figures", "expected"),
    Table(
        "Figures of the line",
        ("Quantity", "Value", "Limit", "Margin", "Remark"),
        tuple(
            (
                f"Pressure at stage {i}",
                f"{i * 0.14:.2f} bar(g)",
                "at most 9.00 bar(g)",
                f"{9 - i * 0.14:.2f} bar",
                "steady, while the valve is open" if i % 3 else "",
            )
            for i in range(1, 61)
        ),
        (1, 2, 3),
    ),
    Heading("Over one blast", "blast", 2),
    Chart(
        SVG,
        "Pressure at the head against time",
        "The pressure at the head rises within 0.4 s of opening, reaches 1.9 bar(g) at 3 s and holds there until the valve shuts.",
    ),
    Chart(
        SVG, "Flow out of the head against time", "The flow rises to 2.1 g/s at 0.5 s and falls slowly as the receiver empties."
    ),
    Heading("Measured against expected", "measured"),
    Measurements(
        "Fill in while commissioning",
        (
            measurement("source.pressure", "Pressure of the source", "bar(g)", 4.5, 6.0),
            measurement(
                "receiver.pressure_after", "Pressure left after a blast", "bar(g)", 2.0, None, hint="read within 2 s of the end"
            ),
            measurement("blast.delay", "Time from opening to first bubbles", "s", None, 1.5, measured="0.8 s", judged="passes"),
            measurement("duty.temperature", "Temperature of the compressor's head", "\u00b0C", None, None),
            measurement("reading.ratio", "Ratio of readings before and after", "", 0.9, 1.1, measured="about 1", judged="passes"),
        ),
        'schema = 1\nscenario = "Tarnbeck"\n# made from 3f2a\n',
    ),
    Heading("Working", "working"),
    Equation(
        "hose.reynolds",
        "Reynolds number in the hose",
        "Re = 4*m/(pi*D*mu)",
        ("Re = 4*0.00209 kg/s / (pi*0.006 m*1.81e-05 Pa s)",),
        "Re = 24500",
        "Massey, Mechanics of Fluids, section 5.5",
    ),
    Equation(
        "hose.loss",
        "Pressure lost in the hose",
        "p1^2 - p2^2 = (4*f*L/D + 2*ln(p1/p2)) * G^2 * R * T",
        ("p1 = 5.5 bar(g), p2 = 1.9 bar(g)", "f = 0.0061, L = 42 m, D = 6 mm"),
        "dp = 3.6 bar",
        "common practice, no source",
    ),
    Heading("Signatures", "signatures"),
    Signatures(("Installer", "Engineer", "For the works")),
)

CALM = Document(
    "Commissioning note: Tarnbeck, lane 2",
    "Purge line of a dissolved-oxygen probe",
    "PASS, with care: 2 rules to watch; 3 measurements are still to be made",
    "care",
    "Tarnbeck, lane 2; inputs 3f2a9c; purgecalc 0.1.0",
    "2031-05-04",
    "R. Okonjo, Tarnbeck Instrument Services",
    CALM_BLOCKS,
)


def _hostile_blocks() -> tuple[Block, ...]:
    every = "\n".join(HOSTILE[:-1])
    out: list[Block] = [Heading("Hostile texts", "start")]
    for i, text in enumerate((*HOSTILE, TURNING, EMOJI, RIGHT_TO_LEFT)):
        out += [
            Heading(text, f"h-{i}", 1 + i % 2),
            Paragraph(text),
            Paragraph(text, strong=True),
            Facts(((text, text), (text, ""))),
            Table(text, (text, text, "n"), ((text, text, "1"), ("", text, "2")), (2,)),
            Equation(text, text, text, (text, text), text, text),
            Chart(SVG, text, text),
            Checklist((text, text)),
            Cautions((text, text)),
            Measurements(
                text,
                (
                    Measurement(text, text, text, text, text, text, text, text, "", "", 1.0, 2.0),
                    Measurement(text, text, text, text, text, text, text, text, text, text),
                ),
                f"# head {i}\n",
            ),
            Signatures((text,)),
        ]
    return (*out, Paragraph(every), Table(every, (every,), ((every,),)), Checklist((every,)), Cautions((every,)))


WILD_TITLE = "<script>alert(2)</script> #let y = 1 $z$ | `t` \\ ]]> \u202eturned"
WILD = Document(WILD_TITLE, WILD_TITLE, WILD_TITLE, "stop", WILD_TITLE, "", WILD_TITLE, _hostile_blocks())
