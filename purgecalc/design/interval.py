"""Which intervals will do: film, live share, duty and loop, as one band; and the bias at the next wipe."""

from __future__ import annotations

from purgecalc.catalogue.probes import probe_kind
from purgecalc.design.loop import has_loop
from purgecalc.formulas import fouling, interval
from purgecalc.inputs import Inputs
from purgecalc.working import Given, Node, Origin, Sheet


def intervals(sheet: Sheet, inputs: Inputs) -> None:
    """Both ends of the band, the film at the interval chosen, and the bias it leads to."""
    shortest(sheet, inputs)
    if "fouling.growth" in inputs:
        film(sheet, inputs)


def shortest(sheet: Sheet, inputs: Inputs) -> None:
    """The longest of what live share, duty and loop ask for."""
    blind = sheet["reading.blind_time"]
    wants: list[Node] = [
        sheet.do(fouling.shortest_for_live, as_id="interval.shortest_live", t_blind=blind, live_min=interval.LIVE_WANTED)
    ]
    if "source.run_allowed" in sheet and inputs.choice("source.kind") == "direct":
        rest, i = sheet["source.run_allowed"], 1
        while f"source.others.{i}.run_in_window" in sheet:
            others = sheet[f"source.others.{i}.run_in_window"]
            rest = sheet.do(interval.rest_of_duty, as_id=f"interval.rest_of_duty.{i}", t_allowed=rest, t_others=others)
            i += 1
        run, W = sheet["source.run_time"], inputs["source.duty_cycle"]
        wants.append(
            sheet.do(fouling.shortest_for_duty, as_id="interval.shortest_duty", t_run=run, t_allowed=rest, W=W)
        )  # fmt: skip
    if has_loop(inputs):
        settle = sheet.do(interval.loop_recovery, n=interval.SETTLES, T_i=inputs["loop.integral_time"])
        wants.append(
            sheet.do(fouling.shortest_for_loop, as_id="interval.shortest_loop", t_blind=blind, t_recover=settle)
        )  # fmt: skip
    longest, title = wants[0], "Shortest interval that will do"
    for i, want in enumerate(wants[1:], 2):
        id = "interval.shortest" if i == len(wants) else f"interval.shortest.first_{i}"
        longest = sheet.do(interval.longer_of, as_id=id, title=title, t_a=longest, t_b=want)
    if len(wants) == 1:
        sheet.do(interval.longer_of, as_id="interval.shortest", title=title, t_a=longest, t_b=longest)


def film(sheet: Sheet, inputs: Inputs) -> None:
    """Critical interval, film in the long run at the interval chosen, and bias at the next wipe."""
    mu, eta, T = inputs["fouling.growth"], inputs["fouling.removal"], inputs["schedule.interval"]
    crit = sheet.do(fouling.critical_interval, eta=eta, mu=mu)
    sheet.do(fouling.longest_interval, as_id="interval.longest", title="Longest interval that will do", T_crit=crit)
    X = sheet.do(fouling.equilibrium, eta=eta, mu=mu, T=T)
    accounts: list[Node] = []
    if "fouling.bias_rate" in inputs:
        r = sheet.do(interval.signed_rate, sign=_sign(inputs), r_size=inputs["fouling.bias_rate"])
        n = sheet.do(interval.blasts_between_wipes, W=inputs["fouling.wipe_interval"], T=T)
        accounts.append(sheet.do(fouling.linear_bias_purged, r=r, T=T, eta=eta, n=n))
    if "fouling.bias_at_full" in inputs:
        b_full = sheet.do(interval.signed_bias, sign=_sign(inputs), b_size=inputs["fouling.bias_at_full"])
        accounts.append(sheet.do(fouling.film_bias, b_full=b_full, X=X))
    if accounts:
        id = "fouling.bias_at_wipe"
        sheet.do(interval.larger_bias, as_id=id, b_steady=accounts[0], b_film=accounts[-1])


def _sign(inputs: Inputs) -> Given:
    """Direction in which film moves the reading: as given, as usual for the probe, or low."""
    said, usual = inputs.choices.get("fouling.sign"), probe_kind(inputs.choice("probe.kind")).fouling
    if said:
        value, origin = said, Origin("given", "fouling.sign of the scenario")
    elif usual.text in ("low", "high"):
        value, origin = usual.text, Origin("default", f"usual for the kind of probe: {usual.origin}")
    else:
        value, origin = "low", Origin("default", "our judgement: this kind of probe is met both ways; reading low wastes air")
    read = inputs.words("fouling.sign", "probe.kind")
    return Given("fouling.sign", "direction of the bias", "ratio", -1.0 if value == "low" else 1.0, origin, value, read=read)
