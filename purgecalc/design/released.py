"""The cycle by simulation: a check on the closed forms of the reading, and the curves the screen sketches.

Single designs only; sweeps do without.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from purgecalc import cycle as cy
from purgecalc.design.loop import has_loop, reads, treatment
from purgecalc.design.reading import reads_oxygen
from purgecalc.design.sensing import model_of
from purgecalc.inputs import Inputs
from purgecalc.working import Node, Num, Sheet, Step

POINTS = 180
"""Steps of a drawn cycle, about."""
PARTS = 6
"""Steps of air on, and of everything else in it that has a beginning and an end: a curve of fewer has corners."""
DRAWN = 3600.0
"""Time (s) after release that is simulated at most: a loop that has not settled by then is not tuned."""
_IN_ONE = 1e5  # longer than any blast: then only the edges of the blast are computed, which is exact


def released(sheet: Sheet, inputs: Inputs) -> cy.Cycle | None:
    """Simulate one cycle of an oxygen probe; put the bias at release and the kick on the sheet."""
    if not reads_oxygen(inputs) or any(np.ndim(n.value) for n in sheet):
        return None
    blast = _blast(sheet, inputs)
    still = cy.simulate(*_still(sheet, inputs), blast, before=1.0, after=1.0, dt=_IN_ONE)
    gone = cy.simulate(*_still(sheet, inputs), replace(blast, linger=0.0), before=1.0, after=1.0, dt=_IN_ONE)
    _residual(sheet, cy.at_release(still).bias, cy.at_release(gone).bias)
    busy = sheet["reading.blind_time"].value
    after = min(sheet["schedule.interval"].value - busy, DRAWN)
    step = (busy + after) / POINTS
    if not has_loop(inputs):
        return cy.simulate(*_still(sheet, inputs), blast, before=0.0, after=after, dt=step, parts=PARTS)
    drawn = cy.simulate(*_closed(sheet, inputs), blast, before=0.0, after=after, dt=step, parts=PARTS)
    sheet.add(inputs["loop.actuator_t90"])
    _kick(sheet, cy.at_release(drawn), step, inputs.words("loop.tracking", "loop.reads", f"outputs.{reads(inputs)}"))
    return drawn


def _blast(sheet: Sheet, inputs: Inputs) -> cy.Blast:
    park = inputs.get("outputs.park_value")
    held = treatment(inputs)
    return cy.Blast(
        lead=inputs["schedule.freeze_lead"].value,
        blast=inputs["schedule.blast"].value,
        hold_off=inputs["schedule.hold_off"].value,
        linger=sheet["reading.exposure"].value - inputs["schedule.blast"].value,
        C_b=sheet["oxygen.bubble_saturation"].value,
        phi=inputs["probe.exposure"].value,
        treatment=held if held in cy.TREATMENTS else "freeze-last",
        park=park.value if park is not None else 0.0,
    )


def _sensor(sheet: Sheet, inputs: Inputs) -> cy.Sensor:
    dead: Num = inputs["probe.dead_time"].value if "probe.dead_time" in inputs else 0.0
    return cy.Sensor(model_of(inputs), sheet["probe.t90"].value, dead)


Parts = tuple[cy.Tank, cy.Sensor, cy.Blower, cy.Controller]


def _still(sheet: Sheet, inputs: Inputs) -> Parts:
    """A tank that does not move: what the closed forms of the reading are about."""
    C = sheet["probe.set_point"].value
    tank = cy.Tank(C=C, C_star=C + 1.0, OUR=0.0)
    return tank, _sensor(sheet, inputs), cy.Blower(0), cy.Controller(C, active=False)


def _closed(sheet: Sheet, inputs: Inputs) -> Parts:
    """Tank, blower and controller of the scenario, at rest before the blast."""
    C = sheet["probe.set_point"].value
    tank = cy.Tank(C=C, C_star=sheet["loop.effective_saturation"].value, OUR=inputs["loop.uptake"].value)
    blower = cy.Blower(2, inputs["loop.actuator_t90"].value)
    control = cy.Controller(
        C, gain=inputs["loop.gain"].value, T_i=inputs["loop.integral_time"].value,
        tracking=inputs.choice("loop.tracking") == "yes",
    )  # fmt: skip
    return tank, _sensor(sheet, inputs), blower, control


def _residual(sheet: Sheet, lingering: Num, gone: Num) -> None:
    closed, lower = sheet["reading.residual"], sheet["reading.residual_lower"]
    note = (
        "simulated step by step with the process at rest. Bubbles that stay on the face until cleared and mixed give this "
        "figure and, once that time is over, must agree with reading.residual to one part in a million; bubbles gone at once "
        "give reading.residual_simulated_least; with one lag reading.residual_lower lies between the two"
    )
    inputs = {"closed": closed, "lower": lower}
    for id, title, value in (
        ("reading.residual_simulated", "Bias left at release, simulated, bubbles staying until mixed", lingering),
        ("reading.residual_simulated_least", "Bias left at release, simulated, bubbles gone at once", gone),
    ):
        sheet.add(Step(id, title, "concentration", float(value), None, inputs, note))


def _kick(sheet: Sheet, after: cy.Release, step: float, read: Mapping[str, Node]) -> None:
    """What the simulated loop does after release."""
    C, inputs = sheet["probe.set_point"].value, {k: sheet[f"loop.{k}"] for k in ("kick", "kick_moved", "actuator_t90")}
    note = (
        f"simulated cycle with tank, blower lag and controller, a scan every {step:.3g} s, load unchanged; "
        "bubbles stay until mixed"
    )
    command = max((after.command_low, after.command_high), key=lambda q: abs(float(q) - 1))
    oxygen = max((after.oxygen_low, after.oxygen_high), key=lambda y: abs(float(y) - C))
    rows = (
        ("loop.kick_simulated", "Furthest move of the airflow command after release, simulated", "fraction", float(command) - 1),
        ("loop.moved_simulated", "Furthest move of the oxygen after release, simulated", "concentration", float(oxygen) - C),
    )
    for id, title, kind, value in rows:
        sheet.add(Step(id, title, kind, value, None, inputs, note, read))
