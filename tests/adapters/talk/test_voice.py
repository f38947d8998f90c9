"""espeak-ng itself, in its own process: nothing here is stood in for."""

from __future__ import annotations

import os
import re
import resource
import signal
import subprocess
import sys
import time
from array import array
from collections.abc import Iterator
from pathlib import Path

import pytest

from assistant.adapters.talk.voice import EspeakVoice
from assistant.errors import DataProblem, EngineUnavailable

ANSWER = "cockatiel, ninety five grams: nought point four eight mils."
ROOT = Path(__file__).parents[3]

KEEPER = """
import sys
from assistant.adapters.talk.voice import EspeakVoice
voice = EspeakVoice(165, None)
print(voice.name, flush=True)
sys.stdin.read()
"""


@pytest.fixture(scope="module")
def voice() -> Iterator[EspeakVoice]:
    speaking = EspeakVoice(165, None)
    yield speaking
    speaking.close()


def _children() -> set[int]:
    own = Path("/proc/self/task").glob("*/children")
    return {int(pid) for file in own for pid in file.read_text().split()}


@pytest.fixture
def pids() -> set[int]:
    return _children()


def _open_files(pid: int | str = "self") -> int:
    return sum(1 for _ in Path(f"/proc/{pid}/fd").iterdir())


def _peak(pcm: bytes) -> int:
    return max(abs(sample) for sample in array("h", pcm))


def _kilobytes(pid: int) -> int:
    pages = int(Path(f"/proc/{pid}/statm").read_text().split()[1])
    return pages * resource.getpagesize() // 1024


def test_words_become_sound_of_a_spoken_length(voice: EspeakVoice):
    clip = voice.render(ANSWER)
    assert clip.rate_hz == 22_050
    assert 2.5 < clip.seconds < 6
    assert _peak(clip.pcm) > 5_000


def test_the_same_words_sound_the_same_to_the_last_bit(voice: EspeakVoice):
    first = voice.render(ANSWER)
    voice.render("something else in between")
    other = EspeakVoice(165, None)
    assert first == voice.render(ANSWER) == other.render(ANSWER)
    other.close()


def test_a_faster_rate_takes_less_time(voice: EspeakVoice):
    fast = EspeakVoice(260, None)
    assert fast.render(ANSWER).seconds < 0.8 * voice.render(ANSWER).seconds
    fast.close()


@pytest.mark.parametrize("rate", [0, 79, 451, -165])
def test_an_impossible_rate_is_refused(rate: int):
    with pytest.raises(DataProblem, match=f"{rate} words a minute"):
        EspeakVoice(rate, None)


@pytest.mark.parametrize(
    ("wanted", "name"),
    [
        (None, "English (Great Britain)"),
        ("en-gb", "English (Great Britain)"),
        ("EN-US", "English (America)"),
        ("en-gb+f3", "English (Great Britain)+f3"),
    ],
)
def test_a_voice_is_named_as_asked_for(wanted: str | None, name: str):
    chosen = EspeakVoice(165, wanted)
    assert chosen.name.startswith("espeak-ng 1.")
    assert chosen.name.endswith(f", {name}")
    chosen.close()


def test_a_variant_changes_the_sound(voice: EspeakVoice):
    other = EspeakVoice(165, "en-gb+f3")
    assert other.render(ANSWER) != voice.render(ANSWER)
    other.close()


@pytest.mark.parametrize(("wanted", "offered"), [("en-uss", "en-us"), ("en-gb+f33", r"\+f3")])
def test_an_unknown_voice_is_refused_with_near_ones(wanted: str, offered: str):
    chosen = EspeakVoice(165, wanted)
    with pytest.raises(EngineUnavailable) as caught:
        chosen.render("yes")
    assert wanted.partition("+")[2] in caught.value.problem
    assert caught.match(r"has no (voice|variant)")
    assert re.search(offered, caught.value.remedy)
    chosen.close()


@pytest.mark.parametrize("words", ["", "   ", "\n\t", "\x00\x01\x1b"])
def test_nothing_to_say_is_an_empty_clip(voice: EspeakVoice, words: str):
    assert voice.render(words).samples == 0


@pytest.mark.parametrize("words", ["…", "☃", "日本", "[[pst]] <b>bold</b> \x01\x1b[31m"])
def test_odd_text_is_spoken_without_harm(voice: EspeakVoice, words: str):
    assert voice.render(words).rate_hz == 22_050
    assert voice.render(ANSWER).seconds > 2.5


def test_a_long_text_is_spoken_to_its_end(voice: EspeakVoice):
    """`runAndWait` alone would return long before this is spoken."""
    ten = voice.render("marigold demo for the cockatiel. " * 10).seconds
    many = voice.render("marigold demo for the cockatiel. " * 150).seconds
    assert many == pytest.approx(15 * ten, rel=0.05)


def test_espeak_comes_from_the_wheel_even_beside_a_system_espeak(
    voice: EspeakVoice, pids: set[int]
):
    voice.render("yes")
    maps = [Path(f"/proc/{pid}/maps").read_text() for pid in pids]
    loaded = {line.split()[-1] for text in maps for line in text.splitlines() if "espeak" in line}
    assert any(path.endswith("espeakng_loader/libespeak-ng.so.1") for path in loaded)
    assert all("espeakng_loader" in path for path in loaded)


def test_without_espeak_the_keeper_is_told_what_to_install(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
):
    (tmp_path / "espeakng_loader.py").write_text("raise ImportError('no wheel here')")
    for name in ("libespeak-ng.so.1", "libespeak.so.1"):
        (tmp_path / name).write_bytes(b"no library")
    monkeypatch.setenv("LD_LIBRARY_PATH", str(tmp_path))
    monkeypatch.setenv("PYTHONPATH", str(tmp_path))
    mute = EspeakVoice(165, None)
    with pytest.raises(EngineUnavailable, match="espeak-ng cannot be loaded") as caught:
        mute.render("yes")
    assert "pip install" in caught.value.remedy
    assert "apt install libespeak-ng1" in caught.value.remedy
    mute.close()


@pytest.mark.parametrize("fate", [signal.SIGSTOP, signal.SIGKILL])
def test_a_hung_or_dead_engine_is_replaced(pids: set[int], fate: signal.Signals):
    voice = EspeakVoice(165, None, limit_s=3)
    before = voice.render(ANSWER)
    (worker,) = _children() - pids
    os.kill(worker, fate)
    assert voice.render(ANSWER) == before
    assert worker not in _children()
    voice.close()


def test_an_engine_that_never_answers_is_an_error_and_not_a_wait():
    voice = EspeakVoice(165, None, limit_s=0)
    with pytest.raises(EngineUnavailable, match="does not answer"):
        voice.render(ANSWER)
    voice.close()


def test_the_engine_ends_when_the_assistant_is_killed():
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    with subprocess.Popen(
        [sys.executable, "-c", KEEPER],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        env=environment,
    ) as keeper:
        assert keeper.stdout is not None
        assert b"espeak-ng" in keeper.stdout.readline()
        children = Path(f"/proc/{keeper.pid}/task/{keeper.pid}/children")
        (worker,) = (int(pid) for pid in children.read_text().split())
        keeper.kill()
    give_up = time.monotonic() + 30
    while Path(f"/proc/{worker}/cmdline").exists() and time.monotonic() < give_up:
        time.sleep(0.02)
    assert not Path(f"/proc/{worker}/cmdline").exists()


def test_rendering_leaves_no_file_and_needs_no_room_on_a_disk(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("TMPDIR", str(tmp_path / "not-there"))
    voice = EspeakVoice(165, None)
    assert voice.render(ANSWER).seconds > 2.5
    assert list(tmp_path.iterdir()) == []
    voice.close()


def test_hundreds_in_a_row_cost_no_descriptor_no_process_and_no_memory(pids: set[int]):
    """The thousand are in assistant/bench/voice_bench.py."""
    voice = EspeakVoice(165, None)
    voice.render("ready")
    (worker,) = _children() - pids
    files_before, memory_before = (_open_files(), _open_files(worker)), _kilobytes(worker)
    clips = [voice.render(f"{100 + number % 50} grams") for number in range(200)]
    assert min(clip.seconds for clip in clips) > 0.5
    assert len({clip.pcm for clip in clips}) == 50
    assert _children() - pids == {worker}
    assert (_open_files(), _open_files(worker)) == files_before
    assert _kilobytes(worker) < memory_before + 2_000
    voice.close()


def test_closing_ends_the_process(pids: set[int]):
    voice = EspeakVoice(165, None)
    assert _children() - pids
    voice.close()
    assert _children() == pids
