"""`python -m assistant.bench.acoustic`: make the audio, run ears on it, print the tables."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

import click

from assistant.bench.acoustic.parts import size, sizes
from assistant.bench.acoustic.records import Kind, Part
from assistant.bench.acoustic.store import Store, default_cache
from assistant.bench.run_command import run_command


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
    "--part",
    type=click.Choice([part.value for part in Part]),
    default=Part.DEVELOPMENT.value,
    show_default=True,
    help="development: may be fitted on; test: only measured on.",
)
_SIZE = click.option(
    "--size", "size_name", type=click.Choice(sizes()), default="quick", show_default=True
)
_KINDS = click.option(
    "--kind",
    "kinds",
    multiple=True,
    type=click.Choice([kind.value for kind in Kind]),
    help="Only utterances of this kind; may be given several times.",
)


@bench.command()
@_PART
@_SIZE
@_KINDS
@click.argument("folder", type=click.Path(path_type=Path))
@click.pass_obj
def write(cache: Path, /, folder: Path, **options: Any) -> None:  # noqa: ANN401 - click hands on what the decorators define
    """Write the trials into FOLDER as WAV files with a manifest.jsonl.

    Example: python -m assistant.bench.acoustic write --part development --size quick /tmp/dev
    """
    from assistant.bench.acoustic.measuring import Scope, planned  # noqa: PLC0415 - help starts at once
    from assistant.bench.acoustic.writing import write_trials  # noqa: PLC0415 - the same

    scope = Scope(Part(options["part"]), size(options["size_name"]), _kinds(options))
    plan = planned(scope, cache)
    store = Store(cache, {scope.part: plan.talkers})
    done = sum(1 for _ in write_trials(store, plan.trials, folder))
    click.echo(f"{done} trials in {folder}")


@bench.command()
@click.option(
    "--ears", default="pocketsphinx", show_default=True, help="A name, or module:function."
)
@click.option("--set", "pairs", multiple=True, metavar="NAME=VALUE", help="A setting of the ears.")
@_PART
@_SIZE
@_KINDS
@click.option("--jobs", type=click.IntRange(min=1), default=1, show_default=True)
@click.option("--live", is_flag=True, help="Feed the sound in real time, for the latency.")
@click.option(
    "--log", type=click.Path(path_type=Path), help="The log of runs (default: in the cache)."
)
@click.option(
    "--recordings",
    type=click.Path(path_type=Path, exists=True, file_okay=False),
    help="Hear this folder instead, by its manifest.jsonl: a file and its text on each line.",
)
@click.option("--uncommitted", is_flag=True, help="Measure the test part with changes around.")
@click.pass_obj
def run(cache: Path, /, **options: Any) -> None:  # noqa: ANN401 - click hands on what the decorators define
    """Run ears on a part, print the tables, keep the results, and add a line to the log.

    Example: python -m assistant.bench.acoustic run --ears pocketsphinx --size quick
    """
    from assistant.bench.acoustic.ears import read_settings  # noqa: PLC0415 - help starts at once
    from assistant.bench.acoustic.measuring import Scope, measure  # noqa: PLC0415 - the same
    from assistant.bench.acoustic.running import Wanted  # noqa: PLC0415 - the same

    part = Part(options["part"])
    wanted = Wanted(
        ears=options["ears"],
        settings=read_settings(options["pairs"]),
        part=part,
        cache=cache,
        jobs=options["jobs"],
        live=options["live"],
    )
    scope = Scope(
        part,
        size(options["size_name"]),
        _kinds(options),
        uncommitted=options["uncommitted"],
        recordings=options["recordings"],
    )
    measured = measure(wanted, scope, options["log"] or cache / "runs.jsonl")
    click.echo(measured.text)
    click.echo(f"Results: {measured.folder}", err=True)


@bench.command()
@click.argument("folder", type=click.Path(path_type=Path, exists=True))
def tables(folder: Path) -> None:
    """Print the tables of a run again, from its FOLDER of results.

    Example: python -m assistant.bench.acoustic tables ~/.cache/dosewren/acoustic/runs/NAME
    """
    from assistant.bench.acoustic.report import report  # noqa: PLC0415 - help starts at once
    from assistant.bench.acoustic.results import RESULTS, read_results  # noqa: PLC0415 - the same

    click.echo(report(list(read_results(folder / RESULTS)), None))


def _kinds(options: dict[str, Any]) -> frozenset[Kind]:
    return frozenset(map(Kind, options["kinds"])) or frozenset(Kind)


def main() -> int:
    """Run the command; an error becomes two lines and its exit code."""
    return run_command(bench)
