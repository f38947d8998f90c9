"""Sound through PortAudio, ALSA and PulseAudio, there and back: no device is stood in for."""

from __future__ import annotations

import os
import subprocess
import sys
import wave
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from assistant.adapters.sound.devices import mix_down
from assistant.adapters.sound.loudspeaker import fit_to_line
from assistant.adapters.sound.portaudio import Device, Line
from assistant.adapters.sound.wav_writer import write_wav
from assistant.audio import Clip

Stage = Callable[..., Any]
Card = dict[str, str]
Samples = NDArray[np.float64]

ROOT = Path(__file__).parents[3]
AMPLITUDE = 12_000


def _tone(hertz: float, seconds: float, rate_hz: int = 22_050) -> Clip:
    at = np.arange(int(seconds * rate_hz)) / rate_hz
    return Clip((AMPLITUDE * np.sin(2 * np.pi * hertz * at)).astype("<i2").tobytes(), rate_hz)


def _join(*clips: Clip) -> Clip:
    return Clip(b"".join(clip.pcm for clip in clips), clips[0].rate_hz)


def _loud_part(path: Path) -> tuple[Samples, int]:
    with wave.open(str(path)) as recording:
        samples = np.frombuffer(recording.readframes(-1), dtype="<i2").astype(float)
        rate_hz = recording.getframerate()
    loud = np.flatnonzero(np.abs(samples) > AMPLITUDE / 3)
    assert loud.size, "nothing was heard"
    return samples[loud[0] : loud[-1] + 1], rate_hz


def _pitch(samples: Samples, rate_hz: int) -> float:
    spectrum = np.abs(np.fft.rfft(samples * np.hanning(len(samples))))
    return float(np.argmax(spectrum) * rate_hz / len(samples))


def test_the_devices_are_listed_with_what_they_can(sound_card: Card, stage: Stage):
    listed = {device["name"]: device for device in stage(sound_card, "devices")}
    assert {"perch_microphone", "perch_speaker", "default"} <= set(listed)
    assert listed["default"]["default_for"] == ["input", "output"]
    assert listed["perch_speaker"]["default_for"] == []
    assert listed["perch_speaker"]["outputs"] > 0
    assert listed["perch_speaker"]["host"] == "ALSA"


@pytest.mark.parametrize(
    ("kind", "wanted", "name"),
    [
        ("microphone", [], "default"),
        ("speaker", [], "default"),
        ("speaker", ["PERCH_SPEAKER"], "perch_speaker"),
        ("microphone", ["h_micro"], "perch_microphone"),
        ("microphone", ["0"], "perch_microphone"),
    ],
)
def test_a_device_is_found_by_default_by_name_or_by_number(
    sound_card: Card, stage: Stage, kind: str, wanted: list[str], name: str
):
    assert stage(sound_card, "find", kind, *wanted) == {"name": name}


def test_an_ambiguous_name_lists_the_candidates(sound_card: Card, stage: Stage):
    told = stage(sound_card, "find", "microphone", "perch")
    assert 'fits: 0 "perch_microphone" (ALSA), 1 "perch_speaker" (ALSA)' in told["problem"]
    assert told["remedy"] == "Name one by its number."


@pytest.mark.parametrize(("wanted", "said"), [("99", "number 99"), ("parrot", '"parrot"')])
def test_an_unknown_device_lists_the_known(sound_card: Card, stage: Stage, wanted: str, said: str):
    told = stage(sound_card, "find", "speaker", wanted)
    assert told["problem"].startswith("There is no speaker")
    assert said in told["problem"]
    assert "perch_speaker" in told["remedy"]


@pytest.mark.parametrize("device", ["perch_speaker", "default"])
@pytest.mark.parametrize("rate_hz", [16_000, 22_050, 44_100])
def test_what_is_played_comes_out_whole_and_at_its_pitch(
    sound_card: Card, stage: Stage, tmp_path: Path, device: str, rate_hz: int
):
    """Two tones, so that neither the beginning nor the end can be lost unseen."""
    write_wav(_join(_tone(440, 0.6, rate_hz), _tone(1500, 0.6, rate_hz)), tmp_path / "in.wav")
    took_s = stage(sound_card, "speak", device, tmp_path / "in.wav", tmp_path / "out.wav")["took_s"]
    heard, heard_hz = _loud_part(tmp_path / "out.wav")
    assert len(heard) / heard_hz == pytest.approx(1.2, abs=0.01)
    assert took_s >= 1.2
    first, second = heard[: len(heard) // 2 - 50], heard[len(heard) // 2 + 50 :]
    assert _pitch(first, heard_hz) == pytest.approx(440, abs=3)
    assert _pitch(second, heard_hz) == pytest.approx(1500, abs=3)
    assert np.abs(heard).max() == pytest.approx(AMPLITUDE, rel=0.05)


def test_nothing_to_play_is_no_trouble(sound_card: Card, stage: Stage, tmp_path: Path):
    write_wav(Clip(b""), tmp_path / "in.wav")
    told = stage(sound_card, "speak", "perch_speaker", tmp_path / "in.wav", tmp_path / "out.wav")
    assert "problem" not in told


def test_what_is_played_can_be_broken_off(sound_card: Card, stage: Stage, tmp_path: Path):
    write_wav(_tone(440, 20), tmp_path / "in.wav")
    stage(sound_card, "interrupt", tmp_path / "in.wav", tmp_path / "out.wav")
    heard, heard_hz = _loud_part(tmp_path / "out.wav")
    assert len(heard) / heard_hz < 10


@pytest.mark.parametrize("rate_hz", [16_000, 48_000])
def test_the_microphone_hears_at_16_khz_what_is_said_to_it(
    sound_card: Card, stage: Stage, tmp_path: Path, rate_hz: int
):
    write_wav(_join(_tone(700, 0.5, rate_hz), _tone(2_500, 0.5, rate_hz)), tmp_path / "in.wav")
    told = stage(sound_card, "listen", tmp_path / "in.wav", tmp_path / "out.wav", 3)
    assert told == {"rates": [16_000], "lost_s": 0.0}
    heard, heard_hz = _loud_part(tmp_path / "out.wav")
    assert heard_hz == 16_000
    assert len(heard) / heard_hz == pytest.approx(1.0, abs=0.01)
    assert _pitch(heard[: len(heard) // 2 - 50], heard_hz) == pytest.approx(700, abs=3)
    assert _pitch(heard[len(heard) // 2 + 50 :], heard_hz) == pytest.approx(2_500, abs=3)


def test_a_neglected_microphone_counts_what_it_lost(sound_card: Card, stage: Stage):
    assert 0.5 < stage(sound_card, "neglect", 11)["lost_s"] < 6


def test_what_came_in_is_kept_until_it_is_forgotten(sound_card: Card, stage: Stage, tmp_path: Path):
    write_wav(_tone(700, 1), tmp_path / "in.wav")
    for then in ("keep", "forget"):
        told = stage(sound_card, "forget", tmp_path / "in.wav", tmp_path / f"{then}.wav", then)
        assert told == {"lost_s": 0}
    heard, heard_hz = _loud_part(tmp_path / "keep.wav")
    assert len(heard) / heard_hz == pytest.approx(1.0, abs=0.01)
    with pytest.raises(AssertionError, match="nothing was heard"):
        _loud_part(tmp_path / "forget.wav")


@pytest.mark.parametrize("kind", ["microphone", "speaker"])
def test_a_device_that_goes_away_is_an_error_and_not_a_wait(
    own_sound_card: Card, stage: Stage, tmp_path: Path, kind: str
):
    write_wav(_tone(440, 60), tmp_path / "in.wav")
    told = stage(own_sound_card, "unplug", kind, tmp_path / "in.wav")
    assert f"The {kind} " in told["problem"]
    assert "Plug it in again" in told["remedy"]


@pytest.mark.parametrize("kind", ["microphone", "speaker"])
def test_a_machine_without_sound_says_so(sound_card: Card, stage: Stage, kind: str):
    told = stage({**sound_card, "PULSE_SERVER": "unix:/nowhere"}, "find", kind)
    assert told == {
        "problem": f"There is no default {kind}.",
        "remedy": "Plug one in, and start again.",
    }


def test_without_portaudio_the_keeper_is_told_what_to_install(tmp_path: Path):
    """A library that is no library comes first on the path of the loader."""
    (tmp_path / "libportaudio.so.2").write_bytes(b"no library")
    script = (
        "from assistant.adapters.sound.devices import *\n"
        "from assistant.errors import AudioProblem\n"
        "try: list_devices()\n"
        "except AudioProblem as error: print(error.problem, '/', error.remedy)"
    )
    environment = {**os.environ, "LD_LIBRARY_PATH": str(tmp_path), "PYTHONPATH": str(ROOT)}
    told = subprocess.check_output([sys.executable, "-c", script], env=environment, text=True)
    assert "PortAudio cannot be loaded" in told
    assert told.endswith("apt install libportaudio2\n")


def test_all_channels_are_heard_as_their_mean():
    block = np.array([[100, 300], [-100, -300], [32_767, 32_767]], dtype="<i2").tobytes()
    assert mix_down(block, 2).tolist() == [200, -200, 32_767]
    assert mix_down(block, 1).tolist() == [100, 300, -100, -300, 32_767, 32_767]


def test_a_clip_goes_alike_to_all_channels_of_a_line():
    device = Device(0, "a speaker", "a host", 0, 6, 48_000)
    pcm = fit_to_line(_tone(440, 0.5, 16_000), Line(device, "output", 48_000, 6))
    frames = np.frombuffer(pcm, dtype="<i2").reshape(-1, 6)
    assert len(frames) == 0.5 * 48_000
    assert (frames == frames[:, :1]).all()
    assert np.abs(frames).max() == pytest.approx(AMPLITUDE, rel=0.05)
