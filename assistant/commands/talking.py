"""`dosewren` and `dosewren talk`: a conversation at the keyboard, and one aloud."""

from __future__ import annotations

from collections.abc import Generator
from contextlib import closing
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import click

from assistant.adapters.terminal import chat_lines, coloured, drawn_syringe, folded
from assistant.audio import Clip
from assistant.commands.recording import Recorder, TappedEars, open_recorder
from assistant.conversation.speech import speakable
from assistant.conversation.turn import Turn
from assistant.errors import AudioProblem
from assistant.language.heard import Heard
from assistant.ports import Speaker
from assistant.session import Session
from assistant.wiring import Desk, open_desk, open_devices, open_ears, open_voice

if TYPE_CHECKING:
    from assistant.adapters.live import LiveMicrophone

CAUTION = (
    "The label and your vet come first. Local rules and licensed practice decide. "
    "Say help for what I understand, goodbye to leave."
)
LISTENING = "… listening"
SPOKEN_CAUTION = "The label and your vet come first."


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
    """The conversation aloud, until goodbye: what is heard and said is shown as well."""
    from assistant.adapters.live import converse
    from assistant.adapters.patient_microphone import PatientMicrophone

    desk = open_desk(home)
    microphone, speaker = open_devices(wanted.microphone, wanted.speaker)
    session, recorder = desk.session(), open_recorder(desk)
    voice = open_voice(desk.holding.kit)
    ears = TappedEars(open_ears(desk, wanted.vosk), lambda: session.expected)
    click.echo(f"Ears: {ears.name}, {ears.model}. Voice: {voice.name}.")
    click.echo(f"Microphone: {microphone.name}. Speaker: {speaker.name}.")
    if recorder.keeps:
        click.echo(f"What you say is kept in {desk.home.recordings_folder}, on this machine only.")
    click.echo(folded(f"{CAUTION}\n{session.greeting}"))
    speaker.play(voice.render(speakable(f"{SPOKEN_CAUTION} {session.greeting}")))
    patient = PatientMicrophone(ShownMicrophone(microphone), _tell_gone)
    shown = patient, ShownSpeaker(speaker)
    converse(ears, voice, *shown, partial(_answer, session, ears, recorder))


def _tell_gone(problem: AudioProblem) -> None:
    click.echo(
        f"\n{problem.problem[:1].upper()}{problem.problem[1:]}. Plug it in again: I wait for it, "
        "and then listen. Press Ctrl-C to leave."
    )


class ShownMicrophone:
    """A microphone that shows when it is open and the keeper may speak."""

    def __init__(self, microphone: LiveMicrophone) -> None:
        self._microphone = microphone
        self.name = microphone.name

    def clips(self) -> Generator[Clip, None, None]:
        """Short clips, the first of which is shown to have come."""
        with closing(self._microphone.clips()) as clips:
            yield next(clips)
            click.echo(LISTENING)
            yield from clips

    def forget(self) -> None:
        """Drop what came in until now."""
        self._microphone.forget()


class ShownSpeaker:
    """A speaker that shows when it has finished and the keeper may speak again."""

    def __init__(self, speaker: Speaker) -> None:
        self._speaker = speaker
        self.name = speaker.name

    def play(self, clip: Clip) -> None:
        """Play the clip, and show that it is over."""
        self._speaker.play(clip)
        click.echo(LISTENING)


@dataclass(frozen=True, slots=True)
class Spoken:
    """An answer as the talk loop takes it; what is not usable is not answered aloud."""

    turn: Turn

    @property
    def words(self) -> str:
        """The reply in words."""
        return speakable(self.turn.reply.said)

    @property
    def silent(self) -> bool:
        """Noise and talk among people get no answer."""
        return self.turn.silent

    @property
    def ends(self) -> bool:
        """Whether the keeper has left."""
        return self.turn.ends


def _answer(session: Session, ears: TappedEars, recorder: Recorder, heard: Heard) -> Spoken:
    turn = session.hear(heard)
    recorder.keep(ears.take(), heard, turn, session)
    if not turn.silent:
        click.echo(f"\n“{heard.words}”\n{_screen(turn)}")
    return Spoken(turn)
