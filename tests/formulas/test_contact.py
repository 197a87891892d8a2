"""Contact logic: every wiring against the table worked by hand, and what must hold whatever the wiring."""

from itertools import product

import pytest

from purgecalc.formulas import contact
from purgecalc.formulas.contact import LOSSES, AlarmEvent, Condition, Load, Terminal, Wiring

NO, NC = Terminal.NORMALLY_OPEN, Terminal.NORMALLY_CLOSED
ON, OFF = True, False
ALL = contact.every_wiring()
OPENING = [load for load in Load if load is not Load.NORMALLY_OPEN_VALVE]

# terminal, coil at rest: air at rest, in a blast, control power lost, load supply lost, conductor broken, welded
CLOSED_WITHOUT_POWER = {
    (NO, OFF): "no  runs no   no   no   runs",
    (NC, ON): "no  runs runs no   no   runs",
    (NO, ON): "runs no  no   no   no   runs",
    (NC, OFF): "runs no  runs no   no   runs",
}
OPEN_WITHOUT_POWER = {
    (NC, OFF): "no  runs no   runs runs no",
    (NO, ON): "no  runs runs runs runs no",
    (NO, OFF): "runs no  runs runs runs no",
    (NC, ON): "runs no  no   runs runs no",
}
TABLE = [
    *((load, *key, row) for load in OPENING for key, row in CLOSED_WITHOUT_POWER.items()),
    *((Load.NORMALLY_OPEN_VALVE, *key, row) for key, row in OPEN_WITHOUT_POWER.items()),
]


@pytest.mark.parametrize(("load", "terminal", "coil", "row"), TABLE)
def test_truth_table_worked_by_hand(load: Load, terminal: Terminal, coil: bool, row: str) -> None:
    facts = contact.judge(Wiring(terminal, coil, load))
    assert ["runs" if facts.flows[c] else "no" for c in Condition] == row.split()


def test_the_table_is_complete_and_each_wiring_comes_once() -> None:
    assert {(w.load, w.terminal, w.coil_on_at_rest) for w in ALL} == {row[:3] for row in TABLE}
    assert len(ALL) == len(set(ALL)) == 12


def test_only_one_wiring_is_safe_and_only_without_a_normally_open_valve() -> None:
    safe = [w for w in ALL if contact.judge(w).safe]
    assert safe == [Wiring(NO, OFF, load) for load in OPENING]
    for w in ALL:
        assert contact.alternatives(w) == (() if w.load is Load.NORMALLY_OPEN_VALVE else (Wiring(NO, OFF, w.load),))


@pytest.mark.parametrize("wiring", ALL, ids=str)
def test_flow_at_rest_is_never_safe(wiring: Wiring) -> None:
    facts = contact.judge(wiring)
    if facts.flows[Condition.AT_REST]:
        assert not facts.safe
        assert facts.inverted
    assert facts.cleans == facts.quiet_at_rest  # with everything whole, command and rest are opposites


@pytest.mark.parametrize("wiring", ALL, ids=str)
def test_swapping_terminal_and_coil_together_changes_only_the_loss_cases(wiring: Wiring) -> None:
    other = Wiring(NC if wiring.terminal is NO else NO, not wiring.coil_on_at_rest, wiring.load)
    a, b = contact.judge(wiring).flows, contact.judge(other).flows
    assert {c for c in Condition if a[c] != b[c]} == {Condition.CONTROL_POWER_LOST}


@pytest.mark.parametrize("wiring", ALL, ids=str)
def test_swapping_one_of_them_turns_rest_and_blast_over(wiring: Wiring) -> None:
    a = contact.judge(wiring).flows
    b = contact.judge(Wiring(wiring.terminal, not wiring.coil_on_at_rest, wiring.load)).flows
    assert (a[Condition.AT_REST], a[Condition.IN_BLAST]) == (b[Condition.IN_BLAST], b[Condition.AT_REST])


@pytest.mark.parametrize(("wiring", "loss"), list(product(ALL, LOSSES)), ids=str)
def test_a_loss_does_the_same_at_rest_and_in_a_blast(wiring: Wiring, loss: Condition) -> None:
    assert contact.flows(wiring, loss, commanded=False) == contact.flows(wiring, loss, commanded=True)


@pytest.mark.parametrize("wiring", ALL, ids=str)
def test_a_loss_leaves_the_load_as_it_is_without_power_or_with_its_contact_released(wiring: Wiring) -> None:
    facts = contact.judge(wiring)
    unpowered = wiring.load is Load.NORMALLY_OPEN_VALVE
    assert facts.flows[Condition.LOAD_SUPPLY_LOST] == facts.flows[Condition.CONDUCTOR_BROKEN] == unpowered
    assert facts.flows[Condition.CONTROL_POWER_LOST] == (unpowered != (wiring.terminal is NC))
    assert facts.runs_if_welded == (not unpowered)
    assert set(facts.flows_on_loss) == {c for c in LOSSES if facts.flows[c]}


def test_share_of_time_that_an_inverted_contact_runs() -> None:
    assert contact.run_share(0, 1, 30, 1800) == pytest.approx(1 / 60)
    assert contact.run_share(1, 0, 30, 1800) == pytest.approx(0.983, abs=5e-4)  # 29.5 min of 30
    assert contact.run_share(1, 0, 90, 900) == pytest.approx(0.90)


def test_only_an_energised_closed_alarm_loop_announces_everything() -> None:
    complete = [
        (t, on)
        for t, on in product(Terminal, (OFF, ON))
        if all(contact.alarm_announced(t, e, coil_on_when_healthy=on) for e in AlarmEvent)
    ]
    assert complete == [(NO, ON)]
    assert not contact.alarm_announced(NC, AlarmEvent.POWER_LOST, coil_on_when_healthy=OFF)
    assert not contact.alarm_announced(NO, AlarmEvent.CONDUCTOR_BROKEN, coil_on_when_healthy=OFF)
    assert all(contact.alarm_announced(t, AlarmEvent.FAULT, coil_on_when_healthy=on) for t, on in product(Terminal, (OFF, ON)))
