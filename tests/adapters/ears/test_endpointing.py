from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pytest

from assistant.adapters.ears.pocketsphinx import PocketsphinxEars
from assistant.adapters.sound.endpointing import Detection, utterances
from assistant.audio import EAR_RATE_HZ, Clip
from assistant.bench.acoustic.chance import generator
from assistant.bench.acoustic.noises import noise
from assistant.bench.acoustic.sound import decibels, from_pcm, speech_level
from assistant.errors import AudioProblem
from tests.ear_scene import clip_of, hear, say
from tests.ear_scene import noise as hiss

QUIET = clip_of(hiss(1, 0.0002)).pcm


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


@pytest.mark.parametrize("voice", ["flite:slt", "espeak:en-gb", "espeak:en-us+f3"])
def test_a_phrase_in_birdsong_comes_out_whole_and_alone(voice: str):
    phrase = from_pcm(say("galah three hundred grams", voice).pcm)[8_000:-8_000]
    begins = 8 * EAR_RATE_HZ
    song = noise("chirps", generator(voice), phrase.size + 2 * begins, lambda _: phrase)
    song *= 0.05 / decibels(10)
    song[begins : begins + phrase.size] += phrase / speech_level(phrase) * 0.05
    pcm = clip_of(song).pcm

    found = [(pcm.index(one.clip.pcm) // 2, one) for one in utterances(cut(pcm, 480))]
    ends = begins + phrase.size
    ((at, one),) = [(x, y) for x, y in found if x < ends and begins < x + y.clip.samples]

    assert one.complete
    assert begins - 12_000 < at <= begins
    assert ends <= at + one.clip.samples < ends + 12_000


def test_an_utterance_says_how_long_ago_its_speech_began():
    pcm = QUIET + say("galah three hundred grams").pcm + QUIET
    taken_s = 0.0

    def clips() -> Iterator[Clip]:
        nonlocal taken_s
        for clip in cut(pcm, 480):
            taken_s += clip.seconds
            yield clip

    found = next(utterances(clips()))

    # a second and a half of quiet come before the first word
    assert taken_s - found.began_ago_s == pytest.approx(1.6, abs=0.15)


def test_speech_that_the_end_of_the_sound_cuts_off_is_still_handed_over():
    spoken = say("cockatiel ninety five grams").pcm

    (found,) = utterances(cut(QUIET + spoken[: len(spoken) - 40_000], 480))

    assert found.clip.seconds > 0.5


def test_quiet_and_a_click_are_no_utterance():
    click = np.zeros(EAR_RATE_HZ)
    click[8000:8040] = 20_000

    assert list(utterances(cut(QUIET + click.astype("<i2").tobytes() + QUIET, 480))) == []


@pytest.mark.parametrize("samples", [480, 1600, 5000])
def test_noise_without_end_is_handed_over_as_incomplete_and_never_as_a_phrase(samples: int):
    pcm = clip_of(hiss(40, 0.2)).pcm

    found = list(utterances(cut(pcm, samples), Detection(longest_s=5)))

    assert found
    assert not any(one.complete for one in found)
    assert all(one.clip.seconds <= 5 for one in found)


def test_after_noise_a_phrase_in_the_quiet_is_heard_again():
    phrase = say("galah three hundred grams").pcm
    pcm = clip_of(hiss(8, 0.2)).pcm + QUIET + QUIET + phrase + QUIET

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
