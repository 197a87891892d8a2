"""Noise of the head in air, and of the compressor over a day.

The noise dose is held against the first action value of the regime stated (US: 5 dB for half the time); the UK's two
acts have one set of figures.

Who is near the compressor is there when it runs most: the worst window as long as the presence, for the dose, not a
share of the worst ten minutes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from purgecalc.air_sources import AirSource, LineSupply
from purgecalc.design.line import airway
from purgecalc.design.reach import strongest_law, thrust_of
from purgecalc.formulas import head as hd
from purgecalc.formulas import noise
from purgecalc.inputs import Inputs
from purgecalc.working import Given, Origin, Sheet


def noise_in_air(sheet: Sheet, inputs: Inputs, supply: LineSupply) -> None:
    """Level at the ear of a head that blows with its holes in air. Nothing without ``noise``."""
    if "noise.ear_distance" not in inputs:
        return
    p_atm = sheet["site.pressure"]
    way = replace(airway(sheet, inputs), p_back=p_atm.value)
    words = ("in_air", "with the head in air", "solved like head.pressure, out of the water")
    law, rests = strongest_law(sheet, supply, supply.highest_possible)
    thrust_of(sheet, inputs, way, law, p_atm, words, rests)
    p_h, p_e = sheet["in_air.head_pressure"], sheet["in_air.exit_pressure"]
    M = sheet.do(hd.isentropic_mach, as_id="in_air.mach", title="Mach number in the holes, head in air", p_h=p_h, p_b=p_e)
    W = sheet.do(noise.acoustic_power, M=M, m=sheet["in_air.mass_flow"], u=sheet["in_air.jet_velocity"])
    level = sheet.do(
        noise.level_at,
        title="Sound level at the ear, head in air, dB(A)",
        L_W=sheet.do(noise.power_level, W_ac=W),
        r=inputs["noise.ear_distance"],
        Q_dir=noise.HARD_FLOOR,
    )
    choked = sheet.do(hd.choked, as_id="in_air.choked", title="Holes choked, head in air", p_h=p_h, p_b=p_atm)
    title = "Sound level at the ear, head in air, upper end, dB(A)"
    sheet.do(noise.upper_level, as_id="noise.in_air_upper", title=title, L=level, choked=choked)


def compressor_noise(sheet: Sheet, inputs: Inputs, source: AirSource, others: Sequence[Sheet]) -> None:
    """Daily dose from the compressor, of who is there when it runs most, for whichever line. It comes after the duty."""
    if "noise.compressor_level" not in inputs:
        return
    level = sheet.do(
        noise.from_one_metre,
        as_id="noise.compressor_at_ear",
        title="Sound level of the compressor at the ear, dB(A)",
        L_1=inputs["noise.compressor_level"],
        r=inputs["noise.ear_distance"],
    )
    words = "noise.on_time", "Most running time of the source while somebody is there"
    t_on = source.run_within(sheet, inputs, others, words, inputs["noise.presence"])
    regime, read = inputs.choices.get("pressure.regime", "other"), inputs.words("pressure.regime")
    dose, title = noise.daily_exposure_us if regime == "US" else noise.daily_exposure, "Daily noise exposure from the compressor"
    sheet.do(dose, as_id="noise.daily_exposure", title=f"{title}, dB(A)", read=read, L_p=level, t_on=t_on)
    first = noise.ACTION_VALUES[regime][0]
    text, origin = f"{first.daily:g} dB(A), {first.name} ({first.cite})", Origin("other", str(first.cite))
    sheet.add(Given("noise.action_value", f"{first.name} of the daily exposure", "ratio", first.daily, origin, text, read=read))
