"""What the screen shows after each message of the round."""

from __future__ import annotations

import re
from dataclasses import replace

from assistant.adapters.screen.layout import Look
from assistant.adapters.sharing.wire import Left, Level, Over, Told, Welcome
from assistant.conversation.emergency import EMERGENCY
from assistant.conversation.glance import Glance

NO_ROUND = "No round is open. This screen waits for one."
LOST = "The window that held the round is gone. Give nothing that is not read back to you."

_NOTHING = Glance(medicine="", done="")
_SENTENCE_END = re.compile(r"(?<=[.?!]) ")


def waiting(why: str = NO_ROUND) -> Look:
    """A screen without a round: no dose of an earlier one stays on it."""
    return Look(_NOTHING, urgent=why)


def after(look: Look, message: Told | Level | Left | Over | Welcome) -> Look:
    """What is seen after a message."""
    match message:
        case Welcome():
            return Look(message.glance, said=message.greeting)
        case Level(phase, level_db, noise_db):
            return replace(look, phase=phase, level_db=level_db, noise_db=noise_db)
        case Told():
            return _after_turn(look, message)
        case Left(said) | Over(said):
            return waiting(f"{said or 'The round is over.'} {NO_ROUND}")


def _after_turn(look: Look, turn: Told) -> Look:
    if turn.silent:
        return replace(look, glance=turn.glance)
    return replace(
        look,
        glance=turn.glance,
        heard=turn.heard,
        said=turn.said,
        warning=_warning(look, turn),
        urgent=EMERGENCY if turn.said.startswith(EMERGENCY) else "",
    )


def _warning(look: Look, turn: Told) -> str:
    """The warnings of this turn; those of the dose stay for as long as it is open."""
    sentences = _SENTENCE_END.split(turn.said)
    found = [at for at, one in enumerate(sentences) if one.startswith("Warning:")]
    if found:
        return " ".join(sentences[found[0] :])
    return look.warning if turn.glance.open == look.glance.open else ""
