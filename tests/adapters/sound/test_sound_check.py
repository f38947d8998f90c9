"""The sound check: silent, too loud, too quiet, noisy, or well; each told once."""

from __future__ import annotations

import numpy as np
import pytest

from assistant.adapters.sound.sound_check import SILENT, TOO_LOUD, TOO_QUIET, SoundCheck
from assistant.adapters.talk.remembering_voice import RememberingVoice
from assistant.adapters.talk.voice import EspeakVoice
from assistant.audio import EAR_RATE_HZ, Clip

SECOND = Clip(bytes(2 * EAR_RATE_HZ))


def _utterance(level: float, noise: float) -> Clip:
    """Half a second of noise, a second of a voice-like buzz, and noise again."""
    chance = np.random.default_rng(3)
    at = np.arange(EAR_RATE_HZ) / EAR_RATE_HZ
    buzz = sum(np.sin(2 * np.pi * 140 * one * at) / one for one in range(1, 12)) * level
    sound = np.concatenate((np.zeros(8000), buzz, np.zeros(8000)))
    sound += noise * chance.standard_normal(sound.size)
    return Clip(sound.clip(-32768, 32767).astype("<i2").tobytes())


def test_a_microphone_that_gives_only_zeros_is_told_of_once():
    check = SoundCheck()
    assert [check.listen(SECOND) for _ in range(5)] == ["", "", SILENT, "", ""]


def test_the_faintest_noise_is_enough_to_be_alive():
    check = SoundCheck()
    alive = Clip(np.array([0, 4, -4, 0] * 4000, dtype="<i2").tobytes())
    assert [check.listen(alive) for _ in range(4)] == [""] * 4


@pytest.mark.parametrize(
    ("level", "noise", "said", "how"),
    [
        (60_000, 10, TOO_LOUD, "aloud"),
        (20, 1, TOO_QUIET, "aloud"),
        (3_000, 1_500, "It is noisy: your voice is only", "aloud"),
        (3_000, 10, "Sound check: your voice is", "shown"),
    ],
)
def test_the_first_utterance_shows_how_it_sounds(level: float, noise: float, said: str, how: str):
    check = SoundCheck()
    advice, aloud = check.judge(_utterance(level, noise))
    assert advice.startswith(said)
    assert aloud == (how == "aloud")
    assert check.judge(_utterance(level, noise)) == ("", False)


def test_a_sentence_is_rendered_once_until_others_took_its_place():
    voice = EspeakVoice(165, None)
    first = voice.render("Stopped.")
    remembering = RememberingVoice(voice, most_bytes=int(1.5 * len(first.pcm)))
    assert remembering.render("Stopped.") == first
    assert remembering.render("Stopped.") is remembering.render("Stopped.")
    assert not remembering.knows("Stopped.", 1.15)
    remembering.render("Given.")
    assert remembering.knows("Given.")
    assert not remembering.knows("Stopped.")
    voice.close()
    assert remembering.render("Given.").samples, "it needs no voice for that"
