"""What is said while an answer is spoken: with a headset, and without one."""

from __future__ import annotations

from collections.abc import Generator
from dataclasses import dataclass

import pytest

from assistant.adapters.sound.resampling import samples_at
from assistant.adapters.talk.remembering_voice import RememberingVoice
from assistant.adapters.talk.speaking import Speech
from assistant.adapters.talk.voice import EspeakVoice
from assistant.audio import EAR_RATE_HZ, Clip
from assistant.conversation.turn import Cue, Manner, Reply, Status, Turn
from tests.adapters.talk.scene import SILENCE, SILENT, MoodyEars, Notebook, Tape, hold, said

VOLUME = "zero point four seven millilitres."
LONG = f"Budgie, thirty one grams. {VOLUME} " + "Now push until no air is left. " * 4
LATE = "Now push until no air is left. " * 4 + VOLUME


def test_with_a_headset_an_answer_is_cut_short_by_what_is_said_over_it(
    voice: EspeakVoice, sentence: bytes
):
    tape = Tape(sentence, 2)
    notes = Notebook([said(LATE), said("Stopped.")], tape, vital_text=VOLUME)
    hold(MoodyEars([]), voice, tape, notes, headset=True)
    assert notes.heard == ["given", "given"]
    assert notes.cut == [LATE]
    assert notes.known == ["Stopped."]
    assert notes.out[0] < notes.played[0] - 1
    assert tape.forgotten == 0


def test_cut_after_the_volume_it_counts_as_said(voice: EspeakVoice, sentence: bytes):
    tape = Tape(SILENCE * 7 + sentence, 2)
    notes = Notebook([said(LONG), said("Stopped.")], tape, vital_text=VOLUME)
    hold(MoodyEars([]), voice, tape, notes, headset=True)
    assert notes.cut == []
    assert notes.known == [LONG, "Stopped."]
    assert notes.out[0] < notes.played[0] - 1


def test_what_gets_no_answer_does_not_stop_one(voice: EspeakVoice, sentence: bytes):
    tape = Tape(sentence, 3)
    notes = Notebook([said(LATE), SILENT, SILENT], tape, vital_text=VOLUME)
    hold(MoodyEars([]), voice, tape, notes, headset=True)
    assert notes.heard == ["given"] * 3
    assert notes.out == notes.played
    assert notes.known[-1] == LATE, "what was thought to be cut was heard after all"


@dataclass
class EchoingTape(Tape):
    """A microphone that hears a sentence, and then all that is being said to it."""

    echo: bytes = b""

    def clips(self) -> Generator[Clip, None, None]:
        """The sentence and a pause, in which the answer begins; the rest of it; a long silence."""
        sound = SILENCE + self.sentence + SILENCE + self.echo[EAR_RATE_HZ:] + SILENCE * 4
        for start in range(0, len(sound), 640):
            self.seconds += 0.02
            yield Clip(sound[start : start + 640])


def test_our_own_voice_in_the_microphone_is_not_heeded(voice: EspeakVoice, sentence: bytes):
    speech = Speech(RememberingVoice(voice), Manner())
    echo = b"".join(samples_at(piece.clip, EAR_RATE_HZ).tobytes() for piece in speech.pieces(LONG))
    tape = EchoingTape(sentence, 1, echo=echo)
    notes = Notebook([said(LONG), said("no")], tape)
    hold(MoodyEars([]), voice, tape, notes, headset=True)
    assert notes.heard == ["given"]
    assert notes.out == notes.played


def test_an_answer_in_pieces_is_as_long_as_they_are(voice: EspeakVoice, sentence: bytes):
    notes = Notebook([said(LONG)])
    hold(MoodyEars([]), voice, Tape(sentence, 1), notes)
    pieces = ["Budgie, thirty one grams.", VOLUME, *["Now push until no air is left."] * 4]
    spoken = sum(voice.render(one).seconds for one in pieces)
    assert notes.played == [pytest.approx(spoken + 0.14, abs=0.01)], "and the tone at its end"


def test_half_duplex_an_utterance_across_the_end_gets_a_tone(voice: EspeakVoice, sentence: bytes):
    twice = sentence + bytes(EAR_RATE_HZ // 5) + sentence
    notes = Notebook([said("Yes.")])
    hold(MoodyEars([]), voice, Tape(twice, 1), notes)
    assert notes.heard == ["given", ""], "the rest of a sentence is no phrase"
    assert notes.tones == 1


def test_a_tone_goes_before_the_words_and_is_left_out_where_none_are_wanted(
    voice: EspeakVoice, sentence: bytes
):
    logged = Turn(Status.COMMAND, None, Reply("Given."), cue=Cue.LOGGED)
    notes = Notebook([logged])
    hold(MoodyEars([]), voice, Tape(sentence, 1), notes)
    words = voice.render("Given.").seconds
    assert notes.played == [pytest.approx(words + 0.31 + 0.14, abs=0.01)]


def test_an_answer_that_cannot_be_played_is_said_again_when_it_can(
    voice: EspeakVoice, sentence: bytes, monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.setattr("assistant.adapters.talk.live._TRY_AGAIN_S", 0.0)
    notes = Notebook([said("Given.")], fails=2)
    hold(MoodyEars([]), voice, Tape(sentence, 1), notes)
    assert notes.cut == ["Given.", "The speaker was gone. Given."]
    assert notes.known == ["The speaker was gone. Given."]
    assert [one for one in notes.notices if "speaker" in one] == [
        "The speaker is gone. I will say it again when it plays."
    ]
