"""What all commands share: their options, their order, and how their help ends."""

from __future__ import annotations

from collections.abc import Callable
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
