"""What all commands share: their options, their order, and how their help ends."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

import click

F = TypeVar("F", bound=Callable[..., Any])

EPILOG = (
    "Exit codes: 0 done, 1 a fault of dosewren itself, 2 wrong usage, 3 a file of yours cannot be "
    "used, 5 a part is missing, 130 interrupted."
)


def home_option(command: F) -> F:
    """Every command takes --home; given before the command it counts as well."""
    return click.option(
        "--home",
        metavar="DIR",
        help="Your folder of medicines, kit, birds and register (default: DOSEWREN_HOME, "
        "or ~/.dosewren).",
    )(command)


def json_option(command: F) -> F:
    """Take --json: answers for another program."""
    return click.option("--json", "as_json", is_flag=True, help="As JSON, one object a line.")(
        command
    )


def medicine_option(command: F) -> F:
    """Take --medicine: another one than the kit's usual."""
    return click.option("--medicine", metavar="NAME", help="The medicine, by its name.")(command)


def vosk_option(command: F) -> F:
    """Take --vosk: the ear whose model the keeper has."""
    return click.option(
        "--vosk",
        metavar="DIR",
        type=click.Path(path_type=Path),
        help="Hear with the Vosk model in this folder.",
    )(command)


def device_options(command: F) -> F:
    """Take --microphone and --speaker."""
    for direction in ("speaker", "microphone"):
        told = f"The {direction}, by number or name."
        command = click.option(f"--{direction}", metavar="NAME", help=told)(command)
    return command


def form_options(command: F) -> F:
    """Take --csv or --json: a sheet for another program."""
    as_json = click.option("--json", "form", flag_value="json", help="As JSON, one object a line.")
    return click.option("--csv", "form", flag_value="csv", help="As CSV (RFC 4180).")(
        as_json(command)
    )


class Command(click.Command):
    """A command whose help ends with the exit codes."""

    def __init__(self, *args: Any, **settings: Any) -> None:
        super().__init__(*args, **{"epilog": EPILOG, **settings})


class Commands(click.Group):
    """Commands in the order in which a keeper meets them."""

    command_class = Command

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002 - click's signature
        """Give the commands in the order in which they were added."""
        return list(self.commands)
