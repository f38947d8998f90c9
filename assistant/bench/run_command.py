"""A command of the benches, with the errors that its user can meet."""

from __future__ import annotations

import click

from assistant.errors import AssistantError


def run_command(command: click.Command) -> int:
    """Run the command; an error becomes two lines and its exit code."""
    try:
        command(standalone_mode=False)
    except click.exceptions.Abort:
        click.echo("Stopped.", err=True)
        return 130
    except click.ClickException as error:
        error.show()
        return error.exit_code
    except AssistantError as error:
        click.echo(f"{error.problem}\n  {error.remedy}", err=True)
        return error.exit_code
    return 0
