"""The command line: options in, exit codes out.  Everything it does is done elsewhere.

Exit codes: 0 done; 1 our own failure; 2 the command was written wrongly; 3 a file of yours cannot
be used; 5 a part is missing; 130 interrupted.
"""

from __future__ import annotations

import os
import re
import sys
from pathlib import Path
from typing import Any

import click

from assistant import __version__
from assistant.cli.options import (
    EPILOG,
    Command,
    Commands,
    device_options,
    form_options,
    home_option,
    json_option,
    vosk_option,
)
from assistant.cli.planning import needle, plan
from assistant.cli.records import droppings, due, records
from assistant.cli.safekeeping import backup, rescue, restore
from assistant.cli.stock import stock
from assistant.errors import AssistantError, DataProblem

_BELOW_ZERO = re.compile(r"-\.?[0-9]")


class _Phrase(Command):
    """A command whose words may be a figure below zero, which is no option."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        worded = [f"−{one[1:]}" if _BELOW_ZERO.match(one) else one for one in args]
        return super().parse_args(ctx, worded)


@click.group(
    cls=Commands,
    invoke_without_command=True,
    context_settings={"help_option_names": ["-h", "--help"]},
    epilog=EPILOG,
)
@click.version_option(__version__, prog_name="dosewren")
@home_option
@click.pass_context
def dosewren(context: click.Context, home: str | None) -> None:
    """The dose for the bird in front of you, asked and answered by voice or text, offline.

    Without a command it opens the text chat, in the round of another window where one is open.
    The label and your vet come first; the demo medicines are invented and never for a real bird.
    """
    context.obj = home
    if context.invoked_subcommand is None:
        from assistant.commands.chatting import chat

        chat(home)


@dosewren.command()
@click.option("--demo", is_flag=True, help="Make the invented demo set without asking anything.")
@home_option
@click.pass_obj
def setup(outer: str | None, home: str | None, *, demo: bool) -> None:
    """Make your folder by questions, or the invented demo.  Overwrites nothing.

    Example: dosewren setup --demo --home demo-home
    """
    from assistant.commands.keeping import make_home

    make_home(home or outer, demo=demo)


@dosewren.command()
@click.argument("medicine", required=False)
@home_option
@click.pass_obj
def confirm(outer: str | None, home: str | None, medicine: str | None) -> None:
    """Compare a medicine's figures with its label, and confirm them.

    Example: dosewren confirm "Marigold Demo"
    """
    from assistant.commands.keeping import confirm_medicine

    confirm_medicine(home or outer, medicine)


@dosewren.command(
    cls=_Phrase, short_help="Answer a typed phrase, or with - each line of the input."
)
@click.argument("phrase", nargs=-1, required=True)
@home_option
@json_option
@click.pass_obj
def ask(outer: str | None, home: str | None, phrase: tuple[str, ...], *, as_json: bool) -> None:
    """Answer one typed phrase, or with - every line of the standard input as one conversation.

    Example: dosewren ask cockatiel ninety five grams
    """
    from assistant.commands.answering import ask_lines, ask_once

    if phrase == ("-",):
        ask_lines(home or outer, as_json=as_json)
    else:
        ask_once(home or outer, " ".join(phrase), as_json=as_json)


@dosewren.command()
@click.argument("recordings", nargs=-1, required=True, metavar="FILE.wav ...")
@click.option("--together", is_flag=True, help="Hear all files as one conversation.")
@click.option(
    "--speak", metavar="DIR", type=click.Path(path_type=Path), help="Write the spoken answers here."
)
@vosk_option
@home_option
@json_option
@click.pass_obj
def hear(
    outer: str | None, /, home: str | None, recordings: tuple[str, ...], **options: Any
) -> None:
    """Answer spoken recordings, one line for each file.

    Example: dosewren hear fixtures/demo/*.wav
    """
    from assistant.commands.hearing import Hearing, hear_files

    hear_files(home or outer, recordings, Hearing(**options))


@dosewren.command()
@device_options
@vosk_option
@click.option("--screen", is_flag=True, help="Also show the round in large digits.")
@click.option("--headset", is_flag=True, help="Listen while it speaks: only with a headset on.")
@home_option
@click.pass_obj
def talk(outer: str | None, /, home: str | None, **options: Any) -> None:
    """Listen and answer aloud, until you say goodbye.

    Example: dosewren talk --microphone headset
    """
    from assistant.commands.talking import Talking, talk_aloud

    talk_aloud(home or outer, Talking(**options))


@dosewren.command(short_help="Show the round of another window in large digits.")
@home_option
@click.pass_obj
def screen(outer: str | None, home: str | None) -> None:
    """Show the round of another window in large digits, until Ctrl-C.

    Example: dosewren screen
    """
    from assistant.commands.watching import watch

    watch(home or outer)


@dosewren.command()
@home_option
@click.pass_obj
def join(outer: str | None, home: str | None) -> None:
    """Type into the round that another window has open.

    Example: dosewren join
    """
    from assistant.commands.chatting import join

    join(home or outer)


@dosewren.command()
@click.option(
    "--exchanges", is_flag=True, help="All that was said and answered, not only the doses."
)
@form_options
@click.option("--last", type=click.IntRange(min=1), metavar="N", help="Only the last N rows.")
@home_option
@click.pass_obj
def register(outer: str | None, /, home: str | None, **options: Any) -> None:
    """List the doses and how each ended, or export them.

    Example: dosewren register --csv > doses.csv
    """
    from assistant.commands.keeping import Listing, list_register

    list_register(home or outer, Listing(**options))


@dosewren.command()
@click.option("--delete", is_flag=True, help="Delete every recording.")
@home_option
@click.pass_obj
def recordings(outer: str | None, home: str | None, *, delete: bool) -> None:
    """Say where the recordings of your voice are, or delete them.

    Example: dosewren recordings --delete
    """
    from assistant.commands.recording import recordings_kept

    recordings_kept(home or outer, delete=delete)


@dosewren.command(short_help="Read twenty phrases, so that it fits your voice.")
@click.option("--list", "list_only", is_flag=True, help="Only show the phrases.")
@click.option(
    "--from",
    "folder",
    metavar="DIR",
    type=click.Path(path_type=Path),
    help="Read 01.wav, 02.wav … from here instead of the microphone.",
)
@device_options
@home_option
@click.pass_obj
def enrol(outer: str | None, /, home: str | None, *, list_only: bool, **options: Any) -> None:
    """Read twenty phrases aloud; it says how well it hears you, and fits itself to your voice.

    Example: dosewren enrol
    """
    from assistant.commands import enrolling

    if list_only:
        enrolling.list_phrases(home or outer)
    else:
        enrolling.enrol(home or outer, enrolling.Enrolling(**options))


@dosewren.command(short_help="Say how well each of the ears hears recordings of you.")
@click.argument("folder", required=False, type=click.Path(path_type=Path))
@click.option("--choose", is_flag=True, help="Use the ears that did best from now on.")
@home_option
@click.pass_obj
def measure(outer: str | None, home: str | None, folder: Path | None, *, choose: bool) -> None:
    """Say how well each of the ears hears your own recordings, or those of a folder.

    The folder has a manifest.jsonl with a line for each recording: {"file": "1.wav", "text":
    "cockatiel ninety five grams"}.

    Example: dosewren measure
    """
    from assistant.commands.measuring import measure_ears

    measure_ears(home or outer, folder, choose_them=choose)


@dosewren.command(short_help="Say which parts are in use, and what to install.")
@vosk_option
@click.option("--all-names", is_flag=True, help="Listen to every name, not only your own.")
@home_option
@click.pass_obj
def check(outer: str | None, home: str | None, vosk: Path | None, *, all_names: bool) -> None:
    """Say which ears, voice, devices and files are in use, and what to install.

    Your own names of birds and medicines are spoken by the voice and listened to by the ears.

    Example: dosewren check
    """
    from assistant.commands.checking import check_everything

    check_everything(home or outer, vosk, all_names=all_names)


@dosewren.command(short_help="Fetch the model for the Vosk ear over the network.")
@home_option
@click.pass_obj
def fetch(outer: str | None, home: str | None) -> None:
    """Fetch the small English model for the Vosk ear: the only command that uses the network.

    Example: dosewren fetch
    """
    from assistant.commands.keeping import fetch_model

    fetch_model(home or outer)


for _command in (plan, needle, stock, records, due, droppings, backup, restore, rescue):
    dosewren.add_command(_command)


def main() -> None:
    """Run the command; the only place that turns an error into words and an exit code.

    No error reaches a keeper as a traceback, unless DOSEWREN_TRACEBACK is set to look for a fault.
    """
    try:
        dosewren(standalone_mode=False)
    except click.exceptions.Abort:
        click.echo("Stopped.", err=True)
        sys.exit(130)
    except click.ClickException as error:
        error.show()
        sys.exit(error.exit_code)
    except AssistantError as error:
        _stop(error)
    except BrokenPipeError:
        # whoever was reading has seen enough
        sys.stderr.close()
        sys.exit(0)
    except Exception as error:
        if os.environ.get("DOSEWREN_TRACEBACK"):
            raise
        _stop(_unforeseen(error))


def _stop(error: AssistantError) -> None:
    click.echo(f"dosewren: {error.problem}", err=True)
    if error.remedy:
        click.echo(f"  {error.remedy}", err=True)
    sys.exit(error.exit_code)


def _unforeseen(error: Exception) -> AssistantError:
    """An error that nobody foresaw, as a keeper can read it."""
    if isinstance(error, OSError) and error.filename:
        problem = f"{os.fsdecode(error.filename)} cannot be used: {error.strerror}."
        return DataProblem(problem, "Check its name, its permissions and the space on the disk.")
    return AssistantError(
        f"This is a fault of dosewren itself: {type(error).__name__}: {error}",
        "What was said before it stands. To report it, run the command again with "
        "DOSEWREN_TRACEBACK=1 and copy what it shows.",
    )
