"""Rules on the reading: when it is held, what each user gets meanwhile, when it is released and how much is left live."""

from __future__ import annotations

from purgecalc.design import Design
from purgecalc.references import COMMON_PRACTICE, DERIVED, NE_107, OPTODE_RESPONSE
from purgecalc.rules._base import rule
from purgecalc.rules._limits import Range
from purgecalc.rules._outcomes import Fact, Level, Margin, Missing
from purgecalc.scenario.reading import USERS


@rule(
    "hold-off",
    "The reading is held until the bump is gone",
    noun="hold-off",
    level=Level.FIX,
    cite=DERIVED.at("decay of the sensor to the tolerance; for a bump that is not worked out, to a tenth of it, our judgement"),
)
def hold_off(d: Design, limit: None) -> Margin | None:
    """Released too early the reading is wrong for everyone who uses it, and a blower control acts on it.

    Hold for {reading.hold_off_needed} or more, or fit a faster sensor. If the live share then falls short, lengthen the interval.
    A controller that takes over without a step does not replace the hold-off: it follows the false reading all the same.
    """
    return Margin(d["schedule.hold_off"], at_least=d["reading.hold_off_needed"])


@rule(
    "sensor-shape",
    "The way the sensor follows a step is one that its kind is seen to follow",
    noun="sensor response",
    level=Level.WATCH,
    cite=OPTODE_RESPONSE.at("t90 over t63 is 2.3 to 2.8; one lag has 2.3, two equal lags 1.8"),
)
def sensor_shape(d: Design, limit: None) -> Fact | None:
    """Two equal lags end their fall sooner than an optical sensor does, and the hold-off comes out short.

    Leave probe.sensor out, or time the fall by hand and state probe.timed_fall.
    """
    if d.inputs.choice("probe.kind") != "optical-oxygen":
        return None
    said = d.inputs.choices.get("probe.sensor", "one-lag")
    taken = {"one-lag": "one lag", "two-lags": "two equal lags", "dead-time-lag": "dead time and one lag"}[said]
    return Fact(f"an optical face taken as {taken}", "one lag with its settling factor", said != "two-lags")


@rule(
    "hold-off-usual",
    "The hold-off is at least the usual minute",
    noun="usual hold-off",
    level=Level.WATCH,
    cite=COMMON_PRACTICE.at("at least 1 min"),
    limit="60 s",
    kind="time",
)
def hold_off_usual(d: Design, limit: float) -> Margin | None:
    """A minute covers bubbles that stick and a sensor slower than its data sheet.

    Hold for a minute unless a logged bump shows that less is enough.
    """
    return Margin(d["schedule.hold_off"], at_least=limit)


@rule(
    "live-share",
    "The reading is live most of the time",
    noun="live share",
    level=Level.FIX,
    cite=COMMON_PRACTICE.at("nine tenths"),
    limit="90 %",
    kind="fraction",
)
def live_share(d: Design, limit: float) -> Margin | None:
    """While it is held the reading tells nobody anything.

    Lengthen the interval. Or shorten blast and hold-off as far as their own rules allow.
    """
    return Margin(d["reading.live_share"], at_least=limit)


@rule(
    "interval-usual",
    "The interval is in the usual range",
    noun="usual interval",
    level=Level.NOTE,
    cite=COMMON_PRACTICE.at("30 min, 60 min in cleaner water"),
    limit="15 min to 120 min",
    kind="time",
)
def interval_usual(d: Design, limit: Range) -> Margin | None:
    """Outside it the schedule may be right, but somebody should have a reason.

    Say in the note why this interval was chosen.
    """
    return Margin(d["schedule.interval"], at_least=limit[0], at_most=limit[1])


@rule(
    "blast-usual",
    "The blast is of usual length",
    noun="usual blast",
    level=Level.NOTE,
    cite=COMMON_PRACTICE.at("30 s"),
    limit="5 s to 60 s",
    kind="time",
)
def blast_usual(d: Design, limit: Range) -> Margin | None:
    """Outside it the schedule may be right, but somebody should have a reason.

    Say in the note why this blast was chosen.
    """
    return Margin(d["schedule.blast"], at_least=limit[0], at_most=limit[1])


def _treatments(d: Design) -> dict[str, str]:
    """What each user of the reading gets, for those the scenario names; empty without a table of outputs."""
    return {c: d.inputs.choices[f"outputs.{c}"] for c in USERS if f"outputs.{c}" in d.inputs.choices}


def _stated(d: Design) -> bool:
    """Whether the scenario has a table of outputs at all."""
    return "outputs.status" in d.inputs.choices


def _words(users: list[str]) -> str:
    return " and ".join(c.replace("_", " ") for c in users)


@rule(
    "hold-lead",
    "The reading is held before the air can reach it",
    noun="hold lead",
    level=Level.FIX,
    cite=COMMON_PRACTICE.at("one scan and one filter time ahead"),
)
def hold_lead(d: Design, limit: None) -> Margin | Missing:
    """Held too late, the value that is held is that of the bubbles.

    Hold the reading {reading.lead_needed} or more before air on.
    """
    if "reading.lead_needed" not in d:
        return Missing(("probe.scan", "probe.filter"))
    return Margin(d["schedule.hold_lead"], at_least=d["reading.lead_needed"])


@rule(
    "held-value",
    "The value that is held is a typical one",
    noun="held value",
    level=Level.WATCH,
    cite=COMMON_PRACTICE.at("median of the last samples of good status"),
)
def held_value(d: Design, limit: None) -> Fact | Missing | None:
    """A single last sample may be a spike, or bad, and then stands for the whole hold.

    Hold the median of the last good samples.
    """
    said, held = d.inputs.choices.get("probe.held_value"), "hold-last" in _treatments(d).values()
    if said is None and not held:
        return None if _stated(d) else Missing(("probe.held_value",))
    found = {"median": "median of the last good samples", "last": "the last sample", None: "not stated"}[said]
    return Fact(found, "median of the last good samples", said == "median")


@rule(
    "users-treated",
    "Every user of the reading is held, or marked as unused",
    noun="users of the reading",
    level=Level.FIX,
    cite=COMMON_PRACTICE.at("a matrix of outputs; only a recorder may stay live"),
)
def users_treated(d: Design, limit: None) -> Fact | Missing:
    """One path left live while the others are held carries the bump to its user.

    State what each user of the reading gets while it is held. For analogue, bus, relay, local_alarm and historian: hold-last,
    substitute or unused. Force a blast and read every one of them.
    """
    stated = _treatments(d)
    if not _stated(d):
        return Missing(tuple(f"outputs.{user}" for user in USERS))
    absent = [c for c in USERS if c not in stated]
    live = [c for c in USERS if stated.get(c) == "live" and c != "historian"]
    faults = [f"{_words(who)} {what}" for who, what in ((absent, "not stated"), (live, "left live")) if who]
    return Fact("; ".join(faults) or "all stated", "each stated, none but the historian live", not faults)


@rule(
    "longest-hold",
    "A timer ends a hold that sticks",
    noun="longest hold",
    level=Level.FIX,
    cite=NE_107.at("function check while held"),
)
def longest_hold(d: Design, limit: None) -> Margin | Fact | Missing:
    """After a restart in mid-blast a reading may stand still for days, and looks steady.

    End any hold by a timer between one and two holds. One hold is {reading.hold_time}. Show function check while it lasts.
    """
    if "probe.longest_hold" in d:
        return Margin(d["probe.longest_hold"], at_least=d["reading.hold_time"], at_most=d["reading.longest_hold_allowed"])
    if not _stated(d):
        return Missing(("probe.longest_hold",))
    return Fact("no longest hold stated", "a timer that ends any hold", False)


@rule(
    "downstream-averaging",
    "Held values are kept out of averages and records by their status",
    noun="averages and records",
    level=Level.WATCH,
    also=(Level.FIX,),
    cite=NE_107.at("function check while held"),
)
def downstream_averaging(d: Design, limit: None) -> Fact | Missing | None:
    """An average or a record that takes held, substituted or bubble values for measured ones is wrong and does not look it.

    Send the status function check with every held value and leave such values out. Flag, do not substitute.
    """
    historian = _treatments(d).get("historian", "unused")
    if historian == "unused" and "probe.average" not in d:
        return None if _stated(d) else Missing(("outputs.historian",))
    status = d.inputs.choices.get("outputs.status", "good")
    level = Level.FIX if historian == "substitute" else None
    return Fact(f"status {status} while held", "status function check", status == "function check", level)
