from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
import pytest

from assistant.adapters.ears.pocketsphinx import LONGEST_S, PocketsphinxEars, open_pocketsphinx
from assistant.audio import EAR_RATE_HZ, Clip
from assistant.errors import AudioProblem, EngineUnavailable
from assistant.language.engine_grammar import EngineGrammar
from assistant.language.heard import Channel
from tests.ear_scene import Samples, birdsong, clip_of, hear, noise, say


@pytest.mark.parametrize(
    ("words", "voice"),
    [
        ("cockatiel ninety five grams", "flite:slt"),
        ("indian ringneck one hundred and twenty grams", "flite:awb"),
        ("sun conure one hundred and ten grams", "flite:rms"),
        ("budgerigar thirty two grams", "espeak:en-us"),
        ("galah three hundred and thirty grams", "espeak:en-gb"),
        ("not given", "flite:rms"),
        ("wrong bird", "flite:slt"),
    ],
)
def test_what_is_spoken_is_heard_in_several_voices(ears: PocketsphinxEars, words: str, voice: str):
    heard = hear(ears, say(words, voice))

    assert heard.words == words
    assert heard.channel is Channel.VOICE
    assert heard.engine == ears.name
    assert 0 < heard.confidence <= 1


def test_the_same_sound_is_heard_the_same_whatever_came_before(ears: PocketsphinxEars):
    clip = say("cockatiel ninety five grams", "espeak:en-gb")
    first = hear(ears, clip)
    hear(ears, say("galah three hundred and thirty grams"))

    assert hear(ears, clip) == first


def test_sound_fed_in_pieces_is_heard_as_in_one(ears: PocketsphinxEars):
    clip = say("cockatiel ninety five grams")
    ears.begin()
    for at in range(0, len(clip.pcm), 998):
        ears.feed(Clip(clip.pcm[at : at + 998]))

    assert ears.finish() == hear(ears, clip)


def test_begin_forgets_what_was_fed(ears: PocketsphinxEars):
    ears.begin()
    ears.feed(say("not given"))

    assert hear(ears, say("given")).words == "given"


def test_alternatives_differ_and_share_the_belief(whole_ears: PocketsphinxEars):
    heard = hear(whole_ears, say("cockatiel ninety grams", "espeak:en-gb"))
    words = [heard.words, *(other.words for other in heard.alternatives)]
    shares = [heard.confidence, *(other.confidence for other in heard.alternatives)]

    assert len(words) > 1
    assert len(set(words)) == len(words)
    assert sum(shares) <= 1.0001
    assert shares[1:] == sorted(shares[1:], reverse=True)


def test_a_digital_silence_inside_and_around_does_not_deafen(ears: PocketsphinxEars):
    spoken = say("king parrot two hundred and thirty grams")
    silence = bytes(2 * EAR_RATE_HZ)

    assert hear(ears, Clip(silence + spoken.pcm + silence)).words == (
        "king parrot two hundred and thirty grams"
    )


NOISES: Mapping[str, Samples] = {
    "nothing": np.zeros(0),
    "one sample": np.zeros(1),
    "silence": np.zeros(3 * EAR_RATE_HZ),
    "white": noise(4, 0.1),
    "full scale": np.random.default_rng(4).choice(np.array([-1.0, 1.0]), 4 * EAR_RATE_HZ),
    "hum": 0.3 * np.sin(2 * np.pi * 50 * np.arange(4 * EAR_RATE_HZ) / EAR_RATE_HZ),
    "whistle": 0.5 * np.sin(2 * np.pi * 2500 * np.arange(4 * EAR_RATE_HZ) / EAR_RATE_HZ),
}


@pytest.mark.parametrize("name", NOISES)
def test_in_noise_alone_nothing_is_heard(ears: PocketsphinxEars, name: str):
    assert hear(ears, clip_of(NOISES[name])).words == ""


def test_half_a_minute_of_birdsong_is_no_phrase_and_its_lattice_is_left_alone(
    whole_ears: PocketsphinxEars,
):
    """Its alternatives alone would take twice as long as it lasts."""
    heard = hear(whole_ears, clip_of(birdsong(LONGEST_S)))

    assert heard.confidence < 0.2
    assert heard.alternatives == ()


def test_an_utterance_that_is_too_long_is_not_heard_in_part(ears: PocketsphinxEars):
    clip = say("given")
    rest = Clip(bytes(int(LONGEST_S * EAR_RATE_HZ) * 2))
    ears.begin()
    ears.feed(clip)
    ears.feed(rest)

    assert ears.finish().words == ""


def test_another_rate_is_refused(ears: PocketsphinxEars):
    ears.begin()
    with pytest.raises(AudioProblem, match="8000"):
        ears.feed(Clip(b"\0\0", 8_000))


def test_words_that_cannot_be_pronounced_are_left_out_and_reported(
    small_grammar: EngineGrammar, pronunciations: Mapping[str, Sequence[str]]
):
    def compile_without(unheard: frozenset[str]) -> EngineGrammar:
        made_up = "" if "quxolotl" in unheard else "| quxolotl"
        jsgf = small_grammar.jsgf.replace("| help;", f"| help {made_up};")
        words = small_grammar.words | (frozenset(("quxolotl",)) - unheard)
        return replace(small_grammar, jsgf=jsgf, words=words)

    ears = open_pocketsphinx(compile_without, pronunciations)

    assert ears.deaf_to() == ("quxolotl",)
    assert hear(ears, say("cockatiel ninety five grams")).words == "cockatiel ninety five grams"


def test_a_word_that_cannot_be_pronounced_is_never_dropped_in_silence(
    small_grammar: EngineGrammar, pronunciations: Mapping[str, Sequence[str]]
):
    odd = replace(small_grammar, words=small_grammar.words | {"quxolotl"})

    with pytest.raises(EngineUnavailable, match="cannot pronounce: quxolotl"):
        PocketsphinxEars(odd, pronunciations)


def test_without_our_pronunciations_the_engine_knows_few_birds(whole_grammar: EngineGrammar):
    assert PocketsphinxEars.unknown_words(whole_grammar.words, {}) >= {
        "galah", "cockatiel", "budgerigar", "lorikeet", "bourke's",
    }  # fmt: skip


def test_a_grammar_that_is_none_ends_in_a_clear_error(small_grammar: EngineGrammar):
    with pytest.raises(EngineUnavailable, match="cannot use the grammar"):
        PocketsphinxEars(replace(small_grammar, jsgf="no grammar"), {})


def test_the_engine_says_nothing_on_its_own(
    ears: PocketsphinxEars, capfd: pytest.CaptureFixture[str]
):
    hear(ears, clip_of(birdsong(1)))
    hear(ears, Clip(b""))

    assert capfd.readouterr() == ("", "")


def test_the_ear_names_its_engine_and_model(ears: PocketsphinxEars):
    assert ears.name.startswith("pocketsphinx 5")
    assert "en-us" in ears.model
