"""Duty of a source that one or more lines share.

Duty of a receiver's compressor comes from its on-time in the integrated blasts (from cut-in, from cut-out, and from
cut-out as it is about to stop), with what is missing once the warm air has cooled made good. The worst window holds
every line once at its worst moment (the first from cut-in, each other as the compressor is about to stop), and what
further blasts add. A run that lasts into the next blast is counted at cut-out. Where blasts are not integrated (tables,
sweeps) upper ends by hand stand there: at most the blast and the filling from what it leaves, and at most all its air
at the flow at cut-out. ``tests/receiver_events.py`` is the simulation all this is held against, never below it by more
than 2 %. Lines on one receiver are each worked out from cut-in; ``lines-apart`` says where that would not hold right
after the others.

A line pays for its own running time (``line.energy_per_year``); duty, starts and wear of the compressor are the
source's, all lines together.

Running time, energy, air a day and wear follow the contact as wired: all but the blast where it is inverted; a receiver
whose valve stands open at rest is taken to be filled all the time. Intervals proposed rest on the blast as meant.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from purgecalc.air_sources._runs import waits
from purgecalc.formulas import blast, duty, duty_runs, interval, receiver
from purgecalc.inputs import Inputs
from purgecalc.working import Node, Sheet

WORST_RUN_TITLE = "Run of the compressor, every line blowing once at the worst moment"


def share_duty(sheet: Sheet, inputs: Inputs, others: Sequence[Sheet]) -> None:
    """Run share, running time in the worst window and starts of a source that runs with each blast, all lines together."""
    share_within(sheet, others, ("source.run_in_window", "Running time in the worst window"), inputs["source.duty_window"])
    _rest_of_duty(sheet, inputs, others, _commanded_runs(sheet, others))


def share_within(sheet: Sheet, others: Sequence[Sheet], words: tuple[str, str], W: Node) -> Node:
    """Most running time of that source in any window of length ``W``.

    Lines are assumed to fall in the same window: without a timetable that is the case to be ready for.
    """
    lines = zip(_own_ids(words[0], others), (sheet, *others), _commanded_runs(sheet, others), strict=True)
    windows = [
        sheet.do(duty.run_in_window, as_id=id, title=words[1], t_run=run, T=s["schedule.interval"], W=W) for id, s, run in lines
    ]
    return _summed(sheet, words, windows, lambda a, b, w: sheet.do(duty.sum_time, own=a, others=b, W=W, **w))


def _commanded_runs(sheet: Sheet, others: Sequence[Sheet]) -> list[Node]:
    """Running time of each line in its interval: the blast, or what its contact makes of it as wired."""
    runs = []
    for id, s in zip(_run_ids("source.run_as_wired", others), (sheet, *others), strict=True):
        run: Node | None = s["source.run_time"] if "contact.run_share" not in s else sheet.get(id)
        runs.append(run or sheet.do(duty.run_as_wired, as_id=id, share=s["contact.run_share"], T=s["schedule.interval"]))
    return runs


def receiver_duty(sheet: Sheet, inputs: Inputs, others: Sequence[Sheet]) -> None:
    """The same of a compressor that fills a receiver."""
    every = (sheet, *others)
    longest, T = _longest_run(sheet, inputs, every), _shortest_interval(sheet, every)
    for id, s in zip(_run_ids("source.run_time", others), every, strict=True):
        title, stop = "Running time of the compressor per blast", s["source.run_stopping"]
        if waits(inputs) and "source.run_calm" in s:
            sheet.do(duty_runs.run_time, as_id=id, t_calm=s["source.run_calm"], t_stop=stop, t_long=longest, T=T)
        else:
            sheet.do(blast.same_time, as_id=id, title=title, t=stop)
    words = "source.run_in_window", "Running time in the worst window"
    receiver_within(sheet, others, words, inputs["source.duty_window"])
    _rest_of_duty(sheet, inputs, others, _filling_runs(sheet, others))


def receiver_within(sheet: Sheet, others: Sequence[Sheet], words: tuple[str, str], W: Node) -> Node:
    """Most running time of that compressor in any window of length ``W``.

    The worst window holds one run for which every line blows at the worst moment, and what further blasts of each add.
    """
    more, longest, part = [], sheet["source.longest_run"], "" if words[0].startswith("source.") else f".{words[0]}"
    ids, every = _run_ids("source.run_time", others), (sheet, *others)
    for id, s, run in zip(ids, every, _filling_runs(sheet, others), strict=True):
        window = sheet.do(duty.run_in_window, as_id=f"{id}{part}.window", t_run=run, T=s["schedule.interval"], W=W)
        more.append(sheet.do(duty.further_runs, as_id=f"{id}{part}.further", t_window_run=window, t_run=run))
        if f"{id}.unasked" in sheet:
            idle = sheet[f"{id}.unasked"]
            longest = sheet.do(interval.longer_of, as_id=f"{id}{part}.longest", title=WORST_RUN_TITLE, t_a=longest, t_b=idle)
    further = f"source.further{part}", "Running time that further blasts of all lines add"
    total = _summed(sheet, further, more, lambda a, b, w: sheet.do(receiver.time_sum, a=a, b=b, **w))
    return sheet.do(duty.worst_run, as_id=words[0], title=words[1], t_first=longest, t_more=total, W=W)


def _filling_runs(sheet: Sheet, others: Sequence[Sheet]) -> list[Node]:
    """Running time of the compressor for each line in its interval; all of it where a valve is wired to stand open at rest."""
    runs = []
    for id, s in zip(_run_ids("source.run_time", others), (sheet, *others), strict=True):
        run = sheet[id]
        if "contact.at_rest" in s:
            idle = sheet.get(f"{id}.unasked") or sheet.do(
                duty.unasked_run, as_id=f"{id}.unasked", rest=s["contact.at_rest"], T=s["schedule.interval"]
            )
            as_wired = f"{id}.as_wired", "Running time of the compressor in an interval, as the contact is wired"
            run = sheet.get(as_wired[0]) or sheet.do(interval.longer_of, as_id=as_wired[0], title=as_wired[1], t_a=run, t_b=idle)
        runs.append(run)
    return runs


def _longest_run(sheet: Sheet, inputs: Inputs, every: Sequence[Sheet]) -> Node:
    """Every line blows once: the first from cut-in, each other as the compressor is about to stop; the worst line is first."""
    id, title = "source.longest_run", WORST_RUN_TITLE
    stops = [s["source.run_stopping"] for s in every]
    if not waits(inputs):
        return _first_of(sheet, (id, title), stops)
    firsts = [_first_run(sheet, s, i) for i, s in enumerate(every)]
    if len(every) == 1:
        return _first_of(sheet, (id, title), firsts)
    all_stops = _first_of(sheet, (f"{id}.stopping", "Runs of all lines, each begun as the compressor is about to stop"), stops)
    excess = [
        sheet.do(duty_runs.run_excess, as_id=f"{id}.excess_{i}", t_first=first, t_stop=stop)
        for i, (first, stop) in enumerate(zip(firsts, stops, strict=True), 1)
    ]
    most = _summed(
        sheet,
        (f"{id}.excess", "Most that a first run from cut-in lasts beyond that"),
        excess,
        lambda a, b, w: sheet.do(interval.longer_of, t_a=a, t_b=b, **w),
    )
    return sheet.do(receiver.time_sum, as_id=id, title=title, a=all_stops, b=most)


def _first_run(sheet: Sheet, line: Sheet, i: int) -> Node:
    """Run for a line's blast from cut-in, or one of those that follow it where that is longer."""
    if "source.run_calm" not in line:
        return line["source.refill_time"]
    id, title = f"source.longest_run.of_line_{i + 1}", "Longest run for a blast of one line"
    return sheet.do(interval.longer_of, as_id=id, title=title, t_a=line["source.refill_time"], t_b=line["source.run_calm"])


def _first_of(sheet: Sheet, words: tuple[str, str], times: Sequence[Node]) -> Node:
    """The sum of some times; of one, that time under the name."""
    if len(times) == 1:
        return sheet.do(blast.same_time, as_id=words[0], title=words[1], t=times[0])
    return _summed(sheet, words, times, lambda a, b, w: sheet.do(receiver.time_sum, a=a, b=b, **w))


def _shortest_interval(sheet: Sheet, every: Sequence[Sheet]) -> Node:
    words = "schedule.shortest_interval", "Shortest interval of the lines on the source"
    intervals = [s["schedule.interval"] for s in every]
    return _summed(sheet, words, intervals, lambda a, b, w: sheet.do(duty.shorter_of, T_a=a, T_b=b, **w))


def _rest_of_duty(sheet: Sheet, inputs: Inputs, others: Sequence[Sheet], runs: Sequence[Node]) -> None:
    """Run share and starts of all lines together, what the stated rating and starts allow, and the energy of a year."""
    shares, starts = [], []
    names = zip(_own_ids("source.duty_fraction", others), _own_ids("source.starts_per_hour", others, "starts"), strict=True)
    for (share_id, starts_id), s, run in zip(names, (sheet, *others), runs, strict=True):
        shares.append(sheet.do(duty.duty_fraction, as_id=share_id, t_run=run, t_cycle=s["schedule.interval"]))
        starts.append(sheet.do(duty.starts, as_id=starts_id, T=s["schedule.interval"]))
    words = "source.duty_fraction", "Duty"
    share = _summed(sheet, words, shares, lambda a, b, w: sheet.do(duty.sum_share, own=a, others=b, **w))
    words = "source.starts_per_hour", "Starts of the source"
    _summed(sheet, words, starts, lambda a, b, w: sheet.do(duty.sum_rate, own=a, others=b, **w))
    if "source.duty_rating" in inputs:
        sheet.do(duty.run_allowed, CDF_rated=inputs["source.duty_rating"], W=inputs["source.duty_window"])
    if "source.starts_allowed" in inputs:
        sheet.add(inputs["source.starts_allowed"])
    if "source.power" in inputs:
        P, title = inputs["source.power"], "Electrical energy a year"
        sheet.do(duty.energy_per_year, as_id="line.energy_per_year", title=f"{title}, of this line", P=P, CDF=shares[0])
        whole = f"{title}, of the source{' for all lines' if others else ''}"
        sheet.do(duty.energy_per_year, title=whole, P=P, CDF=share)


def _run_ids(id: str, others: Sequence[Sheet]) -> list[str]:
    """Ids of the runs for each line: the first is this sheet's own."""
    return [id, *(f"source.others.{i}.{id.rsplit('.', 1)[-1]}" for i in range(1, len(others) + 1))]


def _own_ids(id: str, others: Sequence[Sheet], of_others: str = "") -> list[str]:
    """Ids of what each line asks for: the plain id where there is one line alone."""
    short = of_others or id.rsplit(".", 1)[-1]
    own = f"{id}.first_1" if others else id
    return [own, *(f"source.others.{i}.{short}" for i in range(1, len(others) + 1))]


def _summed(
    sheet: Sheet, words: tuple[str, str], parts: Sequence[Node], add: Callable[[Node, Node, dict[str, Any]], Node]
) -> Node:
    """All parts put together two by two; the total has the plain id, sums on the way are numbered."""
    (id, title), total = words, parts[0]
    for i, part in enumerate(parts[1:], 2):
        last = i == len(parts)
        total = add(
            total,
            part,
            {"as_id": id if last else f"{id}.first_{i}", "title": f"{title}, all lines" if last else f"{title}, first {i} lines"},
        )
    return total
