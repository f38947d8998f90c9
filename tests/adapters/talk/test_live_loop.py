"""The talk loop with real speech and a real voice detector, and with ears that fail on purpose."""

from __future__ import annotations

from collections.abc import Generator
from dataclasses import dataclass

import pytest

from assistant.adapters.sound.patient_microphone import PatientMicrophone
from assistant.adapters.talk.voice import EspeakVoice
from assistant.audio import Clip
from assistant.errors import AudioProblem, EngineUnavailable
from assistant.ports import Phase
from tests.adapters.talk.scene import SILENCE, SILENT, MoodyEars, Notebook, Tape, hold, said


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
            raise AudioProblem("It is gone.", "Plug it in.")
        yield Clip(self.sentence[half:] + SILENCE)
        yield from super().clips()


def test_a_microphone_that_vanishes_in_mid_word_is_waited_for(voice: EspeakVoice, sentence: bytes):
    tape, notes = LooseTape(sentence, 2), Notebook([])
    waited: list[float] = []
    patient = PatientMicrophone(tape, waited.append)
    hold(MoodyEars([]), voice, patient, notes)
    assert notes.heard == ["given", "given"], "neither half is a phrase"
    assert len(waited) == 3
    assert [one.partition(":")[0] for one in notes.notices] == ["The microphone is gone"]
    assert len(notes.away) == 1
    assert notes.phases.count(Phase.DEAF) == 1


def test_a_microphone_that_never_gave_a_sound_is_the_keepers_to_mend(sentence: bytes):
    tape = LooseTape(sentence, 1, opened=1)
    with pytest.raises(AudioProblem, match="gone"):
        list(PatientMicrophone(tape, lambda _: None).clips())


def test_an_onlooker_is_told_each_phase_and_turn_in_order(voice: EspeakVoice, sentence: bytes):
    tape, notes = Tape(sentence, 2), Notebook([said("yes")])
    hold(MoodyEars([]), voice, tape, notes)
    listens, hears, thinks = Phase.LISTENING, Phase.HEARING, Phase.THINKING
    answered = [listens, hears, thinks, Phase.SPEAKING, listens]
    assert notes.phases == [*answered, hears, thinks, listens]
    assert notes.seen == [said("yes"), SILENT]
    assert notes.attended == 2
    assert -40 < notes.loudest_db < 0
