"""The first of the embedded ears, with its real network, on spoken sound."""

from __future__ import annotations

import numpy as np
import pytest

from assistant.adapters.ears.moonshine_model import Floats, Sound, SpeechModel
from assistant.adapters.ears.neural_sound import LONGEST_S
from assistant.adapters.ears.phone_head import packaged_head
from assistant.adapters.ears.phones import PhoneEars
from assistant.adapters.home.setting_up import make_demo
from assistant.audio import EAR_RATE_HZ, Clip
from assistant.errors import AudioProblem, EngineUnavailable
from assistant.hearing.evidence import NOTHING
from assistant.language.expected import Expected, Saying
from assistant.language.lexicon import Lexicon
from assistant.language.meaning import meaning_in
from assistant.wiring import open_desk, open_home, word_sounds
from tests.ear_scene import clip_of, hear, noise, say
from tests.talk_scene import demo_lexicon

PHRASE = "galah three hundred and thirty grams"
QUIET = EAR_RATE_HZ
"""Half a second in bytes: what `say` puts before and after the words."""


@pytest.fixture(scope="module")
def lexicon() -> Lexicon:
    return demo_lexicon()


class CountingModel(SpeechModel):
    """The model, which counts how often it hears a sound."""

    def __init__(self) -> None:
        super().__init__()
        self.heard = 0

    def encode(self, samples: Floats) -> Sound:
        """Hear it, and count."""
        self.heard += 1
        return super().encode(samples)


@pytest.fixture(scope="module")
def model() -> CountingModel:
    return CountingModel()


@pytest.fixture(scope="module")
def phones(
    model: CountingModel, lexicon: Lexicon, tmp_path_factory: pytest.TempPathFactory
) -> PhoneEars:
    home = str(tmp_path_factory.mktemp("phones") / "home")
    make_demo(open_home(home))
    said = word_sounds(open_desk(home)).together
    return PhoneEars(model, packaged_head(), lexicon, said)


def spoken() -> bytes:
    """The phrase from its first to its last sound, as near as makes no click."""
    pcm = say(PHRASE).pcm[QUIET:-QUIET]
    loud = np.flatnonzero(np.abs(np.frombuffer(pcm, dtype="<i2")) > 300)
    return pcm[2 * int(loud[0]) : 2 * int(loud[-1])]


def inside(pcm: bytes, part: float) -> int:
    """The byte nearest to this part of the phrase at which a vowel is: where a cut is heard."""
    samples = np.abs(np.frombuffer(pcm, dtype="<i2").astype(float))
    frames = samples[: samples.size // 160 * 160].reshape(-1, 160).max(axis=1)
    loud = np.flatnonzero(frames > 0.5 * frames.max())
    return 320 * int(loud[np.abs(loud - part * frames.size).argmin()])


def test_a_phrase_is_heard_with_its_lead_and_its_strain(phones: PhoneEars, lexicon: Lexicon):
    heard = hear(phones, say(PHRASE))
    assert meaning_in(lexicon)(heard.words) == meaning_in(lexicon)(PHRASE)
    evidence = phones.evidence
    assert evidence.margin > 1
    assert 0 <= evidence.strain < 5
    assert not evidence.cut_off


@pytest.mark.parametrize(
    ("words", "loudness", "times"),
    [
        (PHRASE, 0.0, 1),
        (PHRASE, 0.05, 3),
        ("we drove to the coast on sunday", 0.0, 1),
    ],
    ids=["clear", "in doubt", "other talk"],
)
def test_what_leaves_a_doubt_is_heard_at_other_pitches_too(
    phones: PhoneEars, model: CountingModel, words: str, loudness: float, times: int
):
    clip = say(words)
    samples = np.frombuffer(clip.pcm, dtype="<i2") / 32768 + noise(clip.seconds, loudness)
    before = model.heard
    hear(phones, clip_of(samples))
    assert model.heard - before == times


@pytest.mark.parametrize("part", [0.4, 0.55, 0.7, 0.85])
def test_a_phrase_whose_end_is_missing_is_known_for_it(phones: PhoneEars, part: float):
    whole = spoken()
    hear(phones, Clip(bytes(QUIET) + whole[: inside(whole, part)]))
    assert phones.evidence.cut_off


@pytest.mark.parametrize("part", [0.2, 0.35, 0.5])
def test_a_phrase_whose_beginning_is_missing_is_known_for_it(phones: PhoneEars, part: float):
    whole = spoken()
    hear(phones, Clip(whole[inside(whole, part) :] + bytes(QUIET)))
    assert phones.evidence.cut_off


def test_a_phrase_with_a_little_quiet_around_it_is_whole(phones: PhoneEars):
    little = bytes(2 * int(0.2 * EAR_RATE_HZ))
    assert hear(phones, Clip(little + spoken() + little)).words.endswith("hundred and thirty grams")
    assert not phones.evidence.cut_off


def test_a_phrase_that_fades_at_the_very_ends_of_its_sound_is_whole(phones: PhoneEars):
    samples = np.frombuffer(spoken(), dtype="<i2") / 32768
    fade = np.minimum(1.0, np.arange(samples.size) / (0.06 * EAR_RATE_HZ)) ** 3
    hear(phones, clip_of(samples * fade * fade[::-1]))
    assert phones.evidence.readings
    assert not phones.evidence.cut_off


def test_a_fault_of_the_microphone_at_full_scale_is_nothing(phones: PhoneEars):
    """A square wave of 220 Hz: it was once answered as the number eight."""
    samples = np.where(np.arange(int(11.9 * EAR_RATE_HZ)) * 220 % EAR_RATE_HZ < 8000, 1.0, -1.0)
    hear(phones, clip_of(samples))
    assert phones.evidence == NOTHING


def test_an_answer_is_heard_where_it_is_expected(phones: PhoneEars):
    phones.begin(Expected(frozenset({Saying.WEIGHT, Saying.FIX})))
    phones.feed(say("forty seven"))
    assert phones.finish().words == "forty seven"


def test_another_bird_is_no_answer_where_a_weight_is_expected(phones: PhoneEars, lexicon: Lexicon):
    phones.begin(Expected(frozenset({Saying.WEIGHT, Saying.FIX})))
    phones.feed(say(PHRASE))
    assert meaning_in(lexicon)(phones.finish().words) == meaning_in(lexicon)(PHRASE)


@pytest.mark.parametrize("seconds", [0.0, 0.1, LONGEST_S + 0.1])
def test_what_is_too_short_or_too_long_is_nothing(phones: PhoneEars, seconds: float):
    assert hear(phones, clip_of(noise(seconds, 0.1))).words == ""
    assert phones.evidence == NOTHING


def test_a_number_before_a_bird_needs_no_unit(phones: PhoneEars):
    assert hear(phones, say("ninety five cockatiel")).words == "ninety five cockatiel"


def test_it_can_hear_every_word_of_the_grammar(phones: PhoneEars):
    assert phones.deaf_to() == ()


def test_a_word_without_a_sound_is_one_that_it_is_deaf_to(lexicon: Lexicon):
    some = PhoneEars(SpeechModel(), packaged_head(), lexicon, {"galah": ["G AH L AA"]})
    assert "cockatiel" in some.deaf_to()
    assert "galah" not in some.deaf_to()


def test_another_rate_is_refused(phones: PhoneEars):
    phones.begin()
    with pytest.raises(AudioProblem, match="not 8000"):
        phones.feed(Clip(bytes(16_000), 8_000))


def test_a_failing_engine_is_unavailable(lexicon: Lexicon, monkeypatch: pytest.MonkeyPatch):
    model = SpeechModel()
    ears = PhoneEars(model, packaged_head(), lexicon, {"galah": ["G AH L AA"]})
    monkeypatch.setattr(model, "_encoder", None)
    ears.begin()
    ears.feed(say("galah"))
    with pytest.raises(EngineUnavailable, match="does not work"):
        ears.finish()
