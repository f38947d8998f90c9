"""A back-up of the keeper's home in one archive, and a home made from it again.

The archive is a ZIP file with the keeper's files, the register and nothing else.  Recordings are
large and stay out.  An archive from elsewhere is data: only files of these names are taken from
it, none larger than it may be, and the register must be whole.
"""

from __future__ import annotations

import shutil
import sqlite3
import zipfile
import zlib
from collections.abc import Iterator, Sequence
from contextlib import closing
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Final

from assistant.adapters.home.folder import Home
from assistant.adapters.register.file import problem_with
from assistant.adapters.register.rescue import damage
from assistant.errors import DataProblem, RegisterProblem

REGISTER: Final = "register.sqlite"
_LARGEST_FILE: Final = 5_000_000
_LARGEST_REGISTER: Final = 5_000_000_000
_READ_AT_ONCE: Final = 1 << 20
_DAMAGED: Final = (
    *(OSError, EOFError, RuntimeError, NotImplementedError),
    *(zipfile.BadZipFile, zlib.error),
)
"""What reading an archive raises that is none, or is damaged, locked or of an unknown kind."""


def own_files(home: Home) -> tuple[Path, ...]:
    """The keeper's own files, whether they are there or not; the register is not among them."""
    return (
        *(home.kit_file, home.medicines_file, home.birds_file),
        *(home.hearing_file, home.pronunciations_file),
    )


def back_up(home: Home, archive: Path) -> tuple[str, ...]:
    """Write the home into a new archive and read it back; the names of what is in it.

    Raises DataProblem where the archive is there already or cannot be written, and RegisterProblem
    where the register cannot be read whole.
    """
    if archive.exists():
        raise DataProblem(f"{archive} is there already.", "Name another file; none is overwritten.")
    try:
        with TemporaryDirectory(dir=archive.parent) as folder:
            unfinished = Path(folder) / archive.name
            with zipfile.ZipFile(unfinished, "w", zipfile.ZIP_DEFLATED) as written:
                for file in _to_keep(home, Path(folder)):
                    written.write(file, file.name)
            unfinished.chmod(0o600)
            names = _checked(unfinished, archive)
            unfinished.rename(archive)
    except OSError as error:
        raise DataProblem(
            f"{archive} cannot be written: {error.strerror}.",
            "Check the disk and the space left on it, or name another file.",
        ) from error
    return names


def restore(archive: Path, home: Home) -> tuple[str, ...]:
    """Make a home from an archive; the names of what came out of it.

    Raises DataProblem where the archive is none of ours or is damaged, and where the home has any
    of these files already: nothing is overwritten.
    """
    names = _checked(archive, archive)
    there = [name for name in names if (home.path / name).exists()]
    if there:
        raise DataProblem(
            f"{home.path} has files already: {', '.join(there)}.",
            "Choose a new folder with --home, or move these away first.",
        )
    home.path.mkdir(parents=True, exist_ok=True)
    with zipfile.ZipFile(archive) as opened:
        for name in names:
            target = home.path / name
            with opened.open(name) as source, target.open("xb") as out:
                shutil.copyfileobj(source, out, _READ_AT_ONCE)
            target.chmod(0o600)
    return names


def _to_keep(home: Home, folder: Path) -> Iterator[Path]:
    yield from (file for file in own_files(home) if file.is_file())
    if home.register_file.is_file():
        yield _copied(home.register_file, folder / REGISTER)


def _copied(register: Path, copy: Path) -> Path:
    """The register as it stands now, whole, also while somebody writes to it."""
    found = damage(register)
    if found:
        raise RegisterProblem(
            f"The register {register} is damaged ({found}), so it was not backed up.",
            "Run: dosewren rescue",
        )
    try:
        with (
            closing(sqlite3.connect(f"{register.absolute().as_uri()}?mode=ro", uri=True)) as old,
            closing(sqlite3.connect(copy)) as new,
        ):
            old.backup(new)
    except sqlite3.Error as error:
        raise problem_with(register, error) from error
    return copy


def _checked(archive: Path, called: Path) -> tuple[str, ...]:
    """The names in an archive that holds only what a home may hold, whole; raises DataProblem."""
    try:
        with zipfile.ZipFile(archive) as opened:
            names = _allowed(opened.infolist(), called)
            broken = opened.testzip()
            if broken:
                raise _not_ours(called, f"{broken} in it is damaged")
            if REGISTER in names:
                _check_register(opened, called)
    except OSError as error:
        raise DataProblem(
            f"{called} cannot be read: {error.strerror or error}.",
            "Check its name and its permissions.",
        ) from error
    except zipfile.BadZipFile as error:
        raise _not_ours(called, "it is not a zip archive, or a damaged one") from error
    except _DAMAGED as error:
        raise _not_ours(called, str(error) or type(error).__name__) from error
    return names


def _allowed(members: Sequence[zipfile.ZipInfo], called: Path) -> tuple[str, ...]:
    most = {file.name: _LARGEST_FILE for file in own_files(Home(Path()))}
    most[REGISTER] = _LARGEST_REGISTER
    names = tuple(member.filename for member in members)
    for member in members:
        if member.filename not in most:
            raise _not_ours(called, f"it holds {member.filename[:60]!r}")
        if member.file_size > most[member.filename]:
            raise _not_ours(called, f"{member.filename} in it is too large")
    if len(set(names)) < len(names) or not names:
        raise _not_ours(called, "it holds nothing, or one file twice")
    return names


def _check_register(opened: zipfile.ZipFile, called: Path) -> None:
    with TemporaryDirectory() as folder:
        found = damage(Path(opened.extract(REGISTER, folder)))
    if found:
        raise _not_ours(called, f"its register is damaged: {found}")


def _not_ours(archive: Path, why: str) -> DataProblem:
    return DataProblem(
        f"{archive} is not a whole back-up of dosewren: {why}.",
        "Name another back-up, one that dosewren backup wrote.",
    )
