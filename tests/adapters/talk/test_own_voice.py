"""Its own voice: what it says, heard by its own ears, is no request.

The talk loop listens only when it has finished speaking.  This is what stands behind it, should a
room or a sound card bring its sentences back all the same.
"""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from assistant.adapters.home.setting_up import make_demo
from assistant.adapters.sound.endpointing import utterances
from assistant.adapters.sound.resampling import as_utterance
from assistant.audio import EAR_RATE_HZ, Clip
from assistant.conversation.entries import DoseEndEntry, DoseEntry
from assistant.conversation.speech import speakable
from assistant.language.heard import Alternative, Channel, Heard
from assistant.ports import Ears, Voice
from assistant.wiring import open_desk, open_ears, open_home, open_voice
from tests.talk_scene import Talk, begun, demo_holding

QUIET = bytes(EAR_RATE_HZ)
FRAME_BYTES = 960
"""Thirty milliseconds, the step in which speech is told from the rest."""


@pytest.fixture(scope="module")
def own_ears(tmp_path_factory: pytest.TempPathFactory) -> Ears:
    """The embedded ears on the demo home."""
    home = str(tmp_path_factory.mktemp("own") / "home")
    make_demo(open_home(home))
    return open_ears(open_desk(home), None)


@pytest.fixture(scope="module")
def own_voice() -> Voice:
    """The voice that the demo home speaks with."""
    return open_voice(demo_holding().kit)


def doubtful(words: str, *rivals: str) -> Heard:
    others = tuple(Alternative(one, 0.3) for one in rivals)
    return Heard(words, 0.6, others, Channel.VOICE, "test ear", doubtful=True)


SCENES = {
    "did you say": [doubtful("cockatiel ninety five grams")],
    "which weight": [doubtful("galah three thirty", "galah three thirteen")],
    "which bird": [doubtful("galah three hundred", "little corella three hundred")],
    "is it a guess": [Heard("galah about three hundred")],
    "the dose": [Heard("cockatiel ninety five")],
    "is it given": [Heard("cockatiel ninety five"), Heard("galah three thirty")],
    "did you say given": [Heard("cockatiel ninety five"), doubtful("given")],
    "weigh again": [doubtful("cockatiel ninety five grams")] * 3,
}


def test_the_ears_hear_the_voice_when_it_asks_for_a_dose(own_ears: Ears, own_voice: Voice):
    own_ears.begin()
    own_ears.feed(as_utterance(own_voice.render("cockatiel ninety five grams")))
    assert begun().say(heard=own_ears.finish()).facts.dose is not None


@pytest.mark.parametrize("scene", SCENES)
def test_its_own_sentence_neither_gives_nor_ends_a_dose(
    scene: str, own_ears: Ears, own_voice: Voice
):
    talk = begun()
    for one in SCENES[scene]:
        talk.say(heard=one)
    rows = len(talk.entries)
    spoken = as_utterance(own_voice.render(speakable(talk.turns[-1].reply.said)))
    assert echoed(talk, own_ears, spoken) > 0
    found = [row for row in talk.entries[rows:] if isinstance(row, DoseEntry | DoseEndEntry)]
    assert not found


def echoed(talk: Talk, ears: Ears, spoken: Clip) -> int:
    """Let the ears hear the sound, whole and as the microphone's loop would cut it; how often."""
    cut = list(utterances(_stream(spoken)))
    # what was still going on at the limit is given to no ear
    for clip in (spoken, *(one.clip for one in cut if one.complete)):
        ears.begin()
        ears.feed(clip)
        talk.say(heard=ears.finish())
    return len(cut)


def _stream(spoken: Clip) -> Iterator[Clip]:
    sound = QUIET + spoken.pcm + 3 * QUIET
    for start in range(0, len(sound), FRAME_BYTES):
        yield Clip(sound[start : start + FRAME_BYTES])
