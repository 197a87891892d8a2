"""An interview that ends in a scenario: takes one answer after another and lets the scenario model judge each at once.

In an interview an answer is judged by reading the whole scenario, usual answers in place of those not given yet; a
fault of a table counts at the last question that fills it. What the catalogue knows, and a rating nobody has read, are
left out of the file, not filled in.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, cast

from purgecalc.catalogue.probes import Figure, probe_kind
from purgecalc.design import Design
from purgecalc.errors import ScenarioError
from purgecalc.rules import Margin, rule_book
from purgecalc.scenario import loads
from purgecalc.scenario.descriptions import description_of, meta_at
from purgecalc.scenario.fields import read_quantity
from purgecalc.scenario.keys import typed
from purgecalc.scenario.reference import reference_value
from purgecalc.scenario.write import SettingRow, Value, as_toml
from purgecalc.studies.questions import QUESTIONS, UNASKED, Form, Question
from purgecalc.working import Given

NOT_KNOWN = ("?", "don't know", "dont know", "do not know", "not known", "unknown", "no idea")
HEAD = """Written from the answers to: purgecalc new --ask. Change any figure and run purgecalc check again.
Every figure with a unit is text in quotes: "6 m", "5/16 in". A pressure says gauge or absolute: "3 bar(g)", "45 psig".
USUAL marks an answer that is not from the site: find it out. A # ahead of a setting leaves it out (its figure is an example).
More may be stated (duty on the plate, outputs, control, fouling, supply): see purgecalc new, without a file."""
_LONGEST = 200


@dataclass(frozen=True)
class Answer:
    """What an answer gives to which keys; for a usual one its words and where it comes from."""

    values: Mapping[str, Value]
    usual: str = ""
    origin: str = ""
    note: str = ""
    rule: str = ""


@dataclass(frozen=True)
class Reply:
    """Whether an answer was taken, and what is to be said of it."""

    taken: bool
    says: tuple[str, ...] = ()


class Interview:
    """Questions, and the answers taken so far."""

    def __init__(self) -> None:
        self._answers: dict[Question, Answer] = {}

    @property
    def questions(self) -> list[Question]:
        """Those that are asked of this kind of source."""
        return _asked_of(self._values())

    @property
    def current(self) -> Question | None:
        """The first without an answer."""
        return next((q for q in self.questions if q not in self._answers), None)

    @property
    def title(self) -> str:
        """Name of the installation."""
        return str(self._values().get("title", ""))

    @property
    def usual(self) -> list[str]:
        """Names of the questions answered by the usual."""
        return [q.name for q in self.questions if q in self._answers and self._answers[q].usual]

    def back(self) -> None:
        """Forget the answer to the question before the current one."""
        done = [q for q in self.questions if q in self._answers]
        if done:
            del self._answers[done[-1]]

    def usual_for(self, question: Question) -> str:
        """The usual answer in words."""
        return self._filled(question.usual)

    def answer(self, text: str) -> Reply:
        """Take an answer to the current question, or say what is wrong with it."""
        question = self.current
        assert question is not None
        said = text.strip()
        if not said.isprintable() or len(said) > _LONGEST:
            return Reply(False, (f"Plain text of at most {_LONGEST} characters is wanted.",))
        answer = self._read(question, said)
        if answer is None:
            return Reply(False, (f'"{said}" is not understood.', question.refused or question.hint))
        wrong = self._judge(question, answer)
        if wrong:
            return Reply(False, (wrong, question.refused) if "gauge or absolute" in wrong else (wrong,))
        self._answers[question] = answer
        return Reply(True, (*_taken(answer), *_remarks(question, answer, self._filled("{catalogue.name}"))))

    def toml(self) -> str:
        """The scenario as text; questions not answered yet are answered as usual."""
        return self._toml({**self._usuals(self._values()), **self._answers})

    def _toml(self, answers: Mapping[Question, Answer]) -> str:
        rows: dict[str, SettingRow] = {}
        for question in _asked_of({k: v for a in answers.values() for k, v in a.values.items()}):
            answer = answers[question]
            for key, value in answer.values.items():
                usual = f"USUAL ({answer.origin}): " if answer.usual else ""
                note = f"; {answer.note}" if answer.note and not answer.usual else ""
                rows[key] = SettingRow(key, value, f"{usual}{description_of(key)}{note}")
            if not answer.values:
                key = next(iter(question.forms[-1].gives))
                said = f"{key.rpartition('.')[2]} is not stated: {answer.usual} ({answer.origin})"
                rows[key] = SettingRow(key, None, said)
        for key in UNASKED:
            example = reference_value(key) or meta_at(key)["example"]
            rows.setdefault(key, SettingRow(key, example, description_of(key), off=True))
        return as_toml(rows.values(), HEAD)

    def _values(self) -> dict[str, Value]:
        return {k: v for a in self._answers.values() for k, v in a.values.items()}

    def _usuals(self, values: Mapping[str, Value]) -> dict[Question, Answer]:
        found = {q: self._read(q, "") for q in _asked_of(values)}
        return {q: a for q, a in found.items() if a is not None}

    def _read(self, question: Question, said: str) -> Answer | None:
        """What the words give, by the first form that they fit."""
        unknown = said.lower().replace("\u2019", "'").rstrip(".") in NOT_KNOWN
        if said and not unknown:
            return _by_form(question.forms, _by_word(question, said), self._filled)
        cautious = unknown and bool(question.unknown)
        words = self._filled(question.unknown if cautious else question.usual)
        origin = self._filled(question.unknown_origin if cautious else question.origin)
        if question.leaves:
            return Answer({}, words, origin)
        read = _by_form(question.forms, words, self._filled)
        return None if read is None else replace(read, usual=words, origin=origin)

    def _judge(self, question: Question, answer: Answer) -> str:
        """What the scenario model has against the answer, with the usual answers in place of those not given yet; or nothing.

        A fault of a table as a whole counts once no later question fills that table, for only then are all its answers given.
        """
        values = {**self._values(), **answer.values}
        answers = {**self._usuals(values), **self._answers, question: answer}
        try:
            loads(self._toml(answers))
        except ScenarioError as error:
            asked = _asked_of(values)
            later = frozenset[str]().union(*(q.tables for q in asked[asked.index(question) + 1 :]))
            about = set(answer.values) | (question.tables - later)
            for problem in error.problems:
                if problem.key in about or not later:
                    return re.sub(r"(?<=[a-z])_(?=[a-z])", " ", problem.message)  # names of keys, read by no programmer
        return ""

    def _filled(self, text: str) -> str:
        """Text with the words of the reference installation and of the catalogue put in."""
        return re.sub(r"\{([\w.]+)\}", lambda m: self._word(m[1]), text)

    def _word(self, key: str) -> str:
        if not key.startswith("catalogue."):
            return str(reference_value(key))
        found: Any = probe_kind(str(self._values().get("line.probe.kind", reference_value("line.probe.kind"))))
        for name in key.split(".")[1:]:
            found = getattr(found, name)
        return str(found.value if isinstance(found, Figure) else found)


def _asked_of(values: Mapping[str, Value]) -> list[Question]:
    """The questions for this kind of source, as far as the kind is known."""
    kind = values.get("source.kind", reference_value("source.kind"))
    return [q for q in QUESTIONS if q.when in ("", kind)]


def _by_word(question: Question, said: str) -> str:
    """One of the question's words, by its number or its beginning; otherwise what was said."""
    words = [word for word, _ in question.words]
    if said.isdecimal() and 0 < int(said) <= len(words):
        return words[int(said) - 1]
    begun = [w for w in words if w.lower().startswith(said.lower())]
    return begun[0] if len(begun) == 1 else said


def _by_form(forms: Sequence[Form], said: str, filled: Callable[[str], str]) -> Answer | None:
    for form in forms:
        match = re.fullmatch(form.pattern, said)
        if match:
            given = {match.expand(key).lower(): match.expand(filled(text)) for key, text in form.gives.items()}
            return Answer({key: typed(key, text) for key, text in given.items()}, note=filled(form.note), rule=form.rule)
    return None


def _taken(answer: Answer) -> list[str]:
    return [f"Taken: {answer.usual} ({answer.origin})."] if answer.usual else []


def _remarks(question: Question, answer: Answer, kind: str) -> list[str]:
    """What there is to say at once of an answer that may be given and is not usual."""
    said = [f"Note: {answer.note}."] if answer.note and not answer.usual else []
    said += [f"Note: {rule_book()[answer.rule].reason}"] if answer.rule else []
    for key, value in answer.values.items():
        if question.rule:
            said += _outside(question.rule, key, value)
        if key == "line.probe.t90":
            usual, t90 = probe_kind(kind).t90, read_quantity(value, meta_at(key)).value
            if usual.low and usual.high and not usual.low.value <= t90 <= usual.high.value:
                said.append(
                    f"Note: for this kind {usual.low} to {usual.high} is usual ({usual.origin}). Look at the sheet again."
                )
    return said


def _outside(rule: str, key: str, value: Value) -> list[str]:
    """What a rule of usual practice says of the answer; nothing where it passes."""
    judge, measure, id = rule_book()[rule], read_quantity(value, meta_at(key)), key.removeprefix("line.")
    # such a rule looks at the one figure alone, so a sheet with nothing else on it will do
    sheet = cast(Design, {id: Given(id, description_of(key), measure.kind, measure.value)})
    margin = judge.function(sheet, judge.default_limit())
    if not isinstance(margin, Margin) or not bool(margin.fails()):
        return []
    return [f"Note: {margin.limit_text()} is usual ({judge.cite}). {judge.reason}"]
