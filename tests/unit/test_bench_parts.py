"""The acoustic bench's material: parts that share nothing, and sound that is the same each time."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from decimal import Decimal
from importlib.resources import files
from itertools import islice
from pathlib import Path

import numpy as np
import pytest

from assistant.bench.acoustic.chance import generator
from assistant.bench.acoustic.desk import BenchDesk, open_bench_desk
from assistant.bench.acoustic.mixing import SPEECH_LEVEL, mix
from assistant.bench.acoustic.noises import MADE, TALKED, noise
from assistant.bench.acoustic.parts import declared, read_parts, size, sizes
from assistant.bench.acoustic.phrases import Speech
from assistant.bench.acoustic.plan import plan_of
from assistant.bench.acoustic.records import Condition, Kind, Part, Phrase, Trial
from assistant.bench.acoustic.sound import Wave, decibels, rms, speech_level, to_clip
from assistant.bench.acoustic.wordings import STYLES, weight_words
from assistant.errors import DataProblem, UsageProblem
from assistant.language.numerals import value

TEXT = files("assistant.bench.acoustic").joinpath("parts.toml").read_text("utf-8")

RATE = 16_000


@pytest.fixture(scope="module")
def desk() -> BenchDesk:
    return open_bench_desk()


def talk(chance: np.random.Generator) -> Wave:
    return chance.standard_normal(RATE // 2)


def tone(seconds: float = 1.0) -> Wave:
    return 0.1 * np.sin(2 * np.pi * 440 * np.arange(int(seconds * RATE)) / RATE)


def trial(condition: Condition, kind: Kind = Kind.DOSE, style: str = "", number: int = 0) -> Trial:
    return Trial(Part.TEST, number, Phrase(kind, "said", style=style), None, condition)


def test_the_parts_as_declared_do_not_overlap():
    assert read_parts(TEXT)


@pytest.mark.parametrize(
    ("there", "mixed"),
    [
        ('noises = ["pink"', 'noises = ["white", "pink"'),
        ('rooms = ["barn"', 'rooms = ["shed", "barn"'),
        ('"flite rms 1.0 1.0"', '"flite slt 1.1 0.8"'),
        ('"{bird} weighs {weight}"', '"{bird} is {weight}"'),
    ],
)
def test_what_is_in_both_parts_is_refused(there: str, mixed: str):
    assert there in TEXT
    with pytest.raises(DataProblem, match="both parts have"):
        read_parts(TEXT.replace(there, mixed, 1))


def test_the_test_part_has_two_engines_that_development_never_heard():
    engines = {part: {voice.engine for voice in declared(part).voices} for part in Part}
    assert len(engines[Part.TEST] - engines[Part.DEVELOPMENT] - {"joined"}) >= 2


def test_the_full_size_is_as_large_as_the_goals_ask():
    full, noises = size("full"), len(declared(Part.TEST).noises)
    to_10_db = full.doses_clean + noises * sum(full.noisy[snr_db] for snr_db in (20, 15, 10))
    assert to_10_db >= 800
    assert full.noisy[5] * noises >= 800
    assert full.chatter >= 3000
    assert full.noise_seconds >= 3600


def test_each_noise_gets_as_many_requests_at_each_level_as_the_size_says(desk: BenchDesk):
    noises = ("white", "clicks")
    one = replace(size("smoke"), noisy={10.0: 3, 5.0: 1})
    parts = replace(declared(Part.DEVELOPMENT), noises=noises)
    made = Counter(
        (trial.condition.noise, trial.condition.snr_db)
        for trial in plan_of(desk, parts, one, {Kind.DOSE}).trials
        if trial.condition.noise
    )
    assert made == {(noise, snr_db): n for noise in noises for snr_db, n in one.noisy.items()}


def test_an_unknown_size_is_told_with_those_there_are():
    with pytest.raises(UsageProblem) as told:
        size("huge")
    assert all(name in told.value.remedy for name in sizes())


def test_no_bird_or_weight_is_asked_for_in_both_parts(desk: BenchDesk):
    said = {part: [*islice(Speech(desk, declared(part)).doses(), 60)] for part in Part}
    first, second = said[Part.DEVELOPMENT], said[Part.TEST]
    assert {one.bird for one in first} & {one.bird for one in second} == set()
    assert {one.text for one in first} & {one.text for one in second} == set()
    whole = [{one.truth.grams for one in part if one.truth and one.style in ("whole", "bare")}
             for part in (first, second)]  # fmt: skip
    assert whole[0] & whole[1] == set()
    assert all(whole)


def test_every_dose_request_means_its_own_bird_and_weight(desk: BenchDesk):
    for phrase in islice(Speech(desk, declared(Part.TEST)).doses(), 60):
        assert phrase.truth is not None
        named = desk.lexicon.aviary.named(phrase.bird)
        assert phrase.truth.species in {getattr(one, "species", one.name) for one in named}


@pytest.mark.parametrize("style", ["bare", "digits", "unsaid", "hundreds", "joined", "double"])
def test_a_number_in_words_says_the_number(style: str):
    said = {grams: weight_words(grams, style) for grams in range(1, 2000)}
    spoken = {grams: words for grams, words in said.items() if words}
    assert len(spoken) >= 90
    assert {grams: value(words.split()) for grams, words in spoken.items()} == {
        grams: Decimal(grams) for grams in spoken
    }


def test_every_declared_way_of_saying_a_weight_is_known():
    used = {style for part in Part for style in declared(part).styles}
    used |= set(declared(Part.TEST).shared_styles)
    assert used == set(STYLES)


@pytest.mark.parametrize("kind", sorted({*MADE, *TALKED} - {"birds"}))
def test_a_noise_has_the_level_of_one_and_is_the_same_each_time(kind: str):
    first, again = (noise(kind, generator("a"), 2 * RATE, talk) for _ in range(2))
    other = noise(kind, generator("b"), 2 * RATE, talk)
    assert len(first) == 2 * RATE
    assert rms(first) == pytest.approx(1.0)
    assert np.array_equal(first, again)
    assert not np.array_equal(first, other)


@pytest.mark.parametrize("snr_db", [20.0, 10.0, 5.0])
def test_noise_lies_as_far_below_the_speech_as_the_condition_says(snr_db: float):
    quiet = mix(trial(Condition()), tone(), talk)
    loud = mix(trial(Condition(noise="pink", snr_db=snr_db)), tone(), talk)
    added = rms(loud.wave) ** 2 * len(loud.wave) - rms(quiet.wave) ** 2 * len(quiet.wave)
    level = (added / len(loud.wave)) ** 0.5
    assert SPEECH_LEVEL / level == pytest.approx(decibels(snr_db), rel=0.08)


def test_speech_has_the_usual_level_however_loud_it_was():
    for loudness in (0.01, 1.0):
        mixed = mix(trial(Condition()), loudness * tone(), talk)
        assert speech_level(mixed.wave) == pytest.approx(SPEECH_LEVEL, rel=0.05)


def test_a_trial_sounds_the_same_each_time_and_another_does_not():
    noisy = Condition(noise="fan", snr_db=10.0, room="barn")
    first, again = (mix(trial(noisy), tone(), talk).wave for _ in range(2))
    assert np.array_equal(first, again)
    assert not np.array_equal(first, mix(trial(noisy, number=1), tone(), talk).wave)


def test_speech_ends_where_it_is_said_to_end():
    mixed = mix(trial(Condition()), tone(), talk)
    after = mixed.wave[mixed.speech_end :]
    assert rms(after) < rms(mixed.wave[: mixed.speech_end]) / 100
    assert len(after) >= 0.3 * RATE


def test_a_phrase_that_is_cut_off_has_no_silence_at_the_cut():
    tail = mix(trial(Condition(), Kind.CUT_OFF, "tail 0.50"), tone(2.0), talk)
    head = mix(trial(Condition(), Kind.CUT_OFF, "head 0.50"), tone(2.0), talk)
    assert tail.speech_end == len(tail.wave)
    assert rms(head.wave[: RATE // 10]) == pytest.approx(SPEECH_LEVEL, rel=0.1)
    assert speech_level(tail.wave) == pytest.approx(SPEECH_LEVEL, rel=0.05)


@pytest.mark.parametrize("fault", [f for part in Part for f in declared(part).faults])
def test_a_fault_changes_the_sound_and_stays_within_full_scale(fault: str):
    sound, faulty = (mix(trial(Condition(fault=one)), tone(), talk).wave for one in (None, fault))
    assert len(sound) != len(faulty) or not np.allclose(sound[: len(faulty)], faulty)
    assert to_clip(faulty).samples == len(faulty)
    assert np.max(np.abs(faulty)) <= 1.0


def test_full_scale_is_clipped_and_never_wraps():
    clip = to_clip(np.array([2.0, -2.0, 0.0]))
    assert np.frombuffer(clip.pcm, dtype="<i2").tolist() == [32767, -32768, 0]


def test_parts_are_beside_the_program_that_reads_them():
    assert Path(str(files("assistant.bench.acoustic"))).joinpath("parts.toml").is_file()
