"""Recordings on a real disk: kept whole, bounded, labelled, and deleted on request."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from pathlib import Path

import pytest

from assistant.adapters.home.kept_recordings import MEGABYTE, Kept, KeptRecordings
from assistant.adapters.home.labelled_recordings import MANIFEST, read_labelled
from assistant.adapters.sound.recordings import read_recording
from assistant.audio import Clip
from assistant.conversation.labelling import Label, Sort
from assistant.errors import DataProblem
from tests.ear_scene import clip_of, noise

AT = datetime(2026, 3, 1, 8, 30, tzinfo=UTC)
FOUND = Kept("", "", "galah 330 grams", 0.61, "answered")


@pytest.fixture
def store(tmp_path: Path) -> KeptRecordings:
    return KeptRecordings(tmp_path / "recordings", most_mb=1)


def a_clip(seconds: float = 1.0) -> Clip:
    return clip_of(noise(seconds, 0.1))


def test_a_clip_is_kept_sample_for_sample_with_its_line(store: KeptRecordings):
    file = store.keep(a_clip(), AT, FOUND)
    assert read_recording(store.folder / file) == a_clip()
    assert [json.loads(one.line) for one in store.all()] == [
        {
            "file": "20260301-083000-001.wav",
            "at": "2026-03-01T08:30:00+00:00",
            "heard": "galah 330 grams",
            "confidence": 0.61,
            "became": "answered",
        }
    ]


def test_two_clips_of_one_second_do_not_take_each_others_place(store: KeptRecordings):
    assert store.keep(a_clip(), AT, FOUND) != store.keep(a_clip(), AT, FOUND)
    assert len(store.all()) == 2


def test_a_label_is_written_and_can_be_taken_away(store: KeptRecordings):
    file = store.keep(a_clip(), AT, FOUND)
    known = [Label(file, "galah 313 grams", Sort.CORRECTED), Label("gone.wav", "x")]
    store.keep(a_clip(), AT, FOUND, lambda _: known)
    assert [(one.path.name, one.text) for one in read_labelled(store.folder)] == [
        (file, "galah 313 grams")
    ]
    store.keep(a_clip(), AT, FOUND, lambda _: [Label(file)])
    assert list(read_labelled(store.folder)) == []


def test_beyond_its_bound_the_oldest_without_a_label_goes_first(store: KeptRecordings):
    right = (Sort.CONFIRMED,)
    labelled = store.keep(a_clip(9), AT, FOUND, lambda file: [Label(file, "x", *right)])
    files = [store.keep(a_clip(9), AT, FOUND) for _ in range(3)]
    assert [one.file for one in store.all()] == [labelled, *files[1:]]
    assert {path.name for path in store.folder.glob("*.wav")} == {labelled, *files[1:]}
    assert store.megabytes * MEGABYTE <= MEGABYTE


def test_a_recording_that_the_manifest_does_not_name_is_cleared_away(store: KeptRecordings):
    store.keep(a_clip(), AT, FOUND)
    (store.folder / "half.wav").write_bytes(b"RIFF")
    store.keep(a_clip(), AT, FOUND)
    assert not (store.folder / "half.wav").exists()


def test_clearing_leaves_neither_sound_nor_manifest(store: KeptRecordings):
    store.keep(a_clip(), AT, FOUND)
    assert store.clear() == 1
    assert list(store.folder.iterdir()) == []
    assert store.all() == ()


def test_the_folder_is_private(store: KeptRecordings):
    store.keep(a_clip(), AT, FOUND)
    assert store.folder.stat().st_mode & 0o077 == 0


@pytest.mark.parametrize("line", ["no json", "[]", '{"heard": "x"}', '{"file": "a", "text": 3}'])
def test_a_broken_manifest_is_told_with_its_line(store: KeptRecordings, line: str):
    store.keep(a_clip(), AT, FOUND)
    manifest = store.folder / MANIFEST
    manifest.write_text(manifest.read_text("utf-8") + line + "\n", "utf-8")
    with pytest.raises(DataProblem, match="line 2"):
        store.all()


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("no json", "line 1: this is not a recording"),
        ('{"file": "a.wav"}', "there is no text"),
        ('{"file": "a.wav", "text": "x"}', "there is no"),
    ],
)
def test_a_wrong_line_of_labelled_recordings_is_told(tmp_path: Path, line: str, told: str):
    (tmp_path / MANIFEST).write_text(line, "utf-8")
    with pytest.raises(DataProblem, match=told):
        list(read_labelled(tmp_path))


def test_a_recording_that_the_keeper_deleted_is_passed_over_where_that_is_allowed(tmp_path: Path):
    (tmp_path / MANIFEST).write_text('{"file": "a.wav", "text": "x"}', "utf-8")
    assert list(read_labelled(tmp_path, some_gone=True)) == []
