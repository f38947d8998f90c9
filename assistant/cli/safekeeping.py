"""`dosewren backup`, `restore` and `rescue`."""

from __future__ import annotations

from pathlib import Path

import click

from assistant.cli.options import Command, home_option


@click.command(cls=Command, short_help="Write your files and the register into one archive.")
@click.argument("archive", required=False, type=click.Path(path_type=Path))
@home_option
@click.pass_obj
def backup(outer: str | None, home: str | None, archive: Path | None) -> None:
    """Back up your files and the register into one archive, and read it back.

    Example: dosewren backup /media/stick/birds.zip
    """
    from assistant.commands.safekeeping import back_up_home

    back_up_home(home or outer, archive)


@click.command(cls=Command)
@click.argument("archive", type=click.Path(path_type=Path))
@home_option
@click.pass_obj
def restore(outer: str | None, home: str | None, archive: Path) -> None:
    """Make your folder again from a back-up.  Overwrites nothing.

    Example: dosewren restore birds.zip --home new-home
    """
    from assistant.commands.safekeeping import restore_home

    restore_home(home or outer, archive)


@click.command(cls=Command, short_help="Read what can be read of a damaged register.")
@home_option
@click.pass_obj
def rescue(outer: str | None, home: str | None) -> None:
    """Make a new register of what can be read of a damaged one, which is kept aside.

    Example: dosewren rescue
    """
    from assistant.commands.safekeeping import rescue_register

    rescue_register(home or outer)
