"""Contact logic from first principles: coil state -> contact closed? -> load powered? -> does air flow?

No table is stored: all is enumerated from coil, contact, load and air. The four steps work on 0 and 1 (or arrays of
them), so a sheet can print them; ``Wiring`` and ``Condition`` name the cases people speak of, and ``judge`` says what
each wiring does in every case.

A broken conductor is one between the contact and the load. A broken conductor of the coil circuit acts as lost control power.
A welded contact is one fused closed, whichever terminal it serves.
A weld is not counted in "safe": it asks for a second means.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from itertools import product

import numpy as np

from purgecalc.references import DERIVED
from purgecalc.si import Ratio, Second
from purgecalc.working import formula


class Terminal(Enum):
    """The terminal of the relay the load is landed on: open or closed while its coil is off."""

    NORMALLY_OPEN = "NO"
    NORMALLY_CLOSED = "NC"


class Load(Enum):
    """What the contact switches. A normally-open valve stands under pressure and lets air through when it has no power."""

    MOTOR = "motor"
    NORMALLY_CLOSED_VALVE = "normally-closed valve"
    NORMALLY_OPEN_VALVE = "normally-open valve"


class Condition(Enum):
    """The cases a wiring is asked about."""

    AT_REST = "at rest"
    IN_BLAST = "in a blast"
    CONTROL_POWER_LOST = "control power lost"
    LOAD_SUPPLY_LOST = "load supply lost"
    CONDUCTOR_BROKEN = "conductor broken"
    CONTACT_WELDED = "contact welded, at rest"


LOSSES = (Condition.CONTROL_POWER_LOST, Condition.LOAD_SUPPLY_LOST, Condition.CONDUCTOR_BROKEN)


@dataclass(frozen=True)
class Wiring:
    """One way of wiring the purge: terminal used, state of the coil between blasts, and the load."""

    terminal: Terminal
    coil_on_at_rest: bool
    load: Load


@dataclass(frozen=True)
class WiringFacts:
    """What a wiring does, as facts; what to do about them is for the rules.

    ``safe``: air on command only, and none on any loss. A weld is not counted in it, because a motor or a
    normally-closed valve runs on whenever its contact welds; ``runs_if_welded`` asks for a second means of stopping.
    """

    wiring: Wiring
    flows: dict[Condition, bool]

    @property
    def quiet_at_rest(self) -> bool:
        """No air between blasts."""
        return not self.flows[Condition.AT_REST]

    @property
    def cleans(self) -> bool:
        """Air in a blast."""
        return self.flows[Condition.IN_BLAST]

    @property
    def inverted(self) -> bool:
        """Air flows all the time except in a blast."""
        return not self.quiet_at_rest and not self.cleans

    @property
    def flows_on_loss(self) -> tuple[Condition, ...]:
        """The losses that start, or keep up, a flow of air nobody asked for."""
        return tuple(c for c in LOSSES if self.flows[c])

    @property
    def safe(self) -> bool:
        """Air on command only, and none on any loss."""
        return self.quiet_at_rest and self.cleans and not self.flows_on_loss

    @property
    def runs_if_welded(self) -> bool:
        """A welded contact means air without end."""
        return self.flows[Condition.CONTACT_WELDED]


@formula(
    "contact.closed",
    symbol="closed",
    title="Contact closed (1) or open (0)",
    kind="flag",
    takes="coil: 1 where the coil is energised, else 0; on_NC: 1 where the wire is on the normally-closed terminal, else 0",
    shown="abs(coil - on_NC)",
    cite=DERIVED.at("a coil turns both of its terminals over"),
    valid="0 or 1 each",
    unpublished="logic; enumerated in a test",
)
def contact_closed(coil: Ratio, on_NC: Ratio) -> Ratio:
    """The other way round on the normally-closed terminal."""
    return np.abs(coil - on_NC)


@formula(
    "contact.powered",
    symbol="powered",
    title="Load powered (1) or not (0)",
    kind="flag",
    takes="closed: 1 where the contact is closed, else 0; welded: 1 where its points are welded, else 0; conductor: 1 where the "
    "wire is whole, else 0; supply: 1 where the load's supply is there, else 0",
    shown="max(closed, welded)*conductor*supply",
    cite=DERIVED.at("a series circuit"),
    valid="0 or 1 each",
    unpublished="logic; enumerated in a test",
)
def load_powered(closed: Ratio, welded: Ratio, conductor: Ratio, supply: Ratio) -> Ratio:
    """A welded contact never lets go; without wire or supply nothing has power."""
    return np.maximum(closed, welded) * conductor * supply


@formula(
    "contact.air",
    symbol="air",
    title="Air flows (1) or not (0)",
    kind="flag",
    takes="powered: 1 where the load is powered, else 0; opens_unpowered: 1 for a normally-open valve with pressure behind it, "
    "else 0",
    shown="abs(powered - opens_unpowered)",
    cite=DERIVED.at("a normally-open valve turns the sense over"),
    valid="0 or 1 each",
    unpublished="logic; enumerated in a test",
)
def air_flows(powered: Ratio, opens_unpowered: Ratio) -> Ratio:
    """A normally-open valve passes air while it has no power."""
    return np.abs(powered - opens_unpowered)


def coil_energised(wiring: Wiring, condition: Condition, *, commanded: bool) -> bool:
    """The command turns the coil over from its state at rest; without control power it is off whatever is commanded."""
    if condition is Condition.CONTROL_POWER_LOST:
        return False
    return wiring.coil_on_at_rest != commanded


def flows(wiring: Wiring, condition: Condition, *, commanded: bool | None = None) -> bool:
    """Does air flow? ``commanded`` defaults to a blast for ``IN_BLAST`` and to rest otherwise."""
    if commanded is None:
        commanded = condition is Condition.IN_BLAST
    coil = float(coil_energised(wiring, condition, commanded=commanded))
    closed = contact_closed(coil, float(wiring.terminal is Terminal.NORMALLY_CLOSED))
    powered = load_powered(
        closed,
        float(condition is Condition.CONTACT_WELDED),
        float(condition is not Condition.CONDUCTOR_BROKEN),
        float(condition is not Condition.LOAD_SUPPLY_LOST),
    )
    return bool(air_flows(powered, float(wiring.load is Load.NORMALLY_OPEN_VALVE)))


def judge(wiring: Wiring) -> WiringFacts:
    """What the wiring does in every case."""
    return WiringFacts(wiring, {condition: flows(wiring, condition) for condition in Condition})


def every_wiring() -> tuple[Wiring, ...]:
    """All combinations of terminal, coil and load, in a fixed order."""
    return tuple(Wiring(t, on, load) for load, t, on in product(Load, Terminal, (False, True)))


def alternatives(wiring: Wiring) -> tuple[Wiring, ...]:
    """Safe wirings of the same load, for a remedy to name. Empty where the load itself is the trouble."""
    return tuple(w for w in every_wiring() if w.load is wiring.load and judge(w).safe)


@formula(
    "contact.run_share",
    symbol="share_run",
    title="Share of the time that air flows, with this contact",
    kind="fraction",
    takes="rest: 1 where air flows at rest, else 0; blast: 1 where air flows in a blast, else 0; t_blast: length of the blast; "
    "T: interval between blasts",
    shown="rest + (blast - rest)*t_blast/T",
    cite=DERIVED.at("time average over one interval"),
    valid="rest and blast are 0 or 1; t_blast <= T",
    unpublished="a time average",
)
def run_share(rest: Ratio, blast: Ratio, t_blast: Second, T: Second) -> Ratio:
    """Shows what an inverted contact costs."""
    return rest + (blast - rest) * t_blast / T


class AlarmEvent(Enum):
    """What an alarm contact has to announce."""

    FAULT = "fault"
    POWER_LOST = "power lost"
    CONDUCTOR_BROKEN = "conductor broken"


def alarm_announced(terminal: Terminal, event: AlarmEvent, *, coil_on_when_healthy: bool) -> bool:
    """Does the alarm loop leave its healthy state on this event?

    The opposite philosophy to the purge contact: only a loop closed by an energised, healthy relay announces all three.
    """
    on_nc = float(terminal is Terminal.NORMALLY_CLOSED)
    healthy = contact_closed(float(coil_on_when_healthy), on_nc)
    coil = float(not coil_on_when_healthy) if event is AlarmEvent.FAULT else float(coil_on_when_healthy)
    if event is AlarmEvent.POWER_LOST:
        coil = 0.0
    now = load_powered(contact_closed(coil, on_nc), 0.0, float(event is not AlarmEvent.CONDUCTOR_BROKEN), 1.0)
    return bool(now != healthy)
