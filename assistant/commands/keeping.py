"""`dosewren setup`, `confirm`, `register` and `fetch`: what concerns the keeper's files."""

from __future__ import annotations

import sys
from dataclasses import dataclass
from typing import Literal

import click

from assistant.adapters.home.setting_up import CAUTIONS, make_demo, set_up
from assistant.adapters.paper.export import (
    Sheet,
    csv_lines,
    json_lines,
    listing,
    sheet_of_doses,
    sheet_of_exchanges,
)
from assistant.adapters.register.sqlite import SqliteRegister
from assistant.adapters.system_clock import SystemClock
from assistant.adapters.terminal.confirming import Desk, confirm
from assistant.adapters.terminal.plain import TerminalPrompter
from assistant.errors import PartMissing
from assistant.wiring import open_home


@dataclass(frozen=True, slots=True)
class Listing:
    """What of the register to list, and how."""

    exchanges: bool = False
    form: Literal["csv", "json"] | None = None
    last: int | None = None


def make_home(given: str | None, *, demo: bool) -> None:
    """Make the keeper's folder, by questions or as the demo."""
    if not demo:
        set_up(_desk(given))
        return
    click.echo(CAUTIONS)
    home = open_home(given)
    written = make_demo(home)
    for path in written:
        click.echo(f"Written: {path}")
    if not written:
        click.echo(f"Everything is there already in {home.path}; nothing was changed.")
    option = f" --home {given}" if given else ""
    click.echo(f'Try it: dosewren ask{option} "cockatiel ninety five grams"')


def confirm_medicine(given: str | None, medicine: str | None) -> None:
    """Lead through the confirmation of a medicine."""
    confirm(_desk(given), medicine)


def _desk(given: str | None) -> Desk:
    home = open_home(given)
    register = SqliteRegister(home.register_file)
    return Desk(home, TerminalPrompter(), register, SystemClock())


def list_register(given: str | None, wanted: Listing) -> None:
    """Print the register: doses or exchanges, for the eye or for another program."""
    home = open_home(given)
    if not home.path.is_dir():
        raise PartMissing(
            f"There is no folder {home.path}, so there is no register in it.",
            "Name yours with --home DIR, or make one with: dosewren setup",
        )
    with SqliteRegister(home.register_file) as register:
        sheet = (
            sheet_of_exchanges(register.exchanges(wanted.last))
            if wanted.exchanges
            else sheet_of_doses(register.doses(wanted.last))
        )
    print_sheet(sheet, wanted)


def print_sheet(sheet: Sheet, wanted: Listing) -> None:
    """Print a sheet for the eye, or for another program."""
    match wanted.form:
        case "csv":
            # bytes, so that no line end is translated
            sys.stdout.buffer.writelines(line.encode("utf-8") for line in csv_lines(sheet))
            sys.stdout.buffer.flush()
        case "json":
            for line in json_lines(sheet):
                click.echo(line, nl=False)
        case None:
            if not sheet.rows:
                click.echo("The register is empty.")
                return
            for line in listing(sheet):
                click.echo(line.rstrip())


def fetch_model(given: str | None) -> None:
    """Fetch the small English model of the Vosk ear."""
    from assistant.adapters.ears.vosk_models import fetch_vosk_model

    folder = fetch_vosk_model(open_home(given).path)
    click.echo(f"The Vosk model is in {folder}.")
    click.echo("Whether it hears you better than the usual ears: dosewren measure")
