"""The lists: rules, terms, units, probes, hoses, schema."""

from __future__ import annotations

import json
import sys

from purgecalc.cli.console import say, show_page, width_of
from purgecalc.references import basis_of
from purgecalc.reports.as_json import SCHEMA
from purgecalc.reports.basis import cited, explained, mark, print_legend
from purgecalc.reports.page import Page, hanging


def list_rules(as_json: bool, markdown: bool) -> None:
    """The rule book, in one of three forms."""
    from purgecalc.rules import rule_book

    rules = rule_book().values()
    if as_json:
        data = [
            {
                "id": r.id,
                "noun": r.noun,
                "title": r.title,
                "level": r.level.name,
                "levels": r.levels,
                "limit": r.limit or None,
                "origin": str(r.cite),
                "group": r.group,
            }
            for r in rules
        ]
        say(json.dumps({"schema": SCHEMA, "rules": data}, indent=1))
    elif markdown:
        say("| rule | noun | good practice | level | default limit | origin |\n|---|---|---|---|---|---|")
        for r in rules:
            say(f"| `{r.id}` | {r.noun} | {r.title} | {r.levels} | {r.limit or 'from the scenario'} | {r.cite} |")
    else:
        page = Page(width_of(sys.stdout))
        for r in rules:
            hanging(page, f"{r.noun}: {r.title}", f"{r.id:<19}  {r.levels:<13}  ", " " * 36)
            hanging(page, f"limit: {r.limit or 'from the scenario'}; {cited(r.cite)}", " " * 36)
        print_legend(page)
        show_page(page)


def list_terms(as_json: bool) -> None:
    """What the words mean."""
    from purgecalc.catalogue.terms import terms

    if as_json:
        data = [{"term": t.term, "means": t.means} for t in terms()]
        say(json.dumps({"schema": SCHEMA, "terms": data}, indent=1))
        return
    page = Page(width_of(sys.stdout))
    for t in terms():
        hanging(page, t.means, f"{t.term}: ", "    ")
    show_page(page)


def list_units() -> None:
    """Units accepted, by kind."""
    from purgecalc.kinds import AIR_FLOW_FORMS, FLOW_STATES, KINDS, PRESSURE_UNITS

    page = Page(width_of(sys.stdout))
    rows = {
        k.name: ", ".join(u for u in k.accepts if u) or "plain number" for k in KINDS.values() if k.accepts and k.accepts != ("",)
    }
    rows["pressure"] = f"{', '.join(f'{u}(g) or {u}(a)' for u in PRESSURE_UNITS)}; also barg, bara, psig, psia"
    rows["air flow"] = f"{', '.join(f for f in AIR_FLOW_FORMS if ' ' not in f)}; a space before (ANR) is allowed"
    for name, text in rows.items():
        hanging(page, text, f"{name:<26} ", " " * 27)
    for state, meaning in FLOW_STATES.items():
        hanging(page, f"{state}: {meaning}", " " * 29)
    show_page(page)


def list_probes(as_json: bool) -> None:
    """Probe kinds of the catalogue."""
    from purgecalc.catalogue.probes import figures, probes

    if as_json:
        data = {
            k: {f: {"value": figure.value.text, "origin": figure.origin} for f, figure in figures(p).items()}
            | {"jet": {"floor": p.jet.floor.text, "ceiling": p.jet.ceiling.text, "origin": p.jet.origin}}
            for k, p in probes().items()
        }
        say(json.dumps({"schema": SCHEMA, "probes": data}, indent=1))
        return
    page = Page(width_of(sys.stdout))
    for name, probe in probes().items():
        rests = {f: basis_of(figure.origin) for f, figure in figures(probe).items()}
        said = ", ".join(
            " ".join(filter(None, (f, figure.value.text, mark(rest) if (rest := rests[f]) else "")))
            for f, figure in figures(probe).items()
        )
        hanging(page, said, f"{name:<16} ", " " * 17)
        hanging(page, f"jet {probe.jet.floor} to {probe.jet.ceiling} times 150 mN", " " * 17)
        hanging(page, probe.advice, " " * 17)
        if probe.parameter != "oxygen":
            note = "The tolerance is for information: the hold-off is judged until nine tenths of the bump are gone."
            hanging(page, note, " " * 17)
    print_legend(page)
    show_page(page)


def list_hoses(as_json: bool) -> None:
    """Hose materials and fittings of the catalogue."""
    from purgecalc.catalogue.fittings import FITTING_NAMES
    from purgecalc.catalogue.hoses import STOCK_BORES, STOCK_ORIGIN, hose_materials

    if as_json:
        data = {m.name: {"title": m.title, "roughness": m.roughness.text, "origin": m.origin} for m in hose_materials().values()}
        stock = {"sizes": list(STOCK_BORES), "origin": STOCK_ORIGIN}
        say(json.dumps({"schema": SCHEMA, "materials": data, "fittings": list(FITTING_NAMES), "stock_bores": stock}, indent=1))
        return
    page = Page(width_of(sys.stdout))
    for m in hose_materials().values():
        hanging(page, f"roughness {m.roughness.text} ({m.range}) {explained(m.origin)}", f"{m.name:<14} ", " " * 15)
    hanging(page, ", ".join(FITTING_NAMES), "fittings: ", "  ")
    hanging(page, f"{', '.join(STOCK_BORES)} {explained(STOCK_ORIGIN)}", "stock bores: ", "  ")
    print_legend(page)
    show_page(page)


def print_schema() -> None:
    """JSON Schema of a scenario."""
    from purgecalc.scenario.schema import json_schema

    say(json.dumps(json_schema(), indent=1))
