"""`dosewren talk`: a conversation aloud."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import closing, nullcontext
from dataclasses import dataclass
from pathlib import Path

import click

from assistant.adapters.screen.terminal import ScreenTerminal
from assistant.adapters.terminal.plain import coloured, drawn_syringe, folded
from assistant.commands.chatting import CAUTION
from assistant.commands.recording import Recorder, TappedEars, open_recorder
from assistant.commands.sharing import HeldRound, hold_round
from assistant.conversation.turn import Manner, Reply, Status, Turn
from assistant.language.heard import Heard
from assistant.ports import Loudness, Phase
from assistant.session import Session
from assistant.wiring import Desk, open_desk, open_devices, open_ears, open_voice

LISTENING = "… listening"
SPOKEN_CAUTION = "The label and your vet come first."


@dataclass(frozen=True, slots=True)
class Talking:
    """The devices and the model that were asked for, and whether a headset is worn."""

    microphone: str | None = None
    speaker: str | None = None
    vosk: Path | None = None
    screen: bool = False
    headset: bool = False


def _screen(turn: Turn) -> str:
    dose = turn.facts.dose
    return f"{coloured(turn)}\n{drawn_syringe(dose)}" if dose else coloured(turn)


def talk_aloud(home: str | None, wanted: Talking) -> None:
    """The conversation aloud, until goodbye: what is heard and said is shown as well."""
    desk = open_desk(home)
    with closing(hold_round(desk, "dosewren talk")) as held:
        _talk(desk, held, wanted)


def _talk(desk: Desk, held: HeldRound, wanted: Talking) -> None:
    from assistant.adapters.sound.patient_microphone import PatientMicrophone
    from assistant.adapters.talk.live import Equipment, converse
    from assistant.commands.talk_sharing import Onlookers, SharedTalk

    screen = ScreenTerminal() if wanted.screen else None
    microphone, speaker = open_devices(desk.holding.kit, wanted.microphone, wanted.speaker)
    session, recorder = held.session, open_recorder(desk)
    voice = open_voice(desk.holding.kit)
    ears = TappedEars(open_ears(desk, wanted.vosk, ahead=True), lambda: session.expected)
    click.echo(f"Ears: {ears.name}, {ears.model}. Voice: {voice.name}.")
    click.echo(f"Microphone: {microphone.name}. Speaker: {speaker.name}.")
    if recorder.keeps:
        click.echo(f"What you say is kept in {desk.home.recordings_folder}, on this machine only.")
    click.echo(folded(f"{CAUTION}\n{session.greeting}"))
    talk = desk.holding.kit.talk
    patient = PatientMicrophone(microphone)
    shared = SharedTalk(held, prints=screen is None)
    onlookers = Onlookers([shared] if screen else [PrintedTalk(), shared])
    opening = Turn(Status.COMMAND, None, Reply(f"{SPOKEN_CAUTION} {session.greeting}"))
    with screen or nullcontext():
        if screen:
            screen.take(held.welcome)
            held.follow(screen.take)
        equipment = Equipment(
            ears,
            voice,
            shared.microphone(patient, voice, speaker),
            speaker,
            headset=wanted.headset or talk.headset,
            tones=talk.tones,
        )
        converse(equipment, RecordedSession(session, ears, recorder), onlookers, opening)


class PrintedTalk:
    """An onlooker that prints each turn, and when the keeper may speak again."""

    def __init__(self) -> None:
        self._is_due = True

    def phase(self, phase: Phase) -> None:
        """Print that it listens, at the beginning and after each answer."""
        if phase in (Phase.LISTENING, Phase.HEARING) and self._is_due:
            click.echo(LISTENING)
        self._is_due = phase is Phase.SPEAKING or (self._is_due and phase is Phase.DEAF)

    def loudness(self, loudness: Loudness) -> None:
        """Not printed."""

    def turn(self, heard: Heard, turn: Turn) -> None:
        """Print what was heard and what it led to, unless it gets no answer."""
        if not turn.silent:
            said = f"\n“{heard.words}”" if heard.words else ""
            click.echo(f"{said}\n{_screen(turn)}")

    def notice(self, text: str) -> None:
        """Print it."""
        click.echo(f"\n{folded(text)}")


class RecordedSession:
    """A session whose utterances are kept, where the keeper wants it."""

    def __init__(self, session: Session, ears: TappedEars, recorder: Recorder) -> None:
        self._session = session
        self._ears = ears
        self._recorder = recorder
        self._since = session.changes
        self.vital = session.vital
        self.cut_short = session.cut_short
        self.voiced = session.voiced
        self.returned = session.returned

    @property
    def manner(self) -> Manner:
        """How to talk from now on."""
        return self._session.manner

    @property
    def foreseen(self) -> Sequence[str]:
        """Sentences with which the next replies may begin."""
        return self._session.foreseen

    def attend(self) -> None:
        """What is heard next was meant as things stand now, whatever is typed in the meantime."""
        self._since = self._session.changes

    def hear(self, heard: Heard) -> Turn:
        """The turn that an utterance leads to."""
        turn = self._session.hear(heard, self._since)
        self._recorder.keep(self._ears.take(), heard, turn, self._session)
        return turn
