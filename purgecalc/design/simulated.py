"""The cycle by simulation: a check on the closed forms of the reading, and the curves the screen sketches.

The simulated controller scans once a second, or a hundred times in its integral time, however long a cycle is drawn;
the curves are thinned.

Single designs carry a simulated cycle (``Design.cycle``) for the sketch on the screen; sweeps (``unsteady=False``,
arrays) never do.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from purgecalc import cycle as cy
from purgecalc.design.loop import follows_the_bump, has_loop, reads, treatment
from purgecalc.design.reading import reads_oxygen
from purgecalc.design.sensor import model_of
from purgecalc.inputs import Inputs
from purgecalc.working import Sheet, Step

POINTS = 180
"""Steps of a drawn cycle, about."""
SCAN, SCANS_A_RESET = 1.0, 100
"""A controller scans once a second, and a hundred times in its integral time where that is short (our judgement)."""
MOST_STEPS = 20_000
"""A controller so quick that more would be wanted scans less often; the step says how often it did."""
STEPS_PER_PART = 6
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
    busy = sheet["reading.hold_time"].number
    after = min(sheet["schedule.interval"].number - busy, DRAWN)
    if not has_loop(inputs):
        step = (busy + after) / POINTS
        return cy.simulate(*_still(sheet, inputs), blast, before=0.0, after=after, dt=step, parts=STEPS_PER_PART)
    step = max(min(SCAN, inputs["loop.integral_time"].number / SCANS_A_RESET), (busy + after) / MOST_STEPS)
    loop = cy.simulate(*_closed(sheet, inputs), blast, before=0.0, after=after, dt=step, parts=STEPS_PER_PART)
    sheet.add(inputs["loop.actuator_t90"])
    _after_release(sheet, inputs, loop, step)
    return loop.thinned(POINTS, STEPS_PER_PART)


def _blast(sheet: Sheet, inputs: Inputs) -> cy.CycleTimes:
    substitute = inputs.get("outputs.substitute_value")
    held = treatment(inputs)
    return cy.CycleTimes(
        lead=inputs["schedule.hold_lead"].number,
        blast=inputs["schedule.blast"].number,
        hold_off=inputs["schedule.hold_off"].number,
        linger=sheet["reading.exposure"].number - inputs["schedule.blast"].number,
        C_b=sheet["oxygen.bubble_saturation"].number,
        phi=inputs["probe.exposure"].number,
        treatment=held if held in cy.TREATMENTS else "hold-last",
        substitute=substitute.number if substitute is not None else 0.0,
    )


def _sensor(sheet: Sheet, inputs: Inputs) -> cy.Sensor:
    dead = inputs["probe.dead_time"].number if "probe.dead_time" in inputs else 0.0
    t_90, k = sheet["probe.t90"].number, sheet["reading.fall_stretch"].number
    if model_of(inputs) != "slow-share":
        return cy.Sensor(model_of(inputs), t_90, dead, k)
    return cy.Sensor("one-lag", t_90, dead, k, inputs["probe.slow_share"].number, sheet["reading.slow_constant"].number)


Parts = tuple[cy.Tank, cy.Sensor, cy.Blower, cy.Controller]


def _still(sheet: Sheet, inputs: Inputs) -> Parts:
    """A tank that does not move: what the closed forms of the reading are about."""
    C = sheet["probe.set_point"].number
    tank = cy.Tank(C=C, C_star=C + 1.0, OUR=0.0)
    return tank, _sensor(sheet, inputs), cy.Blower(0), cy.Controller(C, active=False)


def _closed(sheet: Sheet, inputs: Inputs) -> Parts:
    """Tank, blower and controller of the scenario, at rest before the blast."""
    C = sheet["probe.set_point"].number
    tank = cy.Tank(C=C, C_star=sheet["loop.effective_saturation"].number, OUR=inputs["loop.uptake"].number)
    blower = cy.Blower(2, inputs["loop.actuator_t90"].number)
    control = cy.Controller(
        C,
        gain=inputs["loop.gain"].number,
        T_i=inputs["loop.integral_time"].number,
        tracking=inputs.choice("loop.tracking") == "yes",
    )
    return tank, _sensor(sheet, inputs), blower, control


def _residual(sheet: Sheet, lingering: float, gone: float) -> None:
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
        sheet.add(Step(id, title, "concentration", value, None, inputs, note))


def _after_release(sheet: Sheet, inputs: Inputs, loop: cy.Cycle, step: float) -> None:
    """How far the simulated loop goes after release; from air on where it follows the bump itself."""
    live = follows_the_bump(inputs)
    after, when = cy.at_release(loop, 0.0 if live else None), "from air on" if live else "after release"
    C, names = sheet["probe.set_point"].number, ("loop.excursion", "loop.kick_moved", "loop.live_furthest")
    rests = {id.split(".")[1]: sheet[id] for id in (*names, "loop.actuator_t90") if id in sheet}
    said = inputs.words("loop.tracking", "loop.reads", f"outputs.{reads(inputs)}")
    note = (
        f"simulated cycle with tank, blower lag and controller, a scan every {step:.3g} s, load unchanged; "
        "bubbles stay until mixed"
    )
    command = max((after.command_low, after.command_high), key=lambda q: abs(q - 1)) - 1
    oxygen = max((after.oxygen_low, after.oxygen_high), key=lambda y: abs(y - C)) - C
    rows = (
        ("loop.kick_simulated", f"Furthest move of the airflow command {when}, simulated", "fraction", command),
        ("loop.moved_simulated", f"Furthest move of the oxygen {when}, simulated", "concentration", oxygen),
    )
    for id, title, kind, value in rows:
        sheet.add(Step(id, title, kind, value, None, rests, note, said))
