"""How it talks: in full or short, how fast, how loud; and its tones.  For one conversation."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import partial

from assistant.conversation.moment import Moment, Step, said
from assistant.conversation.state import State
from assistant.conversation.turn import Cue, Manner

PACES = (-2, 2)
LOUDNESSES = (-2, 2)
"""The least and the most steps away from the usual."""

MEANINGS: Mapping[Cue, str] = {
    Cue.LISTENING: "One note going up: I listen, it is your turn.",
    Cue.THINKING: "Two low ticks: I am working it out.",
    Cue.LOGGED: "Two notes, low then high: it is written down.",
    Cue.NOT_UNDERSTOOD: "One note going down: I did not get that, say it again.",
    Cue.PAUSED: "One long low note: I am paused, say start listening.",
}
"""What each tone says, in the words of the answer to "what do the tones mean"."""


def explain_tones(state: State, moment: Moment) -> Step:
    """What the tones mean; the voice plays each after its sentence."""
    return said(state, moment, " ".join(MEANINGS.values()))


def _pace(state: State, moment: Moment, steps: int) -> Step:
    pace = _within(state.manner.pace + steps, PACES)
    word = "faster" if steps > 0 else "slower"
    return _changed(state, moment, replace(state.manner, pace=pace), word)


def _loudness(state: State, moment: Moment, steps: int) -> Step:
    loudness = _within(state.manner.loudness + steps, LOUDNESSES)
    word = "louder" if steps > 0 else "softer"
    return _changed(state, moment, replace(state.manner, loudness=loudness), word)


def _within(steps: int, limits: tuple[int, int]) -> int:
    return min(max(steps, limits[0]), limits[1])


def _changed(state: State, moment: Moment, manner: Manner, word: str) -> Step:
    text = f"I speak {word} now."
    if manner == state.manner:
        text = f"I cannot speak any {word}."
    # what is said again is the answer before, not that it is now spoken louder
    _, turn = said(state, moment, text)
    return replace(state, manner=manner), turn


def _answers(state: State, moment: Moment, *, short: bool) -> Step:
    text = "Short answers." if short else "Full answers."
    _, turn = said(state, moment, text)
    return replace(state, manner=replace(state.manner, short=short)), turn


MANNERS: Mapping[str, Callable[[State, Moment], Step]] = {
    "tones": explain_tones,
    "slower": partial(_pace, steps=-1),
    "faster": partial(_pace, steps=1),
    "louder": partial(_loudness, steps=1),
    "softer": partial(_loudness, steps=-1),
    "short_answers": partial(_answers, short=True),
    "full_answers": partial(_answers, short=False),
}
"""The requests about how it talks."""
