"""Back-ups: whole, private, read back; and what is in a stranger's archive is data."""

from __future__ import annotations

import stat
import zipfile
from pathlib import Path

import pytest

from assistant.adapters.home.back_up import back_up, restore
from assistant.adapters.home.folder import Home
from assistant.adapters.register.sqlite import SqliteRegister
from assistant.errors import DataProblem, RegisterProblem
from tests.adapters.conftest import Book
from tests.trust.keeper_scene import demo_home


@pytest.fixture
def kept(tmp_path: Path) -> Home:
    """The invented keeper's home, with a dose in its register."""
    home = Home(tmp_path / "home")
    demo_home(home.path)
    book = Book()
    with SqliteRegister(home.register_file) as register:
        register.append([book.exchange(), book.dose("d1"), book.end("d1")])
    return home


def test_a_home_comes_back_as_it_was(kept: Home, tmp_path: Path):
    with SqliteRegister(kept.register_file) as open_meanwhile:
        names = back_up(kept, tmp_path / "b.zip")
        true = open_meanwhile.doses()

    again = Home(tmp_path / "again")
    assert restore(tmp_path / "b.zip", again) == names
    assert {"kit.toml", "medicines.toml", "birds.toml", "register.sqlite"} <= set(names)
    for name in set(names) - {"register.sqlite"}:
        assert (again.path / name).read_bytes() == (kept.path / name).read_bytes()
    with SqliteRegister(again.register_file) as register:
        assert register.doses() == true
    assert again.holding() == kept.holding()


def test_neither_an_archive_nor_a_home_is_overwritten(kept: Home, tmp_path: Path):
    back_up(kept, tmp_path / "b.zip")
    before = (tmp_path / "b.zip").read_bytes()

    with pytest.raises(DataProblem, match="there already"):
        back_up(kept, tmp_path / "b.zip")
    with pytest.raises(DataProblem, match="has files already"):
        restore(tmp_path / "b.zip", kept)

    assert (tmp_path / "b.zip").read_bytes() == before


def test_what_is_written_is_for_the_keeper_alone(kept: Home, tmp_path: Path):
    back_up(kept, tmp_path / "b.zip")
    again = Home(tmp_path / "again")
    restore(tmp_path / "b.zip", again)

    for file in (tmp_path / "b.zip", *again.path.iterdir()):
        assert stat.S_IMODE(file.stat().st_mode) == 0o600


def test_a_damaged_register_is_not_backed_up_as_if_it_were_whole(kept: Home, tmp_path: Path):
    kept.register_file.write_bytes(b"\xa5" * 8192)

    with pytest.raises(RegisterProblem, match="damaged") as found:
        back_up(kept, tmp_path / "b.zip")

    assert "dosewren rescue" in found.value.remedy
    assert not list(tmp_path.glob("b.zip*"))


@pytest.mark.parametrize(
    "name", ["../kit.toml", "/etc/passwd", "recordings/1.wav", "kit.toml/", "notes.txt"]
)
def test_nothing_but_a_keepers_files_is_taken_from_an_archive(tmp_path: Path, name: str):
    archive = tmp_path / "strange.zip"
    with zipfile.ZipFile(archive, "w") as made:
        made.writestr(name, "x")

    with pytest.raises(DataProblem, match="not a whole back-up"):
        restore(archive, Home(tmp_path / "new"))

    assert sorted(one.name for one in tmp_path.iterdir()) == ["strange.zip"]


def test_an_archive_that_would_fill_the_disk_is_refused(tmp_path: Path):
    archive = tmp_path / "bomb.zip"
    with zipfile.ZipFile(archive, "w", zipfile.ZIP_DEFLATED) as made:
        made.writestr("kit.toml", b"\0" * 6_000_000)
    assert archive.stat().st_size < 10_000

    with pytest.raises(DataProblem, match="too large"):
        restore(archive, Home(tmp_path / "new"))


def test_an_archive_that_is_not_there_or_is_none_is_told_in_words(tmp_path: Path):
    with pytest.raises(DataProblem) as missing:
        restore(tmp_path / "b.zip", Home(tmp_path / "new"))
    assert (
        missing.value.problem == f"{tmp_path / 'b.zip'} cannot be read: No such file or directory."
    )
    (tmp_path / "b.zip").write_text("species,grams\n")
    with pytest.raises(DataProblem, match="it is not a zip archive"):
        restore(tmp_path / "b.zip", Home(tmp_path / "new"))


@pytest.mark.parametrize("share", [0.2, 0.5, 0.9])
def test_a_damaged_archive_is_refused_and_leaves_nothing(kept: Home, tmp_path: Path, share: float):
    archive = tmp_path / "b.zip"
    back_up(kept, archive)
    content = bytearray(archive.read_bytes())
    content[int(len(content) * share)] ^= 0xFF
    archive.write_bytes(content)

    with pytest.raises(DataProblem, match="not a whole back-up"):
        restore(archive, Home(tmp_path / "new"))

    assert not (tmp_path / "new").exists()


def test_an_archive_with_a_damaged_register_is_refused(tmp_path: Path):
    archive = tmp_path / "b.zip"
    with zipfile.ZipFile(archive, "w") as made:
        made.writestr("register.sqlite", b"\xa5" * 8192)

    with pytest.raises(DataProblem, match="its register is damaged"):
        restore(archive, Home(tmp_path / "new"))
