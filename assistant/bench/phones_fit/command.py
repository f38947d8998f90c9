"""`python -m assistant.bench.phones_fit`: make speech, fit the network on it, measure it."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import Any

import click

from assistant.adapters.ears.phone_head import read_head
from assistant.bench.phones_fit.shards import Example, held_out, read_examples
from assistant.bench.run_command import run_command
from assistant.errors import EngineUnavailable

_FOLDER = click.argument("folder", type=click.Path(path_type=Path, file_okay=False))


_HEAD = click.Path(path_type=Path, exists=True, dir_okay=False)


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
def phones_fit() -> None:
    """The network that writes phones: its speech, its training and its measure."""


@phones_fit.command()
@_FOLDER
@click.option("--shards", type=click.IntRange(min=1), default=1, show_default=True)
@click.option("--first", type=click.IntRange(min=0), default=0, show_default=True)
@click.option("--seed", type=int, default=1, show_default=True)
@click.option("--count", type=click.IntRange(min=1), default=1200, show_default=True)
@click.option("--held-out", is_flag=True, help="In the voices that are never fitted on.")
def make(folder: Path, held_out: bool, shards: int, first: int, **of: int) -> None:  # noqa: FBT001 - an option
    """Make SHARDS files of COUNT utterances in FOLDER; those that are there are not made again.

    Several may be made at once with other --first.  A shard takes some three minutes.
    """
    from assistant.adapters.ears.moonshine_model import SpeechModel  # noqa: PLC0415 - help starts at once
    from assistant.bench.acoustic.desk import open_bench_desk  # noqa: PLC0415 - the same
    from assistant.bench.phones_fit.recipe import recipe  # noqa: PLC0415 - the same

    with _the_extra():
        from assistant.bench.phones_fit.speech import Shard, make_shard  # noqa: PLC0415 - the same

    folder.mkdir(parents=True, exist_ok=True)
    read = recipe()
    speakers = read.held_out if held_out else read.speakers
    parts = open_bench_desk(), SpeechModel(), replace(read, speakers=speakers)
    for number in range(first, first + shards):
        click.echo(str(make_shard(Shard(of["seed"], number, of["count"]), folder, parts)))


@phones_fit.command()
@_FOLDER
@click.argument("out", type=click.Path(path_type=Path, dir_okay=False))
@click.option("--epochs", type=click.IntRange(min=1), default=16, show_default=True)
@click.option("--without", default="", metavar="REGEX", help="Voices to hold out and measure on.")
@click.option("--start", type=_HEAD, help="A network to go on from, in place of chance.")
@click.option("--rate", type=float, default=2.5e-3, show_default=True, help="The fastest step.")
def fit(folder: Path, out: Path, without: str, start: Path | None, **how: Any) -> None:  # noqa: ANN401 - click hands on what the decorators define
    """Fit the network on the speech in FOLDER and write it to OUT after each epoch.

    Example: python -m assistant.bench.phones_fit fit /tmp/speech /tmp/head.npz --without slt
    """
    with _the_extra():
        from assistant.bench.phones_fit.fit import Course  # noqa: PLC0415 - needs the extra
        from assistant.bench.phones_fit.fit import fit as fitted  # noqa: PLC0415 - the same

    kept, others = held_out(_examples(folder), without)
    if not kept or (without and not others):
        raise click.UsageError(
            f"--without {without} leaves {len(kept)} of the utterances to fit on."
        )
    click.echo(f"{len(kept)} utterances to fit on, {len(others)} held out")
    first = read_head(start.read_bytes()) if start else None
    fitted((kept, others), Course(**how, start=first), out, click.echo)


@phones_fit.command()
@_FOLDER
@click.argument("head", type=_HEAD)
@click.option("--only", default="", metavar="REGEX", help="Only these voices.")
def measure(folder: Path, head: Path, only: str) -> None:
    """Print the phone error rate of HEAD on the speech in FOLDER, voice by voice.

    On voices that it was fitted on, the figure says little: hold them out with fit --without.
    """
    from assistant.bench.phones_fit.phone_errors import by_voice  # noqa: PLC0415 - help starts at once

    examples = _examples(folder)
    chosen = held_out(examples, only)[1] if only else examples
    if not chosen:
        raise click.UsageError(f"No voice is {only}.")
    click.echo("voice                             utterances   phones   phone errors")
    for row in by_voice(read_head(head.read_bytes()), chosen):
        click.echo(f"{row.voice:33} {row.utterances:10} {row.said:8} {row.rate:14.1%}")


@contextmanager
def _the_extra() -> Iterator[None]:
    """Say what to install where a library of the extra is missing."""
    try:
        yield
    except ModuleNotFoundError as error:
        raise EngineUnavailable(
            f"{error.name} is not installed.", "Run: pip install 'dosewren[fit]'"
        ) from error


def _examples(folder: Path) -> list[Example]:
    from assistant.bench.acoustic.desk import open_bench_desk  # noqa: PLC0415 - help starts at once
    from assistant.bench.phones_fit.texts import birds_of_test  # noqa: PLC0415 - the same

    return read_examples(folder, birds_of_test(open_bench_desk()))


def main() -> int:
    """Run the command; an error becomes two lines and its exit code."""
    return run_command(phones_fit)
