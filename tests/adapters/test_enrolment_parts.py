"""What an enrolment is made of, on real sound: reading aloud, levels, and pronunciations."""

from __future__ import annotations

from collections.abc import Generator, Sequence

import numpy as np
import pytest

from assistant.adapters.ears.fitting_variants import Spoken, fitting_variants
from assistant.adapters.ears.reading_level import measure_level
from assistant.adapters.talk.reading_aloud import read_aloud
from assistant.audio import EAR_RATE_HZ, Clip
from assistant.errors import AudioProblem
from tests.ear_scene import clip_of, noise, say

SECOND = bytes(2 * EAR_RATE_HZ)


class PlayedMicrophone:
    """A microphone before which recordings are played, one after another."""

    name = "played"

    def __init__(self, sounds: Sequence[bytes]) -> None:
        self._sounds = list(sounds)
        self.forgotten = 0

    def clips(self) -> Generator[Clip, None, None]:
        """The recordings, with a second of quiet around each, in pieces of 20 ms."""
        for sound in self._sounds:
            whole = SECOND + sound + SECOND
            for at in range(0, len(whole), 640):
                yield Clip(whole[at : at + 640])

    def forget(self) -> None:
        """Count how often it was told to forget."""
        self.forgotten += 1


def read(sounds: Sequence[bytes], texts: Sequence[str]) -> tuple[list[Clip], list[object]]:
    shown: list[object] = []
    microphone = PlayedMicrophone(sounds)
    clips = list(read_aloud(texts, microphone, lambda *what: shown.append(what)))
    return clips, shown


def test_each_phrase_is_recorded_until_the_pause_after_it():
    one, two = say("galah three hundred and thirty grams"), say("cockatiel ninety five grams")
    clips, shown = read([one.pcm, two.pcm], ["a", "b"])
    assert shown == [(1, "a", False), (2, "b", False)]
    for clip, spoken in zip(clips, (one, two), strict=True):
        assert abs(clip.seconds - (spoken.seconds - 1.0)) < 0.8


def test_a_short_sound_is_asked_for_once_more():
    click = clip_of(noise(0.3, 0.3))
    phrase = say("cockatiel ninety five grams")
    clips, shown = read([click.pcm, say("no").pcm, phrase.pcm], ["a"])
    assert len(clips) == 1
    assert clips[0].seconds > 1
    assert shown[-1] == (1, "a", True)


def test_talk_without_a_pause_ends_the_reading_with_a_remedy():
    talk = say("cockatiel ninety five grams").pcm[2 * EAR_RATE_HZ : -2 * EAR_RATE_HZ] * 60
    with pytest.raises(AudioProblem, match="could not be recorded") as caught:
        read([talk], ["a"])
    assert "quieter" in caught.value.remedy


def speech_with(loudness: float, hiss: float) -> Clip:
    samples = np.frombuffer(say("cockatiel ninety five grams").pcm, dtype="<i2") / 32768
    return clip_of(samples * loudness + noise(samples.size / EAR_RATE_HZ, hiss)[: samples.size])


@pytest.mark.parametrize(
    ("clip", "told"),
    [
        (speech_with(1.0, 0.0005), ""),
        (speech_with(40.0, 0.0005), "too loud"),
        (speech_with(0.01, 0.00003), "very quiet"),
        (speech_with(1.0, 0.1), "noisy"),
    ],
    ids=["good", "overloaded", "quiet", "noisy"],
)
def test_the_microphone_is_judged_by_what_came_in(clip: Clip, told: str):
    advice = " ".join(measure_level([clip] * 5).advice)
    assert told in advice
    assert bool(advice) == bool(told)


@pytest.mark.parametrize(
    ("spoken", "kept"), [("cockatiel", "K AA K AH T IY L"), ("cock a teal", "K AA K AH T IY L")]
)
def test_the_pronunciation_that_is_spoken_is_kept(spoken: str, kept: str):
    ways = {"cockatiel": (kept, "M UW S AH Z", "B R IY Z OW Z")}
    clips = [Spoken("cockatiel ninety", say(f"{spoken} ninety", voice)) for voice in
             ("flite:rms", "flite:slt")]  # fmt: skip
    assert fitting_variants(ways, clips) == {"cockatiel": (kept,)}


def test_a_word_read_once_keeps_all_its_pronunciations():
    ways = {"cockatiel": ("K AA K AH T IY L", "M UW S AH Z")}
    assert fitting_variants(ways, [Spoken("cockatiel ninety", say("cockatiel ninety"))]) == {}
