"""``purgecalc new --ask``: the interview over standard input. Questions go to stderr, so that stdout holds the result alone."""

from __future__ import annotations

import re
import sys
import textwrap
from pathlib import Path

from purgecalc.cli.check import run_check
from purgecalc.cli.console import say, tell, width_of
from purgecalc.cli.leaving import undone
from purgecalc.cli.output import Target
from purgecalc.errors import UsageError
from purgecalc.files import LONGEST_LINE, standard_input
from purgecalc.studies.interview import Interview
from purgecalc.studies.questions import Question

INTRO = (
    "Plain questions, with the usual answer in [brackets]. Enter takes it; so does ? where you do not know. Write figures with "
    'their unit, as printed on the plate. "back" goes back one question. Ctrl-C leaves; nothing is written until the end.'
)
_PATIENCE = 20
"""Answers over a pipe that may be refused; a person may go on as long as they like."""


class Dialogue:
    """Lines out, lines in."""

    def __init__(self) -> None:
        self._refused = 0

    def tell(self, text: str, first: str = "", rest: str = "") -> None:
        """A paragraph for the person, its first line and the rest indented so."""
        width = min(width_of(sys.stderr), 80)
        tell(textwrap.fill(text, width, initial_indent=first, subsequent_indent=rest or first, break_on_hyphens=False))

    def refuse(self, *why: str) -> None:
        """Say what is wrong with an answer."""
        for text in why:
            self.tell(text, "  ")
        self._refused += 1
        if self._refused >= _PATIENCE and not standard_input().isatty():
            raise UsageError(f"{_PATIENCE} answers were refused; nothing was written")

    def hear(self, usual: str, asked: str) -> str:
        """One answer. The end of the answers is an error: half a scenario helps nobody."""
        answers = standard_input()
        sys.stderr.write(f"  [{usual}] ")
        sys.stderr.flush()
        try:
            said = answers.readline(LONGEST_LINE)
        except UnicodeDecodeError:
            raise UsageError("the answers are not UTF-8 text; nothing was written") from None
        if not answers.isatty() or not said:
            sys.stderr.write(said if said.endswith("\n") else said + "\n")
        if not said:
            raise UsageError(f'the answers ended at the question "{asked}"; nothing was written')
        return said.strip()


def run_ask(file: str, force: bool, system: str) -> None:
    """Ask, write the scenario, show what check says of it."""
    dialogue, interview = Dialogue(), Interview()
    if file not in ("", "-"):
        Target(file, force, ["-"])  # what forbids it is said before the first question, so that no answers are lost
    with undone(lambda: tell("\nleft; nothing was written"), KeyboardInterrupt):
        dialogue.tell(INTRO)
        _ask(dialogue, interview)
        file = file or _name(dialogue, interview)
    text = interview.toml()
    if file == "-":
        say(text.rstrip())
        return
    tell("")
    Target(file, force, ["-"]).write(text)
    if interview.usual:
        dialogue.tell(f"Usual answers stand for: {', '.join(interview.usual)}. Find out what is not yours to choose.")
    tell("")
    run_check(file, [], system, "never", False, False, "", False)


def _ask(dialogue: Dialogue, interview: Interview) -> None:
    while (question := interview.current) is not None:
        questions = interview.questions
        _put(dialogue, question, f"{questions.index(question) + 1}/{len(questions)}")
        while True:
            said = dialogue.hear(interview.usual_for(question), question.ask)
            if said.lower() == "back":
                interview.back()
                dialogue.refuse()
                break
            reply = interview.answer(said)
            if reply.taken:
                for text in reply.says:
                    dialogue.tell(text, "  ")
                break
            dialogue.refuse(*reply.says)


def _put(dialogue: Dialogue, question: Question, place: str) -> None:
    tell("")
    dialogue.tell(question.ask, f"{place}  ", " " * (len(place) + 2))
    if question.hint:
        dialogue.tell(question.hint, "  ")
    width = max((len(word) for word, _ in question.words), default=0)
    for number, (word, meaning) in enumerate(question.words, 1):
        tell(f"  {number} {word:<{width}}  {meaning}")


def _name(dialogue: Dialogue, interview: Interview) -> str:
    """Name of the file to write, asked for last; one that is taken is refused."""
    ask = "File to write?"
    tell("")
    dialogue.tell(ask)
    usual = re.sub(r"[^a-z0-9]+", "-", interview.title.lower()).strip("-")[:60] or "site"
    while True:
        said = dialogue.hear(f"{usual}.toml", ask) or f"{usual}.toml"
        name = said if Path(said).suffix else f"{said}.toml"
        try:
            Target(name, False)
        except UsageError as fault:
            dialogue.refuse(str(fault))
        else:
            return name
