"""What the aeration loop does while the reading is held, and at release. Nothing where the probe only monitors.

A controller that tracks its output does not make up for a hold-off that is too short: it follows the false reading all
the same. Until release it stands still whatever its reading does, held or live; one that reads a live value without
tracking works on the bump itself.
"""

from __future__ import annotations

import numpy as np

from purgecalc.design.sensor import model_of
from purgecalc.errors import NoPhysicalAnswer
from purgecalc.formulas import loop, oxygen, reading
from purgecalc.inputs import Inputs
from purgecalc.units import show
from purgecalc.working import Given, Node, Origin, Sheet


def has_loop(inputs: Inputs) -> bool:
    """Whether a controller acts on the reading."""
    return "loop.uptake" in inputs


def reads(inputs: Inputs) -> str:
    """The output that the controller reads."""
    return inputs.choices.get("loop.reads", "analogue")


def treatment(inputs: Inputs) -> str:
    """What the output that the controller reads does while held."""
    return inputs.choices.get(f"outputs.{reads(inputs)}", "hold-last")


def control_loop(sheet: Sheet, inputs: Inputs) -> None:
    """Excursion at held airflow, time to zero, and what the controller does when it gets a substitute, left live, released."""
    if not has_loop(inputs):
        return
    C, OUR = sheet["probe.set_point"], inputs["loop.uptake"]
    C_star = sheet.do(oxygen.effective_saturation, beta=inputs["loop.saturation_factor"], C_s=sheet["oxygen.saturation"])
    _refuse_if_saturated(inputs, C_star, C)
    kLa = sheet.do(loop.kla, OUR=OUR, C_star=C_star, C=C)
    sheet.do(loop.excursion, s=inputs["loop.load_step"], OUR=OUR, kLa=kLa, t_held=sheet["reading.hold_time"], C=C)
    sheet.do(loop.time_to_zero, C=C, OUR=OUR)
    _left_live(sheet, inputs, C)
    _release(sheet, inputs, (C_star, C, kLa))


def _refuse_if_saturated(inputs: Inputs, C_star: Node, C: Node) -> None:
    if np.ndim(C_star.value) or np.ndim(C.value) or C_star.value > C.value:
        return
    raise NoPhysicalAnswer(
        f"{inputs.line}: no airflow holds {show(C.value, 'concentration')}, because oxygen saturation in the tank is "
        f"{show(C_star.value, 'concentration')}. Lower set_point, or raise saturation_factor if the diffusers lie deep"
    )


def _said(inputs: Inputs) -> dict[str, Node]:
    """The words that decide what the controller works on while held."""
    return inputs.words("loop.reads", f"outputs.{reads(inputs)}")


def follows_the_bump(inputs: Inputs) -> bool:
    """Whether the controller reads a value that nobody holds, and is not told to stand still meanwhile."""
    return treatment(inputs) == "live" and inputs.choice("loop.tracking") == "no"


def _left_live(sheet: Sheet, inputs: Inputs, C: Node) -> None:
    """What a controller does that goes on working on a value that is not the truth; tracking prevents it."""
    K_c, T_i, hold = inputs["loop.gain"], inputs["loop.integral_time"], sheet["reading.hold_time"]
    if treatment(inputs) == "live":
        _on_the_bump(sheet, inputs)
        return
    if treatment(inputs) == "substitute":
        held: Node = inputs["outputs.substitute_value"]
        if inputs.choice("loop.tracking") == "no":
            sheet.do(loop.substitute_step, K_c=K_c, C=C, substitute=held)
    else:
        held = sheet.do(reading.held_low, C=C, tol=sheet["probe.tolerance"])
    sheet.do(loop.integrator_ramp, K_c=K_c, set_point=C, held=held, t_held=hold, T_i=T_i, read=_said(inputs))


def _on_the_bump(sheet: Sheet, inputs: Inputs) -> None:
    """Nobody holds the value: integral and proportional action on the bump itself."""
    K_c, T_i, tau = inputs["loop.gain"], inputs["loop.integral_time"], sheet["reading.time_constant"]
    dC, seen, tau_f = sheet["reading.driving_difference"], sheet["reading.exposure"], sheet["reading.fall_constant"]
    b_lag = _still_held(sheet, inputs, dC, seen)
    said, id = _said(inputs), "loop.integrator_ramp"
    sheet.do(loop.live_ramp, as_id=id, K_c=K_c, dC=dC, t_seen=seen, tau=tau, b_lag=b_lag, T_i=T_i, read=said)
    if inputs.choice("loop.tracking") == "no":
        A, said = sheet["reading.bump"], said | inputs.words("loop.tracking")
        sheet.do(loop.live_furthest, K_c=K_c, dC=dC, t_seen=seen, T_i=T_i, A=A, tau=tau, tau_f=tau_f, read=said)


def _still_held(sheet: Sheet, inputs: Inputs, dC: Node, seen: Node) -> Node:
    """What the lags of the sensor hold at release, and have passed on more slowly than they took it in."""
    b, k, tau = sheet["reading.residual"], sheet["reading.fall_stretch"], sheet["reading.time_constant"]
    t_blast, t_hold = inputs["schedule.blast"], inputs["schedule.hold_off"]
    if model_of(inputs) == "two-lags":
        return sheet.do(loop.in_both_lags, b=b, dC=dC, t_seen=seen, tau=tau, t_blast=t_blast, t_hold=t_hold, k=k)
    if model_of(inputs) == "slow-share":
        s, tau_s = inputs["probe.slow_share"], sheet["reading.slow_constant"]
        return sheet.do(loop.in_both_shares, dC=dC, t_seen=seen, tau=tau, tau_s=tau_s, s=s, t_blast=t_blast, t_hold=t_hold, k=k)
    return sheet.do(loop.in_one_lag, b=b, A=sheet["reading.bump"], k=k)


def _release(sheet: Sheet, inputs: Inputs, tank: tuple[Node, Node, Node]) -> None:
    """Step at release and what follows, as airflow and as oxygen. Nothing is released that was never held."""
    if follows_the_bump(inputs):
        return
    C_star, C, kLa = tank
    b, K_c, tau = sheet["reading.residual"], inputs["loop.gain"], sheet["reading.fall_constant"]
    held = inputs["outputs.substitute_value"] if treatment(inputs) == "substitute" else C
    tracked = _tracked(inputs)
    q = sheet.do(loop.kick, K_c=K_c, held=held, C=C, b=b, tracked=tracked, read=_said(inputs))
    tail = sheet.do(loop.kick_integral, K_c=K_c, b=b, tau=tau, T_i=inputs["loop.integral_time"], tracked=tracked)
    far = sheet.do(loop.furthest, q_kick=q, q_tail=tail, tracked=tracked)
    title = "Oxygen moved by that while the bias dies away, airflow at once"
    sheet.do(loop.moved, as_id="loop.kick_moved", title=title, q=far, C_star=C_star, C=C, kLa=kLa, t=tau)


def _tracked(inputs: Inputs) -> Given:
    said = inputs.choice("loop.tracking")
    origin = inputs.origins.get("loop.tracking", Origin("given", "loop.tracking of the scenario"))
    title = "controller stands still while held and takes over without a step"
    flag, text = (1.0, "1") if said == "yes" else (0.0, "0")
    return Given("loop.tracked", title, "flag", flag, origin, text, read=inputs.words("loop.tracking"))
