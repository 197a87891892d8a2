"""The table of questions holds together with the model, the rule book and the reference installation."""

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from purgecalc.kinds import KINDS
from purgecalc.rules import rule_book
from purgecalc.scenario import loads
from purgecalc.scenario.descriptions import description_of
from purgecalc.scenario.reference import reference_text, reference_value
from purgecalc.studies.interview import Interview
from purgecalc.studies.questions import QUESTIONS, UNASKED, Question
from tests.campaign import few_or_many
from tests.lines import ROOT


def filled(kind: str) -> Interview:
    interview = Interview()
    interview.answer("Site, line")
    interview.answer(kind)
    while interview.current is not None:
        assert interview.answer("").taken, interview.current.ask
    return interview


@pytest.mark.parametrize("kind", ["direct", "receiver"])
def test_the_usual_answers_fit_each_other(kind: str) -> None:
    scenario = loads(filled(kind).toml())
    assert scenario.lines[0].choice("source.kind") == kind


def test_a_direct_line_of_usual_answers_is_the_reference_installation() -> None:
    usual, reference = (loads(text).lines[0] for text in (filled("direct").toml(), reference_text()))
    asked = {k.removeprefix("line.") for q in QUESTIONS for f in q.forms for k in f.gives} & set(usual.values)
    assert len(asked) > 8
    assert {k: usual[k].value for k in asked} == {k: reference[k].value for k in asked}


@pytest.mark.parametrize("question", QUESTIONS, ids=lambda q: f"{q.name} {q.when}")
def test_each_question_names_keys_and_rules_that_exist(question: Question) -> None:
    for form in question.forms:
        for key in form.gives:
            if "\\" not in key:
                assert description_of(key)
        assert not form.rule or form.rule in rule_book()
    assert not question.rule or rule_book()[question.rule].limit
    for key in re.findall(r"\{(line[\w.]+|source[\w.]+|title)\}", question.usual + question.origin):
        assert reference_value(key) is not None


def test_examples_in_the_hints_are_answers_that_are_taken() -> None:
    """What a hint offers must work as it stands; every unit named there is one the reader knows."""
    interview = Interview()
    for answer in (
        "Northbeck Works, lane 3",
        "direct",
        "displacement 100 L/min",
        "45 psig",
        "20 ft",
        "outside 12 mm, wall 2 mm",
        "150 psig",
        "4 x 1.5 mm",
        "4 ft",
        "50 mbar",
        "3",
        "t63 15 s",
        "30 s",
        "90 s",
        "30 min",
    ):
        question = interview.current
        assert question is not None
        assert answer in question.hint or not question.hint or question.name in ("blast", "hold-off", "interval")
        assert interview.answer(answer).taken, answer
    assert interview.current is None


def test_what_is_not_asked_stands_there_to_be_used() -> None:
    text = filled("direct").toml()
    for key in UNASKED:
        assert f"# {key.rpartition('.')[2]} = " in text
    used = re.sub(r"(?m)^# (?=[a-z_]+ = )", "", text)
    assert loads(used).lines[0]["site.altitude"].value == 60
    assert set(KINDS)


def test_going_back_to_the_kind_of_source_forgets_nothing_that_is_still_asked() -> None:
    interview = Interview()
    for answer in ("Site, line", "receiver", "30 L"):
        interview.answer(answer)
    interview.back()
    interview.back()
    assert interview.current is not None
    assert interview.current.name == "kind of source"
    interview.answer("direct")
    assert "receiver" not in loads(interview.toml()).lines[0].choice("source.kind")
    assert "volume" not in interview.toml()


def test_readme_counts_the_questions_right() -> None:
    counts = [len(filled(kind).questions) for kind in ("direct", "receiver")]
    assert "asks {} questions ({} where there is a receiver)".format(*counts) in (ROOT / "README.md").read_text(encoding="utf-8")


ODD = st.one_of(
    st.text(max_size=30),
    st.sampled_from(
        ["1/0 in", "t90 ", "t63 {x}", "kv 1e9", "c=", "od 1 mm wall", "9" * 40 + " x 1 mm", r"\1 mm", "0x10", "<5 s", "nan s"]
    ),
    st.builds(
        "{} {}".format, st.floats(allow_nan=True), st.sampled_from(["m", "mm", "bar(g)", "bar(a)", "L/min", "s", "h", "in"])
    ),
)


@few_or_many(8, 200)
def test_no_answer_is_a_fault_of_the_program_and_what_is_taken_can_be_read(count: int) -> None:
    @settings(max_examples=count, deadline=None, derandomize=True)
    @given(st.lists(ODD, min_size=1, max_size=30))
    def holds(answers: list[str]) -> None:
        interview = Interview()
        for answer in answers:
            if interview.current is not None and not interview.answer(answer).taken:
                assert interview.answer("don't know").taken or interview.current.name in ("cut-in", "hold-off", "interval")
        if interview.current is None or interview.current.name not in ("cut-in", "hold-off", "interval"):
            loads(interview.toml())

    holds()
