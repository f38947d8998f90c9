from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pytest

from assistant.adapters.endpointing import Detection, utterances
from assistant.adapters.pocketsphinx_ears import PocketsphinxEars
from assistant.audio import EAR_RATE_HZ, Clip
from assistant.errors import AudioProblem
from tests.ear_scene import clip_of, hear, noise, say

QUIET = clip_of(noise(1, 0.0002)).pcm


def cut(pcm: bytes, samples: int) -> Iterator[Clip]:
    for at in range(0, len(pcm), 2 * samples):
        yield Clip(pcm[at : at + 2 * samples])


@pytest.mark.parametrize("samples", [1, 160, 480, 1000, 16_000, 400_000])
def test_two_phrases_are_two_utterances_however_the_sound_is_cut(samples: int):
    first = say("galah three hundred grams").pcm
    second = say("given", "espeak:en-gb").pcm
    pcm = QUIET + first + QUIET + second + QUIET

    found = list(utterances(cut(pcm, samples)))

    assert [one.complete for one in found] == [True, True]
    assert found[0].clip.seconds == pytest.approx(len(first) / 32000 - 1, abs=0.6)
    assert found[1].clip.seconds < 1.5


def test_an_utterance_holds_the_words_whole(ears: PocketsphinxEars):
    pcm = QUIET + say("king parrot two hundred and thirty grams").pcm + QUIET

    heard = [hear(ears, found.clip).words for found in utterances(cut(pcm, 480))]

    # the detector may take a stretch of faint noise for speech; the ear makes nothing of it
    assert [words for words in heard if words] == ["king parrot two hundred and thirty grams"]


@pytest.mark.parametrize("voice", ["flite:rms", "flite:slt", "espeak:en-gb", "espeak:en-us+f3"])
@pytest.mark.parametrize("word", ["no", "yes", "help", "given"])
def test_one_short_word_is_an_utterance(word: str, voice: str):
    pcm = QUIET + say(word, voice, 180).pcm + QUIET

    assert len(list(utterances(cut(pcm, 480)))) == 1


def test_speech_that_the_end_of_the_sound_cuts_off_is_still_handed_over():
    spoken = say("cockatiel ninety five grams").pcm

    (found,) = utterances(cut(QUIET + spoken[: len(spoken) - 40_000], 480))

    assert found.clip.seconds > 0.5


def test_quiet_and_a_click_are_no_utterance():
    click = np.zeros(EAR_RATE_HZ)
    click[8000:8040] = 20_000

    assert list(utterances(cut(QUIET + click.astype("<i2").tobytes() + QUIET, 480))) == []


def test_noise_without_end_is_handed_over_as_incomplete_and_never_as_a_phrase():
    pcm = clip_of(noise(40, 0.2)).pcm

    found = list(utterances(cut(pcm, 480), Detection(longest_s=5)))

    assert found
    assert not any(one.complete for one in found)
    assert all(one.clip.seconds <= 5 for one in found)


def test_after_noise_a_phrase_in_the_quiet_is_heard_again():
    phrase = say("galah three hundred grams").pcm
    pcm = clip_of(noise(8, 0.2)).pcm + QUIET + QUIET + phrase + QUIET

    found = list(utterances(cut(pcm, 480), Detection(longest_s=5)))

    assert [one.complete for one in found] == [False, True]
    assert found[1].clip.seconds < 3.5


def test_the_rest_of_a_phrase_that_is_too_long_is_not_taken_for_a_phrase():
    long = say("not given not given cockatiel ninety five grams galah three hundred grams").pcm

    found = list(utterances(cut(QUIET + long + QUIET, 480), Detection(longest_s=1)))

    assert not any(one.complete for one in found)


def test_another_rate_is_refused():
    with pytest.raises(AudioProblem, match="8000 samples a second"):
        list(utterances([Clip(QUIET, 8_000)]))
