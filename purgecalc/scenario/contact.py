"""What may be written of the contact that commands the air."""

from __future__ import annotations

from typing import Literal, Self, TypeAlias

from pydantic import model_validator

from purgecalc.scenario.fields import Part, Quantity, YesNo, dim, note, wrong

Terminal: TypeAlias = Literal["NO", "NC"]
Coil: TypeAlias = Literal["off", "on"]


class Contact(Part):
    """How the command reaches motor or valve."""

    terminal: Terminal = note("terminal of the relay that is used: NO normally open, NC normally closed")
    coil_at_rest: Coil = note("state of the relay's coil between blasts")
    load: Literal["motor", "normally-closed valve", "normally-open valve"] = note("what the contact switches")
    interposing_relay: YesNo | None = note("a contactor or interposing relay carries the motor", default=None)
    contact_rating: Quantity | None = dim(
        "current", "motor rating of the contact, as a making current", default=None, above=0, most=1000, example="12 A"
    )
    suppression: YesNo | None = note("RC element, diode or varistor across the coil switched", default=None)
    run_timer: YesNo | None = note("a timer or second means that stops the air when a contact welds", default=None)
    alarm_terminal: Terminal | None = note("terminal of the failure-alarm contact", default=None)
    alarm_coil_healthy: Coil | None = note("coil of the failure-alarm relay while all is well", default=None)

    @model_validator(mode="after")
    def _alarm(self) -> Self:
        if (self.alarm_terminal is None) != (self.alarm_coil_healthy is None):
            given = "alarm_terminal" if self.alarm_terminal is not None else "alarm_coil_healthy"
            raise wrong("alarm_terminal and alarm_coil_healthy go together", given)
        return self
