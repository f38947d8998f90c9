from __future__ import annotations

import os
import resource
import wave
from pathlib import Path

import pytest

from assistant.adapters.sound.wav_writer import write_wav
from assistant.audio import Clip
from assistant.errors import AudioProblem

CLIP = Clip(b"\x01\x00\xff\x7f\x00\x80", 22_050)


def test_a_clip_is_written_as_it_is(tmp_path: Path):
    path = tmp_path / "answer.wav"
    path.write_bytes(b"an older and longer recording, to be replaced" * 9)
    write_wav(CLIP, path)
    with wave.open(str(path)) as written:
        assert written.getparams()[:4] == (1, 2, 22_050, 3)
        assert written.readframes(9) == CLIP.pcm
    assert list(tmp_path.iterdir()) == [path]


def test_an_empty_clip_is_a_recording_of_nothing(tmp_path: Path):
    write_wav(Clip(b""), tmp_path / "empty.wav")
    with wave.open(str(tmp_path / "empty.wav")) as written:
        assert (written.getnframes(), written.getframerate()) == (0, 16_000)


@pytest.mark.parametrize("place", ["missing/answer.wav", "file/answer.wav", "folder"])
def test_a_place_that_cannot_be_written_is_named(tmp_path: Path, place: str):
    (tmp_path / "file").write_text("not a folder")
    (tmp_path / "folder").mkdir()
    with pytest.raises(AudioProblem, match="cannot be written") as caught:
        write_wav(CLIP, tmp_path / place)
    assert str(tmp_path / place) in caught.value.problem
    assert sorted(path.name for path in tmp_path.iterdir()) == ["file", "folder"]


def test_a_disk_without_room_is_told_and_leaves_nothing_new(tmp_path: Path):
    """A limit on the size of files stands in for the disk: the write fails half way, as there."""
    limits = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (100_000, limits[1]))
    try:
        with pytest.raises(AudioProblem, match="too large"):
            write_wav(Clip(bytes(1_000_000)), tmp_path / "answer.wav")
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, limits)
    assert list(tmp_path.iterdir()) == []


def test_a_device_is_never_replaced_by_a_file(tmp_path: Path):
    path = tmp_path / "pipe"
    os.mkfifo(path)
    with pytest.raises(AudioProblem, match="not a file"):
        write_wav(CLIP, path)
    assert path.is_fifo()
