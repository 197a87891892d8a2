"""What the blast does to every user of the reading, to the control loop, and how the schedule is set."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from purgecalc.design import Design
from purgecalc.reports.blocks import Block, Checklist, Facts, Heading, Paragraph, Table
from purgecalc.scenario.reading import USERS
from purgecalc.shown import text_of
from purgecalc.studies.commissioning import Commissioning
from purgecalc.wording import sentence
from purgecalc.working import Node

HELD_VALUE = {"median": "median of the last good samples", "last": "the last sample", "": "not stated"}
ABOUT_THE_READING = (
    "schedule.hold_lead",
    "probe.longest_hold",
    "reading.hold_time",
    "reading.hold_off_needed",
    "reading.residual",
)
ABOUT_THE_LOOP = (
    "loop.excursion",
    "loop.integrator_ramp",
    "loop.live_furthest",
    "loop.kick",
    "loop.furthest",
    "loop.kick_simulated",
    "loop.moved_simulated",
    "loop.substitute_step",
)


_NEAR_WHOLE = 1e-6  # a ratio of intervals this near a whole number is one


def signal(c: Commissioning) -> Iterator[Block]:
    """Who gets what while the reading is held."""
    yield Heading("Signal behaviour", "signal")
    for d in c.designs:
        rows = tuple((who.replace("_", " "), _treated(d, who), "") for who in USERS)
        caption = f"What each user of the reading gets while the reading is held{f', {d.inputs.line}' if c.many else ''}"
        yield Table(caption, ("User of the reading", "Designed", "Seen at a forced blast"), rows)
        facts = [("Status sent with a held value", d.inputs.choices.get("outputs.status", "not stated"))]
        facts.append(("Value that is held", HELD_VALUE[d.inputs.choices.get("probe.held_value", "")]))
        facts += [(sentence(d[id].title), text_of(d[id])) for id in ABOUT_THE_READING if id in d]
        yield Facts(tuple(facts))
    yield Paragraph(
        "Force a blast and look at every user of the reading, the status at the controller included. Move nothing else meanwhile."
    )


def _treated(d: Design, who: str) -> str:
    """What a user of the reading gets, the value it is set to included."""
    said = d.inputs.choices.get(f"outputs.{who}", "not stated")
    return f"{said}: {text_of(d['outputs.substitute_value'])}" if said == "substitute" else said


def loop(c: Commissioning) -> Iterator[Block]:
    """What the aeration control does at hold and at release."""
    yield Heading("Control loop", "loop")
    acting = [d for d in c.designs if "loop.uptake" in d.inputs]
    if not acting:
        yield Paragraph("No control loop is stated to act on the reading; the probe only monitors.")
        return
    most, steady = acting[0]["acceptance.output_move"], []
    for d in acting:
        facts = [(sentence(d[id].title), text_of(d[id])) for id in ABOUT_THE_LOOP if id in d]
        tracking = "tracks its output" if d.inputs.choice("loop.tracking") == "yes" else "left live"
        facts.append(("Controller while the reading is held", tracking))
        yield Facts((("Line", d.inputs.line), *facts) if c.many else tuple(facts))
        who = f"{d.inputs.line}: " if c.many else ""
        moves = [f"{words} by {text_of(node)}" for words, node in _moves(d) if abs(float(node.value)) > float(most.value)]
        if moves:
            yield Paragraph(
                f"Not to be ticked as designed: {who}the controller output moves {' and '.join(moves)}, where {text_of(most)} is "
                "allowed (common practice, no source): clear the findings on hold-off and controller first.",
                strong=True,
            )
        else:
            steady.append(
                f"{who}controller output watched through three blasts: it moves by {text_of(most)} at most (common practice, no "
                "source)."
            )
    if steady:
        yield Checklist(tuple(steady))


def _moves(d: Design) -> Iterator[tuple[str, Node]]:
    """What the output is expected to do, by when: a controller that tracks does nothing while the reading is held."""
    if "loop.live_furthest" in d:
        yield "on the bump", d["loop.kick_simulated" if "loop.kick_simulated" in d else "loop.live_furthest"]
        return
    if d.inputs.choice("loop.tracking") == "no":
        yield from (("while held", d[id]) for id in ("loop.substitute_step", "loop.integrator_ramp") if id in d)
    yield "at release", d["loop.kick_simulated" if "loop.kick_simulated" in d else "loop.furthest"]


def _meet(a: Design, b: Design) -> str:
    """Whether two lines on one source can be kept apart by their start times."""
    names = (
        f"{a.inputs.line} (every {text_of(a['schedule.interval'])}) and {b.inputs.line} (every {text_of(b['schedule.interval'])})"
    )
    short, long = sorted(d.number("schedule.interval") for d in (a, b))
    if abs(long / short - round(long / short)) < _NEAR_WHOLE:
        return (
            f"{names} fire together if they start together, or a whole interval apart: set start times so that the one blast is "
            "over, and the source recovered, before the other begins."
        )
    return (
        f"{names} can be kept apart by half the longest time that divides both intervals, and no more: where that is less than a "
        "blast and the recovery of the source, let the one wait for the other, or make one interval a multiple of the other."
    )


def schedule(c: Commissioning) -> Iterator[Block]:
    """The settings as keyed in, and what they mean."""
    yield Heading("Schedule as set", "schedule")
    ids = ("schedule.interval", "schedule.blast", "schedule.hold_off", "schedule.hold_lead")
    rows = tuple((d.inputs.line, *(text_of(d[id]) for id in ids), text_of(d["reading.live_share"]), "") for d in c.designs)
    for a, b in combinations(c.designs, 2):
        yield Paragraph(_meet(a, b))
    yield Table("Settings", ("Line", "Interval", "Blast", "Hold-off", "Hold lead", "Live share", "As found"), rows)
    yield Facts(
        (
            ("Clock source and resynchronising", ""),
            *((f"Start time of the first blast{f', {d.inputs.line}' if c.many else ''}", "") for d in c.designs),
            ("What happens at summer time", ""),
            ("What happens after loss of power", ""),
        )
    )
