"""Writing a keeper's file whole or not at all."""

from __future__ import annotations

import errno
import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Final

from assistant.errors import DataProblem, PartMissing, UsageProblem

_LOOKED_AT: Final = 2_000
"""How many bytes of a file are looked at for our mark."""

_NO_LINKS: Final = {errno.EPERM, errno.ENOTSUP, errno.ENOSYS}
"""What a file system says that gives a file one name only."""


class Staged:
    """A file's new content, safe on disk beside it, waiting to take its place."""

    def __init__(self, target: Path, waiting: Path) -> None:
        self.target = target
        self._waiting = waiting

    def take_place(self) -> None:
        """Put the new content in the file's place, at one stroke; raises DataProblem."""
        try:
            self._waiting.replace(self.target)
            _sync_folder(self.target.parent)
        except OSError as error:
            raise _cannot_write(self.target, error) from error


@contextmanager
def staged(target: Path, text: str) -> Iterator[Staged]:
    """Write the text beside the file; it is thrown away unless `take_place` is called.

    The new file has the permissions of the one it replaces.  Raises DataProblem where it cannot
    be written.
    """
    # A link stands for its file: replacing the link would leave the keeper's real file as it was.
    target = target.resolve()
    waiting = _write_beside(target, text)
    try:
        yield Staged(target, waiting)
    finally:
        waiting.unlink(missing_ok=True)


def write_new(target: Path, text: str) -> bool:
    """Write a file that does not exist yet, private, and say whether it was written.

    A file that exists, even one made at this very moment, is left byte for byte as it is.
    """
    if os.path.lexists(target):
        return False
    waiting = _write_beside(target, text)
    try:
        _place_new(waiting, target)
    except FileExistsError:
        return False
    except OSError as error:
        raise _cannot_write(target, error) from error
    finally:
        waiting.unlink(missing_ok=True)
    return True


def _place_new(waiting: Path, target: Path) -> None:
    try:
        os.link(waiting, target)
    except OSError as error:
        if error.errno not in _NO_LINKS:
            raise
        # A memory card, say.  Here a file made between the look above and now would be lost.
        waiting.replace(target)
    _sync_folder(target.parent)


def save_ours(target: Path, text: str, mark: bytes) -> None:
    """Write the file; one that holds our mark near its start is replaced, any other left alone.

    Raises UsageProblem for a file that is not ours, and DataProblem where it cannot be written.
    """
    if write_new(target, text):
        return
    if not _holds(target, mark):
        raise UsageProblem(
            f"{target} is there already, and dosewren did not write it. It was left as it is.",
            "Give another file name.",
        )
    with staged(target, text) as waiting:
        waiting.take_place()


def _holds(target: Path, mark: bytes) -> bool:
    with suppress(OSError), target.open("rb") as file:
        return mark in file.read(_LOOKED_AT)
    return False


def make_folder(folder: Path) -> None:
    """Make a keeper's folder, private, with those above it; raises PartMissing."""
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    except OSError as error:
        raise PartMissing(
            f"The folder {folder} cannot be made: {error.strerror}.",
            "Choose another folder with --home.",
        ) from error


def _write_beside(target: Path, text: str) -> Path:
    try:
        handle, name = tempfile.mkstemp(prefix=f".{target.name}.", dir=target.parent)
    except OSError as error:
        raise _cannot_write(target, error) from error
    waiting = Path(name)
    try:
        with os.fdopen(handle, "w", encoding="utf-8", newline="") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        waiting.chmod(_permissions(target))
    except OSError as error:
        waiting.unlink(missing_ok=True)
        raise _cannot_write(target, error) from error
    return waiting


def _permissions(target: Path) -> int:
    try:
        return target.stat().st_mode & 0o777
    except FileNotFoundError:
        return 0o600


def _sync_folder(folder: Path) -> None:
    # The file is in its place already, and not every system can do this: no cause for an alarm.
    with suppress(OSError):
        opened = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(opened)
        finally:
            os.close(opened)


def _cannot_write(target: Path, error: OSError) -> DataProblem:
    return DataProblem(
        f"{target} cannot be written: {error.strerror}. Nothing in it was changed.",
        "Check the space on the disk and the folder's permissions, then try again.",
    )
