"""Is the purge worth having? Five ways to keep the probe clean, worked side by side. Only where worth is stated."""

from __future__ import annotations

import numpy as np

from purgecalc.design.fouling import largest_bias, sign_of
from purgecalc.formulas import fouling, loop, worth
from purgecalc.formulas.fouling import after_last_blast, blasts_between_wipes, signed_bias
from purgecalc.inputs import Inputs
from purgecalc.references import COMMON_PRACTICE
from purgecalc.si import Num
from purgecalc.working import Given, Node, Origin, Sheet, Step, constant

WORTH_VERDICTS = ("not needed", "justified", "another method")
"""What ``worth.verdict`` counts."""
EVERY = {
    name: constant(f"W_{name.split()[0]}", period, "s", f"time between wipes: {name}", COMMON_PRACTICE.at())
    for name, period in worth.WIPES.items()
}


def purge_or_wipe(sheet: Sheet, inputs: Inputs) -> None:
    """Mean bias, bias at the wipe, energy and labour of each way, and the verdict."""
    if "worth.visit" not in inputs or "fouling.signed_rate" not in sheet:
        return
    ways = [_wiped(sheet, inputs, name) for name in worth.WIPES] + [_purged(sheet, inputs)]
    code = _verdict(ways, sheet["probe.tolerance"])
    nodes = {name: total for name, _, total in ways}
    note = (
        "0 not needed, 1 justified, 2 another method: a way will do if its bias at the wipe keeps the tolerance; "
        "the purge is justified if it will do and no other is cheaper"
    )
    words = "; ".join(f"{n}: {w.value / 3.6e6:.4g} kWh" for n, w in nodes.items()) if not np.ndim(code) else ""
    sheet.add(Step("worth.verdict", "Purge against wiping", "count", code, None, nodes, f"{note}. Totals: {words}"))


Way = tuple[str, Node, Node]  # name, bias at the wipe, total


def _wiped(sheet: Sheet, inputs: Inputs, name: str) -> Way:
    r, W = sheet["fouling.signed_rate"], EVERY[name]
    b_full = _full(sheet, inputs)
    id = f"worth.{_key(name)}"
    mean = sheet.do(worth.mean_bias_wiped, as_id=f"{id}.mean_bias", title=f"Mean bias, {name}", r=r, W=W, b_full=b_full)
    grown = sheet.do(fouling.linear_bias, as_id=f"{id}.bias_grown", r=r, t=W)
    end = sheet.do(worth.capped_bias, as_id=f"{id}.bias_at_wipe", title=f"Bias at the wipe, {name}", b_grown=grown, b_full=b_full)
    visit = inputs["worth.visit"] if name != "none" else _nothing("visit", "time")
    return _total(sheet, inputs, name, mean, end, (_nothing("purge", "electrical energy"),) * 2, visit, W)


def _purged(sheet: Sheet, inputs: Inputs) -> Way:
    name, W = "purge", EVERY["monthly wipe"]
    T, b_full = inputs["schedule.interval"], _full(sheet, inputs)
    n = sheet.do(blasts_between_wipes, as_id="worth.purge.blasts", W=W, T=T)
    rest = sheet.do(after_last_blast, as_id="worth.purge.rest", W=W, n=n, T=T)
    title = "Mean bias, purge"
    size = _mean_size(sheet, inputs, (n, rest), b_full)
    mean = sheet.do(signed_bias, as_id="worth.purge.mean_bias", title=title, sign=sign_of(inputs), b_size=size)
    largest = largest_bias(sheet, inputs, "worth.purge.largest", (n, rest), b_full)
    title = "Bias at the wipe, purge"
    end = sheet.do(signed_bias, as_id="worth.purge.bias_at_wipe", title=title, sign=sign_of(inputs), b_size=largest)
    used = sheet.get("line.energy_per_year") or _nothing("purge", "electrical energy")
    return _total(sheet, inputs, name, mean, end, (used, inputs["worth.standing"]), inputs["worth.visit"], W)


def _mean_size(sheet: Sheet, inputs: Inputs, wipes: tuple[Node, Node], b_full: Node) -> Node:
    """Mean of the bias between wipes, without sign: until the fouling is full, while it gets full, and from then on."""
    r, T, eta = inputs["fouling.bias_rate"], inputs["schedule.interval"], inputs["fouling.removal"]
    (n, rest), id = wipes, "worth.purge"
    top = sheet.do(worth.long_run_bias, r=r, T=T, eta=eta, b_full=b_full)
    n_1 = sheet.do(worth.blasts_to_full, n=n, eta=eta, b_top=top, r=r, T=T)
    b_1 = sheet.do(worth.mean_bias_purged, as_id=f"{id}.mean_1", r=r, T=T, eta=eta, n=n_1)
    S_1 = sheet.do(fouling.linear_bias_purged, as_id=f"{id}.before_full", r=r, T=T, eta=eta, n=n_1)
    S_n = sheet.do(fouling.linear_bias_purged, as_id=f"{id}.grown_to_last", r=r, T=T, eta=eta, n=n)
    last = sheet.do(worth.capped_bias, as_id=f"{id}.before_last", title="Bias before the last blast", b_grown=S_n, b_full=top)
    means = []
    for part, title, before, t in (
        (2, "while the fouling gets full", S_1, T),
        (3, "from then on", top, T),
        (4, "since", last, rest),
    ):
        left = sheet.do(worth.bias_left, as_id=f"{id}.left_{part}", b_blast=before, eta=eta)
        title = f"Mean bias {title}"
        means.append(sheet.do(worth.mean_of_ramp, as_id=f"{id}.mean_{part}", title=title, b_0=left, b_top=top, r=r, t=t))
    return sheet.do(
        worth.mean_of_parts,
        as_id=f"{id}.mean_size",
        n=n,
        n_1=n_1,
        T=T,
        t_rest=rest,
        b_1=b_1,
        b_2=means[0],
        b_3=means[1],
        b_4=means[2],
    )


def _total(sheet: Sheet, inputs: Inputs, name: str, mean: Node, end: Node, spent: tuple[Node, Node], visit: Node, W: Node) -> Way:
    id, key = f"worth.{_key(name)}", _key(name)
    C_star, C = sheet["loop.effective_saturation"], sheet["probe.set_point"]
    over = sheet.do(
        loop.over_aeration, as_id=f"{id}.over_aeration", title=f"Airflow above need, {name}", b=mean, C_star=C_star, C=C
    )
    E = sheet.do(
        worth.bias_energy,
        as_id=f"{id}.bias_energy",
        title=f"Energy the bias costs a year, {name}",
        dQ_Q=over,
        P_blower=inputs["loop.blower_power"],
    )
    service = inputs["worth.service"] if name == "purge" else _nothing("service", "time")
    hours = sheet.do(worth.labour, as_id=f"{id}.labour", title=f"Labour a year, {name}", t_visit=visit, W=W, t_service=service)
    hour = sheet.get("worth.labour_power") or sheet.do(worth.hour_as_power, E_hour=inputs["worth.hour_buys"])
    total = sheet.do(
        worth.total,
        as_id=f"{id}.total",
        title=f"Total of a year, {name}",
        E_bias=E,
        E_purge=spent[0],
        E_standing=spent[1],
        t_labour=hours,
        P_labour=hour,
    )
    return key, end, total


def _verdict(ways: list[Way], tol: Node) -> Num:
    """Index into ``WORTH_VERDICTS``, element by element."""
    *others, (_, end, total) = ways
    costs = [np.where(np.abs(b.value) <= tol.value, t.value, np.inf) for _, b, t in others]
    cheapest = np.minimum.reduce(np.broadcast_arrays(*costs))
    justified = (np.abs(end.value) <= tol.value) & (np.asarray(total.value) < cheapest)
    return np.asarray(np.where(justified, 1.0, np.where(np.isfinite(cheapest), 0.0, 2.0)))[()]


def _full(sheet: Sheet, inputs: Inputs) -> Node:
    """Bias of full fouling, as given or as assumed."""
    given, assumed = inputs.get("fouling.bias_at_full"), sheet.get("worth.full_bias_assumed")
    C_star, C = sheet["loop.effective_saturation"], sheet["probe.set_point"]
    return given or assumed or sheet.do(worth.full_bias_assumed, C_star=C_star, C=C)


def _nothing(what: str, kind: str) -> Given:
    return Given(f"worth.no_{what}", f"no {what}", kind, 0.0, Origin("other", "this way has none"), "0")


def _key(name: str) -> str:
    return name.split()[0]
