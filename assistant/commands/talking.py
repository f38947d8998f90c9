"""`dosewren` and `dosewren talk`: a conversation at the keyboard, and one aloud."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import click

from assistant.adapters.terminal import chat_lines, coloured, drawn_syringe, folded
from assistant.conversation.turn import Turn
from assistant.language.heard import Heard
from assistant.wiring import Desk, open_desk

CAUTION = (
    "The label and your vet come first. Local rules and licensed practice decide. "
    "Say help for what I understand, goodbye to leave."
)


@dataclass(frozen=True, slots=True)
class Talking:
    """The devices and the model that were asked for."""

    microphone: str | None = None
    speaker: str | None = None
    vosk: Path | None = None


def chat(home: str | None) -> None:
    """The text chat, until goodbye or the end of the input."""
    desk = open_desk(home)
    session = desk.session()
    read_line = chat_lines(_words(desk), desk.home.path / "chat-history")
    click.echo(folded(f"{CAUTION}\n{session.greeting}"))
    while True:
        try:
            line = read_line()
        except EOFError:
            return
        except KeyboardInterrupt:
            click.echo("Nothing was logged by that. Say goodbye to leave.")
            continue
        turn = session.hear(Heard(line))
        click.echo(_screen(turn))
        if turn.ends:
            return


def _screen(turn: Turn) -> str:
    dose = turn.facts.dose
    return f"{coloured(turn)}\n{drawn_syringe(dose)}" if dose else coloured(turn)


def _words(desk: Desk) -> list[str]:
    """What the Tab key offers: birds, medicines, and the words of the grammar."""
    return [*desk.lexicon.aviary.spoken_names(), *desk.lexicon.medicines]


def talk_aloud(home: str | None, wanted: Talking) -> None:
    """The conversation aloud, until goodbye."""
    from assistant.voicing import talk

    talk(open_desk(home), wanted)
