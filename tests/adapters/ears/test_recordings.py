from __future__ import annotations

import io
import math
import struct
import subprocess
from pathlib import Path

import numpy as np
import pytest
import soundfile

from assistant.adapters.sound.recordings import LONGEST_S, read_recording
from assistant.audio import EAR_RATE_HZ
from assistant.errors import AudioProblem

TONE_HZ = 440


def tone(rate_hz: int, seconds: float = 1.0, channels: int = 1) -> np.ndarray:
    one = 0.5 * np.sin(2 * np.pi * TONE_HZ * np.arange(int(rate_hz * seconds)) / rate_hz)
    return np.column_stack([one] * channels)


def samples_of(path: Path) -> np.ndarray:
    clip = read_recording(path)
    assert clip.rate_hz == EAR_RATE_HZ
    return np.frombuffer(clip.pcm, dtype="<i2") / 32768


def loudest_hz(samples: np.ndarray) -> float:
    spectrum = np.abs(np.fft.rfft(samples * np.hanning(samples.size)))
    return float(np.argmax(spectrum)) * EAR_RATE_HZ / samples.size


@pytest.mark.parametrize("rate_hz", [8_000, 11_025, 16_000, 22_050, 44_100, 48_000, 96_000])
def test_any_rate_keeps_length_pitch_and_loudness(tmp_path: Path, rate_hz: int):
    path = tmp_path / "tone.wav"
    soundfile.write(path, tone(rate_hz), rate_hz)

    samples = samples_of(path)

    assert samples.size == pytest.approx(EAR_RATE_HZ, abs=2)
    assert loudest_hz(samples) == pytest.approx(TONE_HZ, abs=2)
    assert np.sqrt(np.mean(samples**2)) == pytest.approx(0.5 / math.sqrt(2), rel=0.02)


@pytest.mark.parametrize("subtype", ["PCM_U8", "PCM_16", "PCM_24", "PCM_32", "FLOAT", "DOUBLE"])
@pytest.mark.parametrize("channels", [1, 2])
def test_any_width_and_number_of_channels_gives_the_same_sound(
    tmp_path: Path, subtype: str, channels: int
):
    path = tmp_path / "tone.wav"
    soundfile.write(path, tone(EAR_RATE_HZ, channels=channels), EAR_RATE_HZ, subtype=subtype)

    assert np.abs(samples_of(path) - tone(EAR_RATE_HZ)[:, 0]).max() < 0.01


@pytest.mark.parametrize("container", ["FLAC", "AIFF", "OGG"])
def test_other_containers_are_read_whatever_the_name_says(tmp_path: Path, container: str):
    path = tmp_path / "tone.raw"
    soundfile.write(path, tone(EAR_RATE_HZ), EAR_RATE_HZ, format=container)

    assert loudest_hz(samples_of(path)) == pytest.approx(TONE_HZ, abs=2)


def test_of_two_channels_that_would_cancel_one_is_kept(tmp_path: Path):
    path = tmp_path / "tone.wav"
    one = tone(EAR_RATE_HZ)
    soundfile.write(path, np.column_stack((one, -one)), EAR_RATE_HZ)

    assert np.abs(samples_of(path)).max() == pytest.approx(0.5, abs=0.01)


def test_a_float_past_full_scale_keeps_its_shape(tmp_path: Path):
    path = tmp_path / "tone.wav"
    soundfile.write(path, tone(EAR_RATE_HZ) * 6, EAR_RATE_HZ, subtype="FLOAT")

    assert np.abs(samples_of(path) - 2 * tone(EAR_RATE_HZ)[:, 0]).max() < 0.001


def test_a_stream_that_does_not_know_its_length_is_read(tmp_path: Path):
    path = tmp_path / "piped.wav"
    path.write_bytes(
        subprocess.run(["espeak-ng", "--stdout", "galah"], capture_output=True, check=True).stdout
    )

    assert 0.3 < read_recording(path).seconds < 2


def wav(subtype: str = "PCM_16") -> bytes:
    file = io.BytesIO()
    soundfile.write(file, tone(EAR_RATE_HZ), EAR_RATE_HZ, format="WAV", subtype=subtype)
    return file.getvalue()


@pytest.mark.parametrize(
    ("content", "problem"),
    [
        (b"", "is empty"),
        (b"a bird is not a recording", "not a recording"),
        (b"RIFF\x00\x00\x00\x00WAVE", "not a recording"),
        (wav()[:44], "cut short"),
        (wav()[: len(wav()) // 2], "cut short"),
        (wav()[:-2], "cut short"),
        (wav("PCM_24")[:9000], "cut short"),
        (wav()[:40] + struct.pack("<I", 0), "holds no sound"),
        (wav()[:24] + struct.pack("<I", 100) + wav()[28:], "100 samples a second"),
    ],
)
def test_what_cannot_be_used_is_told_apart(tmp_path: Path, content: bytes, problem: str):
    path = tmp_path / "broken.wav"
    path.write_bytes(content)

    with pytest.raises(AudioProblem, match=problem) as caught:
        read_recording(path)

    assert str(path) in caught.value.problem
    assert caught.value.remedy


@pytest.mark.parametrize("bad", [math.nan, math.inf])
def test_samples_that_are_no_numbers_are_refused(tmp_path: Path, bad: float):
    path = tmp_path / "nan.wav"
    samples = tone(EAR_RATE_HZ)
    samples[777] = bad
    soundfile.write(path, samples, EAR_RATE_HZ, subtype="FLOAT")

    with pytest.raises(AudioProblem, match="not numbers"):
        read_recording(path)


def test_a_recording_that_goes_on_too_long_is_refused(tmp_path: Path):
    path = tmp_path / "long.wav"
    soundfile.write(path, np.zeros(8_000 * (LONGEST_S + 1)), 8_000)

    with pytest.raises(AudioProblem, match="longer than 30 seconds"):
        read_recording(path)


def test_a_missing_file_and_a_folder_are_told_apart(tmp_path: Path):
    with pytest.raises(AudioProblem, match="There is no recording"):
        read_recording(tmp_path / "gone.wav")
    with pytest.raises(AudioProblem, match="directory"):
        read_recording(tmp_path)
    with pytest.raises(AudioProblem, match="cannot be read"):
        read_recording(Path("nul\0byte.wav"))
