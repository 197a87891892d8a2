"""One rule for each fact that only a person on site can know.

The table of facts is ``scenario/facts.py``; "no" is a finding, "unknown" is an open question.
"""

from __future__ import annotations

from purgecalc.design import Design
from purgecalc.rules._base import Judge, rule
from purgecalc.rules._outcomes import Fact, Level, Missing
from purgecalc.scenario.facts import FACTS, SiteFact


def _judge_of(fact: SiteFact) -> Judge:
    def judge(d: Design, limit: None) -> Fact | Missing:
        said = d.inputs.choices.get(f"site_facts.{fact.id}", "unknown")
        return Missing((f"site_facts.{fact.id}",)) if said == "unknown" else Fact(f"{fact.question} {said}", "yes", said == "yes")

    judge.__doc__ = f"{fact.why}\n\n{fact.remedy}"
    judge.__name__ = fact.id
    return judge


for _fact in FACTS:
    rule(_fact.rule, _fact.question, noun=_fact.noun, level=Level[_fact.level], cite=_fact.cite, scope="source")(_judge_of(_fact))
