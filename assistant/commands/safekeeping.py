"""`dosewren backup`, `restore` and `rescue`: the keeper's files kept safe, and got back."""

from __future__ import annotations

from pathlib import Path

import click

from assistant.adapters.home.back_up import REGISTER, back_up, restore
from assistant.adapters.register.rescue import Rescued, damage, rescue
from assistant.adapters.register.sqlite import PATIENCE_S, SqliteRegister
from assistant.adapters.system_clock import SystemClock
from assistant.conversation.entries import NoteEntry
from assistant.errors import PartMissing
from assistant.wiring import open_home

_COUNTED = {"dose": "doses", "dose_end": "ends of doses", "exchange": "exchanges"}


def back_up_home(home: str | None, archive: Path | None) -> None:
    """Write the home into an archive, and say what is in it."""
    kept = open_home(home)
    if not kept.path.is_dir():
        raise PartMissing(f"There is no folder {kept.path}.", "Name yours with --home DIR.")
    target = archive or Path(f"dosewren-{SystemClock().now():%Y-%m-%d-%H%M%S}.zip")
    names = back_up(kept, target)
    click.echo(f"Backed up to {target}, and read back: {', '.join(names)}.")
    click.echo("Keep it on another disk. Recordings of your voice are not in it.")


def restore_home(home: str | None, archive: Path) -> None:
    """Make a home from an archive, and say what came out of it."""
    kept = open_home(home)
    names = restore(archive, kept)
    click.echo(f"Restored to {kept.path}: {', '.join(names)}.")
    if REGISTER in names:
        with SqliteRegister(kept.register_file) as register:
            newest = register.doses(last=1)
        last = f"{newest[0].said.at:%d %B %Y, %H:%M}" if newest else "none"
        click.echo(f"The last dose in its register: {last}. What came after is not in it.")


def rescue_register(home: str | None) -> None:
    """Read what can be read of a damaged register into a new one, and say what was lost."""
    kept = open_home(home)
    path = kept.register_file
    if not path.is_file():
        raise PartMissing(f"There is no register {path}.", "Name its folder with --home DIR.")
    found = damage(path)
    if not found:
        click.echo(f"{path} is whole: nothing was changed.")
        return
    now = SystemClock().now()
    done = rescue(path, now, PATIENCE_S)
    told = _told(done)
    with SqliteRegister(path) as register:
        register.append([NoteEntry(now, "rescue", "rescued", " ".join(told))])
    click.echo(f"{path} was damaged: {found}.")
    click.echo("\n".join(told))


def _told(done: Rescued) -> list[str]:
    lines = [
        f"{name}: {done.read[table]} read"
        + (f", {done.lost[table]} lost." if done.lost[table] else ", none known to be lost.")
        for table, name in _COUNTED.items()
    ]
    if done.unsealed:
        lines.append(f"{done.unsealed} rows have no seal: compare them with your paper.")
    lines.append(f"The damaged file is kept in {done.aside}. A back-up may hold more.")
    return lines
