from __future__ import annotations

import shutil
import sys
from pathlib import Path

import numpy as np
import pytest

from assistant.adapters.ears.moonshine import MoonshineEars, open_moonshine
from assistant.adapters.ears.moonshine_model import DIGESTS, ENCODER, SpeechModel, packaged_folder
from assistant.adapters.ears.neural_sound import LONGEST_S
from assistant.adapters.home.folder import species_table
from assistant.adapters.home.grammar_file import grammar_text
from assistant.audio import Clip
from assistant.dosing.species import Aviary, read_birds
from assistant.errors import AudioProblem, EngineUnavailable
from assistant.hearing.evidence import NOTHING
from assistant.language.heard import Channel
from assistant.language.lexicon import Lexicon, build
from assistant.language.understanding import understand
from tests.ear_scene import birdsong, clip_of, hear, noise, say


@pytest.fixture(scope="module")
def lexicon() -> Lexicon:
    """The whole grammar over the species table."""
    aviary: Aviary = read_birds({}, species_table(), "birds.toml")
    return build(grammar_text("dosewren.jsgf"), aviary, ())


@pytest.fixture(scope="module")
def ears(lexicon: Lexicon) -> MoonshineEars:
    """The ear with the packaged model."""
    return open_moonshine(lexicon)


@pytest.mark.parametrize(
    ("words", "voice"),
    [
        ("cockatiel ninety five grams", "flite:slt"),
        ("indian ringneck one hundred and twenty grams", "flite:awb"),
        ("sun conure one hundred and ten grams", "flite:rms"),
        ("princess parrot one oh five", "espeak:en-us"),
        ("scarlet macaw one thousand and twenty grams", "espeak:en-gb"),
        ("wrong bird", "flite:slt"),
        ("say again", "flite:rms"),
    ],
)
def test_what_is_spoken_is_understood(
    ears: MoonshineEars, lexicon: Lexicon, words: str, voice: str
):
    heard = hear(ears, say(words, voice))

    assert understand(heard.words, lexicon) == understand(words, lexicon)
    assert heard.channel is Channel.VOICE
    assert heard.engine == ears.name
    assert 0 < heard.confidence <= 1


def test_all_that_might_have_been_said_is_in_the_grammar(ears: MoonshineEars, lexicon: Lexicon):
    heard = hear(ears, clip_of(birdsong(2.0) * 0.2 + noise(2.0, 0.05)))
    said = [one.words for one in heard.alternatives] + [heard.words]

    assert len(said) > 1
    assert [words for words in said if words and understand(words, lexicon).doubt] == []


def test_different_readings_ask_for_different_things(ears: MoonshineEars, lexicon: Lexicon):
    hear(ears, say("cockatiel ninety five grams", "espeak:en-gb"))
    readings = ears.evidence.readings

    meant = {repr(understand(one.words, lexicon).requests) for one in readings}
    assert len(meant) == len(readings) > 1
    assert sum(one.share for one in readings) == pytest.approx(1, abs=0.05)
    assert ears.evidence.margin > 0


def test_talk_lies_further_behind_its_free_text_than_a_request_does(ears: MoonshineEars):
    hear(ears, say("cockatiel ninety five grams", "flite:slt"))
    request = ears.evidence.gap
    hear(ears, say("the plumber said he would come back on thursday", "flite:slt"))

    assert ears.evidence.free is not None
    assert "Thursday" in ears.evidence.free
    assert ears.evidence.gap > request + 5


def test_the_same_sound_is_heard_the_same_whatever_came_before(ears: MoonshineEars):
    clip = say("cockatiel ninety five grams", "espeak:en-gb")
    first = hear(ears, clip)
    hear(ears, say("galah three hundred and thirty grams"))

    assert hear(ears, clip) == first


def test_sound_fed_in_pieces_is_heard_as_in_one(ears: MoonshineEars):
    clip = say("cockatiel ninety five grams")
    ears.begin()
    for at in range(0, len(clip.pcm), 998):
        ears.feed(Clip(clip.pcm[at : at + 998]))

    assert ears.finish() == hear(ears, clip)


@pytest.mark.parametrize("clip", [Clip(b""), Clip(bytes(1000)), Clip(bytes(64_000))])
def test_silence_and_scraps_are_nothing(ears: MoonshineEars, clip: Clip):
    assert hear(ears, clip).words == ""
    assert ears.evidence == NOTHING


def test_of_a_speech_that_is_too_long_nothing_is_heard(ears: MoonshineEars):
    assert hear(ears, clip_of(noise(LONGEST_S + 1, 0.1))).words == ""


def test_another_rate_is_refused(ears: MoonshineEars):
    ears.begin()
    with pytest.raises(AudioProblem, match="16000"):
        ears.feed(Clip(bytes(100), 8000))


def test_full_scale_noise_is_heard_out(ears: MoonshineEars):
    burst = np.sign(noise(4.0, 1.0))

    assert 0 <= hear(ears, clip_of(burst)).confidence <= 1


def test_the_model_is_taken_from_a_folder_of_the_keepers(tmp_path: Path):
    for name in DIGESTS:
        shutil.copy(packaged_folder() / name, tmp_path)

    assert SpeechModel(tmp_path).folder == tmp_path


@pytest.mark.parametrize("changed", DIGESTS)
def test_a_changed_model_is_refused_by_its_file(tmp_path: Path, changed: str):
    for name in DIGESTS:
        shutil.copy(packaged_folder() / name, tmp_path)
    with (tmp_path / changed).open("ab") as file:
        file.write(b"\x01x")

    with pytest.raises(EngineUnavailable, match=f"{changed} is not the speech model"):
        SpeechModel(tmp_path).load_decoder()


def test_the_decoder_is_read_only_when_words_are_to_be_written(tmp_path: Path):
    shutil.copy(packaged_folder() / ENCODER, tmp_path)
    model = SpeechModel(tmp_path)

    assert model.encode(np.zeros(8000, np.float32)).states.shape[-1] == 288
    with pytest.raises(EngineUnavailable, match="cannot be read"):
        model.load_decoder()


def test_a_missing_model_is_told_with_the_remedy(tmp_path: Path):
    with pytest.raises(EngineUnavailable, match="cannot be read") as raised:
        SpeechModel(tmp_path)

    assert "pip install moonshine-voice==0.0.73" in raised.value.remedy


def test_the_package_that_carries_the_model_is_not_imported(ears: MoonshineEars):
    assert ears.deaf_to() == ()
    assert "moonshine_voice" not in sys.modules
