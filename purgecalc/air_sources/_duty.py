"""Duty of a source that one or more lines share."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from purgecalc.air_sources._runs import waits
from purgecalc.formulas import blast, compressor_runs, duty, interval, receiver
from purgecalc.inputs import Inputs
from purgecalc.working import Node, Sheet


def share_duty(sheet: Sheet, inputs: Inputs, others: Sequence[Sheet]) -> None:
    """Run share, running time in the worst window and starts of a source that runs with each blast, all lines together.

    Lines are assumed to fall in the same window: without a timetable that is the case to be ready for.
    """
    runs, W = [s["source.run_time"] for s in (sheet, *others)], inputs["source.duty_cycle"]
    windows = [
        sheet.do(duty.run_in_window, as_id=id, t_run=run, T=s["schedule.interval"], W=W)
        for id, s, run in zip(_own_ids("source.run_in_window", others), (sheet, *others), runs, strict=True)
    ]
    title = "Running time in the worst window"
    _summed(sheet, ("source.run_in_window", title), windows, lambda a, b, w: sheet.do(duty.sum_time, own=a, others=b, W=W, **w))
    _rest_of_duty(sheet, inputs, others, runs)


def receiver_duty(sheet: Sheet, inputs: Inputs, others: Sequence[Sheet]) -> None:
    """The same of a compressor that fills a reservoir.

    The worst window holds one run for which every line blows at the worst moment, and what further blasts of each add.
    """
    every, W = (sheet, *others), inputs["source.duty_cycle"]
    longest, T = _longest_run(sheet, inputs, every), _shortest_interval(sheet, every)
    runs, more = [], []
    for i, s in enumerate(every):
        id = "source.run_time" if i == 0 else f"source.others.{i}.run_time"
        title, stop = "Running time of the compressor per blast", s["source.run_stopping"]
        if waits(inputs) and "source.run_calm" in s:
            run = sheet.do(compressor_runs.run_time, as_id=id, t_calm=s["source.run_calm"], t_stop=stop, t_long=longest, T=T)
        else:
            run = sheet.do(blast.same_time, as_id=id, title=title, t=stop)
        runs.append(run)
        window = sheet.do(duty.run_in_window, as_id=f"{id}.window", t_run=run, T=s["schedule.interval"], W=W)
        more.append(sheet.do(duty.further_runs, as_id=f"{id}.further", t_window_run=window, t_run=run))
    title = "Running time that further blasts of all lines add"
    total = _summed(sheet, ("source.further", title), more, lambda a, b, w: sheet.do(receiver.time_sum, a=a, b=b, **w))
    sheet.do(duty.worst_run, as_id="source.run_in_window", t_first=longest, t_more=total, W=W)
    _rest_of_duty(sheet, inputs, others, runs)


def _longest_run(sheet: Sheet, inputs: Inputs, every: Sequence[Sheet]) -> Node:
    """Every line blows once: the first from cut-in, each other as the compressor is about to stop; the worst line is first."""
    id, title = "source.longest_run", "Run of the compressor, every line blowing once at the worst moment"
    stops = [s["source.run_stopping"] for s in every]
    if not waits(inputs):
        return _first_of(sheet, (id, title), stops)
    firsts = [_first_run(sheet, s, i) for i, s in enumerate(every)]
    if len(every) == 1:
        return _first_of(sheet, (id, title), firsts)
    all_stops = _first_of(sheet, (f"{id}.stopping", "Runs of all lines, each begun as the compressor is about to stop"), stops)
    excess = [
        sheet.do(compressor_runs.run_excess, as_id=f"{id}.excess_{i}", t_first=first, t_stop=stop)
        for i, (first, stop) in enumerate(zip(firsts, stops, strict=True), 1)
    ]
    most = _summed(
        sheet, (f"{id}.excess", "Most that a first run from cut-in lasts beyond that"), excess,
        lambda a, b, w: sheet.do(interval.longer_of, t_a=a, t_b=b, **w),
    )  # fmt: skip
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
    words = "source.duty_fraction", "Cyclic duration factor"
    share = _summed(sheet, words, shares, lambda a, b, w: sheet.do(duty.sum_share, own=a, others=b, **w))
    words = "source.starts_per_hour", "Starts of the source"
    _summed(sheet, words, starts, lambda a, b, w: sheet.do(duty.sum_rate, own=a, others=b, **w))
    if "source.duty_rating" in inputs:
        sheet.do(duty.run_allowed, CDF_rated=inputs["source.duty_rating"], W=inputs["source.duty_cycle"])
    if "source.starts_allowed" in inputs:
        sheet.add(inputs["source.starts_allowed"])
    if "source.power" in inputs:
        sheet.do(duty.energy_per_year, P=inputs["source.power"], CDF=share)


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
        total = add(total, part, {"as_id": id if last else f"{id}.first_{i}",
                                  "title": f"{title}, all lines" if last else f"{title}, first {i} lines"})  # fmt: skip
    return total
