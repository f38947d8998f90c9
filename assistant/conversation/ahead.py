"""What comes next: which birds are due for their next dose."""

from __future__ import annotations

from assistant.conversation.moment import Moment, Step, said
from assistant.conversation.state import Setting, State
from assistant.language.heard import Heard
from assistant.language.requests import LookUp, Plain, Request, Sought
from assistant.language.understanding import understand
from assistant.records.due import due_by, grouped
from assistant.records.due_sentences import due_lines, due_said

DUE = "due"
"""The tag of the request in the grammar."""

_MAY_ASK = (DUE, "when", "again", "next")
"""Words of which such a question has one at least."""


def asks_what_is_due(heard: Heard, setting: Setting) -> bool:
    """Whether any of what was heard may ask what is due, also where that is in doubt."""
    heard_as = {heard.words, *(one.words for one in heard.alternatives)}
    maybe = (words for words in heard_as if any(one in words.casefold() for one in _MAY_ASK))
    return any(
        _asks(request) for words in maybe for request in understand(words, setting.lexicon).requests
    )


def _asks(request: Request) -> bool:
    return request == Plain(DUE) or (isinstance(request, LookUp) and request.kind == Sought.DUE_OF)


def say_due(state: State, moment: Moment) -> Step:
    """What is due this week, in a few sentences."""
    if state.windows is None:
        text = "The register cannot be read, so I cannot say what is due."
        return said(state, moment, text, "register")
    today = moment.at.date()
    return said(state, moment, due_said(due_lines(grouped(due_by(state.windows, today)), today)))
