"""Questions to the keeper, each asked again until its answer can be used."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final, Protocol, TypeVar

from assistant.dosing.tables import FigureProblems
from assistant.errors import UsageProblem

T = TypeVar("T")

LONGEST_ANSWER: Final = 300
"""In letters; longer texts belong into the file by hand."""


class Prompter(Protocol):
    """Somebody who answers: a terminal, or a pipe.  `ask` raises EOFError when it has ended."""

    def ask(self, question: str, default: str) -> str:
        """The answer, or the default where only Enter was pressed; a default may be empty."""

    def say(self, text: str) -> None:
        """Show the text."""


def ask_until(prompter: Prompter, question: str, default: str, check: Callable[[str], T]) -> T:
    """Ask until `check` takes the answer; it raises ValueError or FigureProblems to refuse one.

    Raises UsageProblem where the answers end before the question is answered.
    """
    while True:
        try:
            answer = prompter.ask(question, default).strip() or default
        except EOFError as error:
            raise UsageProblem(
                f"The input ended at the question: {question}",
                "Start again. Only what was shown as written is kept.",
            ) from error
        try:
            return check(_writable(answer))
        except FigureProblems as refused:
            for problem in refused.problems:
                prompter.say(f"That will not do: {problem.what}. {problem.remedy}".strip())
        except ValueError as refused:
            prompter.say(f"That will not do: {refused}")


def ask_yes(prompter: Prompter, question: str) -> bool:
    """Ask for a whole "yes" or "no"; there is no default, so that Enter alone decides nothing."""
    return ask_until(prompter, f"{question} (yes or no)", "", _yes_or_no)


def needed(answer: str) -> str:
    """The answer itself; raises ValueError where it is empty."""
    if not answer:
        raise ValueError("An answer is needed here.")
    return answer


def _writable(answer: str) -> str:
    if len(answer) > LONGEST_ANSWER:
        raise ValueError(f"That is longer than {LONGEST_ANSWER} letters.")
    if not answer.isprintable():
        raise ValueError("That holds a sign that cannot be written into a file.")
    return answer


def _yes_or_no(answer: str) -> bool:
    match answer.casefold():
        case "yes":
            return True
        case "no":
            return False
        case _:
            raise ValueError("Type yes or no, the whole word.")
