"""What moves the response time of an optical sensor on site, in words."""

from __future__ import annotations

from purgecalc.design import Design
from purgecalc.shown import text_of

STILL = 20.0
"""Time (s) the water at the face needs to be renewed from which on it is called still; our judgement."""


def about_response(d: Design) -> str:
    """How temperature and flow move t90; nothing where it was found on site, or is not known to move."""
    if "reading.slower_in_cold" not in d:
        return ""
    cold = f" ({text_of(d['reading.slower_in_cold'])} at most here)" if d.number("reading.slower_in_cold") else ""
    words = (
        f"Response of {d.inputs.line}: t90 is taken as stated, {text_of(d['probe.t90'])}. In water colder than 20 degC it is "
        f"longer, by 1 to 2 % a kelvin{cold}. It goes with the flow past the face to the power of -0.5: 33 to 235 s were "
        "measured between 24 and 6 cm/s."
    )
    return " ".join(filter(None, (words, still_water(d))))


def still_water(d: Design) -> str:
    """A remark where the water at the face is slow to be renewed."""
    if "reading.slower_in_cold" not in d or d.number("probe.mix_time") < STILL:
        return ""
    return (
        f"The water at the face of {d.inputs.line} is renewed slowly ({text_of(d['probe.mix_time'])}): in still water t90 of an "
        "optical sensor may be two to three times the one stated. Time its fall by hand (probe.timed_fall)."
    )
