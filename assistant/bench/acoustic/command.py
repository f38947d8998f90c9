"""`python -m assistant.bench.acoustic`: make the audio, run ears on it, print the tables."""

from __future__ import annotations

import os
from pathlib import Path

import click

from assistant.bench.acoustic.parts import size, sizes
from assistant.bench.acoustic.records import Part
from assistant.bench.acoustic.store import Store, default_cache
from assistant.errors import AssistantError


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
@click.option(
    "--cache",
    type=click.Path(path_type=Path),
    help="Where audio, results and the log of runs are kept (default: the XDG cache folder).",
)
@click.pass_context
def bench(context: click.Context, cache: Path | None) -> None:
    """The acoustic bench: speech and noise made here, heard by any ears, scored row by row."""
    context.obj = cache or default_cache(os.environ)


_PART = click.option(
    "--part", type=click.Choice([part.value for part in Part]), default="development"
)
_SIZE = click.option("--size", "size_name", type=click.Choice(sizes()), default="quick")


@bench.command()
@_PART
@_SIZE
@click.argument("folder", type=click.Path(path_type=Path))
@click.pass_obj
def write(cache: Path, part: str, size_name: str, folder: Path) -> None:
    """Write the trials into FOLDER as WAV files with a manifest.jsonl.

    Example: python -m assistant.bench.acoustic write --part development --size quick /tmp/dev
    """
    from assistant.bench.acoustic.desk import open_bench_desk  # noqa: PLC0415 - help starts at once
    from assistant.bench.acoustic.plan import plan  # noqa: PLC0415 - the same
    from assistant.bench.acoustic.writing import write_trials  # noqa: PLC0415 - the same

    made = plan(open_bench_desk(), Part(part), size(size_name))
    for voice in made.missing:
        click.echo(f"not on this machine: {voice}", err=True)
    store = Store(cache, {Part(part): made.talkers})
    done = sum(1 for _ in write_trials(store, made.trials, folder))
    click.echo(f"{done} trials in {folder}")


def main() -> int:
    """Run the command; an error becomes two lines and its exit code."""
    try:
        bench(standalone_mode=False)
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
