from __future__ import annotations

import stat
from pathlib import Path

import pytest

from assistant.adapters.home.filing import make_folder, staged, write_new
from assistant.errors import DataProblem, PartMissing


def test_a_new_file_is_written_once_and_then_left_alone(tmp_path: Path):
    target = tmp_path / "kit.toml"

    assert write_new(target, "first\r\n") is True
    assert write_new(target, "second") is False
    assert target.read_bytes() == b"first\r\n"
    assert list(tmp_path.iterdir()) == [target]


def test_a_broken_link_counts_as_a_file_and_is_left_alone(tmp_path: Path):
    target = tmp_path / "kit.toml"
    target.symlink_to(tmp_path / "gone")

    assert write_new(target, "text") is False
    assert not (tmp_path / "gone").exists()


def test_staged_text_that_takes_no_place_is_thrown_away(tmp_path: Path):
    target = tmp_path / "kit.toml"
    target.write_text("old", "utf-8")

    with staged(target, "new"):
        pass

    assert target.read_text("utf-8") == "old"
    assert list(tmp_path.iterdir()) == [target]


def test_a_new_file_is_for_its_owner_alone(tmp_path: Path):
    target = tmp_path / "birds.toml"

    assert write_new(target, "new")

    assert stat.S_IMODE(target.stat().st_mode) == 0o600


def test_a_replaced_file_keeps_its_permissions(tmp_path: Path):
    target = tmp_path / "kit.toml"
    target.write_text("old", "utf-8")
    target.chmod(0o640)

    with staged(target, "new") as waiting:
        waiting.take_place()

    assert target.read_text("utf-8") == "new"
    assert stat.S_IMODE(target.stat().st_mode) == 0o640
    assert list(tmp_path.iterdir()) == [target]


def test_a_link_goes_on_pointing_at_the_file_that_was_replaced(tmp_path: Path):
    real, link = tmp_path / "real.toml", tmp_path / "kit.toml"
    real.write_text("old", "utf-8")
    link.symlink_to(real)

    with staged(link, "new") as waiting:
        waiting.take_place()

    assert link.is_symlink()
    assert real.read_text("utf-8") == "new"


def test_a_folder_that_is_not_there_takes_no_file(tmp_path: Path):
    with pytest.raises(DataProblem, match="cannot be written"):
        write_new(tmp_path / "gone" / "kit.toml", "text")


def test_a_keepers_folder_is_private(tmp_path: Path):
    make_folder(tmp_path / "a" / "home")

    assert stat.S_IMODE((tmp_path / "a" / "home").stat().st_mode) == 0o700


def test_a_file_in_place_of_the_folder_is_told(tmp_path: Path):
    (tmp_path / "home").write_text("", "utf-8")

    with pytest.raises(PartMissing, match="cannot be made"):
        make_folder(tmp_path / "home")
