"""A disk that fails: what can still be read is read, and what has changed is never believed."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from contextlib import closing
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from random import Random

import pytest

from assistant.adapters.register.rescue import damage, rescue
from assistant.adapters.register.rows import KeptDose
from assistant.adapters.register.sqlite import PATIENCE_S, SqliteRegister
from assistant.commands.safekeeping import rescue_register
from tests.adapters.conftest import Book

DOSES = 3000
PAGE = 4096
NOON = datetime(2026, 3, 1, 12, tzinfo=UTC)


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A register of a few seasons, closed, so that all of it is in one file."""
    path = tmp_path_factory.mktemp("whole") / "register.sqlite"
    book = Book()
    rounds = [
        (book.exchange(number % 600), book.dose(f"d{number}", number % 600), book.end(f"d{number}"))
        for number in range(DOSES)
    ]
    with SqliteRegister(path) as register:
        register.append([entry for one in rounds for entry in one])
    return path


@pytest.fixture
def hurt(whole: Path, tmp_path: Path) -> Path:
    """A copy to be damaged."""
    path = tmp_path / "register.sqlite"
    path.write_bytes(whole.read_bytes())
    return path


def flip(path: Path, pages: Sequence[int], chance: Random) -> None:
    """Change a few bytes somewhere on each of these pages."""
    content = bytearray(path.read_bytes())
    for page in pages:
        for _ in range(4):
            content[page * PAGE + chance.randrange(PAGE)] ^= chance.randrange(1, 256)
    path.write_bytes(content)


def doses(path: Path) -> dict[str, KeptDose]:
    with SqliteRegister(path) as register:
        return {one.said.dose_id: one for one in register.doses()}


@pytest.mark.parametrize("seed", range(8))
def test_of_a_hundred_damaged_pages_nothing_false_is_believed(whole: Path, hurt: Path, seed: int):
    chance = Random(seed)  # noqa: S311 - a disk, not a secret
    pages = hurt.stat().st_size // PAGE
    flip(hurt, chance.sample(range(1, pages), 100), chance)
    broken = hurt.read_bytes()

    done = rescue(hurt, NOON, PATIENCE_S)

    true, read = doses(whole), doses(hurt)
    assert len(read) == done.read["dose"]
    for number, one in read.items():
        # an end that was lost leaves the dose open, so that it is asked about
        assert one in (true[number], replace(true[number], end=None, ended_at=None, note=""))
    assert done.read["dose"] + done.lost["dose"] <= DOSES
    assert done.read["dose"] > DOSES / 2
    assert damage(hurt) is None
    assert (done.aside / "register.sqlite").read_bytes() == broken


def test_a_changed_letter_that_the_database_does_not_notice_is_found(whole: Path, hurt: Path):
    content = hurt.read_bytes()
    place = content.index(b"Marigold Demo", content.index(b"d1500"))
    hurt.write_bytes(content[:place] + b"Marigolf Demo" + content[place + 13 :])
    with closing(sqlite3.connect(hurt)) as opened:
        assert opened.execute("PRAGMA integrity_check").fetchone() == ("ok",)

    found = damage(hurt)
    done = rescue(hurt, NOON, PATIENCE_S)

    assert found is not None
    assert "not as it was written" in found
    assert sum(done.lost.values()) in {1, 2}  # a dose takes its end with it
    assert doses(hurt).items() <= doses(whole).items()


def test_a_file_of_which_nothing_can_be_read_is_kept_and_a_new_one_begun(hurt: Path):
    rubbish = b"\xa5" * hurt.stat().st_size
    hurt.write_bytes(rubbish)

    done = rescue(hurt, NOON, PATIENCE_S)

    assert not any(done.read.values())
    assert (done.aside / "register.sqlite").read_bytes() == rubbish
    assert doses(hurt) == {}


def test_a_file_cut_short_gives_what_is_left(whole: Path, hurt: Path):
    hurt.write_bytes(hurt.read_bytes()[: hurt.stat().st_size // 2])

    done = rescue(hurt, NOON, PATIENCE_S)

    assert done.read["dose"] > 0
    assert doses(hurt).keys() <= doses(whole).keys()


def test_a_whole_register_is_left_alone(hurt: Path, capsys: pytest.CaptureFixture[str]):
    before = hurt.read_bytes()

    rescue_register(str(hurt.parent))

    assert "is whole" in capsys.readouterr().out
    assert hurt.read_bytes() == before


def test_a_rescue_says_what_was_lost_and_writes_it_down(
    hurt: Path, capsys: pytest.CaptureFixture[str]
):
    flip(hurt, range(40, 60), Random(1))  # noqa: S311 - a disk, not a secret

    rescue_register(str(hurt.parent))

    said = capsys.readouterr().out
    assert "was damaged" in said
    assert "lost" in said
    assert "is kept in" in said
    with SqliteRegister(hurt) as register:
        (note,) = register.notes()
    assert note.kind == "rescued"
    assert note.text in said.replace("\n", " ")


def test_rows_from_before_there_were_seals_are_read_and_counted_as_such(hurt: Path):
    with closing(sqlite3.connect(hurt)) as opened:
        for guard in ("update", "delete", "replace"):
            opened.execute(f"DROP TRIGGER seal_no_{guard}")
        opened.execute("DELETE FROM seal WHERE row_id <= 1000")
        opened.execute("DROP TRIGGER note_no_update")
        opened.commit()
        opened.execute("VACUUM")

    done = rescue(hurt, NOON, PATIENCE_S)

    assert done.read["dose"] == DOSES
    assert done.unsealed == 3 * 1000
