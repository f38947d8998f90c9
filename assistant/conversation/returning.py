"""The microphone was gone and is back: what was said meanwhile was not heard."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal

from assistant.conversation.ending import ask_about_open_dose
from assistant.conversation.moment import Moment, Step, noted, said
from assistant.conversation.state import State
from assistant.conversation.turn import Reply
from assistant.language.numerals import words

_ASKS_AGAIN = "Say it again."


def returned(state: State, moment: Moment, away: timedelta) -> Step:
    """Say how long nothing was heard, and what is open; with a note for the register."""
    deaf = f"I can hear again. I could not for {_how_long(away)}."
    return noted(_with_what_is_open(state, moment, deaf), moment, "deaf", f"{away.seconds} s")


def _with_what_is_open(state: State, moment: Moment, deaf: str) -> Step:
    if not state.listening:
        return _kept(state, moment, f"{deaf} I am paused. Say start listening.")
    if state.open_dose is not None:
        after, turn = ask_about_open_dose(state, moment)
        return after, replace(turn, reply=Reply(f"{deaf} {turn.reply.said}"))
    if state.question is not None and state.repeatable is not None:
        return _kept(state, moment, f"{deaf} {state.repeatable.said}")
    return _kept(state, moment, f"{deaf} {_ASKS_AGAIN}")


def _kept(state: State, moment: Moment, text: str) -> Step:
    """Say it, and leave what is said again as it was."""
    _, turn = said(state, moment, text)
    return state, turn


def _how_long(away: timedelta) -> str:
    seconds = round(away.total_seconds())
    if seconds < 60:  # noqa: PLR2004 - the seconds in a minute
        return f"{seconds} second{'' if seconds == 1 else 's'}"
    minutes = round(seconds / 60)
    return f"{words(Decimal(minutes))} minute{'' if minutes == 1 else 's'}"
