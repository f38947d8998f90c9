"""Phrases read aloud one after another: shown, spoken, and recorded until the pause after them."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import closing

from assistant.adapters.sound.endpointing import utterances
from assistant.adapters.talk.live import LiveMicrophone
from assistant.audio import Clip
from assistant.errors import AudioProblem

SHORTEST_S = 1.4
"""A phrase with a bird and a weight takes longer, with the quiet that is kept around it; less is a
cough or one word."""

TRIES = 4


def read_aloud(
    texts: Sequence[str], microphone: LiveMicrophone, show: Callable[[int, str, bool], None]
) -> Iterator[Clip]:
    """The recording of each text, in order.

    `show` gets the number of the text from 1, the text, and whether it is asked for once more; it
    returns when the keeper may speak.  Raises AudioProblem where a text never ends in a pause.
    """
    with closing(microphone.clips()) as clips:
        found = utterances(clips)
        for number, text in enumerate(texts, start=1):
            for attempt in range(TRIES):
                show(number, text, attempt > 0)
                microphone.forget()
                utterance = next(found, None)
                if utterance and utterance.complete and utterance.clip.seconds >= SHORTEST_S:
                    yield utterance.clip
                    break
            else:
                raise AudioProblem(
                    f"“{text}” could not be recorded: there was no pause after it.",
                    "Go where it is quieter, or move the microphone nearer to your mouth.",
                )
