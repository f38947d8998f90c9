"""A keeper on a tape, ears with moods, and a notebook that answers, speaks and looks on."""

from __future__ import annotations

from collections.abc import Generator, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field

from assistant.adapters.talk.live import Equipment, LiveMicrophone, converse
from assistant.adapters.talk.voice import EspeakVoice
from assistant.audio import EAR_RATE_HZ, Clip
from assistant.conversation.turn import Manner, Reply, Status, Turn
from assistant.errors import AudioProblem
from assistant.language.expected import ANYTHING, Expected
from assistant.language.heard import Heard
from assistant.ports import Ears, Loudness, Phase

SILENCE = bytes(2 * EAR_RATE_HZ)


@dataclass
class Tape:
    """A microphone that plays the same sentence again and again, and what became of it."""

    sentence: bytes
    times: int
    forgotten: int = 0
    closed: bool = False
    seconds: float = 0.0
    name: str = "a tape"

    def clips(self) -> Generator[Clip, None, None]:
        """Silence, the sentence and silence, so many times."""
        try:
            for _ in range(self.times):
                sound = SILENCE + self.sentence + SILENCE
                for start in range(0, len(sound), 640):
                    self.seconds += 0.02
                    yield Clip(sound[start : start + 640])
        finally:
            self.closed = True

    def forget(self) -> None:
        """Count the times."""
        self.forgotten += 1


@dataclass
class MoodyEars:
    """Ears that raise what they are told to, and otherwise hear "given"."""

    moods: list[Exception | None]
    name: str = "moody ears"
    model: str = "none"

    def begin(self, expected: Expected = ANYTHING) -> None:
        """Nothing to forget."""

    def feed(self, clip: Clip) -> None:
        """Raise the next of the moods, if it is one to raise."""
        assert clip.rate_hz == EAR_RATE_HZ
        if self.moods and (mood := self.moods.pop(0)):
            raise mood

    def finish(self) -> Heard:
        """One word."""
        return Heard("given")

    def deaf_to(self) -> tuple[str, ...]:
        """No word at all."""
        return ()


SILENT = Turn(Status.IGNORED, None, Reply("Not taken for an order."))


def said(words: str, *, ends: bool = False) -> Turn:
    """A turn that is spoken."""
    return Turn(Status.COMMAND, None, Reply(words), ends=ends)


class Immediate:
    """What is played is out at once; or, by a tape, as its sound goes on."""

    def __init__(self, played: list[float], tape: Tape | None) -> None:
        self._played = played
        self._tape = tape
        self._began_s = tape.seconds if tape else 0.0
        self._added_s = 0.0

    def add(self, clip: Clip) -> None:
        """Note how long it is."""
        self._added_s += clip.seconds
        self._played[-1] = self._added_s

    @property
    def out_s(self) -> float:
        """All of it, or as much as the tape has gone on."""
        if self._tape is None or self._tape.closed:
            return self._added_s
        return self._tape.seconds - self._began_s

    @property
    def is_out(self) -> bool:
        """Whether that is all."""
        return self.out_s >= self._added_s


@dataclass
class Notebook:
    """A speaker that notes how much was played, the answers in turn, and what an onlooker sees.

    With a `tape` what is played takes as long as the tape goes on.  `fails` is how many answers it
    cannot play, and `vital_text` what in a reply must be out.
    """

    replies: list[Turn]
    tape: Tape | None = None
    fails: int = 0
    vital_text: str = ""
    heard: list[str] = field(default_factory=list)
    played: list[float] = field(default_factory=list)
    out: list[float] = field(default_factory=list)
    tones: int = 0
    phases: list[Phase] = field(default_factory=list)
    loudest_db: float = -99.0
    attended: int = 0
    read: list[str] = field(default_factory=list)
    seen: list[Turn] = field(default_factory=list)
    cut: list[str] = field(default_factory=list)
    known: list[str] = field(default_factory=list)
    notices: list[str] = field(default_factory=list)
    away: list[float] = field(default_factory=list)
    foreseen: tuple[str, ...] = ()
    manner: Manner = field(default_factory=Manner)
    name: str = "a notebook"

    @contextmanager
    def begin(self) -> Iterator[Immediate]:
        """Note how long an answer is, and how much of it was out at the end."""
        if self.fails:
            self.fails -= 1
            raise AudioProblem("The speaker is gone.", "Plug it in.")
        self.played.append(0.0)
        playback = Immediate(self.played, self.tape)
        yield playback
        self.out.append(min(playback.out_s, self.played[-1]))

    def play(self, clip: Clip) -> None:
        """Count it."""
        self.tones += bool(clip.samples)

    def attend(self) -> None:
        """Count the times."""
        self.attended += 1

    def hear(self, heard: Heard) -> Turn:
        """The next reply, or silence."""
        self.heard.append(heard.words)
        return self.replies.pop(0) if self.replies else SILENT

    def vital(self, reply: Reply) -> int:
        """Up to the end of the vital text."""
        return reply.said.find(self.vital_text) + len(self.vital_text) if self.vital_text else 0

    def cut_short(self, reply: Reply) -> None:
        """Note it."""
        self.cut.append(reply.said)

    def voiced(self, reply: Reply) -> None:
        """Note it."""
        self.known.append(reply.said)

    def returned(self, away_s: float) -> Turn:
        """Note it."""
        self.away.append(away_s)
        return said("I hear again.")

    def phase(self, phase: Phase) -> None:
        """Note it."""
        self.phases.append(phase)

    def loudness(self, loudness: Loudness) -> None:
        """Note the loudest."""
        self.loudest_db = max(self.loudest_db, loudness.level_db)

    def turn(self, heard: Heard, turn: Turn) -> None:
        """Note it, in the order in which it was answered."""
        self.read.append(heard.words)
        self.seen.append(turn)

    def notice(self, text: str) -> None:
        """Note it."""
        self.notices.append(text)


def hold(
    ears: Ears, voice: EspeakVoice, tape: LiveMicrophone, notes: Notebook, *, headset: bool = False
) -> None:
    """A talk in which the notebook answers and looks on."""
    converse(Equipment(ears, voice, tape, notes, headset=headset), notes, notes)
