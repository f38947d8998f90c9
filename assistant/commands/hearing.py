"""`dosewren hear`: recordings answered, one line for each file, whatever the files hold."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import closing
from dataclasses import dataclass, replace
from pathlib import Path
from tempfile import TemporaryFile

import click

from assistant.adapters.sound.recordings import read_recording
from assistant.adapters.sound.wav_writer import write_wav
from assistant.adapters.terminal.answer_lines import answer_object, as_line
from assistant.audio import Clip
from assistant.commands.recording import open_recorder
from assistant.commands.sharing import hold_round
from assistant.conversation.speech import speakable
from assistant.conversation.turn import Reply, Turn
from assistant.errors import AudioProblem, EngineUnavailable
from assistant.language.expected import Expected
from assistant.language.heard import Channel, Heard
from assistant.ports import Ears, Voice
from assistant.session import Session
from assistant.wiring import Desk, open_desk, open_ears, open_voice


@dataclass(frozen=True, slots=True)
class Hearing:
    """How to hear: as one conversation or not, with the answers spoken into a folder or not."""

    together: bool = False
    as_json: bool = False
    speak: Path | None = None
    vosk: Path | None = None


@dataclass(frozen=True, slots=True)
class Listened:
    """What came of one file; `error` where it could not be used."""

    file: str
    heard: Heard
    turn: Turn
    error: str | None = None


def hear_files(home: str | None, files: Sequence[str], wanted: Hearing) -> None:
    """Answer every file in its turn; a broken one gets its line too, and the next goes on."""
    desk = open_desk(home)
    ears = open_ears(desk, wanted.vosk)
    if wanted.speak:
        _make_folder(wanted.speak)
    voice = open_voice(desk.holding.kit) if wanted.speak else None
    if not wanted.together:
        _answer(_listen(desk, ears, None, files), wanted, voice)
        return
    with closing(hold_round(desk, "dosewren hear --together")) as held:
        click.echo(held.session.greeting, err=True)
        _answer(_listen(desk, ears, held.session, files), wanted, voice)


def _answer(found: Iterator[Listened], wanted: Hearing, voice: Voice | None) -> None:
    for number, listened in enumerate(found, start=1):
        click.echo(_line(listened, as_json=wanted.as_json))
        if voice and wanted.speak:
            _speak(voice, listened, wanted.speak / f"{number:03d}-{Path(listened.file).stem}.wav")


def _listen(
    desk: Desk, ears: Ears, together: Session | None, files: Sequence[str]
) -> Iterator[Listened]:
    """What came of each file, in one conversation or each in its own."""
    recorder = open_recorder(desk)
    for file in files:
        session = together or desk.session(one_shot=True)
        error, clip = None, None
        try:
            clip = read_recording(Path(file))
            heard = _hear(ears, clip, session.expected)
        except (AudioProblem, EngineUnavailable) as problem:
            error = f"{problem.problem} {problem.remedy}".strip()
            heard = Heard("", 0.0, channel=Channel.VOICE, engine=ears.name)
        turn = session.hear(heard)
        recorder.keep(clip, heard, turn, session)
        if error:
            turn = replace(turn, reply=Reply(error), reason="recording")
        yield Listened(file, heard, turn, error)


def _hear(ears: Ears, clip: Clip, expected: Expected) -> Heard:
    ears.begin(expected)
    ears.feed(clip)
    return ears.finish()


def _line(listened: Listened, *, as_json: bool) -> str:
    if as_json:
        answer = {"file": listened.file} | answer_object(listened.heard, listened.turn)
        return as_line(answer | ({"error": listened.error} if listened.error else {}))
    heard = f"heard “{listened.heard.words}”" if listened.heard.words else "heard nothing"
    if listened.error:
        heard = "not listened to"
    return f"{listened.file}: {heard}\n{listened.turn.reply.for_eye}\n"


def _make_folder(folder: Path) -> None:
    """Find out before listening whether the answers can be written."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with TemporaryFile(dir=folder):
            pass
    except OSError as error:
        raise AudioProblem(
            f"The answers cannot be written in {folder}: {error.strerror}.",
            "Name a folder that you may write to after --speak.",
        ) from error


def _speak(voice: Voice, listened: Listened, path: Path) -> None:
    write_wav(voice.render(speakable(listened.turn.reply.said)), path)
