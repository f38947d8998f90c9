"""What the phone network is fitted on: nothing of the test part, and the same for the same seed."""

from __future__ import annotations

import ast
import re
import sys
from importlib.resources import files
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from click.testing import CliRunner

from assistant.adapters.ears.phone_head import LAYERS, NAMES, read_head
from assistant.bench.acoustic.chance import generator, side
from assistant.bench.acoustic.desk import BenchDesk, open_bench_desk
from assistant.bench.acoustic.parts import declared
from assistant.bench.acoustic.phrases import Speech
from assistant.bench.acoustic.records import Part
from assistant.bench.acoustic.sound import Wave
from assistant.bench.acoustic.wordings import whole_number
from assistant.bench.phones_fit import sounds
from assistant.bench.phones_fit.batches import Scale, batch_count, batches, scale_of
from assistant.bench.phones_fit.command import phones_fit
from assistant.bench.phones_fit.kept_head import keep_head
from assistant.bench.phones_fit.phone_errors import by_voice, likeliest
from assistant.bench.phones_fit.recipe import (
    draw_voice,
    draw_warp,
    read_recipe,
    recipe,
    refuse_test_voice,
)
from assistant.bench.phones_fit.shards import Example, fits, held_out, read_examples
from assistant.bench.phones_fit.spelling import COLUMNS, columns_of
from assistant.bench.phones_fit.texts import Texts, birds_of_test, number
from assistant.errors import DataProblem, EngineUnavailable
from assistant.language.numerals import DIGITS

FOLDER = Path(str(files("assistant.bench.phones_fit")))
TEXT = FOLDER.joinpath("recipe.toml").read_text("utf-8")


@pytest.fixture(scope="module")
def desk() -> BenchDesk:
    return open_bench_desk()


@pytest.fixture(scope="module")
def drawn(desk: BenchDesk) -> list[str]:
    texts, chance = Texts(desk, recipe(), shard=1), generator("a test of texts")
    return [texts.draw(chance) for _ in range(400)]


@pytest.mark.parametrize(
    ("there", "instead", "told"),
    [
        ('"+f1"', '"+f3"', "f3"),
        ('"en-gb-scotland"', '"en-us-nyc"', "en-us-nyc"),
        ('"en-029"', '"en-gb-x-rp"', "en-gb-x-rp"),
        ('["slt"]', '["rms"]', "rms"),
        ('"kal_diphone"', '"ked_diphone"', "ked"),
        ('engine = "festival"', 'engine = "pico"', "pico"),
        ('    "white", "brown"', '    "pink", "brown"', "pink"),
        ('    "white", "brown"', '    "unheard", "brown"', "unheard"),
        ("db = [3, 18]", "db = [3, 20]", "overload 20"),
        ("rate_hz = [6500", "rate_hz = [5500", "narrow 6000"),
        ('"en-gb/bf_emma"', '"en-gb-x-rp/bf_emma"', "en-gb-x-rp"),
        ('"en-us/af_heart"', '"en-us/af_kore"', "af_kore would be fitted on"),
        ('"+af_heart"', '"+bf_alice"', "bf_alice would be fitted on"),
        ("share = 0.27", "share = 0.5", "add up"),
        ("dose = 0.32", "dose = 0.20", "add up"),
    ],
)
def test_a_recipe_with_the_test_part_or_wrong_shares_is_refused(
    there: str, instead: str, told: str
):
    assert there in TEXT
    with pytest.raises(DataProblem, match=re.escape(told)):
        read_recipe(TEXT.replace(there, instead))


@pytest.mark.parametrize("voice", declared(Part.TEST).voices, ids=lambda voice: voice.key)
def test_every_voice_of_the_test_part_is_refused(voice: Any):  # noqa: ANN401 - a parameter
    with pytest.raises(DataProblem):
        refuse_test_voice(voice.engine, voice.name)


def test_every_voice_of_the_development_part_may_be_used():
    for voice in declared(Part.DEVELOPMENT).voices:
        refuse_test_voice(voice.engine, voice.name)


def test_voices_are_drawn_by_their_shares():
    chance = generator("a test of voices")
    drawn = [draw_voice(recipe(), chance) for _ in range(2000)]
    shares = {"espeak": 0.27, "flite": 0.23, "festival": 0.10, "kokoro": 0.40}
    for engine, share in shares.items():
        own = [(voice, takes) for voice, takes in drawn if voice.engine == engine]
        assert len(own) / 2000 == pytest.approx(share, abs=0.05)
        assert {takes for _, takes in own} == {10 if engine == "kokoro" else 5}
    assert all(0.8 <= voice.tempo <= 1.25 for voice, _ in drawn)
    assert all(0.85 <= draw_warp(recipe(), chance) <= 1.18 for _ in range(200))


def test_no_text_names_a_bird_of_the_test_part(desk: BenchDesk, drawn: list[str]):
    others = Speech(desk, declared(Part.TEST)).names
    own = Speech(desk, declared(Part.DEVELOPMENT)).names
    is_of_test = birds_of_test(desk)
    assert all(is_of_test(f"okay {name} ten grams") for name in others)
    assert not any(is_of_test(f"okay {name} ten grams") for name in own)
    assert not any(map(is_of_test, drawn))


def test_no_text_is_in_a_wording_of_the_test_part(desk: BenchDesk, drawn: list[str]):
    part = declared(Part.TEST)
    names = "|".join(map(re.escape, desk.lexicon.aviary.spoken_names)).lower()
    wordings = [
        re.compile(re.escape(one).replace(r"\{bird\}", f"({names})").replace(r"\{weight\}", ".+"))
        for one in (*part.doses[1:], *part.otherwise)
    ]
    assert any(one.fullmatch("galah weighs two grams") for one in wordings)
    assert [text for text in drawn if any(one.fullmatch(text) for one in wordings)] == []


def test_every_text_has_phones(drawn: list[str]):
    assert all(columns_of(text) for text in drawn)
    assert columns_of("galah zzyx") is None
    assert columns_of("") is None
    assert columns_of("Cat") == [COLUMNS[phone] for phone in ("K", "AE", "T")]


def test_weights_are_of_the_development_half():
    whole = {whole_number(grams): grams for grams in range(1, 1300)}
    figures = {word: str(at) for at, word in enumerate(("zero", *DIGITS))} | {"oh": "0"}
    chance = generator("a test of weights")
    for _ in range(300):
        words = number(chance)
        grams = whole.get(words) or int("".join(figures[word] for word in words.split()))
        assert side(f"grams {grams}") == 0


def test_words_in_a_row_are_of_the_development_half(desk: BenchDesk):
    alone = read_recipe(re.sub(r"(?m)^words = .*", "words = 1.0", _without_other_texts()))
    texts, chance = Texts(desk, alone, shard=0), generator("a test of words")
    for _ in range(60):
        assert all(side(f"word {word}") == 0 for word in texts.draw(chance).split())


def _without_other_texts() -> str:
    names = "dose|otherwise|named_weight|weight|control|sentence"
    return re.sub(rf"(?m)^({names}) = .*", r"\1 = 0.0", TEXT)


def test_a_shard_says_other_requests_than_the_one_before(desk: BenchDesk):
    zero = re.sub(r"(?m)^words = .*", "words = 0.0", _without_other_texts())
    alone = read_recipe(zero.replace("dose = 0.0", "dose = 1.0"))
    first, again, second = (Texts(desk, alone, shard).draw(generator("one")) for shard in (0, 0, 1))
    assert first == again != second


def buzz(seconds: float = 0.6) -> Wave:
    return 0.1 * np.sign(np.sin(2 * np.pi * 120 * np.arange(int(seconds * 16_000)) / 16_000))


def surroundings(seed: str) -> sounds.Surroundings:
    return sounds.Surroundings(recipe(), ("a sentence",), generator(seed))


def test_takes_differ_and_are_the_same_for_the_same_seed(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(sounds, "speech", lambda *_: buzz(1.5))  # the synthesisers are not at stake
    one, same = surroundings("a"), surroundings("a")
    takes = [one.take(buzz()) for _ in range(40)]
    assert all(np.array_equal(take, same.take(buzz())) for take in takes)
    assert len({take.tobytes() for take in takes}) == 40
    assert all(np.isfinite(take).all() for take in takes)


def example(frames: int, phones: list[int], voice: str = "flite slt 1 1") -> Example:
    chance = generator(f"{frames} {phones} {voice}")
    states = chance.standard_normal((frames, 6)).astype(np.float16)
    return Example(states, phones, voice)


def test_batches_hold_every_example_once_with_its_lengths():
    examples = [example(10 + at, [1 + at % 39, 2, 3]) for at in range(11)]
    found = list(batches(examples, scale_of(examples), 4, generator("order")))
    assert len(found) == batch_count(examples, 4) == 3
    said = [
        (int(frames), int(phones[0]))
        for batch in found
        for frames, phones in zip(batch.frames, batch.phones, strict=True)
        if phones[0]
    ]
    assert sorted(said) == [(10 + at, 1 + at) for at in range(11)]
    assert all(batch.rows.shape[1] % 32 == 0 for batch in found)


def test_held_out_voices_are_those_the_pattern_finds():
    examples = [example(30, [1], "flite slt 1 1"), example(30, [1], "espeak en-gb 1 1")]
    kept, out = held_out(examples, "slt|rms")
    assert [one.voice for one in kept] == ["espeak en-gb 1 1"]
    assert [one.voice for one in out] == ["flite slt 1 1"]
    assert held_out(examples, "") == (examples, [])


def nothing(_: str) -> bool:
    return False


def write_shard(path: Path, voice: str, text: str = "a cat", frames: int = 30) -> None:
    states = np.zeros((frames, 6), np.float16)
    np.savez(path, states=states, lens=[frames], text=np.array([text]), voice=np.array([voice]))


def test_a_shard_is_read_with_its_phones(tmp_path: Path):
    write_shard(tmp_path / "a.npz", "flite slt 1 1")
    (read,) = read_examples(tmp_path, nothing)
    assert read.phones == columns_of("a cat")
    assert (len(read.states), read.voice) == (30, "flite slt 1 1")


def test_a_shard_with_a_voice_of_the_test_part_is_refused(tmp_path: Path):
    write_shard(tmp_path / "a.npz", "flite rms 1 1")
    with pytest.raises(DataProblem, match="rms"):
        read_examples(tmp_path, nothing)


def test_a_text_of_the_test_part_is_left_out(tmp_path: Path):
    write_shard(tmp_path / "a.npz", "flite slt 1 1", "a cat")
    write_shard(tmp_path / "b.npz", "flite slt 1 1", "a dog")
    (read,) = read_examples(tmp_path, lambda text: "cat" in text)
    assert read.phones == columns_of("a dog")


def test_an_empty_folder_and_a_damaged_shard_are_told(tmp_path: Path):
    with pytest.raises(DataProblem, match="no speech"):
        read_examples(tmp_path, nothing)
    (tmp_path / "a.npz").write_bytes(b"PK\x03\x04 cut off")
    with pytest.raises(DataProblem, match="cannot be read"):
        read_examples(tmp_path, nothing)


def test_a_text_too_long_for_its_sound_is_not_fitted_on(tmp_path: Path):
    write_shard(tmp_path / "a.npz", "flite slt 1 1", frames=9)
    write_shard(tmp_path / "b.npz", "flite slt 1 1", frames=11)
    assert [len(one.states) for one in read_examples(tmp_path, nothing)] == [11]
    assert not fits([1, 2, 3, 4], 10)


def test_what_is_kept_is_what_the_ear_reads(tmp_path: Path):
    chance = np.random.default_rng(3)
    shapes = {"near": (5, 6, 4), "near_bias": (4,), "around": (3, 4, 4), "around_bias": (4,)}
    shapes |= {"phones": (4, 40), "phones_bias": (40,)}
    layers = {name: chance.normal(size=shape).astype(np.float32) for name, shape in shapes.items()}
    scale = Scale(np.full(6, 0.123456, np.float32), np.ones(6, np.float32))
    kept = keep_head(layers, scale, tmp_path / "head.npz")
    read = read_head((tmp_path / "head.npz").read_bytes())
    assert tuple(read.columns) == NAMES
    assert set(read.layers) == set(LAYERS)
    assert all(np.array_equal(read.layers[name], kept.layers[name]) for name in LAYERS)
    assert all(np.allclose(read.layers[name], layers[name], rtol=1e-3) for name in layers)
    assert read.layers["mean"].tolist() == scale.mean.tolist()


def test_the_likeliest_phones_are_read_off_without_blanks_and_repeats():
    assert likeliest(np.eye(4)[[0, 1, 1, 0, 1, 2, 2, 0]]) == [1, 1, 2]


def test_errors_are_counted_voice_by_voice(tmp_path: Path):
    layers = {
        "near": np.zeros((5, 6, 4)),
        "near_bias": np.zeros(4),
        "around": np.zeros((3, 4, 4)),
        "around_bias": np.zeros(4),
        "phones": np.zeros((4, 40)),
        "phones_bias": np.eye(40)[7],
    }
    scale = Scale(np.zeros(6, np.float32), np.ones(6, np.float32))
    always_seven = keep_head(layers, scale, tmp_path / "head.npz")
    examples = [
        example(30, [7], "flite slt 1 1"),
        example(30, [7, 8], "flite kal16 1 1"),
        example(30, [8, 9], "flite kal16 1.1 1"),
    ]
    rows = {
        row.voice: (row.utterances, row.wrong, row.said) for row in by_voice(always_seven, examples)
    }
    assert rows == {"flite slt": (1, 0, 1), "flite kal16": (2, 3, 4), "all": (3, 3, 5)}


def test_only_the_network_and_the_training_need_the_extra():
    needing = {
        path.name
        for path in FOLDER.glob("*.py")
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
        if isinstance(node, ast.Import | ast.ImportFrom)
        and {"jax", "optax"} & set(re.split(r"\W+", ast.unparse(node)))
    }
    assert needing == {"network.py", "fit.py"}


def test_without_the_extra_the_command_says_what_to_install(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.setitem(sys.modules, "jax", None)
    write_shard(tmp_path / "a.npz", "flite slt 1 1")
    done = CliRunner().invoke(phones_fit, ["fit", str(tmp_path), str(tmp_path / "out.npz")])
    assert isinstance(done.exception, EngineUnavailable)
    assert "dosewren[fit]" in done.exception.remedy
