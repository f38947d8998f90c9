"""The talk loop with real speech and a real voice detector, and with ears that fail on purpose."""

from __future__ import annotations

from collections.abc import Generator, Iterator
from dataclasses import dataclass, field

import numpy as np
import pytest
import soxr

from assistant.adapters.live import Equipment, LiveMicrophone, converse
from assistant.adapters.patient_microphone import PatientMicrophone
from assistant.adapters.voice import EspeakVoice
from assistant.audio import EAR_RATE_HZ, Clip
from assistant.conversation.turn import Reply, Status, Turn
from assistant.errors import AudioProblem, EngineUnavailable
from assistant.language.expected import ANYTHING, Expected
from assistant.language.heard import Heard
from assistant.ports import Loudness, Phase

SILENCE = bytes(2 * EAR_RATE_HZ)


@dataclass
class Tape:
    """A microphone that plays the same sentence again and again, and what became of it."""

    sentence: bytes
    times: int
    forgotten: int = 0
    closed: bool = False
    name: str = "a tape"

    def clips(self) -> Generator[Clip, None, None]:
        """Silence, the sentence and silence, so many times."""
        try:
            for _ in range(self.times):
                sound = SILENCE + self.sentence + SILENCE
                for start in range(0, len(sound), 640):
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


SILENT = Turn(Status.IGNORED, None, Reply("Not heeded."))


def said(words: str, *, ends: bool = False) -> Turn:
    """A turn that is spoken."""
    return Turn(Status.COMMAND, None, Reply(words), ends=ends)


@dataclass
class Notebook:
    """A speaker that notes how much was played, the answers in turn, and what an onlooker sees."""

    replies: list[Turn]
    heard: list[str] = field(default_factory=list)
    played: list[float] = field(default_factory=list)
    phases: list[Phase] = field(default_factory=list)
    loudest_db: float = -99.0
    attended: int = 0
    seen: list[Turn] = field(default_factory=list)
    name: str = "a notebook"

    def play(self, clip: Clip) -> None:
        """Note how long it is."""
        self.played.append(clip.seconds)

    def attend(self) -> None:
        """Count the times."""
        self.attended += 1

    def hear(self, heard: Heard) -> Turn:
        """The next reply, or silence."""
        self.heard.append(heard.words)
        return self.replies.pop(0) if self.replies else SILENT

    def phase(self, phase: Phase) -> None:
        """Note it."""
        self.phases.append(phase)

    def loudness(self, loudness: Loudness) -> None:
        """Note the loudest."""
        self.loudest_db = max(self.loudest_db, loudness.level_db)

    def turn(self, heard: Heard, turn: Turn) -> None:
        """Note it, in the order in which it was answered."""
        assert heard.words == self.heard[-1]
        self.seen.append(turn)

    def notice(self, text: str) -> None:
        """Nothing is foreseen."""
        raise AssertionError(text)


@pytest.fixture(scope="module")
def voice() -> Iterator[EspeakVoice]:
    speaking = EspeakVoice(165, None)
    yield speaking
    speaking.close()


@pytest.fixture(scope="module")
def sentence(voice: EspeakVoice) -> bytes:
    clip = voice.render("cockatiel ninety five grams")
    samples = np.frombuffer(clip.pcm, dtype="<i2")
    return bytes(soxr.resample(samples, clip.rate_hz, EAR_RATE_HZ).tobytes())


def hold(ears: MoodyEars, voice: EspeakVoice, tape: LiveMicrophone, notes: Notebook) -> None:
    """A talk in which the notebook answers and looks on."""
    converse(Equipment(ears, voice, tape, notes), notes, notes)


def test_a_clip_on_which_the_ears_fail_is_answered_as_one_without_words(
    voice: EspeakVoice, sentence: bytes
):
    tape, notes = Tape(sentence, 6), Notebook([])
    moods: list[Exception | None]
    moods = [ValueError("bad"), RuntimeError("worse"), None, EngineUnavailable("no")]
    hold(MoodyEars(moods), voice, tape, notes)
    assert notes.heard == ["", "", "given", "", "given", "given"]
    assert tape.closed


def test_ears_that_always_fail_end_the_talk_with_an_error(voice: EspeakVoice, sentence: bytes):
    tape, notes = Tape(sentence, 6), Notebook([])
    with pytest.raises(EngineUnavailable, match="again and again: broken"):
        hold(MoodyEars([OSError("broken")] * 6), voice, tape, notes)
    assert notes.heard == ["", ""]
    assert tape.closed


def test_only_what_is_spoken_makes_the_microphone_forget(voice: EspeakVoice, sentence: bytes):
    tape = Tape(sentence, 6)
    notes = Notebook([SILENT, said("yes"), said("bye", ends=True)])
    hold(MoodyEars([]), voice, tape, notes)
    assert notes.heard == ["given"] * 3
    assert len(notes.played) == tape.forgotten == 2
    assert min(notes.played) > 0.2
    assert tape.closed


def test_a_voice_that_fails_ends_the_talk_with_its_error(sentence: bytes):
    mute, tape = EspeakVoice(165, "no such voice"), Tape(sentence, 3)
    notes = Notebook([said("yes")])
    with pytest.raises(EngineUnavailable, match="no such voice"):
        hold(MoodyEars([]), mute, tape, notes)
    assert tape.closed
    mute.close()


@dataclass
class LooseTape(Tape):
    """A microphone that goes away in the middle of its first sentence, and stays away for a bit."""

    away: int = 3
    opened: int = 0

    def clips(self) -> Generator[Clip, None, None]:
        """Half of the sentence; then nothing; then the other half, and the sentence again."""
        self.opened += 1
        half = len(self.sentence) // 4 * 2
        if self.opened == 1:
            yield Clip(SILENCE + self.sentence[:half])
        if self.opened <= self.away:
            raise AudioProblem("it is gone", "plug it in")
        yield Clip(self.sentence[half:] + SILENCE)
        yield from super().clips()


def test_a_microphone_that_vanishes_in_mid_word_is_waited_for(voice: EspeakVoice, sentence: bytes):
    tape, notes = LooseTape(sentence, 2), Notebook([])
    told: list[AudioProblem] = []
    waited: list[float] = []
    patient = PatientMicrophone(tape, told.append, waited.append)
    hold(MoodyEars([]), voice, patient, notes)
    assert notes.heard == ["given", "given"], "neither half is a phrase"
    assert [one.remedy for one in told] == ["plug it in"]
    assert len(waited) == 3


def test_a_microphone_that_never_gave_a_sound_is_the_keepers_to_mend(sentence: bytes):
    tape = LooseTape(sentence, 1, opened=1)
    with pytest.raises(AudioProblem, match="gone"):
        list(PatientMicrophone(tape, lambda _: None, lambda _: None).clips())


def test_an_onlooker_is_told_each_phase_and_turn_in_order(voice: EspeakVoice, sentence: bytes):
    tape, notes = Tape(sentence, 2), Notebook([said("yes")])
    hold(MoodyEars([]), voice, tape, notes)
    listens, hears, thinks = Phase.LISTENING, Phase.HEARING, Phase.THINKING
    answered = [listens, hears, thinks, Phase.SPEAKING, listens]
    assert notes.phases == [*answered, hears, thinks, listens]
    assert notes.seen == [said("yes"), SILENT]
    assert notes.attended == 2
    assert -40 < notes.loudest_db < 0
