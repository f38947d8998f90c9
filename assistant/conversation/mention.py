"""What the voice says of a turn that was typed elsewhere: that it was, and no more than needed."""

from __future__ import annotations

import re

from assistant.conversation.turn import Status, Turn
from assistant.language.requests import Intent

_SHORT_WORDS = 16
"""Five or six seconds at the voice's usual rate."""

_SENTENCE_END = re.compile(r"(?<=[.?!]) ")
_OWN_BUSINESS = frozenset({Intent.HELP, Intent.COUNT, Intent.REPEAT, Intent.MANNER})


def mention(turn: Turn) -> str:
    """The words for the voice; none where the turn changes nothing for the keeper.

    A volume is never said without its priming: of a dose only the bird and its weight are said.
    Warnings and what to do in an emergency are said whole.
    """
    if turn.status is Status.IGNORED or turn.intent in _OWN_BUSINESS:
        return ""
    if turn.intent is Intent.EMERGENCY:
        return turn.reply.said
    parts = [_begun(part) for part in turn.reply.said.split(" Next: ")]
    if turn.facts.dose is None and len(turn.reply.said.split()) <= _SHORT_WORDS:
        return f"Typed. {turn.reply.said}"
    warnings = [one for one in _sentences(turn.reply.said) if one.startswith("Warning:")]
    rest = "Say again to hear the dose." if turn.facts.dose else "Say again to hear all of it."
    return " ".join(["Typed.", " Next: ".join(parts), *warnings, rest])


def _begun(part: str) -> str:
    return _sentences(part)[0]


def _sentences(text: str) -> list[str]:
    return _SENTENCE_END.split(text)
