"""The questions of ``purgecalc new --ask``: a table, in the order a person standing at the tank knows the answers.

The last question of each table of the scenario is one that can always be answered so that the table holds together:
cut-in below a given cut-out, an interval longer than a given blast and hold-off.

What an answer must be is not said here: the scenario model judges it. ``{line.hose.length}`` in a usual answer is what the
built-in reference installation says there, ``{catalogue.t90}`` what the catalogue says of the kind of probe answered before.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from purgecalc.catalogue.probes import probes


@dataclass(frozen=True)
class Form:
    """A way to answer: the pattern of the whole answer, and what it gives to which key (groups of the pattern in both).

    ``note`` is told to whoever answers so, and stands in the scenario; the reason of ``rule`` is only told.
    """

    pattern: str
    gives: Mapping[str, str]
    note: str = ""
    rule: str = ""


@dataclass(frozen=True, eq=False)
class Question:
    """A question: short name, words, a hint below them, ways to answer, the usual answer and where that comes from.

    ``words`` are answers to choose from, with their meaning. ``when`` is the kind of source it is asked for. ``unknown`` is
    taken for "don't know" where that is not the usual answer, because of ``unknown_origin``. With ``leaves`` the usual answer
    is not written into the scenario. ``rule`` judges the answer at once; ``refused`` is added to a refusal.
    """

    name: str
    ask: str
    forms: tuple[Form, ...]
    usual: str
    origin: str = "reference installation; common practice, no source"
    hint: str = ""
    words: tuple[tuple[str, str], ...] = ()
    when: str = ""
    unknown: str = ""
    unknown_origin: str = ""
    leaves: bool = False
    rule: str = ""
    refused: str = ""

    @property
    def tables(self) -> frozenset[str]:
        """The tables of the scenario it fills."""
        return frozenset(key.rpartition(".")[0] for form in self.forms for key in form.gives)


def plain(key: str) -> Form:
    """The whole answer is the value of one key."""
    return Form(r"(.+)", {key: r"\1"})


CRACKING = "taken to open at {line.head.check_valve}, the usual; common practice, no source"
SMALL_SET = "our judgement: a small compressor with a receiver"
GAUGE_HINT = "A dial that reads 0 at rest shows gauge pressure, and nearly all plates mean it: write (g), or psig."

FLOW = (
    Form(r"(?i:displacement|swept)\s*:?\s*(.+)", {"source.displacement": r"\1"}, rule="flow-basis"),
    Form(r"(?i:free air|fad)\s*:?\s*(.+)", {"source.flow": r"\1"}),
    Form(r"(.+?)\s*(?i:free air|fad)", {"source.flow": r"\1"}),
    plain("source.flow"),
)
FLOW_HINT = 'Free air, e.g. 60 L/min, 3.4 Nm3/h or 2.1 scfm. If only displacement is printed: "displacement 100 L/min".'

QUESTIONS = (
    Question(
        "site and line",
        "Site and line?",
        (Form(r"(.+\S)\s*,\s*([^,]+)", {"title": r"\g<0>", "line.name": r"\2"}), plain("title")),
        usual="{title}",
        origin="a name to put right later",
        hint="e.g. Northbeck Works, lane 3",
    ),
    Question(
        "kind of source",
        "Does the compressor blow straight into the hose, or fill a receiver?",
        (plain("source.kind"),),
        usual="{source.kind}",
        words=(("direct", "the compressor runs for the blast"), ("receiver", "a valve lets the blast out of a receiver")),
    ),
    Question(
        "air delivered", "Air the compressor delivers, on its plate?", FLOW, usual="{source.flow}", hint=FLOW_HINT, when="direct"
    ),
    Question(
        "highest pressure",
        "Highest pressure the compressor reaches, on its plate?",
        (plain("source.dead_head"),),
        usual="{source.dead_head}",
        hint="Where delivery stops, e.g. 3 bar(g) or 45 psig.",
        when="direct",
        refused=GAUGE_HINT,
    ),
    Question("volume", "Volume of the receiver?", (plain("source.volume"),), usual="24 L", origin=SMALL_SET, when="receiver"),
    Question(
        "air delivered",
        "Air the compressor delivers at working pressure, on its plate?",
        FLOW,
        usual="25 L/min",
        origin=SMALL_SET,
        hint=FLOW_HINT,
        when="receiver",
    ),
    Question(
        "cut-out",
        "Pressure at which the compressor stops (cut-out)?",
        (plain("source.cut_out"),),
        usual="6.0 bar(g)",
        origin=SMALL_SET,
        hint="e.g. 6 bar(g) or 87 psig.",
        when="receiver",
        refused=GAUGE_HINT,
    ),
    Question(
        "cut-in",
        "Pressure at which it starts again (cut-in)?",
        (plain("source.cut_in"),),
        usual="4.5 bar(g)",
        origin=SMALL_SET,
        when="receiver",
        refused=GAUGE_HINT,
    ),
    Question(
        "blast valve",
        "Flow figure of the blast valve, on its data sheet?",
        (
            Form(r"(?i:(kv|cv))\s*[=:]?\s*(\d+\.?\d*|\.\d+)", {r"line.valve.\1": r"\2"}),
            Form(r"(?i:c)\s*[=:]\s*(.+)", {"line.valve.conductance": r"\1"}),
            plain("line.valve.conductance"),
        ),
        usual="1.0 dm3/(s bar)",
        origin="our judgement: a small solenoid valve",
        when="receiver",
        hint='C as in "1.0 dm3/(s bar)", or "kv 0.25", or "cv 0.3".',
    ),
    Question(
        "hose length",
        "Length of the hose, source to head?",
        (plain("line.hose.length"),),
        usual="{line.hose.length}",
        hint="e.g. 6 m or 20 ft.",
        rule="hose-length",
    ),
    Question(
        "bore",
        "Bore of the hose (inside diameter)?",
        (
            Form(
                r"(?i:outside|od)\s*:?\s*(.+?)\s*,?\s*(?i:wall)\s*:?\s*(.+)",
                {"line.hose.outside_diameter": r"\1", "line.hose.wall": r"\2"},
            ),
            plain("line.hose.bore"),
        ),
        usual="{line.hose.bore}",
        hint='e.g. 8 mm or 5/16 in. If only the outside is known: "outside 12 mm, wall 2 mm". Measure it: the bore rules all.',
    ),
    Question(
        "hose rating",
        "Working pressure printed on the hose?",
        (plain("line.hose.rated_pressure"),),
        usual="not known",
        leaves=True,
        origin="left out: nobody then judges whether the hose bears the source; read it off the hose",
        refused=GAUGE_HINT,
        hint="e.g. 10 bar(g) or 150 psig.",
    ),
    Question(
        "holes",
        "Holes in the head, and their size?",
        (
            Form(
                r"(\d{1,6})\s*(?i:x|\*|×|holes?(?: of)?|of)\s*(.+?)\s*,?\s+(?i:in|wall)\s*:?\s*(?=[\d.])(.+)",
                {"line.head.holes": r"\1", "line.head.hole_diameter": r"\2", "line.head.wall": r"\3"},
            ),
            Form(
                r"(\d{1,6})\s*(?i:x|\*|×|holes?(?: of)?|of)\s*(.+)", {"line.head.holes": r"\1", "line.head.hole_diameter": r"\2"}
            ),
        ),
        usual="{line.head.holes} x {line.head.hole_diameter}",
        hint='e.g. 4 x 1.5 mm, or with the wall they are drilled in: "4 x 1.5 mm in 3 mm".',
        refused='Number and diameter are wanted, e.g. "4 x 1.5 mm".',
    ),
    Question(
        "depth",
        "Depth of the head below the water?",
        (plain("line.head.depth"),),
        usual="{line.head.depth}",
        hint="At the highest water level, e.g. 1.2 m or 4 ft.",
    ),
    Question(
        "check valve",
        "Is there a check valve at the head?",
        (
            Form(r"(?i:no?|none)", {"line.head.check_valve": "none"}),
            Form(r"(?i:y|yes)", {"line.head.check_valve": "{line.head.check_valve}"}, CRACKING),
            plain("line.head.check_valve"),
        ),
        usual="yes",
        unknown="no",
        unknown_origin="without a word there is none: the cautious reading",
        origin="opens at {line.head.check_valve}: reference installation; common practice, no source",
        hint='yes, no, or the pressure it opens at, e.g. "50 mbar".',
    ),
    Question(
        "kind of probe",
        "Which probe?",
        (plain("line.probe.kind"),),
        usual="{line.probe.kind}",
        words=tuple((name, probe.title) for name, probe in probes().items()),
    ),
    Question(
        "response time",
        "Response time of the probe to 90 % (t90), on its data sheet?",
        (Form(r"(?i:t)(63|90|95|98|99)\s*[=:]?\s*(.+)", {r"line.probe.t\1": r"\2"}), plain("line.probe.t90")),
        usual="{catalogue.t90}",
        leaves=True,
        origin="catalogue, {catalogue.name}: {catalogue.t90.origin}",
        hint='e.g. 40 s or <60 s. Another figure: "t63 15 s", "t95 60 s".',
    ),
    Question(
        "blast",
        "How long does the air blow?",
        (plain("line.schedule.blast"),),
        usual="{line.schedule.blast}",
        when="direct",
        rule="blast-usual",
    ),
    Question(
        "blast",
        "How long does the air blow?",
        (plain("line.schedule.blast"),),
        usual="10 s",
        origin=SMALL_SET,
        when="receiver",
        rule="blast-usual",
    ),
    Question(
        "hold-off",
        "How long is the reading held after the air stops (hold-off)?",
        (plain("line.schedule.hold_off"),),
        usual="{line.schedule.hold_off}",
        rule="hold-off-usual",
    ),
    Question(
        "interval",
        "How often does it blow (start to start)?",
        (plain("line.schedule.interval"),),
        usual="{line.schedule.interval}",
        rule="interval-usual",
    ),
)
UNASKED = (
    "site.altitude",
    "site.air_temperature",
    "water.temperature",
    "water.salinity",
    "source.rated_pressure",
    "source.power",
    "line.head.stand_off",
    "line.probe.set_point",
    "line.probe.tolerance",
)
"""Written as comments where no question fills them, for whoever knows more."""
