"""Fouling on the probe between blasts and wipes, and how far it moves the reading by the next wipe.

The bias at the next wipe is the larger of two accounts of the fouling (steady growth, logistic); neither is trusted alone.
Both are stepped blast by blast from the last wipe, which leaves a twentieth of full fouling (our judgement), and end at full
fouling where its bias is stated.
"""

from __future__ import annotations

from purgecalc.catalogue.probes import probe_kind
from purgecalc.formulas import fouling, interval, worth
from purgecalc.inputs import Inputs
from purgecalc.working import Given, Node, Origin, Sheet


def fouling_between_wipes(sheet: Sheet, inputs: Inputs) -> None:
    """Critical interval, fouling in the long run at the interval chosen, and bias at the next wipe."""
    mu, eta, T = inputs["fouling.growth"], inputs["fouling.removal"], inputs["schedule.interval"]
    crit = sheet.do(fouling.critical_interval, eta=eta, mu=mu)
    sheet.do(interval.longest_interval, as_id="interval.longest", title="Longest interval that will do", T_crit=crit)
    sheet.do(fouling.equilibrium, eta=eta, mu=mu, T=T)
    rate, full = inputs.get("fouling.bias_rate"), inputs.get("fouling.bias_at_full")
    if rate is None and full is None:
        return
    W = inputs["fouling.wipe_interval"]
    n = sheet.do(fouling.blasts_between_wipes, W=W, T=T)
    rest = sheet.do(fouling.after_last_blast, W=W, n=n, T=T)
    accounts: list[Node] = []
    if rate is not None:
        sheet.do(fouling.signed_rate, sign=sign_of(inputs), r_size=rate)
        accounts.append(largest_bias(sheet, inputs, "fouling.steady", (n, rest), full))
    if full is not None:
        accounts.append(_bias_of_fouling(sheet, inputs, (n, rest)))
    sheet.do(fouling.larger_bias, as_id="fouling.bias_at_wipe", b_steady=accounts[0], b_logistic=accounts[-1])


def largest_bias(sheet: Sheet, inputs: Inputs, id: str, wipes: tuple[Node, Node], b_full: Node | None) -> Node:
    """Largest bias up to a wipe by steady growth, without sign: just before the last blast, or at the wipe itself."""
    r, T, eta = inputs["fouling.bias_rate"], inputs["schedule.interval"], inputs["fouling.removal"]
    n, rest = wipes

    def within(name: str, title: str, grown: Node) -> Node:
        if b_full is None:
            return grown
        return sheet.do(worth.capped_bias, as_id=f"{id}.{name}", title=title, b_grown=grown, b_full=b_full)

    title = "Bias before the last blast, steady growth"
    grown = sheet.do(fouling.linear_bias_purged, as_id=f"{id}.grown_to_blast", title=title, r=r, T=T, eta=eta, n=n)
    at_blast = within("at_blast", title, grown)
    title = "Bias at the wipe, steady growth"
    grown = sheet.do(fouling.bias_at_end, as_id=f"{id}.grown_to_wipe", title=title, b_blast=at_blast, eta=eta, r=r, t_rest=rest)
    title = "Largest bias up to the wipe, steady growth"
    return sheet.do(fouling.larger_bias, as_id=id, title=title, b_steady=at_blast, b_logistic=within("at_wipe", title, grown))


def _bias_of_fouling(sheet: Sheet, inputs: Inputs, wipes: tuple[Node, Node]) -> Node:
    """The same by the logistic fouling, blast after blast from what a wipe leaves."""
    mu, eta, T = inputs["fouling.growth"], inputs["fouling.removal"], inputs["schedule.interval"]
    n, rest = wipes
    X = sheet.do(fouling.fouling_before_blast, X_0=fouling.FOULING_LEFT, mu=mu, eta=eta, T=T, n=n)
    left = sheet.do(fouling.after_blast, X_before=X, eta=eta)
    end = sheet.do(fouling.growth, as_id="fouling.at_wipe", title="Fouling at the wipe", X_0=left, mu=mu, t=rest)
    most = sheet.do(fouling.larger_fouling, X_a=X, X_b=end)
    b_full = sheet.do(fouling.signed_bias, sign=sign_of(inputs), b_size=inputs["fouling.bias_at_full"])
    return sheet.do(fouling.bias_of_fouling, b_full=b_full, X=most)


def sign_of(inputs: Inputs) -> Given:
    """Direction in which fouling moves the reading: as given, as usual for the probe, or low."""
    said, usual = inputs.choices.get("fouling.sign"), probe_kind(inputs.choice("probe.kind")).fouling
    if said:
        value, origin = said, Origin("given", "fouling.sign of the scenario")
    elif usual.text in ("low", "high"):
        value, origin = usual.text, Origin("default", f"usual for the kind of probe: {usual.origin}")
    else:
        value, origin = "low", Origin("default", "our judgement: this kind of probe is met both ways; reading low wastes air")
    read = inputs.words("fouling.sign", "probe.kind")
    return Given("fouling.sign", "direction of the bias", "ratio", -1.0 if value == "low" else 1.0, origin, value, read=read)
